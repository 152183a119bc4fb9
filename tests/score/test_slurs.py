"""Slurs from the plucked note to the last that the fretting hand sounds, voice by voice and string by string."""

from fractions import Fraction

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.score.slurs import slurs_of
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre


def passage(*rows):
    """Rows of (onset, string, slurred, voice)."""
    notes = tuple(
        Note(SpelledPitch.parse("E4"), Fraction(onset), Fraction(1), voice, slurred=slurred)
        for onset, _, slurred, voice in rows
    )
    places = tuple(FingeredNote(note, row[1], 1, 1, 1) for note, row in zip(notes, rows, strict=True))
    return FingeredPassage(Passage(notes, 0, Metre(4, 4)), places)


def ends(fingered):
    slurs = slurs_of(fingered)
    return sorted(slurs.starts), sorted(slurs.stops)


def test_three_notes_lie_under_one_curve():
    """Plucked, slurred, slurred: one slur, no end on the middle note; the next plucked note begins another."""
    line = passage((0, 1, False, 1), (1, 1, True, 1), (2, 1, True, 1), (3, 1, False, 1), (4, 1, True, 1))
    assert ends(line) == ([0, 3], [2, 4])


def test_double_stops_slur_string_by_string():
    """Two strings struck, then both slurred: each string has its own slur."""
    thirds = passage((0, 2, False, 1), (0, 1, False, 1), (1, 2, True, 1), (1, 1, True, 1))
    assert ends(thirds) == ([0, 1], [2, 3])


def test_a_bass_between_does_not_take_the_slur():
    """A slur in the upper voice passes over a bass note struck meanwhile."""
    voices = passage((0, 1, False, 1), (1, 5, False, 2), (1, 1, True, 1))
    assert ends(voices) == ([0], [2])


def test_nothing_slurred_nothing_drawn():
    """A plain line has no slur."""
    assert ends(passage((0, 1, False, 1), (1, 1, False, 1))) == ([], [])
