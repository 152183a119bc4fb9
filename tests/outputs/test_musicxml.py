"""MusicXML: valid by the schema, right by the clock, and read back with every note and both hands."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

from engraver.errors import OutputError
from engraver.outputs.musicxml import musicxml
from engraver.score.model import BarreSign, Measure, Score
from tests.outputs import score_samples as samples
from tests.outputs import scores
from tests.outputs.musicxml_checks import check_musicxml
from tests.outputs.musicxml_reading import music21_notes, read_notes
from tests.outputs.musicxml_schema import schema_problems

STANDARDS = Path(__file__).resolve().parents[2].parent / "shared" / "standards" / "musicxml"
QUARTER = Fraction(1)


def written(score: Score) -> etree._Element:
    return etree.fromstring(musicxml(score, "An exercise"))


def texts(score: Score, path: str) -> list[str]:
    return [found.text for found in written(score).iterfind(path)]


@pytest.mark.parametrize("name", samples.SAMPLES)
def test_every_sample_passes_all_checks(name: str) -> None:
    """Schema, ids, bars that add up, written values, places on the neck, ties, slurs, tuplets, beams."""
    assert check_musicxml(musicxml(samples.SAMPLES[name], name)) == []


def test_the_same_score_gives_the_same_bytes() -> None:
    """No clock and no chance in the file."""
    data = musicxml(samples.one_line(), "An exercise")
    assert data == musicxml(samples.one_line(), "An exercise")
    assert b"date" not in data


def test_the_file_opens_as_the_standard_asks() -> None:
    """The XML declaration and the document type of MusicXML 4.0 stand first."""
    first, second, third = musicxml(samples.one_line(), "An exercise").decode().splitlines()[:3]
    assert first == '<?xml version="1.0" encoding="UTF-8"?>'
    assert second.startswith('<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"')
    assert third == '<score-partwise version="4.0">'


def test_a_title_is_text_and_never_markup() -> None:
    """Signs that mean something to XML come back as they were written."""
    title = 'Scale & "chord" <b>]]> E♭ 日'
    assert etree.fromstring(musicxml(samples.one_line(), title)).findtext("movement-title") == title


@pytest.mark.parametrize("title", ["bell \x07", "nul \x00", "half a pair \ud800", "no character \uffff"])
def test_a_title_with_control_characters_is_our_error(title: str) -> None:
    """What XML cannot hold is refused in a teacher's words."""
    with pytest.raises(OutputError, match=r"control character.*title"):
        musicxml(samples.one_line(), title)


def test_music21_hears_a_scale() -> None:
    """Pitches are the sounding ones though the clef is an octave clef."""
    heard = music21_notes(musicxml(samples.one_line(), ""))
    assert [midi for _, _, midi in heard[:8]] == [48, 50, 52, 53, 55, 57, 59, 60]
    assert [(onset, duration) for onset, duration, _ in heard[-2:]] == [(Fraction(11, 2), QUARTER / 2), (6, 2)]


def test_music21_joins_the_tie() -> None:
    """Three tied notes over the bar line are one note of six quarters."""
    assert music21_notes(musicxml(samples.tie_over_bar(), "")) == [(0, 1, 52), (1, 6, 55)]


def test_music21_hears_triplets() -> None:
    """Triplet quavers come a third of a quarter apart, triplet crotchets two thirds."""
    onsets = [onset for onset, _, _ in music21_notes(musicxml(samples.triplets(), ""))]
    assert onsets == [Fraction(n, 3) for n in (0, 1, 2, 3, 4, 5, 6, 10)]


def test_music21_hears_sextuplets() -> None:
    """Six notes fill a quarter."""
    heard = music21_notes(musicxml(samples.sextuplets(), ""))
    assert [onset for onset, _, _ in heard] == [Fraction(n, 6) for n in range(12)]


def test_music21_hears_two_voices() -> None:
    """The bass enters a quarter late in the second bar, as its unwritten silence asks."""
    heard = music21_notes(musicxml(samples.two_voices(), ""))
    assert (0, 4, 48) in heard
    assert (5, 1, 43) in heard
    assert (6, 2, 43) in heard
    assert (6, 2, 50) in heard


