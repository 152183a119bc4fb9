"""Slur drills: one plucked note, the others from the fretting hand, on one string, each finger on its fret."""

from fractions import Fraction
from itertools import groupby

import pytest
from pydantic import ValidationError

from engraver.errors import OutOfRange
from engraver.spec.heads import KINDS
from tests.exercises.entries import composed, pitches

OPEN = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
"""Sounding MIDI numbers of the open strings of the standard guitar (common knowledge)."""


def slurs(**entry):
    return composed({"kind": "slurs", "fingers": [1, 2], **entry})


def groups(passage):
    """The notes under each slur, the plucked one first."""
    out = []
    for note in passage.notes:
        out = [*out[:-1], [*out[-1], note]] if note.slurred else [*out, [note]]
    return out


@pytest.mark.parametrize(("manner", "fingers", "step"), [("ascending", [2, 1], 1), ("descending", [1, 3], -2)])
def test_pairs_rise_or_fall_as_asked(manner, fingers, step):
    """An ascending slur goes from the lower finger to the higher, a descending one back, whatever order is written."""
    for first, second in groups(slurs(manner=manner, fingers=fingers)):
        assert second.pitch.sounding_midi - first.pitch.sounding_midi == step
        assert first.string == second.string
        assert (first.slurred, second.slurred) == (False, True)


@pytest.mark.parametrize("position", [1, 5, 9])
def test_every_finger_lies_on_its_own_fret(position):
    """String and fret sound the pitch: finger 1 at the position, each further finger a fret higher (one finger a fret)."""
    for note in slurs(fingers=[1, 2, 4], manner="triple", position=position).notes:
        assert note.pitch.sounding_midi == OPEN[note.string] + position + {1: 0, 2: 1, 4: 3}[note.finger]


def test_each_string_in_turn_fills_a_bar():
    """Four pairs of quavers in 4/4 on string 6, then 5, to string 1; six bars."""
    passage = slurs()
    bars = [{n.string for n in bar} for _, bar in groupby(passage.notes, key=lambda n: n.onset_quarters // 4)]
    assert bars == [{6}, {5}, {4}, {3}, {2}, {1}]
    assert len(passage.notes) == 48


def test_and_back_comes_home_without_repeating_the_turn():
    """Strings 3 2 1 and back: 3 2 1 2 3."""
    strings = [string for string, _ in groupby(n.string for n in slurs(strings=[3, 2, 1], and_back=True).notes)]
    assert strings == [3, 2, 1, 2, 3]


def test_double_slurs_sound_on_two_strings_at_once():
    """Fingers 1-3 on string 2 and 2-4 on string 3: C sharp and E slur to D sharp and F sharp, minor third to minor third."""
    notes = slurs(fingers=[1, 3], lower=[2, 4], strings=[2]).notes[:4]
    assert [(n.string, n.finger, n.slurred) for n in notes] == [
        (3, 2, False),
        (2, 1, False),
        (3, 4, True),
        (2, 3, True),
    ]
    assert [str(n.pitch) for n in notes] == ["C#4", "E4", "D#4", "F#4"]


def test_the_open_string_is_finger_nought_in_first_position():
    """0-1 on strings 1 and 2: E F, B C."""
    passage = slurs(fingers=[0, 1], strings=[1, 2])
    assert {n.finger for n in passage.notes} == {0, 1}
    assert pitches(passage)[:2] == ["E4", "F4"]
    assert pitches(passage)[8:10] == ["B3", "C4"]


@pytest.mark.parametrize(("manner", "fingers", "played", "length"), [
    ("triple", [1, 2, 4], [1, 2, 4], "1/3"), ("triple", [4, 2, 1], [4, 2, 1], "1/3"),
    ("compound", [1, 2], [1, 2, 1], "1/3"), ("compound", [1, 2, 4, 2, 1], [1, 2, 4, 2, 1], "1/2"),
    ("trill", [1, 3], [1, 3, 1, 3, 1, 3, 1, 3], "1/4"),
])  # fmt: skip
def test_longer_slurs(manner, fingers, played, length):
    """Triple slurs as written, compound there and back, trills in turn; triplets for three, semiquavers for trills."""
    first = groups(slurs(manner=manner, fingers=fingers))[0]
    assert [note.finger for note in first] == played
    assert {note.duration_quarters for note in first} == {Fraction(length)}


def test_several_groups_each_on_every_string():
    """All six pairs of fingers on one string: six bars (the pairs 12 13 14 23 24 34 of the methods)."""
    pairs = [[1, 2], [1, 3], [1, 4], [2, 3], [2, 4], [3, 4]]
    found = groups(slurs(fingers=pairs, strings=[2]))
    assert [[note.finger for note in group] for group in found[::4]] == pairs


@pytest.mark.parametrize(("entry", "expected"), [
    ({"fingers": [1, 2], "strings": [1]}, ["A4", "Bb4"]),
    ({"fingers": [2, 4], "strings": [3]}, ["C#4", "D#4"]),
    ({"fingers": [2, 4], "strings": [3], "manner": "descending"}, ["Eb4", "Db4"]),
    ({"fingers": [1, 2], "strings": [1], "convention": "sharps up, flats down"}, ["A4", "A#4"]),
    ({"fingers": [2, 1], "strings": [1], "manner": "descending", "position": 4}, ["A4", "G#4"]),
    ({"fingers": [1, 3], "strings": [1], "position": 6, "key": "E flat"}, ["Bb4", "C5"]),
    ({"fingers": [2, 3], "strings": [3], "manner": "trill", "key": "D minor"}, ["C#4", "D4"]),
])  # fmt: skip
def test_names_without_and_with_a_key(entry, expected):
    """Two letters for a semitone that comes and goes, else sharps up and flats down; in a key the names of the key."""
    assert pitches(slurs(**entry))[:2] == expected


def test_a_key_gives_its_signature():
    """A trill in A flat stands under four flats."""
    assert slurs(manner="trill", key="A flat").key_fifths == -4
    assert slurs(manner="trill").key_fifths == 0


@pytest.mark.parametrize(("entry", "message"), [
    ({"strings": [7]}, "there is no string 7"), ({"position": 19}, "fret 20 on string 6 lies beyond the last fret"),
])  # fmt: skip
def test_what_the_neck_does_not_hold(entry, message):
    """Strings and frets that do not exist are named."""
    with pytest.raises(OutOfRange, match=message):
        slurs(**entry)


@pytest.mark.parametrize(("entry", "message"), [
    ({"manner": "trill", "fingers": [1, 2, 3]}, "a trill with 3 fingers"),
    ({"manner": "triple", "fingers": [1, 2]}, "a triple slur with 2 fingers"),
    ({"fingers": [1, 1]}, "from finger 1 to itself"),
    ({"fingers": [1, 2], "lower": [1, 3]}, "one finger would slur on two strings at once"),
    ({"fingers": [1, 2, 4], "manner": "triple", "lower": [1, 3, 4]}, "one finger would slur on two strings at once"),
    ({"fingers": [1, 2], "lower": [1, 3, 4]}, "more fingers on one string"),
])  # fmt: skip
def test_slurs_that_cannot_be_are_refused_in_words(entry, message):
    """A trill has two fingers, a triple slur three, no finger slurs to itself."""
    with pytest.raises(ValidationError, match=message):
        KINDS["slurs"].model_validate({"id": "x", "kind": "slurs", "fingers": [1, 2], **entry})
