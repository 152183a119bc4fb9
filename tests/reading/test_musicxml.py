"""MusicXML as values: time, pitch, marks, and what joins into one stroke."""

from fractions import Fraction

import pytest

from engraver.errors import EngraverError
from engraver.fretboard.tuning import Instrument, Tuning
from engraver.reading.guitar import guitar_parts, reading_of
from engraver.reading.music import ReadMusic
from engraver.reading.musicxml import music_of
from engraver.reading.partwise import as_partwise
from engraver.reading.playing import strokes_of
from engraver.reading.safe_xml import parse_xml
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre
from tests.reading.music_xml import Written, line, score_xml

STANDARD = Instrument(Tuning("standard", tuple(SpelledPitch.parse(t) for t in ("E4", "B3", "G3", "D3", "A2", "E2"))))
PITCH = "<pitch><step>E</step><octave>4</octave></pitch>"


def read(data: bytes | str) -> ReadMusic:
    raw = data if isinstance(data, bytes) else data.encode()
    return music_of(as_partwise(parse_xml(raw, "x.musicxml"), "x.musicxml"), "x.musicxml")


def one_part(body: str, attributes: str = "<divisions>2</divisions>", about: str = "") -> str:
    opening = f"<attributes>{attributes}</attributes>" if attributes else ""
    return (
        f'<score-partwise><part-list><score-part id="P1"><part-name>Guitar</part-name>{about}</score-part></part-list>'
        f'<part id="P1"><measure number="1">{opening}{body}</measure></part></score-partwise>'
    )


def note(inner: str = PITCH, duration: int = 2, after: str = "", before: str = "") -> str:
    return f"<note>{before}{inner}<duration>{duration}</duration>{after}</note>"


def times(music: ReadMusic) -> list[tuple[str, Fraction, Fraction]]:
    return [(str(n.pitch), n.onset_quarters, n.duration_quarters) for n in music.parts[0].notes]


def test_a_chord_note_shares_the_onset_of_the_note_before():
    """And the clock goes on from the first note's length."""
    low = PITCH.replace(">4<", ">3<")
    found = times(read(one_part(note() + note(low, before="<chord/>") + note())))
    assert [onset for _, onset, _ in found] == [0, 0, 1]


def test_backup_and_forward_move_the_clock():
    """A second voice begins where the first did."""
    body = note(duration=4) + "<backup><duration>4</duration></backup><forward><duration>1</duration></forward>" + note()
    assert [onset for _, onset, _ in times(read(one_part(body)))] == [0, Fraction(1, 2)]


def test_a_short_first_bar_is_as_long_as_its_notes():
    """The second bar begins after the upbeat, not after a whole bar."""
    data = score_xml(line("E4 F4 G4 A4 B4"), metre=(4, 4)).decode()
    short = data.replace('<measure number="2">', '<measure number="2"><!-- -->')
    first = one_part(note(), "<divisions>2</divisions><time><beats>3</beats><beat-type>4</beat-type></time>")
    joined = first.replace("</measure>", f'</measure><measure number="2">{note()}</measure>')
    bars = read(joined).parts[0].bars
    assert bars[1].onset_quarters == 1
    assert bars[1].metre == Metre(3, 4)
    assert read(short).parts[0].bars[1].onset_quarters == 4


def test_the_written_pitch_and_the_sounding_pitch_differ_by_the_transposition():
    """A plain treble clef with an octave's transposition sounds an octave lower."""
    attributes = "<divisions>2</divisions><transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    found = read(one_part(note(), attributes)).parts[0].notes[0]
    assert (str(found.pitch), str(found.sounding)) == ("E4", "E3")


def test_an_octave_in_the_clef_changes_no_pitch():
    """MusicXML writes the sounding octave under such a clef."""
    attributes = "<divisions>2</divisions><clef><sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change></clef>"
    part = read(one_part(note(), attributes)).parts[0]
    assert str(part.notes[0].sounding) == "E4"
    assert part.octave_clef


def test_a_key_and_a_metre_hold_until_they_change():
    """Every bar knows what is in force in it; a file without a key says so."""
    data = one_part(note(), "<divisions>1</divisions><key><fifths>-3</fifths><mode>minor</mode></key>")
    more = data.replace(
        "</measure>",
        '</measure><measure number="2">' + note() + '</measure><measure number="3"><attributes><key><fifths>2</fifths></key></attributes>' + note() + "</measure>",
    )
    assert [(bar.key_fifths, bar.minor) for bar in read(more).parts[0].bars] == [(-3, True), (-3, True), (2, False)]
    assert read(one_part(note())).parts[0].bars[0].key_fifths is None


