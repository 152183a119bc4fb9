"""Grace notes of an excerpt: fingered, printed small, written to MusicXML, heard before their note."""

from fractions import Fraction

import pytest

from engraver.fingering.finger import finger
from engraver.outputs.engraving import EngravingJob, engrave
from engraver.outputs.midi import midi
from engraver.outputs.musicxml import musicxml
from engraver.score.model import Notation
from engraver.score.page import EngravingStyle
from engraver.theory.passage import Grace, Passage
from tests.exercises.test_excerpt_marks import GUITAR, again, composed, engraved, score_of
from tests.outputs.midi_reading import read_midi
from tests.reading.music_xml import Written, line, score_xml

GRACED = score_xml([
    Written(62, "D", Fraction(0), Fraction(0), grace=True),
    *line("E4 F4 G4 A4 B4 C5 D5 E5"),
    Written(69, "A", Fraction(4), Fraction(0), grace=True),
    Written(72, "C", Fraction(4), Fraction(0), grace=True),
    Written(45, "A", Fraction(0), Fraction(4), 2), Written(45, "A", Fraction(4), Fraction(4), 2),
]).replace(b"<grace/>", b'<grace slash="yes"/>', 1)  # fmt: skip


def graces(passage: Passage) -> list[tuple[str, str]]:
    return [(str(note.pitch), note.grace) for note in passage.notes if note.grace]


@pytest.mark.parametrize("notation", list(Notation))
def test_grace_notes_are_kept_and_written(tmp_path, notation):
    """Short ones with a stroke, leaning ones without; the bars stay as long as they were."""
    passage = composed(tmp_path, GRACED)
    assert graces(passage) == [("D4", Grace.SHORT), ("A4", Grace.LEANING), ("C5", Grace.LEANING)]
    second = again(tmp_path, passage, notation)
    assert [(str(n.pitch), n.onset_quarters, n.voice, n.grace) for n in second.notes] == [
        (str(n.pitch), n.onset_quarters, n.voice, n.grace) for n in passage.notes
    ]
    assert [bar.length_quarters for bar in second.bars] == [4, 4]
    assert passage.remarks == ()


def test_grace_notes_go_with_their_note(tmp_path):
    """Cut, transposed, or without the voice below."""
    assert graces(composed(tmp_path, GRACED, bars=[2, 2])) == [("A4", "leaning"), ("C5", "leaning")]
    assert graces(composed(tmp_path, GRACED, bars=[1, 1], transpose="+2")) == [("E4", "short")]
    assert graces(composed(tmp_path, GRACED, voices="top"))[0] == ("D4", "short")


def test_grace_notes_are_fingered_in_their_order(tmp_path):
    """The note before is let go for them, so that they may lie on its string."""
    data = score_xml([*line("C4 E4"), Written(62, "D", Fraction(1), Fraction(0), grace=True)])
    places = finger(composed(tmp_path, data), GUITAR).notes
    assert [(place.string, place.fret) for place in places] == [(2, 1), (2, 3), (1, 0)]


def test_grace_notes_are_printed_on_the_staff_and_in_the_tablature(tmp_path):
    """With the same silence in all other voices and rows, so that bar lines stay one line."""
    text = engraved(composed(tmp_path, GRACED))
    assert text.count(r"\slashedGrace {") == 2
    assert text.count(r"\grace { <a'") == 2
    rows = text.count(r"\new Row")
    assert text.count(r"\grace { \skip 8*1 }") == 2 + 2 + rows
    assert text.count(r"\grace { \skip 16*2 }") == 2 + rows
    done = engrave([EngravingJob("x", text)], EngravingStyle(), workers=1)
    assert len(done["x"].systems) == 1


def test_grace_notes_carry_their_signs(tmp_path):
    """A sharp on a grace note holds for the bar."""
    data = score_xml([Written(66, "F#", Fraction(0), Fraction(0), grace=True), *line("G4 F#4 E4 F#4")])
    score = score_of(composed(tmp_path, data))
    first = score.elements[0]
    assert [note.accidental for note in first.all_notes] == [True, False]
    assert not any(note.accidental for element in score.elements for note in element.notes)


def test_grace_notes_are_heard_before_their_note(tmp_path):
    """They take their time from it, and begin with the beat."""
    notes = read_midi(midi(score_of(composed(tmp_path, GRACED)))).notes
    eighth = Fraction(1, 8)
    assert [(onset, length) for onset, length, number in notes if number in (62, 64)][:2] == [
        (0, eighth), (eighth, 1 - eighth),
    ]  # fmt: skip
    assert [onset for onset, _, number in notes if number in (69, 71, 72)] == [3, 4, 4 + eighth, 4 + 2 * eighth, 5]


def test_a_slur_from_a_grace_note_ends_on_its_note(tmp_path):
    """The letter under the two is that of the grace note, which alone is plucked."""
    data = score_xml([Written(62, "D", Fraction(0), Fraction(0), grace=True), *line("E4 F4 G4 A4")]).decode()
    for kind in ("start", "stop"):
        slur = f'</voice><notations><slur type="{kind}" number="1"/></notations></note>'
        data = data.replace("</voice></note>", slur, 1)
    passage = composed(tmp_path, data.encode())
    assert [note.slurred for note in passage.notes] == [False, True, False, False, False]
    score = score_of(passage)
    assert [(n.slur_start, n.slur_stop) for n in score.elements[0].all_notes] == [(True, False), (False, True)]
    assert [n.show_plucking for n in score.elements[0].all_notes] == [True, False]
    assert b"hammer-on" in musicxml(score, "x") or b"slur" in musicxml(score, "x")
    assert [note.slurred for note in again(tmp_path, passage).notes] == [False, True, False, False, False]


def test_a_grace_note_before_nothing_is_left_out(tmp_path):
    """After the last note of a bar there is no note for it."""
    data = score_xml([*line("E4 F4"), Written(66, "F#", Fraction(3), Fraction(0), grace=True)])
    assert graces(composed(tmp_path, data)) == []
