"""A note comes back as it went, unless the hand gains more by leaving it; a hinge is recognised and priced."""

from fractions import Fraction

import pytest

from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, OpenStrings
from engraver.score.barres import barres_of
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage
from tests.fingering.playable import faults

G_MELODIC = "G2 A2 Bb2 C3 D3 E3 F#3 G3 A3 Bb3 C4 D4 E4 F#4 G4 F4 Eb4 D4 C4 Bb3 A3 G3 F3 Eb3 D3 C3 Bb2 A2 G2"
C_MELODIC = "C3 D3 Eb3 F3 G3 A3 B3 C4 D4 Eb4 F4 G4 A4 B4 C5 Bb4 Ab4 G4 F4 Eb4 D4 C4 Bb3 Ab3 G3 F3 Eb3 D3 C3"


@pytest.mark.parametrize("line", [G_MELODIC, C_MELODIC])
def test_the_melodic_minor_comes_back_by_the_places_it_went(line: str) -> None:
    """Only the notes that are new on the way down find places of their own."""
    done = finger_left_hand(passage(line, turn=14), GUITAR, PLAYER, LeftHandLimits(OpenStrings.AVOID))
    went = {str(n.note.pitch): (n.string, n.left_finger) for n in done.notes[:15]}
    for note in done.notes[15:]:
        assert (note.string, note.left_finger) == went.get(str(note.note.pitch), (note.string, note.left_finger))
    assert faults(done, GUITAR, PLAYER) == []


def test_what_comes_back_otherwise_is_in_the_account() -> None:
    """Each note that leaves the place it went by pays for it, and no other does."""
    line = "B2 D3 F3 Ab3 B3 D4 F4 Ab4 B4 Ab4 F4 D4 B3 Ab3 G3 E3 C3 B2"
    done = finger_left_hand(passage(line, turn=8), GUITAR, PLAYER, LeftHandLimits())
    went: dict[str, set[tuple[int, int]]] = {}
    for n in done.notes[:9]:
        went.setdefault(str(n.note.pitch), set()).add((n.string, n.left_finger))
    moved = [
        i
        for i, n in enumerate(done.notes)
        if i > 8 and str(n.note.pitch) in went and (n.string, n.left_finger) not in went[str(n.note.pitch)]
    ]
    assert [cost.note for cost in done.account if cost.name == "unlike_before"] == moved


def test_a_hinge_is_planned_where_the_bass_holds_under_open_strings() -> None:
    """B held, open strings over it, then the B minor grip: finger 1 keeps its tip and lies down, and the page draws it."""

    def note(pitch: str, onset: int, length: int, voice: int = 1) -> Note:
        return Note(SpelledPitch.parse(pitch), Fraction(onset), Fraction(length), voice)

    grip = [note(pitch, 2, 2) for pitch in ("F#3", "B3", "D4", "F#4")]
    notes = (note("B2", 0, 4, 2), note("B3", 0, 1), note("E4", 1, 1), *grip)
    done = finger_left_hand(Passage(notes, 2, Metre(4, 4)), GUITAR, PLAYER, LeftHandLimits())
    assert [n.left_finger for n in done.notes] == [1, 0, 0, 3, 4, 2, 1]
    assert [(cost.name, cost.note) for cost in done.account if cost.name == "hinge"] == [("hinge", 3)]
    (barre,) = barres_of(done)
    assert (barre.fret, barre.strings, barre.hinge) == (2, 5, True)
