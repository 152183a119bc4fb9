"""Tremolo: letters repeat, fingers on one treble string, the thumb on the basses of the grip."""

from fractions import Fraction

import pytest

from engraver.errors import SpecError
from tests.exercises.entries import composed, pitches


def tremolo(**entry):
    return composed({"kind": "tremolo", "closing_chord": False, **entry})


def by_time(passage):
    return sorted(passage.notes, key=lambda note: note.onset_quarters)


@pytest.mark.parametrize(
    ("formula", "letters"), [(None, "pami"), (["p", "i", "m", "a"], "pima"), (["p", "i", "p", "i"], "pipi")]
)
def test_the_letters_repeat_through_every_bar(formula, letters):
    """Letters p a m i unless the entry says otherwise; sixteen semiquavers a bar."""
    passage = tremolo(**({"formula": formula} if formula else {}))
    assert "".join(note.plucking.value for note in by_time(passage)) == letters * 4 * 3


def test_fingers_repeat_the_treble_string_and_the_thumb_walks_the_basses():
    """A minor: the first string open under a m i, thumb on strings 5 4 3 4 (the open grip of the methods)."""
    bar = [note for note in tremolo().notes if note.onset_quarters < 4]
    assert {(n.string, str(n.pitch)) for n in bar if n.plucking != "p"} == {(1, "E4")}
    assert [(n.string, str(n.pitch)) for n in by_time(tremolo()) if n.plucking == "p"][:4] == [
        (5, "A2"), (4, "E3"), (3, "A3"), (4, "E3"),
    ]  # fmt: skip


def test_two_voices_with_basses_until_the_thumb_plays_again():
    """Thumb notes are crotchets in the lower voice, finger notes semiquavers in the upper."""
    passage = tremolo()
    assert {(n.voice, n.duration_quarters) for n in passage.notes if n.plucking == "p"} == {(2, Fraction(1))}
    assert {(n.voice, n.duration_quarters) for n in passage.notes if n.plucking != "p"} == {(1, Fraction(1, 4))}


def test_the_thumb_keeps_to_the_strings_it_is_given():
    """`thumb_strings: [5, 4]` takes turns between them."""
    passage = tremolo(progression=["Am"], thumb_strings=[5, 4])
    assert [n.string for n in by_time(passage) if n.plucking == "p"] == [5, 4, 5, 4]


def test_the_second_string_may_carry_the_tremolo():
    """With `string: 2` nothing sounds on string 1, and the thumb stays below the fingers."""
    passage = tremolo(string=2, progression=["Dm", "A7"])
    assert {n.string for n in passage.notes if n.plucking != "p"} == {2}
    assert min(n.string for n in passage.notes if n.plucking == "p") == 3


def test_the_last_chord_is_struck_whole():
    """Bass with the thumb, then i m a, for a bar."""
    last = composed({"kind": "tremolo", "progression": ["Am"]}).notes[-4:]
    assert [n.plucking.value for n in last] == ["p", "i", "m", "a"]
    assert {n.duration_quarters for n in last} == {Fraction(4)}
    assert pitches(composed({"kind": "tremolo", "progression": ["Am"]}))[-4:] == ["A2", "A3", "C4", "E4"]


def test_a_formula_that_does_not_fill_the_bar_says_so():
    """Three strokes do not divide sixteen."""
    with pytest.raises(SpecError, match="3 strokes, a bar of 4/4 holds 16 semiquavers"):
        tremolo(formula=["p", "m", "i"])
