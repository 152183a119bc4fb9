"""What an exercise asks of the hands: limits and wishes, carried as data from the book to the fingering."""

from dataclasses import dataclass
from enum import StrEnum

from engraver.theory.passage import PluckingFinger


class OpenStrings(StrEnum):
    """The open-string policy of an exercise."""

    ALLOW = "allow"
    AVOID = "avoid"
    PREFER = "prefer"


class Barres(StrEnum):
    """Whether a finger may lie over several strings: freely, over a few (a partial barre), or not at all."""

    ALLOW = "allow"
    PARTIAL = "partial"
    NONE = "none"


class Spread(StrEnum):
    """How the fingers may lie to each other: freely, never wider than one finger per fret, or exactly so."""

    FREE = "free"
    NO_EXTENSION = "no extension"
    ONE_PER_FRET = "one finger per fret"


class Yielding(StrEnum):
    """A wish of a level, under its name in the book, that may be given up where it cannot be kept.

    What a level says of open strings is meant for lines and double stops; chords take them as they come.
    """

    POSITION = "position"
    EXTENSIONS = "extensions"
    BARRE = "barre"
    OPEN_STRINGS = "open_strings"


class Crossings(StrEnum):
    """What may change for better string crossings of the plucking hand: nothing, the fretting hand, or slurs."""

    AS_THEY_COME = "as they come"
    BEST = "best"
    SLUR = "slur"


class Planting(StrEnum):
    """Whether the plucking fingers are laid on their strings in advance, and when.

    `FULL`: all fingers of a rising figure at once, with the stroke before it. `SEQUENTIAL`: each finger as the one
    before it plays. Source: common practice of teachers, from memory; the wording is ours.
    """

    NONE = "none"
    FULL = "full"
    SEQUENTIAL = "sequential"


@dataclass(frozen=True, slots=True)
class Pin:
    """A decision of the book for one note (counted from 0): its string, its finger, or both."""

    note: int
    string: int | None = None
    finger: int | None = None


@dataclass(frozen=True, slots=True)
class HandShape:
    """What the book says of the hand as a whole: barres, spread, and the position it would rather be near."""

    barre: Barres = Barres.ALLOW
    spread: Spread = Spread.FREE
    around_position: int | None = None


AS_IT_COMES = HandShape()
"""The hand of a book that says nothing of it."""


@dataclass(frozen=True, slots=True)
class LeftHandLimits:
    """What the book says about the fretting hand.

    `start_string`, `start_finger`: where the first note lies. `position`: the fret under finger 1 for the
    whole passage. `notes_per_string`: a count of notes on each string before crossing. `fingers_per_string`: the
    fingers used in turn on each string, lowest first. `strings`: the strings that may be used. `shape`: barres,
    extensions, and a position to stay near. `yielding`: the wishes that come from a level; where they cannot be kept
    they are given up one after the other, the first named first, while all others are kept or refused.
    """

    open_strings: OpenStrings = OpenStrings.ALLOW
    start_string: int | None = None
    start_finger: int | None = None
    position: int | None = None
    notes_per_string: int | None = None
    fingers_per_string: tuple[int, ...] = ()
    strings: tuple[int, ...] = ()
    pins: tuple[Pin, ...] = ()
    shape: HandShape = AS_IT_COMES
    yielding: tuple[Yielding, ...] = ()


@dataclass(frozen=True, slots=True)
class RightHandPlan:
    """What the book says about the plucking hand.

    `alternate`: the fingers that take turns on a single line, in order. `start`: the finger that begins, None for
    the best one. `formula`: one step per note of a right-hand pattern, several fingers where notes are plucked
    together. `stroke`: rest, free or unsaid. `crossings`: what may change so that an alternating line has fewer
    awkward crossings, beside the first finger. `planting`: whether the fingers are laid on their strings in advance.
    """

    alternate: tuple[PluckingFinger, ...] = ()
    start: PluckingFinger | None = None
    formula: tuple[tuple[PluckingFinger, ...], ...] = ()
    stroke: str = ""
    crossings: Crossings = Crossings.AS_THEY_COME
    planting: Planting = Planting.NONE
