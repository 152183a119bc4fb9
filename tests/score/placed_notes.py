"""Fingered notes written as readable lines, for tests of marks."""

from fractions import Fraction

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.theory.passage import Note, Passage, PluckingFinger
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre


def played(*rows: str) -> FingeredPassage:
    """Notes as `onset length pitch string.fret finger position letter`; `1b` is finger 1 held as a barre.

    The letter of the plucking finger may be left out.
    """
    found = []
    for row in rows:
        onset, length, pitch, place, finger, position, *letter = row.split()
        string, fret = map(int, place.split("."))
        note = Note(SpelledPitch.parse(pitch), Fraction(onset), Fraction(length))
        plucking = PluckingFinger(letter[0]) if letter else None
        barre = fret if finger.endswith("b") else None
        found.append(FingeredNote(note, string, fret, int(finger[0]), int(position), plucking, barre))
    return FingeredPassage(Passage(tuple(note.note for note in found), 0, Metre(4, 4)), tuple(found))
