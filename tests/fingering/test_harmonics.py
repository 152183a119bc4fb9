"""Harmonics under the hands: where they are touched, by which finger, and what is stopped beneath them."""

from fractions import Fraction

import pytest

from engraver.errors import OutOfRange
from engraver.fingering.finger import finger
from engraver.fretboard.harmonics import harmonic_on
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.passage import Harmonic, HarmonicKind, Note, Passage, PluckingFinger
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre
from tests.fingering.playable import faults

OPEN = tuple(SpelledPitch.parse(p) for p in ("E4", "B3", "G3", "D3", "A2", "E2"))
GUITAR = Instrument(Tuning("standard", OPEN))
NATURAL, ARTIFICIAL = Harmonic(HarmonicKind.NATURAL), Harmonic(HarmonicKind.ARTIFICIAL)


def passage(*notes):
    """Crotchets of (pitch, harmonic or None), notes in one tuple struck together."""
    laid = []
    for at, chord in enumerate(notes):
        for text, harmonic, *string in chord if isinstance(chord, list) else [chord]:
            laid.append(
                Note(
                    SpelledPitch.parse(text),
                    Fraction(at),
                    Fraction(1),
                    string=next(iter(string), None),
                    harmonic=harmonic,
                )
            )
    return Passage(tuple(laid), 0, Metre(4, 4))


def natural(string, fret):
    harmonic, pitch = harmonic_on(OPEN[string - 1], fret, HarmonicKind.NATURAL)
    return str(pitch), harmonic, string


def test_a_natural_harmonic_is_touched_at_its_fret_by_the_third_or_fourth_finger():
    """Every open string at 12, 7 and 5; the note keeps the pitch that is heard."""
    wanted = [(string, fret) for fret in (12, 7, 5) for string in (6, 5, 4, 3, 2, 1)]
    done = finger(passage(*(natural(*place) for place in wanted)), GUITAR)
    assert [(note.string, note.fret) for note in done.notes] == wanted
    assert {note.left_finger for note in done.notes} <= {3, 4}
    assert all(note.touches and note.barre_fret is None for note in done.notes)
    assert faults(done, GUITAR, Player(), hold_all=True) == []


def test_the_finger_is_free_as_soon_as_the_string_rings():
    """A long harmonic at fret 12 rings on while the hand plays in first position on another string."""
    ringing = Note(SpelledPitch.parse("E5"), Fraction(0), Fraction(4), string=1, harmonic=NATURAL)
    after = tuple(Note(SpelledPitch.parse(p), Fraction(1 + n), Fraction(1)) for n, p in enumerate(("F2", "G2", "F2")))
    done = finger(Passage((ringing, *after), 0, Metre(4, 4)), GUITAR)
    assert [(note.string, note.fret) for note in done.notes] == [(1, 12), (6, 1), (6, 3), (6, 1)]


def test_the_string_is_found_when_none_is_named():
    """B5 as partial 3 lies on string 1 alone."""
    done = finger(passage(("B5", Harmonic(HarmonicKind.NATURAL, 3, 7))), GUITAR)
    assert (done.notes[0].string, done.notes[0].fret) == (1, 7)


@pytest.mark.parametrize("strings", [(2, 1), (3, 2, 1), (6, 5, 4, 3, 2, 1)])
def test_a_chord_of_harmonics_lies_under_the_hand(strings):
    """Several strings at fret 12 struck together; a finger laid over them is no barre."""
    done = finger(passage([natural(string, 12) for string in strings]), GUITAR)
    assert {note.fret for note in done.notes} == {12}
    assert all(note.barre_fret is None for note in done.notes)
    assert faults(done, GUITAR, Player()) == []


def test_an_artificial_harmonic_is_stopped_as_the_note_an_octave_lower():
    """Where that note alone would lie the stopped fret lies; a plucks, as the index touches."""
    pitches = ("C4", "D4", "E4", "F4", "G4")
    plain = finger(passage(*((pitch, None) for pitch in pitches)), GUITAR)
    heard = ("C5", "D5", "E5", "F5", "G5")
    done = finger(passage(*((pitch, ARTIFICIAL) for pitch in heard)), GUITAR)
    places = [[(n.string, n.fret, n.left_finger) for n in each.notes] for each in (plain, done)]
    assert places[0] == places[1]
    assert {note.plucking for note in done.notes} == {PluckingFinger.RING}
    assert faults(done, GUITAR, Player()) == []


def test_a_pin_chooses_another_finger():
    """The book may touch with the index."""
    done = finger(passage(natural(6, 12)), GUITAR, limits=LeftHandLimits(pins=(Pin(0, finger=1),)))
    assert done.notes[0].left_finger == 1


@pytest.mark.parametrize(
    ("note", "message"),
    [(("C5", NATURAL), "C5.* is no harmonic at 12 of any open string"), (natural(1, 24), "24, beyond the last fret")],
)
def test_what_no_open_string_sounds_is_refused(note, message):
    """Named with its bar and what to do instead."""
    with pytest.raises(OutOfRange, match=message):
        finger(passage(note), GUITAR)