def test_music21_hears_the_capo() -> None:
    """A capo at the third fret sounds a minor third higher than it is read."""
    read = [midi for _, _, midi in music21_notes(musicxml(samples.one_line(), ""))]
    assert [midi for _, _, midi in music21_notes(musicxml(samples.capo(), ""))] == [midi + 3 for midi in read]


def test_music21_plays_the_repeat() -> None:
    """The second and third bar come twice."""
    assert [midi for _, _, midi in music21_notes(musicxml(samples.repeats(), ""))] == [48, 50, 52, 50, 52]


@pytest.mark.parametrize("fifths", range(-7, 8))
def test_the_key_is_on_both_staves(fifths: int) -> None:
    """Every signature is written, on the tablature unseen."""
    keys = written(samples.in_key(fifths)).findall(".//key")
    assert [key.findtext("fifths") for key in keys] == [str(fifths)] * 2
    assert [key.get("print-object") for key in keys] == [None, "no"]


def test_both_hands_are_read_back() -> None:
    """Fretting finger, string, fret and plucking letter of each note, shown on the page or not."""
    notes = read_notes(musicxml(samples.one_line(), ""))[:4]
    hands = [tuple(note.technical(name) for name in ("fingering", "string", "fret", "pluck")) for note in notes]
    assert hands == [("3", "5", "3", "i"), ("0", "4", "0", "m"), ("2", "4", "2", "i"), ("3", "4", "3", "m")]
    opens = [note.element.find("notations/technical/open-string") is not None for note in notes]
    assert opens == [False, True, False, False]


def test_tablature_below_a_staff_keeps_to_string_and_fret() -> None:
    """Fingers, letters, beams, stems and accidentals stand on the staff alone."""
    notes = read_notes(musicxml(samples.double_signs(), ""), staff=2)
    assert len(notes) == 8
    for note in notes:
        assert note.technical("string")
        assert note.technical("fret")
        assert note.text("stem") == "none"
        for absent in ("accidental", "beam", "notations/technical/fingering", "notations/technical/pluck"):
            assert note.element.find(absent) is None


def test_tablature_alone_carries_rhythm_and_fingers() -> None:
    """With no staff above it, the tablature is the whole notation."""
    root = written(samples.tablature_only())
    assert [sign.text for sign in root.iterfind(".//clef/sign")] == ["TAB"]
    assert root.find(".//staff") is None
    assert root.find(".//beam") is not None
    assert root.find(".//fingering") is not None
    assert root.find(".//stem").text == "up"


def test_a_staff_alone_names_its_strings_by_scordatura() -> None:
    """With no tablature to tell the tuning, a changed sixth string is told above the first bar."""
    root = written(samples.staff_only_drop_d())
    sixth = root.find(".//scordatura/accord[@string='6']")
    assert (sixth.findtext("tuning-step"), sixth.findtext("tuning-octave")) == ("D", "2")
    assert written(samples.staff_only()).find(".//scordatura") is None


def test_drop_d_lowers_the_lowest_line() -> None:
    """Line 1 of the tablature is the sixth string."""
    line = written(samples.drop_d()).find(".//staff-tuning[@line='1']")
    assert (line.findtext("tuning-step"), line.findtext("tuning-octave")) == ("D", "2")


def test_a_flat_string_is_spelled_flat() -> None:
    """The open fifth string of the slack tuning is A flat."""
    line = written(samples.flat_tuning()).find(".//staff-tuning[@line='2']")
    assert [part.text for part in line] == ["A", "-1", "2"]


def test_the_capo_stands_with_the_strings() -> None:
    """The capo's fret follows the tuning, and the part says how much higher it sounds."""
    root = written(samples.capo())
    assert root.find(".//staff-details")[-1].tag == "capo"
    assert root.findtext(".//staff-details/capo") == "3"
    assert root.findtext(".//transpose/chromatic") == "3"
    assert written(samples.one_line()).find(".//transpose") is None


def test_accidentals_stand_exactly_where_the_score_has_them() -> None:
    """Double signs, single signs and naturals by name, none elsewhere."""
    assert texts(samples.double_signs(), ".//accidental") == [
        "double-sharp", "sharp", "natural", "flat-flat", "flat", "natural", "sharp", "flat",
    ]  # fmt: skip
    assert texts(samples.drop_d(), ".//accidental") == []


