"""The fretting hand: how far each pair of fingers reaches along the neck, in millimetres."""

from functools import cache

from pydantic import BaseModel, ConfigDict

from engraver.fretboard.neck import span_mm
from engraver.fretboard.tuning import Instrument, Player
from engraver.tables.loader import Table, read_table

FINGERS = (1, 2, 3, 4)


class PairShare(BaseModel):
    """One row: the reach of a finger pair as a share of the reach from finger 1 to finger 4."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    lower: int
    upper: int
    share: float


class HandTable(Table):
    """tables/hand.yaml."""

    pair_shares: tuple[PairShare, ...]
    comfortable_share: float
    partial_barre_strings: int


@cache
def _shares() -> dict[tuple[int, int], float]:
    """Share of the whole reach by finger pair, lower finger first."""
    return {(row.lower, row.upper): row.share for row in read_table("hand", HandTable).pair_shares}


def pair_reach_mm(player: Player, lower: int, upper: int) -> float:
    """How far apart two fingers (lower finger first) can hold notes at once, in millimetres.

    Source: tables/hand.yaml, chosen by us.
    """
    return player.reach_mm * _shares()[lower, upper]


def comfortable_share() -> float:
    """The share of a pair's reach up to which a grip counts as comfortable (no unit)."""
    return read_table("hand", HandTable).comfortable_share


def partial_barre_strings() -> int:
    """The most strings that a barre called partial covers."""
    return read_table("hand", HandTable).partial_barre_strings


def can_reach(instrument: Instrument, player: Player, lower: tuple[int, int], upper: tuple[int, int]) -> bool:
    """True when two (finger, fret) holds fit the hand together; the lower finger first.

    A higher finger never lies on a lower fret (crossed fingers).
    """
    (lower_finger, lower_fret), (upper_finger, upper_fret) = lower, upper
    if upper_fret < lower_fret:
        return False
    return span_mm(instrument, lower_fret, upper_fret) <= pair_reach_mm(player, lower_finger, upper_finger)