def test_marks_of_both_hands_are_read():
    """Finger, string, fret, letter; an alternative finger is not the finger."""
    marks = '<notations><technical><fingering alternate="yes">4</fingering><fingering>2</fingering><string>3</string><fret>9</fret><pluck>m</pluck></technical></notations>'
    found = read(one_part(note(after=marks))).parts[0].notes[0].marks
    assert (found.finger, found.string, found.fret, found.plucking) == (2, 3, 9, "m")


def test_a_tie_makes_one_stroke():
    """Its length is the sum; the heads after the first are continued."""
    body = note(after='<tie type="start"/>') + note(after='<tie type="stop"/><tie type="start"/>') + note(after='<tie type="stop"/>')
    (stroke,) = strokes_of(read(one_part(body)).parts[0])
    assert (stroke.duration_quarters, len(stroke.heads), len(stroke.continued)) == (3, 1, 2)


def test_a_tie_that_leads_to_nothing_is_a_note():
    """A stop without a start is struck anew."""
    assert len(strokes_of(read(one_part(note() + note(after='<tie type="stop"/>'))).parts[0])) == 2


def test_a_pitch_shared_by_two_voices_is_one_stroke():
    """With the longer length, and with both heads to be marked."""
    data = score_xml([Written(64, "E", Fraction(0), Fraction(1), 1), Written(64, "E", Fraction(0), Fraction(3), 2)])
    (stroke,) = strokes_of(read(data).parts[0])
    assert (len(stroke.heads), stroke.duration_quarters) == (2, 3)


def test_a_unison_on_two_strings_is_two_strokes():
    """The editor's strings tell it."""
    notes = [Written(64, "E", Fraction(0), Fraction(1), v, (("string", str(v)),)) for v in (1, 2)]
    assert len(strokes_of(read(score_xml(notes)).parts[0])) == 2


def test_grace_notes_come_just_before_their_note_in_order():
    """Without taking time from the bar."""
    grace = "<note><grace/>" + PITCH.replace("E", "D") + "</note>"
    strokes = strokes_of(read(one_part(note() + grace + grace.replace("D", "F") + note())).parts[0])
    assert [str(s.lead.pitch) for s in strokes] == ["E4", "D4", "F4", "E4"]
    assert strokes[-1].onset_quarters == 1
    assert strokes[1].onset_quarters < strokes[2].onset_quarters < 1


def test_a_tablature_staff_repeats_its_notes_and_lends_them_its_strings():
    """One stroke with two heads, string and fret from the tablature."""
    clefs = '<divisions>2</divisions><clef number="1"><sign>G</sign></clef><clef number="2"><sign>TAB</sign></clef>'
    tab = "<staff>2</staff><notations><technical><string>2</string><fret>5</fret></technical></notations>"
    body = note(after="<staff>1</staff>") + "<backup><duration>2</duration></backup>" + note(after=tab)
    (stroke,) = strokes_of(read(one_part(body, clefs)).parts[0])
    assert (len(stroke.heads), stroke.marks.string, stroke.marks.fret) == (2, 2, 5)


def test_tuning_and_capo_are_read_from_the_tablature():
    """String 1 first, whatever the order of the lines."""
    names = ("D2", "A2", "D3", "G3", "B3", "E4")
    lines = "".join(
        f'<staff-tuning line="{i}"><tuning-step>{n[0]}</tuning-step><tuning-octave>{n[1]}</tuning-octave></staff-tuning>'
        for i, n in enumerate(names, 1)
    )
    part = read(one_part(note(), f"<divisions>2</divisions><staff-details>{lines}<capo>2</capo></staff-details>")).parts[0]
    assert [str(pitch) for pitch in part.tuning] == list(reversed(names))
    assert part.capo == 2


def test_words_of_the_file_are_read():
    """Title, composer, rights, with the white space tidied."""
    head = "<movement-title> A \n Tune</movement-title><identification><creator type='composer'>Nobody</creator><rights>Free</rights></identification>"
    music = read(one_part(note()).replace("<part-list>", head + "<part-list>"))
    assert (music.title, music.composer, music.rights) == ("A Tune", "Nobody", "Free")


def test_measures_may_hold_their_parts():
    """The other order of MusicXML reads alike."""
    data = f'<score-timewise><part-list><score-part id="P1"/></part-list><measure number="1"><part id="P1"><attributes><divisions>2</divisions></attributes>{note()}</part></measure><measure number="2"><part id="P1">{note()}</part></measure></score-timewise>'
    assert [onset for _, onset, _ in times(read(data))] == [0, 1]


