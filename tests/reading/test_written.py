"""Notes written in words in the book."""

from fractions import Fraction

import pytest

from engraver.errors import SpellingError
from engraver.reading.written import parse_written
from engraver.theory.rhythm import Metre


def read(text: str, beats: int = 4) -> list[tuple[str, Fraction, Fraction]]:
    return [
        ("+".join(map(str, note.pitches)), note.onset_quarters, note.duration_quarters)
        for note in parse_written(text, Metre(beats, 4))
    ]


def test_a_value_holds_until_the_next():
    """A crotchet, two quavers, then a dotted minim."""
    assert [length for _, _, length in read("E4 q, F#4 e G4, A4 h.")] == [1, Fraction(1, 2), Fraction(1, 2), 3]


def test_chords_rests_ties_and_triplets():
    """One line with each."""
    assert read("B3+E4 h r q C4~ e C4 q D4 e3") == [
        ("B3+E4", 0, 2), ("", 2, 1), ("C4", 3, Fraction(3, 2)), ("D4", Fraction(9, 2), Fraction(1, 3)),
    ]  # fmt: skip


def test_a_sign_of_loudness_follows_its_note():
    """On a tied note it belongs to the first."""
    notes = parse_written("E4~ q !mf E4 q F4 h !sfz", Metre(4, 4))
    assert [(note.dynamic, note.duration_quarters) for note in notes] == [("mf", 2), ("sfz", 2)]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("E4 q F4 | G4", "bar 1: the bar line comes after 2 quarter notes, in 4/4"),
        ("E4 h F4 | H4", "bar 2: 'H4' is not a pitch"),
        ("q E4", "the value 'q' stands before any note"),
        ("E4~ q F4", "a tie leads to another pitch"),
        ("r q", "there are no notes"),
        ("E4 q !loud", "'loud' is no sign of loudness (ppp, pp,"),
        ("r q !p E4", "the sign '!p' stands after no note"),
    ],
)
def test_what_cannot_be_read_is_told_by_bar(text, said):
    """In the words of the text."""
    with pytest.raises(SpellingError) as caught:
        read(text)
    assert said in str(caught.value)
