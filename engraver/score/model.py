"""The score: measures, voices, note values, beams, ties and marks. No word of any file format."""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cache

from engraver.fretboard.tuning import Tuning
from engraver.score.harmonics import HarmonicSign
from engraver.theory.passage import Dynamic, Hairpin, PluckingFinger
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre, TempoRange
from engraver.theory.signs import Articulation, Direction, Way


class Beam(StrEnum):
    """A note's part in a beam group."""

    NONE = "none"
    BEGIN = "begin"
    CONTINUE = "continue"
    END = "end"


class Barline(StrEnum):
    """The line that closes a measure."""

    PLAIN = "plain"
    DOUBLE = "double"
    FINAL = "final"
    REPEAT_END = "repeat end"


class Notation(StrEnum):
    """Which staves are printed."""

    STAFF = "staff"
    TABLATURE = "tablature"
    BOTH = "staff and tablature"


@dataclass(frozen=True, slots=True)
class NoteValue:
    """A written note value: `base` 1 = whole, 2 = half, 4 = quarter, 8 = eighth …; `dots`; tuplet `actual`:`normal`.

    A triplet quaver is base 8, actual 3, normal 2.
    """

    base: int
    dots: int = 0
    actual: int = 1
    normal: int = 1

    @property
    def quarters(self) -> Fraction:
        """The sounding length in quarter notes."""
        return _quarters(self)


@cache
def _quarters(value: NoteValue) -> Fraction:
    plain = Fraction(4, value.base) * (2 - Fraction(1, 2**value.dots))
    return plain * value.normal / value.actual


@dataclass(frozen=True, slots=True)
class ScoreNote:
    """One note head with its place and its printed marks.

    `left_finger`, `string`, `fret`, `plucking` are the facts; the `show_…` flags say what this edition prints.
    `accidental` is True where a sign stands before the head; `cautionary` where it stands only as a reminder. `guide`
    is True where the finger came along its string through a change of position. `pitch` is where the head stands: a
    harmonic, which has a `harmonic` sign, may sound elsewhere.
    """

    pitch: SpelledPitch
    string: int
    fret: int
    left_finger: int
    plucking: PluckingFinger | None = None
    show_finger: bool = False
    show_string: bool = False
    show_plucking: bool = False
    accidental: bool = False
    cautionary: bool = False
    tie_start: bool = False
    tie_stop: bool = False
    slur_start: bool = False
    slur_stop: bool = False
    guide: bool = False
    harmonic: HarmonicSign | None = None

    @property
    def heard(self) -> SpelledPitch:
        """The pitch that sounds."""
        return self.harmonic.heard if self.harmonic else self.pitch

    @property
    def fretted(self) -> SpelledPitch:
        """The pitch of the note's fret on its string."""
        return self.harmonic.fretted if self.harmonic else self.pitch


@dataclass(frozen=True, slots=True)
class BarreSign:
    """The sign of a barre of finger 1 over an element: its fret, and how many of the `of_strings` strings it covers.

    The barre holds until the note that starts at `until_quarters`. `hinge` means that the finger lifts and lies down
    again on its tip. `letter` is the letter of the house (C or B).
    """

    fret: int
    strings: int
    of_strings: int
    until_quarters: Fraction
    hinge: bool = False
    letter: str = "C"

    @property
    def fraction(self) -> str:
        """The share of the strings in figures, `3/6`; empty for a barre over all of them."""
        return "" if self.strings >= self.of_strings else f"{self.strings}/{self.of_strings}"


@dataclass(frozen=True, slots=True)
class GraceChord:
    """A small note or chord before an element, outside the count; its onset lies shortly before and only orders it."""

    onset_quarters: Fraction
    notes: tuple[ScoreNote, ...]
    value: NoteValue
    short: bool


@dataclass(frozen=True, slots=True)
class Element:
    """A chord, a single note, or (no notes) a rest; notes from low to high.

    `onset_quarters` counts from the start of the passage. `position` is a position numeral to print here (the fret
    under finger 1), `reversal` the mark of the turned plucking pattern. `string_line_end`, on an element that
    shows a string circle, is the onset of the last note for which that string still holds. `barre` is the sign of a
    barre that begins here, `dynamic` a sign of loudness for both voices, `articulations` how it is touched, `graces`
    the small notes before it. `show_tuplet` is False on the first element of a tuplet that prints no number.
    `planted` are plucking fingers to be laid on their strings here.
    """

    onset_quarters: Fraction
    value: NoteValue
    notes: tuple[ScoreNote, ...] = ()
    beam: Beam = Beam.NONE
    tuplet_start: bool = False
    tuplet_stop: bool = False
    show_tuplet: bool = True
    position: int | None = None
    reversal: bool = False
    planted: tuple[PluckingFinger, ...] = ()
    string_line_end: Fraction | None = None
    accent: bool = False
    barre: BarreSign | None = None
    dynamic: Dynamic | None = None
    articulations: tuple[Articulation, ...] = ()
    graces: tuple[GraceChord, ...] = ()

    @property
    def all_notes(self) -> tuple[ScoreNote, ...]:
        """Its notes with those of its grace notes, in order of time."""
        return (*(note for grace in self.graces for note in grace.notes), *self.notes)

    @property
    def is_rest(self) -> bool:
        """True when nothing sounds."""
        return not self.notes


@dataclass(frozen=True, slots=True)
class Voice:
    """One voice of one measure: 1 = the upper or only voice, 2 = the bass, 3 = between them; its elements fill it."""

    number: int
    elements: tuple[Element, ...]


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure with its number from 1 and its closing barline.

    `metre` and `key_fifths` are given where they change, `length_quarters` where the measure is not as long as its
    metre says (an upbeat, a bar cut in two by a repeat). `endings` are the passes of a repeat in which it is played,
    `ways` the words that send the player elsewhere.
    """

    number: int
    voices: tuple[Voice, ...]
    barline: Barline = Barline.PLAIN
    repeat_start: bool = False
    metre: Metre | None = None
    key_fifths: int | None = None
    length_quarters: Fraction | None = None
    endings: tuple[int, ...] = ()
    ways: tuple[Way, ...] = ()


@dataclass(frozen=True, slots=True)
class Score:
    """A whole exercise, ready to be written in any format."""

    measures: tuple[Measure, ...]
    key_fifths: int
    metre: Metre
    tuning: Tuning
    capo: int = 0
    tempo: TempoRange | None = None
    notation: Notation = Notation.BOTH
    hairpins: tuple[Hairpin, ...] = ()
    directions: tuple[Direction, ...] = ()

    @property
    def elements(self) -> tuple[Element, ...]:
        """Every element in measure order, voice by voice."""
        return tuple(e for m in self.measures for v in m.voices for e in v.elements)

    @property
    def has_two_voices(self) -> bool:
        """True when a bass voice is written apart."""
        return any(len(measure.voices) > 1 for measure in self.measures)