def test_a_pitch_between_the_semitones_is_no_stroke():
    """A quarter tone cannot be fretted; the note keeps its time."""
    quarter = "<pitch><step>E</step><alter>0.5</alter><octave>4</octave></pitch>"
    music = read(one_part(note(quarter) + note()))
    assert [stroke.onset_quarters for stroke in strokes_of(music.parts[0])] == [1]


def test_rests_cues_and_drums_are_not_played():
    """Nor do they stop the clock."""
    body = note("<rest/>") + note("<unpitched/>") + note(before="<cue/>") + note()
    assert [onset for _, onset, _ in times(read(one_part(body)))] == [3]


@pytest.mark.parametrize(
    ("body", "attributes", "said"),
    [
        (note(duration=-1), "<divisions>2</divisions>", "negative duration"),
        (f"<note>{PITCH}</note>", "<divisions>2</divisions>", "without a duration"),
        (note(), "<divisions>0</divisions>", "'0' divisions"),
        (note(PITCH.replace("E", "H")), "", "without a letter A to G"),
        (note(PITCH.replace("4", "40")), "", "no instrument has"),
    ],
)
def test_nonsense_is_told_with_its_line(body, attributes, said):
    """The file and the line of the element."""
    with pytest.raises(EngraverError, match=said) as caught:
        read("\n\n" + one_part(body, attributes))
    assert str(caught.value).startswith("x.musicxml:3:1: ")


def test_a_plain_clef_beyond_the_neck_is_read_an_octave_lower():
    """Only where everything then fits, and it is said."""
    high = line("E5 B5 E6")
    part = read(score_xml(high)).parts[0]
    reading = reading_of(part, strokes_of(part), STANDARD)
    assert [str(reading.pitch(s)) for s in strokes_of(part)] == ["E4", "B4", "E5"]
    assert "octave lower" in reading.remark
    plain = read(score_xml(line("E3 B3 E4"))).parts[0]
    assert reading_of(plain, strokes_of(plain), STANDARD).remark == ""


def test_pitches_above_a_capo_are_read_without_it():
    """A file whose transposition is its capo reads as if the capo were off."""
    attributes = "<divisions>2</divisions><staff-details><capo>2</capo></staff-details><transpose><chromatic>2</chromatic></transpose>"
    part = read(one_part(note(), attributes)).parts[0]
    assert [str(reading_of(part, strokes_of(part), STANDARD).pitch(s)) for s in strokes_of(part)] == ["E4"]


def test_the_guitar_is_found_among_other_parts():
    """By its name, or else every part is one."""
    two = one_part(note()).replace(
        "</part-list>", '<score-part id="P2"><part-name>Flute</part-name></score-part></part-list>'
    )
    two = two.replace("</score-partwise>", f'<part id="P2"><measure number="1">{note()}</measure></part></score-partwise>')
    assert [part.name for part in guitar_parts(read(two))] == ["Guitar"]
    assert len(guitar_parts(read(two.replace("Guitar", "Oboe")))) == 2


@pytest.mark.parametrize(("count", "slurred"), [(2, 1), (4, 3), (5, 0)])
def test_a_short_slur_belongs_to_the_fretting_hand(count, slurred):
    """A longer one is a phrase."""
    start, stop = (f'<notations><slur type="{kind}" number="1"/></notations>' for kind in ("start", "stop"))
    marks = [start, *[""] * (count - 2), stop]
    steps = "CDEFG"
    body = "".join(note(PITCH.replace("E", steps[i]), after=mark) for i, mark in enumerate(marks))
    assert sum(stroke.slurred for stroke in strokes_of(read(one_part(body)).parts[0])) == slurred


def test_signs_of_loudness_are_read_where_they_take_hold():
    """Moved by their offset; on a note, at that note; unusual signs by name."""

    def sign(inner: str, after: str = "") -> str:
        return f"<direction><direction-type>{inner}</direction-type>{after}</direction>"

    body = (
        sign("<dynamics><mf/></dynamics>")
        + note()
        + sign("<dynamics><p/></dynamics>", "<offset>1</offset>")
        + note(after="<notations><dynamics><f/></dynamics></notations>")
        + sign('<wedge type="diminuendo"/>')
        + note()
        + sign('<wedge type="stop"/>')
        + sign("<dynamics><other-dynamics>lontano</other-dynamics></dynamics>")
    )
    found = [(read.sign, read.onset_quarters) for read in read(one_part(body)).parts[0].dynamics]
    assert found == [("mf", 0), ("p", Fraction(3, 2)), ("f", 1), ("lontano", 3)]
    fading = read(one_part(body)).parts[0].hairpins
    assert [(h.start_quarters, h.end_quarters, h.grows) for h in fading] == [(2, 3, False)]