def test_a_reminder_stands_in_brackets() -> None:
    """A cautionary natural is written as such, the sharp before it is not."""
    sharp, natural = written(samples.cautionary()).findall(".//accidental")
    assert (sharp.text, sharp.get("cautionary"), sharp.get("parentheses")) == ("sharp", None, None)
    assert (natural.text, natural.get("cautionary"), natural.get("parentheses")) == ("natural", "yes", "yes")


def test_second_beams_hook_towards_their_group() -> None:
    """A semiquaver after a dotted quaver hooks back, before one it hooks forward."""
    second = [beam.text for beam in written(samples.dotted()).iterfind(".//beam[@number='2']")]
    assert second == ["backward hook", "forward hook"]


def test_sextuplets_have_two_whole_beams() -> None:
    """Both beams run from the first to the sixth note."""
    notes = read_notes(musicxml(samples.sextuplets(), ""))[:6]
    words = ["begin", *["continue"] * 4, "end"]
    assert [[beam.text for beam in note.element.iterfind("beam")] for note in notes] == [[word] * 2 for word in words]


def test_only_unbeamed_tuplets_have_a_bracket() -> None:
    """A beam already shows the group."""
    starts = written(samples.triplets()).findall(".//tuplet[@type='start']")
    assert [start.get("bracket") for start in starts] == ["no", "no", "yes"]


def test_hammer_on_goes_up_and_pull_off_goes_down() -> None:
    """Each pair of notes under a slur is named by its direction; a slur over three notes holds two pairs."""
    names = ("hammer-on", "pull-off", "slur")
    marks = [
        (str(note.onset), mark.tag, mark.get("type"))
        for note in read_notes(musicxml(samples.slurs(), ""))
        for mark in note.element.iter(*names)
    ]
    assert sorted(marks) == sorted([
        ("0", "slur", "start"), ("0", "hammer-on", "start"), ("1", "slur", "stop"), ("1", "hammer-on", "stop"),
        ("3", "slur", "start"), ("3", "pull-off", "start"), ("4", "slur", "stop"), ("4", "pull-off", "stop"),
        ("5", "slur", "start"), ("5", "hammer-on", "start"), ("6", "hammer-on", "stop"), ("6", "pull-off", "start"),
        ("7", "pull-off", "stop"), ("7", "slur", "stop"),
    ])  # fmt: skip


def test_slurred_thirds_keep_to_their_strings() -> None:
    """Each note of a chord is slurred to the note on its own string, under its own number."""
    notes = read_notes(musicxml(samples.slurred_thirds(), ""))
    marks = [
        (note.technical("string"), mark.get("number"), mark.get("type"))
        for note in notes
        for mark in note.element.iterfind("notations/slur")
    ]
    assert [mark for mark in marks if mark[0] == "1"] == [("1", "1", t) for t in ("start", "stop", "start", "stop")]
    assert [mark for mark in marks if mark[0] == "2"] == [("2", "2", t) for t in ("start", "stop", "start", "stop")]


@pytest.mark.parametrize("marks", [{"slur_start": True}, {"slur_stop": True}])
def test_half_a_slur_is_an_error(marks: dict[str, bool]) -> None:
    """A slur needs its beginning and its end."""
    alone = samples.voice(1, 0, (samples.WHOLE, samples.note("C3 5/3 3 i", **marks)))
    with pytest.raises(OutputError, match="slur"):
        musicxml(samples.score(Measure(1, (alone,))), "")


def test_overlapping_notes_of_one_voice_are_an_error() -> None:
    """A voice cannot be in two places; the file's clock would run backwards."""
    line = samples.voice(1, 0, (samples.HALF, "C3 5/3 3 i"), (samples.HALF, "D3 4/0 0 m"))
    clash = replace(line, elements=(line.elements[0], replace(line.elements[1], onset_quarters=QUARTER)))
    with pytest.raises(OutputError, match="overlap"):
        musicxml(samples.score(Measure(1, (clash,))), "")


def test_repeat_and_final_barlines() -> None:
    """The repeat opens on the left of its first bar and closes on the right of its last; the end is heavy."""
    bars = written(samples.repeats()).findall(".//barline")
    assert [(bar.getparent().get("number"), bar.get("location")) for bar in bars] == [("2", "left"), ("3", "right")]
    assert [bar.find("repeat").get("direction") for bar in bars] == ["forward", "backward"]
    assert texts(samples.one_line(), ".//bar-style") == ["light-heavy"]


