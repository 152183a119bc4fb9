"""Bars that are not all alike: upbeats, changes of metre and key, bars cut short - in the score and in every format."""

from fractions import Fraction
from io import BytesIO

import pytest

from engraver.fingering.finger import finger
from engraver.outputs.lilypond import lilypond_score
from engraver.outputs.midi import midi
from engraver.outputs.musicxml import musicxml
from engraver.score.marks import MarkStyle
from engraver.score.model import Beam, Notation, Score
from engraver.score.notate import notate
from engraver.score.page import EngravingStyle
from engraver.spec.house import InstrumentSpec
from engraver.theory.passage import Note, Passage, PassageBar
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre
from tests.outputs.musicxml_schema import schema_problems

GUITAR = InstrumentSpec().instrument()
THREE, TWO, SIX = Metre(3, 4), Metre(2, 4), Metre(6, 8)


def score(pitches: str, value: Fraction, *bars: PassageBar, start: Fraction = Fraction(0)) -> Score:
    notes = tuple(Note(SpelledPitch.parse(name), start + i * value, value) for i, name in enumerate(pitches.split()))
    passage = Passage(notes, bars[0].key_fifths, bars[0].metre, bars=bars)
    return notate(finger(passage, GUITAR), GUITAR, Notation.BOTH, MarkStyle())


def bar(
    onset: int | Fraction, length: int | Fraction, metre: Metre = THREE, key: int = 0, number: str = "1"
) -> PassageBar:
    return PassageBar(Fraction(onset), Fraction(length), metre, key, number)


@pytest.fixture
def waltz() -> Score:
    """An upbeat, a bar of three, a bar of two in another key."""
    return score("E4 A3 C4 E4 F#4 D4", Fraction(1), bar(2, 1), bar(3, 3), bar(6, 2, TWO, 2), start=Fraction(2))


def test_the_first_bar_begins_at_nought(waltz):
    """Wherever the passage counted it."""
    assert [e.onset_quarters for m in waltz.measures for e in m.voices[0].elements] == list(range(6))
    assert [m.length_quarters for m in waltz.measures] == [1, None, None]


def test_changes_stand_where_they_happen(waltz):
    """And nowhere else."""
    assert [m.metre for m in waltz.measures] == [None, None, TWO]
    assert [m.key_fifths for m in waltz.measures] == [None, None, 2]


def test_a_new_signature_governs_its_signs(waltz):
    """F sharp needs no sign once the signature has it."""
    assert [n.accidental for e in waltz.measures[2].voices[0].elements for n in e.notes] == [False, False]


def test_an_upbeat_is_beamed_as_the_end_of_a_bar():
    """Three quavers before 6/8 share a beam; two of them do, and one alone does not."""
    three = score(
        "E4 F4 G4 A4 B4 C5 D5 E5 D5",
        Fraction(1, 2),
        bar(Fraction(3, 2), Fraction(3, 2), SIX),
        bar(3, 3, SIX),
        start=Fraction(3, 2),
    )
    assert [e.beam for e in three.measures[0].voices[0].elements] == [Beam.BEGIN, Beam.CONTINUE, Beam.END]
    one = score(
        "E4 A4 B4 C5 D5 E5 D5",
        Fraction(1, 2),
        bar(Fraction(5, 2), Fraction(1, 2), SIX),
        bar(3, 3, SIX),
        start=Fraction(5, 2),
    )
    assert one.measures[0].voices[0].elements[0].beam is Beam.NONE


def test_a_bar_cut_short_is_filled_only_to_its_end():
    """Its rests stop at the bar line."""
    short = score("E4 F4 G4 A4", Fraction(1), bar(0, 3), bar(3, 2), bar(5, 3))
    assert [sum(e.value.quarters for e in m.voices[0].elements) for m in short.measures] == [3, 2, 3]


def test_musicxml_tells_the_changes_and_the_irregular_bars(waltz):
    """With attributes at the bar, and as implicit measures."""
    data = musicxml(waltz, "Waltz")
    assert schema_problems(data) == []
    text = data.decode()
    assert text.count("<time>") == 2
    assert text.count("<fifths>2</fifths>") == 2  # a staff and a tablature
    assert text.count('implicit="yes"') == 1


def test_midi_tells_the_changes(waltz):
    """At their ticks: the third bar begins after four crotchets."""
    import mido

    now, found = 0, []
    for message in mido.MidiFile(file=BytesIO(midi(waltz))).tracks[0]:
        now += message.time
        if message.type in ("time_signature", "key_signature") and now:
            found.append((now // 480, message.type))
    assert found == [(4, "time_signature"), (4, "key_signature")]


def test_lilypond_tells_the_changes_once(waltz):
    """The metre for the whole score, the key on the staff."""
    text = lilypond_score(waltz, EngravingStyle())
    assert text.count(r"\partial 4") == 1
    assert text.count(r"\time 2/4") == 1
    assert text.count(r"\key d \major") == 1


def test_the_engraver_accepts_them(tmp_path):
    """No bar check fails, in a book with an upbeat, two metres and a bar cut short."""
    from engraver.build import build_book
    from engraver.press.request import Request
    from tests.reading.music_xml import line, score_xml

    data = score_xml(line("E4 F4 G4 A4 B4 C5 D5 E5 E4 F4 G4 A4"), metre=(4, 4)).decode()
    change = (
        "<attributes><key><fifths>-1</fifths></key><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    )
    data = data.replace('<measure number="2">', f'<measure number="2">{change}')
    data = data.replace(
        "</measure>",
        "</measure>"
        + '<measure number="1b"><note><pitch><step>E</step><octave>4</octave></pitch><duration>1</duration><voice>1</voice></note></measure>',
        1,
    )
    (tmp_path / "x.musicxml").write_text(data)
    (tmp_path / "b.yaml").write_text(
        "title: T\nchapters:\n  - title: C\n    exercises:\n      - {id: e, kind: excerpt, file: x.musicxml}\n"
    )
    (report,) = build_book(tmp_path / "b.yaml", Request(out=tmp_path / "out", workers=1))
    assert (report.exercises, report.warnings) == (1, ())
