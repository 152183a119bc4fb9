"""Barre drills: one finger over the strings, struck and broken; grips; the hinge."""

import pytest
from pydantic import ValidationError

from engraver.errors import Unplayable
from engraver.spec.heads import KINDS
from tests.exercises.entries import composed, pitches
from tests.exercises.test_slurs import OPEN


def barre(**entry):
    return composed({"kind": "barre", **entry})


def test_a_bar_struck_and_a_bar_broken_under_one_finger():
    """All six strings at fret 5 at once, then up and down in quavers, finger 1 throughout."""
    notes = barre().notes
    assert [note.onset_quarters for note in notes[:6]] == [0] * 6
    assert [note.string for note in notes[6:]] == [6, 5, 4, 3, 2, 1, 2, 3]
    assert {note.finger for note in notes} == {1}
    assert all(note.pitch.sounding_midi == OPEN[note.string] + 5 for note in notes)


def test_the_finger_stays_down_through_the_broken_bar():
    """Every broken note is held until the bar line."""
    assert {note.end_quarters for note in barre().notes[6:]} == {8}


@pytest.mark.parametrize(("fret", "names", "signature"), [
    (5, ["A2", "D3", "G3", "C4", "E4", "A4"], 0), (1, ["F2", "Bb2", "Eb3", "Ab3", "C4", "F4"], -3),
    (7, ["B2", "E3", "A3", "D4", "F#4", "B4"], 1), (2, ["F#2", "B2", "E3", "A3", "C#4", "F#4"], 2),
])  # fmt: skip
def test_the_open_strings_are_carried_up_the_neck(fret, names, signature):
    """The fourths and the third of the tuning stay fourths and a third in letters (letter distance of the tuning)."""
    passage = barre(frets=[fret])
    assert pitches(passage)[:6] == names
    assert passage.key_fifths == signature


def test_a_partial_barre_lies_over_the_upper_strings():
    """Strings 3 2 1 unless others are named."""
    assert {note.string for note in barre(manner="partial").notes} == {1, 2, 3}
    assert {note.string for note in barre(manner="partial", strings=[2, 1]).notes} == {1, 2}


@pytest.mark.parametrize(("chord", "fret", "names"), [
    ("major", 8, ["C3", "G3", "C4", "E4", "G4", "C5"]), ("minor", 4, ["G#2", "D#3", "G#3", "B3", "D#4", "G#4"]),
    ("major", 4, ["Ab2", "Eb3", "Ab3", "C4", "Eb4", "Ab4"]), ("dominant seventh", 6, ["Bb2", "F3", "Ab3", "D4", "F4", "Bb4"]),
])  # fmt: skip
def test_a_chord_grip_is_spelled_as_its_chord(chord, fret, names):
    """Stacked thirds on the root with the fewest signs: G sharp minor but A flat major."""
    assert pitches(barre(chord=chord, frets=[fret]))[:6] == names


def test_in_a_chord_grip_only_the_barre_is_prescribed():
    """Finger 1 on the strings at the root's fret; the other fingers are left to the hand."""
    struck = barre(chord="major", frets=[5]).notes[:6]
    assert [note.finger for note in struck] == [1, None, None, None, 1, 1]


def test_the_hinge_keeps_its_tip_and_lifts_the_rest():
    """The bass note is struck with the strings open and again with the finger flat, twice, finger 1 on it always."""
    notes = barre(manner="hinge", frets=[3]).notes
    bass = [note for note in notes if note.voice == 2]
    assert {(n.string, n.finger, n.pitch.sounding_midi) for n in bass} == {(5, 1, 48)}
    assert [n.onset_quarters for n in bass] == [0, 2, 4, 6]
    upper = [note for note in notes if note.voice == 1]
    assert all((n.onset_quarters % 4 < 2) == (n.pitch.sounding_midi == OPEN[n.string]) for n in upper)
    assert [n.finger for n in upper[:8]] == [0, 0, 0, 0, 1, 1, 1, 1]


def test_a_chord_without_a_barre_grip_is_named():
    """No half-diminished grip lies on string 6 in our table."""
    with pytest.raises(Unplayable, match="no half-diminished seventh grip"):
        barre(chord="half-diminished seventh")


def test_a_partial_barre_takes_no_chord():
    """The grips are full ones."""
    with pytest.raises(ValidationError, match="a partial barre with a chord grip"):
        KINDS["barre"].model_validate({"id": "x", "kind": "barre", "manner": "partial", "chord": "major"})
