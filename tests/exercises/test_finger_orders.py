"""Finger orders: the twenty-four permutations, on one string, on several, across strings, over held fingers."""

from collections import Counter
from fractions import Fraction
from itertools import groupby

import pytest
from pydantic import ValidationError

from engraver.spec.heads import KINDS
from tests.exercises.entries import composed, pitches
from tests.exercises.test_slurs import OPEN


def orders(**entry):
    return composed({"kind": "finger orders", **entry})


def rows(passage, size=4):
    """The fingers of the first group of each bar."""
    bars = groupby(passage.notes, key=lambda note: note.onset_quarters // passage.metre.bar_quarters)
    return [tuple(note.finger for note in bar)[:size] for _, bar in bars]


def test_all_twenty_four_orders():
    """All different, six begin with each finger, 1234 first, 4321 last (permutations of four fingers)."""
    found = rows(orders())
    assert len(found) == len(set(found)) == 24
    assert all(sorted(row) == [1, 2, 3, 4] for row in found)
    assert Counter(row[0] for row in found) == {1: 6, 2: 6, 3: 6, 4: 6}
    assert (found[0], found[-1]) == ((1, 2, 3, 4), (4, 3, 2, 1))
    assert found == sorted(found)


def test_an_order_fills_its_bar_on_one_string():
    """Eight quavers: the order twice; sixteen semiquavers: four times."""
    assert [n.finger for n in orders(orders=[1, 3, 2, 4]).notes] == [1, 3, 2, 4] * 2
    assert [n.finger for n in orders(orders=[1, 3, 2, 4], rhythm="semiquavers").notes] == [1, 3, 2, 4] * 4


def test_an_order_walks_over_several_strings_once_each():
    """1234 on strings 6 to 1 and back, each note where its finger lies in position V."""
    passage = orders(orders=[1, 2, 3, 4], strings=[6, 5, 4, 3, 2, 1], and_back=True)
    strings = [string for string, _ in groupby(note.string for note in passage.notes)]
    assert strings == [6, 5, 4, 3, 2, 1, 2, 3, 4, 5, 6]
    assert all(note.pitch.sounding_midi == OPEN[note.string] + 4 + note.finger for note in passage.notes)


def test_across_lays_each_note_on_another_string():
    """Without strings named the four notes of an order lie on strings 4 3 2 1."""
    passage = orders(orders=[1, 4, 2, 3], across=True)
    assert [(n.finger, n.string) for n in passage.notes[:4]] == [(1, 4), (4, 3), (2, 2), (3, 1)]


def test_two_strings_opposed():
    """Across strings 6 and 1 the notes take turns between them."""
    passage = orders(orders=[1, 3, 2, 4], across=True, strings=[6, 1], position=7)
    assert [n.string for n in passage.notes[:4]] == [6, 1, 6, 1]


def test_a_held_finger_lies_still_while_the_others_play():
    """Finger 1 held: six orders of 2 3 4; its note lasts every bar whole, on a string of its own, in its own voice."""
    passage = orders(held=[1], strings=[1], position=7)
    held = [note for note in passage.notes if note.finger == 1]
    assert len(held) == 6
    assert {(n.string, n.duration_quarters, n.pitch.sounding_midi) for n in held} == {(2, Fraction(4), 59 + 7)}
    assert {note.finger for note in passage.notes if note not in held} == {2, 3, 4}
    assert {note.voice for note in held} == {2}
    assert {note.voice for note in passage.notes if note not in held} == {1}


def test_a_finger_held_on_a_higher_string_is_the_upper_voice():
    """Finger 4 on string 1 over orders on string 2."""
    passage = orders(held=[4], strings=[2], held_string=1, position=7)
    assert {note.voice for note in passage.notes if note.finger == 4} == {1}


def test_the_same_pitch_keeps_its_name_over_held_fingers():
    """The held note is not F sharp in one bar and G flat in the next."""
    names = {note.pitch for note in orders(held=[1], strings=[1], position=7).notes if note.finger == 1}
    assert len(names) == 1


@pytest.mark.parametrize(("order", "expected"), [
    ([1, 2, 3, 4], ["A4", "A#4", "B4", "C5"]), ([4, 3, 2, 1], ["C5", "B4", "Bb4", "A4"]),
])  # fmt: skip
def test_chromatic_fingers_rise_with_sharps_and_fall_with_flats(order, expected):
    """Common practice of finger drills."""
    assert pitches(orders(orders=order))[:4] == expected


@pytest.mark.parametrize(("entry", "message"), [
    ({"held": [1], "orders": [1, 2, 3]}, "finger 1 is held and plays"),
    ({"held": [1, 2], "orders": [3, 4], "held_string": 2}, "find no string of their own"),
    ({"held": [1], "orders": [2, 3, 4], "strings": [2], "held_string": 2}, "find no string of their own"),
])  # fmt: skip
def test_held_fingers_that_cannot_be(entry, message):
    """A held finger does not play, and lies on a string of its own."""
    with pytest.raises(ValidationError, match=message):
        KINDS["finger orders"].model_validate({"id": "x", "kind": "finger orders", **entry})


def test_rhythms_bring_their_accents_and_repetitions():
    """An accent on the third of four moves with the rhythm; each note twice doubles every finger and fills the bar once."""
    accented = orders(orders=[1, 2, 3, 4], rhythm="accent on the third").notes
    assert {note.finger for note in accented if note.accent} == {3}
    doubled = orders(orders=[1, 2, 3, 4], rhythm="each note twice").notes
    assert [note.finger for note in doubled][:8] == [1, 1, 2, 2, 3, 3, 4, 4]
