"""Shifts: the fingers asked for, at the positions asked for, along one string."""

import pytest
from pydantic import ValidationError

from engraver.errors import OutOfRange
from engraver.spec.heads import KINDS
from tests.exercises.entries import composed, pitches
from tests.exercises.test_slurs import OPEN


def shifts(**entry):
    return composed({"kind": "shifts", **entry})


def places(passage):
    """(fret, finger) in playing order."""
    return [(note.pitch.sounding_midi - OPEN[note.string], note.finger) for note in passage.notes]


def test_one_finger_travels_up_and_back():
    """Finger 1 at frets 1 3 5 7 5 3 1 of string 1."""
    assert places(shifts()) == [(1, 1), (3, 1), (5, 1), (7, 1), (5, 1), (3, 1), (1, 1)]


def test_all_fingers_play_in_each_position():
    """Fingers 1 and 4 lie three frets apart in positions II and V."""
    passage = shifts(fingers=[1, 4], positions=[2, 5], and_back=False)
    assert places(passage) == [(2, 1), (5, 4), (5, 1), (8, 4)]


@pytest.mark.parametrize(("guide", "expected"), [
    (4, [(1, 1), (4, 4), (6, 4), (3, 1), (6, 4), (8, 4), (5, 1)]),
    (1, [(4, 4), (1, 1), (3, 1), (6, 4), (3, 1), (5, 1), (8, 4)]),
])  # fmt: skip
def test_the_guide_finger_leaves_last_and_arrives_first(guide, expected):
    """Before and after every shift the guide finger sounds on the same string (common practice of the guide finger)."""
    passage = shifts(fingers=[1, 4], guide=guide, positions=[1, 3, 5], and_back=False)
    assert places(passage) == expected


def test_leaps_change_the_finger_with_the_position():
    """1 at I, 4 of position III, 1 at V."""
    passage = shifts(fingers=[1, 4], manner="leap", positions=[1, 3, 5], and_back=False)
    assert places(passage) == [(1, 1), (6, 4), (5, 1)]


def test_each_string_begins_a_bar():
    """Seven crotchets on string 1 take two bars, so string 2 begins with bar 3."""
    second = next(note for note in shifts(strings=[1, 2], rhythm="crotchets").notes if note.string == 2)
    assert second.onset_quarters == 8


def test_a_scale_along_one_string():
    """C major on string 2, from fret 1 to fret 13 and back, fingers left to the hand; F sharp minor keeps its signature."""
    passage = shifts(scale="major", tonics=["C"], strings=[2])
    assert pitches(passage)[:8] == ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5"]
    assert {(note.string, note.finger) for note in passage.notes} == {(2, None)}
    assert passage.turn == 7
    assert shifts(scale="natural minor", tonics=["F sharp"], strings=[6]).key_fifths == 3


def test_a_scale_with_its_fingers_keeps_them_on_the_way_back():
    """Fingers 1 3 in turn, the open tonic without a finger."""
    fingers = [note.finger for note in shifts(scale="major", tonics=["A"], strings=[5], fingers=[1, 3]).notes]
    assert fingers[:4] == [0, 3, 1, 3]
    assert fingers == fingers[::-1]


def test_a_scale_that_the_string_does_not_hold_says_so():
    """D sharp lies at fret 11 of string 1; its octave would be at fret 23."""
    with pytest.raises(OutOfRange, match=r"an octave from D#5 \(fret 11\) does not fit on string 1") as caught:
        shifts(scale="melodic minor", tonics=["D sharp"])
    assert caught.value.hint == "it fits on string 2, 4, 5"


@pytest.mark.parametrize(("entry", "message"), [
    ({"scale": "major"}, "needs both its form and its tonic"), ({"fingers": [1, 2], "guide": 3}, "guide finger 3"),
    ({"positions": [3, 3]}, "two positions in a row are the same"),
])  # fmt: skip
def test_shifts_that_cannot_be(entry, message):
    """A scale has a tonic, a guide finger plays, a shift goes somewhere."""
    with pytest.raises(ValidationError, match=message):
        KINDS["shifts"].model_validate({"id": "x", "kind": "shifts", **entry})
