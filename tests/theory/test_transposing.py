"""Transpositions in words, and the spelled interval that keeps a signature printable."""

import pytest

from engraver.errors import SpellingError
from engraver.theory.pitch import Interval, SpelledPitch
from engraver.theory.transposing import in_key, parse_transposition


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("up a minor third", "A3", "C4"), ("down a major second", "C4", "Bb3"), ("up an augmented fourth", "C4", "F#4"),
        ("up a diminished fifth", "C4", "Gb4"), ("down a fifth", "E4", "A3"), ("up an octave", "E2", "E3"),
        ("down 2 octaves", "E4", "E2"), ("up a diminished seventh", "B3", "Ab4"),
    ],
)  # fmt: skip
def test_an_interval_in_words_moves_a_note_by_its_letters(text, start, end):
    """Letters and semitones both."""
    interval = parse_transposition(text)
    assert isinstance(interval, Interval)
    assert str(SpelledPitch.parse(start).up(interval)) == end


@pytest.mark.parametrize(("text", "semitones"), [("+2", 2), ("-1", -1), ("up 3 semitones", 3), ("down a semitone", -1)])
def test_semitones_are_a_number(text, semitones):
    """Upwards positive."""
    assert parse_transposition(text) == semitones


@pytest.mark.parametrize("text", ["up", "a third", "up a third", "up a major fifth", "sideways", "+99", "up a perfect third"])
def test_what_is_no_transposition_is_refused(text):
    """With an example of one."""
    with pytest.raises(SpellingError, match="transpos"):
        parse_transposition(text)


@pytest.mark.parametrize("semitones", range(-12, 13))
@pytest.mark.parametrize("key", range(-7, 8))
def test_every_transposition_of_every_key_has_a_printable_signature(semitones, key):
    """At most seven signs, and the sound asked for."""
    interval = in_key(semitones, key)
    assert interval.semitones == semitones
    assert abs(key + interval.fifths) <= 7


def test_an_interval_without_a_signature_gives_its_neighbour():
    """B major up an augmented unison would need twelve sharps; C major sounds the same."""
    assert 5 + in_key(Interval(0, 1), 5).fifths == 0