def test_the_tempo_is_printed_as_a_range_and_played_at_its_slow_end() -> None:
    """Sixty to ninety-six, played at sixty: a mark with a number that every reader takes, and the end of the range in words."""
    root = written(samples.one_line())
    assert root.findtext(".//metronome/beat-unit") == "quarter"
    assert root.findtext(".//metronome/per-minute") == "60"
    mark = root.find(".//metronome").getparent()
    assert mark.getnext().findtext("words") == "\N{EN DASH}96"
    assert root.find(".//sound").get("tempo") == "60"


def test_a_dotted_beat_is_printed_dotted_and_played_in_quarters() -> None:
    """63 dotted quarters a minute are 94.5 quarters a minute."""
    root = written(samples.compound())
    mark = root.find(".//metronome")
    assert [(part.tag, part.text) for part in mark] == [
        ("beat-unit", "quarter"), ("beat-unit-dot", None), ("per-minute", "63"),
    ]  # fmt: skip
    assert root.find(".//sound").get("tempo") == "94.5"


def test_words_stand_above_their_notes() -> None:
    """The ninth position in Roman numerals before the first note, the reversal sign at the turn, on one staff only."""
    _tempo, *words = written(samples.one_line()).findall(".//words")
    assert [word.text for word in words] == ["IX", "↔"]
    directions = [word.getparent().getparent() for word in words]
    assert [direction.get("placement") for direction in directions] == ["above", "above"]
    assert [direction.getnext().findtext("pitch/step") for direction in directions] == ["C", "C"]


def test_planted_fingers_stand_below_in_brackets() -> None:
    """MusicXML has no element for planting (W3C, 4.0): the letters in square brackets under the note."""
    (words,) = written(samples.planting()).findall(".//words")
    assert (words.text, words.getparent().getparent().get("placement")) == ("[i m c]", "below")


def test_a_bar_of_rest_is_marked_as_one() -> None:
    """The rest fills the bar on both staves, on the tablature unseen."""
    rests = written(samples.rest_bar()).findall(".//rest")
    assert [rest.get("measure") for rest in rests] == ["yes", "yes"]
    assert [rest.getparent().get("print-object") for rest in rests] == [None, "no"]


def test_an_upbeat_is_a_measure_that_does_not_count() -> None:
    """A short first measure is marked as implicit, the full one after it is not."""
    measures = written(samples.upbeat()).findall(".//measure")
    assert [measure.get("implicit") for measure in measures] == ["yes", None]


def test_the_sound_is_a_nylon_guitar() -> None:
    """General MIDI counts the nylon guitar as program 25 from one."""
    assert texts(samples.one_line(), ".//midi-program") == ["25"]


# The checks themselves: what they must catch, they catch.

SPOILED = {
    "a bar too short": ("one_line", "<duration>4</duration>", "<duration>3</duration>"),
    "a wrong written value": ("one_line", "<type>half</type>", "<type>quarter</type>"),
    "a wrong fret": ("one_line", "<fret>2</fret>", "<fret>3</fret>"),
    "a string that is not there": ("one_line", "<string>5</string>", "<string>7</string>"),
    "no string at all": ("one_line", "<string>5</string>", ""),
    "a wrong octave": ("staff_only", "<octave>3</octave>", "<octave>4</octave>"),
    "a tie without end": ("tie_over_bar", '<tie type="stop"/>', ""),
    "a printed tie without end": ("tie_over_bar", '<tied type="stop"/>', ""),
    "a slur without end": ("slurs", '<slur type="stop" number="1"/>', ""),
    "a hammer-on without beginning": ("slurs", '<hammer-on type="start" number="1"/>', ""),
    "a tuplet without end": ("triplets", '<tuplet type="stop"/>', ""),
    "a beam that does not begin": ("one_line", '<beam number="1">begin</beam>', ""),
    "a beam that does not end": ("one_line", '<beam number="1">end</beam>', ""),
    "elements out of order": (
        "one_line",
        "<voice>1</voice>\n        <type>eighth</type>",
        "<type>eighth</type><voice>1</voice>",
    ),
    "an unknown instrument": ("one_line", '<midi-instrument id="P1-I1">', '<midi-instrument id="P9">'),
    "a backup too far": ("two_voices", "<backup>\n        <duration>8", "<backup>\n        <duration>9"),
}


