"""Fingered notes: a place on the neck and a finger of each hand for every note, and what it cost."""

from dataclasses import dataclass

from engraver.fretboard.limits import Yielding
from engraver.theory.passage import HarmonicKind, Note, Passage, PluckingFinger

BREAKING = "chord_broken"
"""The cost of a note that is struck late because no hand holds its chord at once."""

HINGE = "hinge"
"""The cost of a barre laid down from one end, or lifted to it."""
OPENING = "opening_avoided"
"""The cost of opening the hand where the book allows no extension."""


@dataclass(frozen=True, slots=True)
class FingeredNote:
    """A note with its place: `string` 1 = highest, `fret` 0 = open, `left_finger` 0 = open or 1-4.

    `position` is the fret under finger 1 while the note is held. `barre_fret` is set on notes held by a barre.
    `plucking` is None on slurred notes. On a natural harmonic `fret` is the one nearest to the node that `left_finger`
    touches, on an artificial one the stopped fret.
    """

    note: Note
    string: int
    fret: int
    left_finger: int
    position: int
    plucking: PluckingFinger | None = None
    barre_fret: int | None = None

    @property
    def touches(self) -> bool:
        """True where the finger touches an open string and presses no fret: a natural harmonic."""
        return self.note.harmonic is not None and self.note.harmonic.kind is HarmonicKind.NATURAL


@dataclass(frozen=True, slots=True)
class Cost:
    """One row of the account: a named cost (as in tables/fingering_costs.yaml), how much, and at which note."""

    name: str
    amount: float
    note: int


@dataclass(frozen=True, slots=True)
class HandsTogether:
    """What one hand did for the other: awkward crossings of the plucking hand `before` and `after`.

    `slurred` are the notes newly slurred for it (from 0); when there are none the fretting hand took another
    fingering, which costs it `extra_cost` more than its best.
    """

    before: int
    after: int
    slurred: tuple[int, ...] = ()
    extra_cost: float = 0.0


@dataclass(frozen=True, slots=True)
class Planted:
    """Plucking fingers laid on their strings at the moment in which `note` is plucked, from the lowest string up."""

    note: int
    fingers: tuple[PluckingFinger, ...]


@dataclass(frozen=True, slots=True)
class FingeredPassage:
    """A passage with both hands decided; `notes` lie in the passage's order.

    `reversal` is the index of the first note from which the plucking pattern runs opposite to the way up (the
    reversal at an odd turn), or None. `account` lists what the left hand pays. `together` is set where one
    hand gave way for the other. `planted` says which plucking fingers are laid on their strings in advance.
    """

    passage: Passage
    notes: tuple[FingeredNote, ...]
    account: tuple[Cost, ...] = ()
    reversal: int | None = None
    together: HandsTogether | None = None
    planted: tuple[Planted, ...] = ()
    given_up: tuple[Yielding, ...] = ()
    refusal: str = ""

    @property
    def total_cost(self) -> float:
        """The sum of the account; lower is easier. Without unit."""
        return sum(cost.amount for cost in self.account)
