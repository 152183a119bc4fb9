"""Passages for the plucking hand, written as strings and frets; pitches follow from standard tuning."""

from fractions import Fraction

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.theory.passage import Note, Passage, PluckingFinger
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.rhythm import Metre

_OPEN_MIDI = (64, 59, 55, 50, 45, 40)
_FIFTHS = (0, 7, 2, 9, 4, -1, 6, 1, 8, 3, 10, 5)


def places(text: str) -> tuple[tuple[int, int], ...]:
    """(string, fret) pairs from words such as ``5/3 4/0 4/2``."""
    return tuple((int(word.split("/")[0]), int(word.split("/")[1])) for word in text.split())


def line(text: str, turn: int | None = None, slurred: tuple[int, ...] = (), fixed: str = "") -> FingeredPassage:
    """A line of quavers; `fixed` gives a letter or a dot for each note."""
    return chords(" | ".join(text.split()), turn, slurred, fixed)


def there_and_back(text: str) -> FingeredPassage:
    """A line up to its last note and back to its first, the top note once."""
    up = text.split()
    return line(" ".join(up + up[-2::-1]), turn=len(up) - 1)


def chords(text: str, turn: int | None = None, slurred: tuple[int, ...] = (), fixed: str = "") -> FingeredPassage:
    """Attacks in quavers parted by ``|``, each from the lowest note up: ``6/3 3/0 2/0 | 3/0``."""
    notes: list[Note] = []
    spots: list[tuple[int, int]] = []
    for when, attack in enumerate(text.split("|")):
        for string, fret in places(attack):
            letter = fixed[len(notes)] if len(notes) < len(fixed) and fixed[len(notes)] != "." else ""
            notes.append(
                Note(
                    _pitch(string, fret),
                    Fraction(when, 2),
                    Fraction(1, 2),
                    plucking=PluckingFinger(letter) if letter else None,
                    slurred=len(notes) in slurred,
                )
            )
            spots.append((string, fret))
    fingered = tuple(
        FingeredNote(note, string, fret, min(fret, 4), 1) for note, (string, fret) in zip(notes, spots, strict=True)
    )
    return FingeredPassage(Passage(tuple(notes), 0, Metre(4, 4), turn=turn), fingered)


def letters(fingered: FingeredPassage) -> str:
    """The plucking letters in a row, a dot where there is none."""
    return "".join(note.plucking or "." for note in fingered.notes)


def _pitch(string: int, fret: int) -> SpelledPitch:
    midi = _OPEN_MIDI[string - 1] + fret
    name = PitchName(_FIFTHS[midi % 12])
    octave = next(each for each in range(1, 8) if SpelledPitch(name, each).sounding_midi == midi)
    return SpelledPitch(name, octave)
