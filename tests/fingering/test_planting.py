"""When the plucking fingers are laid on their strings. Source: common practice of teachers, from memory."""

from dataclasses import replace
from fractions import Fraction

import pytest

from engraver.fingering.right_hand import pluck
from engraver.fretboard.limits import Planting, RightHandPlan
from tests.fingering.plucking_lines import chords, line

ARPEGGIO = "5/3 3/0 2/1 1/0"


def planted(fingered, way):
    """What is laid down at which note (from 0), as text: ``0 ima`` for i, m and a with the first note."""
    done = pluck(fingered, RightHandPlan(planting=way))
    return [f"{each.note} {''.join(each.fingers)}" for each in done.planted]


def lengthened(fingered, note, quarters):
    """The passage with one note of another length."""
    notes = list(fingered.passage.notes)
    notes[note] = replace(notes[note], duration_quarters=Fraction(quarters))
    places = tuple(replace(place, note=each) for place, each in zip(fingered.notes, notes, strict=True))
    return replace(fingered, passage=replace(fingered.passage, notes=tuple(notes)), notes=places)


def test_full_planting_lays_a_rising_figure_down_with_the_thumb():
    """In p i m a the three fingers touch their strings in the moment of p."""
    assert planted(line(ARPEGGIO, fixed="pima"), Planting.FULL) == ["0 ima"]


def test_sequential_planting_lays_each_finger_down_as_the_one_before_plays():
    """In p i m a: i in the moment of p, m in that of i, a in that of m."""
    assert planted(line(ARPEGGIO, fixed="pima"), Planting.SEQUENTIAL) == ["0 i", "1 m", "2 a"]


def test_a_falling_figure_is_planted_in_turn_in_either_way():
    """The pattern p a m i cannot be planted at once without stopping what has just been played; a, m, i follow one another."""
    falling = line("5/3 1/0 2/1 3/0", fixed="pami")
    assert planted(falling, Planting.FULL) == planted(falling, Planting.SEQUENTIAL) == ["0 a", "1 m", "2 i"]


def test_a_figure_that_turns_is_planted_at_once_up_and_in_turn_down():
    """In p i m a m i: i m a with the thumb, then m as a plays and i as m plays."""
    turning = line("5/3 3/0 2/1 1/0 2/1 3/0", fixed="pimami")
    assert planted(turning, Planting.FULL) == ["0 ima", "3 m", "4 i"]


def test_what_is_planted_are_letters_of_the_formula():
    """Every finger laid down is the one that plucks that figure next, and no thumb is among them."""
    done = pluck(line(" ".join([ARPEGGIO] * 3), fixed="pima" * 3), RightHandPlan(planting=Planting.FULL))
    for each in done.planted:
        following = [note.plucking for note in done.notes[each.note + 1 : each.note + 1 + len(each.fingers)]]
        assert list(each.fingers) == following
    assert [each.note for each in done.planted] == [0, 4, 8]


@pytest.mark.parametrize(("way", "others"), [(Planting.FULL, ["1 im"]), (Planting.SEQUENTIAL, ["1 i", "2 m"])])
def test_no_finger_is_laid_on_a_string_that_is_meant_to_sound(way, others):
    """The note on string 1 is held through the next two strokes: a is not laid on it before it has ended."""
    ringing = lengthened(line("1/0 5/3 3/0 2/1 1/3", fixed="apima"), 0, "3/2")
    assert planted(ringing, way) == [*others, "3 a"]
    assert planted(lengthened(ringing, 0, 2), way) == others


def test_a_string_struck_again_has_no_finger_planted_on_it():
    """With a m i on one string, as in a tremolo: the string must sound until the next finger plucks it."""
    assert planted(line("5/0 1/0 1/0 1/0", fixed="pami"), Planting.SEQUENTIAL) == ["0 a"]


def test_a_chord_is_planted_whole_or_not_at_all():
    """After p, i m a together: all three with the thumb; after a stroke of m none of them."""
    assert planted(chords("5/3 | 3/0 2/1 1/0", fixed="pima"), Planting.FULL) == ["0 ima"]
    assert planted(chords("2/1 | 3/0 2/1 1/0", fixed="mima"), Planting.FULL) == []


def test_nothing_is_planted_unless_the_book_asks():
    """Without the wish the passage carries no planting."""
    assert pluck(line(ARPEGGIO, fixed="pima"), RightHandPlan()).planted == ()
