"""What an event's grips depend on: its sounds as the search sees them, the guitar and the hand."""

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from engraver.fingering.grips import FINGER_COUNT
from engraver.fretboard.hand import pair_reach_mm, partial_barre_strings
from engraver.fretboard.limits import AS_IT_COMES, Barres, HandShape, LeftHandLimits, Spread
from engraver.fretboard.neck import fret_mm
from engraver.fretboard.tuning import Instrument, Player

WIDEST_EXTENSION_FRETS = 3
"""Frets by which two fingers may open beyond one finger per fret, however close the frets lie (chosen by us)."""


class Sound(NamedTuple):
    """One note of an event as the search sees it; empty `strings` or `fingers` mean: any.

    `held`: sounds on from an earlier event. `again`: struck while its finger still lies there.
    """

    midi: int
    held: bool = False
    strings: tuple[int, ...] = ()
    fingers: tuple[int, ...] = ()
    open_allowed: bool = True
    again: bool = False


@dataclass(frozen=True, slots=True)
class Setting:
    """The guitar and the hand, the position the book asks to stay in (None = free), what it says of the hand."""

    instrument: Instrument
    player: Player
    position: int | None = None
    shape: HandShape = AS_IT_COMES

    @classmethod
    def under(cls, limits: LeftHandLimits, instrument: Instrument, player: Player) -> "Setting":
        """The setting that the book's limits make of a guitar and a hand."""
        return cls(instrument, player, limits.position, limits.shape)

    @property
    def widest_extension_frets(self) -> int:
        """Frets by which two fingers held at once may open beyond one finger per fret."""
        return WIDEST_EXTENSION_FRETS if self.shape.spread is Spread.FREE else 0

    @property
    def widest_barre_strings(self) -> int:
        """How many strings a finger may lie over."""
        all_strings = self.instrument.string_count
        few = min(all_strings, partial_barre_strings())
        return {Barres.ALLOW: all_strings, Barres.PARTIAL: few, Barres.NONE: 1}[self.shape.barre]


class Measures(NamedTuple):
    """Millimetres of each fret from the nut, and within reach of each finger pair (by lower, then upper finger)."""

    ruler_mm: tuple[float, ...]
    pair_reach_mm: tuple[tuple[float, ...], ...]


@lru_cache(maxsize=64)
def measures(setting: Setting) -> Measures:
    """The neck and the hand in millimetres."""
    ruler = tuple(fret_mm(setting.instrument, fret) for fret in range(setting.instrument.highest_fret + 1))
    fingers = range(FINGER_COUNT + 1)
    reach = tuple(tuple(pair_reach_mm(setting.player, a, b) if 0 < a < b else 0.0 for b in fingers) for a in fingers)
    return Measures(ruler, reach)