@pytest.mark.parametrize("fault", SPOILED)
def test_the_checks_catch(fault: str) -> None:
    """A file spoiled in one place is reported."""
    name, good, bad = SPOILED[fault]
    data = musicxml(samples.SAMPLES[name], "").decode()
    assert good in data
    assert check_musicxml(data.replace(good, bad, 1).encode()) != []


@pytest.mark.parametrize("path", sorted(STANDARDS.glob("bad/*.musicxml")), ids=lambda path: path.stem)
def test_the_checks_catch_each_bad_example(path: Path) -> None:
    """Each invalid example is reported, also the one whose bar does not add up, which no schema sees."""
    assert check_musicxml(path.read_bytes()) != []


@pytest.mark.parametrize("path", sorted(STANDARDS.glob("good/*.musicxml")), ids=lambda path: path.stem)
def test_the_schema_accepts_each_good_example(path: Path) -> None:
    """The schema in use is the right one: it accepts what is valid MusicXML 4.0."""
    assert schema_problems(path.read_bytes()) == []


def test_a_barre_is_words_and_a_bracket() -> None:
    """Letter, share and fret, a bracket from its first note to its last, dashed for a hinge. Source: MusicXML 4.0."""
    for hinge, kind in ((False, "solid"), (True, "dashed")):
        sign = BarreSign(5, 3, 6, Fraction(1), hinge)
        root = written(_with_barre(samples.one_line(), sign))
        assert schema_problems(musicxml(_with_barre(samples.one_line(), sign), "An exercise")) == []
        assert "C 3/6 V" in [words.text for words in root.iterfind(".//words")]
        ends = [(bracket.get("type"), bracket.get("line-type")) for bracket in root.iterfind(".//bracket")]
        assert ends == [("start", kind), ("stop", None)]


def test_a_barre_of_one_stroke_has_no_bracket() -> None:
    """Its words are enough."""
    root = written(_with_barre(samples.one_line(), BarreSign(5, 6, 6, Fraction(0))))
    assert "C V" in [words.text for words in root.iterfind(".//words")]
    assert root.find(".//bracket") is None


def _with_barre(score: Score, sign: BarreSign) -> Score:
    """The score with a barre over its first element."""
    measure = score.measures[0]
    first, *rest = measure.voices[0].elements
    voice = replace(measure.voices[0], elements=(replace(first, barre=sign), *rest))
    return replace(score, measures=(replace(measure, voices=(voice, *measure.voices[1:])), *score.measures[1:]))


def test_signs_of_loudness_stand_below_before_their_note() -> None:
    """On the notation staff alone, in the voice of the note that follows."""
    marks = []
    for direction in written(samples.loudness()).iterfind("part/measure/direction"):
        following = direction.getnext()
        assert (direction.get("placement"), following.tag) == ("below", "note")
        sign = direction.find("direction-type/dynamics")[0].tag
        marks.append((sign, direction.findtext("staff"), following.findtext("pitch/step"), direction.findtext("voice")))
        assert following.findtext("voice") == direction.findtext("voice")
    assert marks == [("p", "1", "G", "1"), ("sfz", "1", "A", "1"), ("fp", "1", "C", "1"), ("f", "1", "C", "2")]


def test_a_guide_finger_has_its_dash_and_keeps_its_number() -> None:
    """An en dash as other-technical before the finger, on the notes that have one in print; nothing else changes."""
    score = scores.line_score(["C4 2.1 1 i", "D4 2.3 3 m", "E4 2.5 1 i", "F4 2.6 2 m"])
    element = score.elements[2]
    led = replace(element, notes=(replace(element.notes[0], guide=True),))
    guided = scores.score([*score.elements[:2], led, *score.elements[3:]])
    notes = read_notes(musicxml(guided, ""))
    assert [note.technical("other-technical") for note in notes] == [None, None, "\N{EN DASH}", None]
    assert [note.technical("fingering") for note in notes] == ["1", "3", "1", "2"]
    assert check_musicxml(musicxml(guided, "")) == []
