"""Spelled pitches: names on the line of fifths, octaves, and the intervals between them.

The line of fifths runs … B flat = -2, F = -1, C = 0, G = 1, D = 2 …; every name in use has one place on
it, so that E flat (-3) and D sharp (9) are different notes that sound alike.
Source: the line of fifths is common ground in music theory (for example D. Temperley, The Cognition of
Basic Musical Structures, 2001, chapter 5); octave numbers follow scientific pitch notation (C4 = MIDI 60).
"""

import re
from dataclasses import dataclass
from functools import cache
from typing import NewType

from engraver.errors import SpellingError

Midi = NewType("Midi", int)

LETTERS = "CDEFGAB"
_LETTER_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_LETTER_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ALTER_SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_ALTER_WORDS = {-2: " double flat", -1: " flat", 0: "", 1: " sharp", 2: " double sharp"}
_ALTER_OF_TEXT = {
    "": 0, "flat": -1, "b": -1, "♭": -1, "double flat": -2, "bb": -2, "♭♭": -2, "𝄫": -2, "natural": 0, "♮": 0,
    "sharp": 1, "#": 1, "♯": 1, "double sharp": 2, "##": 2, "x": 2, "♯♯": 2, "𝄪": 2,
}  # fmt: skip
_NAME = re.compile(r"^([A-Ga-g])\s*-?\s*(double[ -]flat|double[ -]sharp|flat|sharp|natural|[b♭#♯x𝄪𝄫♮]{0,2})$")
_PITCH = re.compile(r"^(.*?)\s*(-?\d)$")


@dataclass(frozen=True, slots=True, order=True)
class PitchName:
    """A note name without octave: its place on the line of fifths (F = -1, C = 0, G = 1)."""

    fifths: int

    @classmethod
    def of(cls, letter: str, alter: int = 0) -> "PitchName":
        """The name with this letter, raised or lowered by `alter` semitones (-2..2)."""
        return cls(_LETTER_FIFTHS[letter] + 7 * alter)

    @classmethod
    def parse(cls, text: str) -> "PitchName":
        """The name written in words or signs: ``E flat``, ``Eb``, ``E♭``, ``F double sharp``, ``F##``.

        Raises SpellingError when the text names no note.
        """
        found = _NAME.match(text.strip())
        sign = found.group(2).replace("-", " ") if found else "?"
        if not found or sign not in _ALTER_OF_TEXT:
            raise SpellingError(
                f"'{text}' is not a note name",
                hint="write a letter A to G, then flat or sharp: E flat, F sharp",
            )
        return cls.of(found.group(1).upper(), _ALTER_OF_TEXT[sign])

    @property
    def letter(self) -> str:
        """The letter C to B."""
        return "FCGDAEB"[(self.fifths + 1) % 7]

    @property
    def alter(self) -> int:
        """Semitones by which the letter is raised (+) or lowered (-)."""
        return (self.fifths + 1) // 7

    @property
    def pitch_class(self) -> int:
        """Semitones above C, 0 to 11."""
        return self.fifths * 7 % 12

    def __str__(self) -> str:
        """The name in signs: ``Eb``, ``F##``."""
        return self.letter + _ALTER_SIGNS.get(self.alter, f"({self.alter:+d})")

    @property
    def words(self) -> str:
        """The name in English words: ``E flat``, ``F double sharp``."""
        return self.letter + _ALTER_WORDS.get(self.alter, f" ({self.alter:+d})")


@cache  # asked for seventeen times for each note of an exercise
def _semitones(fifths: int) -> int:
    """Semitones from the C of its octave to the note at a place on the line of fifths; below 0 for C flat."""
    name = PitchName(fifths)
    return _LETTER_SEMITONES[name.letter] + name.alter


@dataclass(frozen=True, slots=True)
class Interval:
    """A spelled interval: letters crossed (0 = unison, 2 = third) and semitones; both may be negative."""

    letter_steps: int
    semitones: int

    @property
    def fifths(self) -> int:
        """Distance on the line of fifths: perfect fifth 1, minor third -3."""
        return 7 * self.semitones - 12 * self.letter_steps

    def __add__(self, other: "Interval") -> "Interval":
        return Interval(self.letter_steps + other.letter_steps, self.semitones + other.semitones)

    def __neg__(self) -> "Interval":
        return Interval(-self.letter_steps, -self.semitones)


OCTAVE = Interval(7, 12)


@dataclass(frozen=True, slots=True)
class SpelledPitch:
    """A sounding pitch with its spelling, in scientific octaves: E2 is the guitar's open sixth string.

    The octave belongs to the letter, so B sharp 3 sounds as C4 does (MIDI 60).
    """

    name: PitchName
    octave: int

    @classmethod
    def parse(cls, text: str) -> "SpelledPitch":
        """The pitch written with its octave: ``E2``, ``E flat 4``, ``F#3``. Raises SpellingError."""
        found = _PITCH.match(text.strip())
        if not found:
            raise SpellingError(f"'{text}' is not a pitch", hint="write a note name with its octave: E2, B flat 3")
        return cls(PitchName.parse(found.group(1)), int(found.group(2)))

    @property
    def sounding_midi(self) -> Midi:
        """The MIDI note number, 60 = C4."""
        return Midi(12 * (self.octave + 1) + _semitones(self.name.fifths))

    @property
    def letter_index(self) -> int:
        """Letters counted from C0: the height of the note on a staff."""
        return 7 * self.octave + LETTERS.index(self.name.letter)

    def up(self, interval: Interval) -> "SpelledPitch":
        """The pitch an interval higher, keeping the letter the interval asks for.

        >>> str(SpelledPitch.parse("F#3").up(Interval(2, 4)))
        'A#3'
        """
        index = self.letter_index + interval.letter_steps
        octave, letter = divmod(index, 7)
        natural = 12 * (octave + 1) + _LETTER_SEMITONES[LETTERS[letter]]
        alter = self.sounding_midi + interval.semitones - natural
        return SpelledPitch(PitchName.of(LETTERS[letter], alter), octave)

    def interval_to(self, other: "SpelledPitch") -> Interval:
        """The spelled interval from this pitch up (or down, negative) to another."""
        return Interval(other.letter_index - self.letter_index, other.sounding_midi - self.sounding_midi)

    def __str__(self) -> str:
        return f"{self.name}{self.octave}"


def pitch_at_or_above(name: PitchName, lowest: Midi) -> SpelledPitch:
    """The lowest pitch with this name that sounds at or above `lowest`."""
    octave = lowest // 12 - 2
    while (pitch := SpelledPitch(name, octave)).sounding_midi < lowest:
        octave += 1
    return pitch
