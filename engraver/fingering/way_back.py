"""The way back of a line that turns: a note returns to the place by which it went, unless another gains more.

A line that comes back exactly as it went is planned as far as its turn and mirrored; this is for the others, such as
the melodic minor, whose notes differ on the way down.
"""

from typing import TYPE_CHECKING

import numpy as np

from engraver.fingering.costs import CostRow, remembering
from engraver.fingering.grips import Floats
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.search import Search

_Spots = dict[int, set[tuple[int, int]]]  # pitch -> strings and fingers


def turning_event(passage: Passage) -> int | None:
    """The number of the event on which a single line turns, None where it does not or went up in chords."""
    turn = passage.turn
    if turn is None or turn + 1 >= len(passage.events):
        return None
    return turn if all(len(event) == 1 for event in passage.events[: turn + 1]) else None


def steadied(
    search: "Search", turn: int, path: list[int], extra: dict[int, Floats]
) -> tuple[list[int], dict[int, Floats]]:
    """The path, and what else it costs, once notes prefer to come back as they went.

    Two ways are tried: the way back follows the way there, or the way there the way back; the better stays.
    """
    there, back = range(turn + 1), range(turn + 1, len(path))
    best, kept = path, _with_unlike(search, extra, path, back, there)
    least = search.cost(path, extra) + _unlike(search, turn, path)
    for teaching, learning in ((there, back), (back, there)):
        weighed = _with_unlike(search, extra, path, learning, teaching)
        other = search.best_path(weighed)
        cost = search.cost(other, extra) + _unlike(search, turn, other)
        if cost < least - 1e-6:
            best, kept, least = other, weighed, cost
    return best, kept


def unlike_account(search: "Search", turn: int, path: list[int]) -> list[tuple[str, float, int]]:
    """What a path pays for notes that come back otherwise: (name, cost, event)."""
    spots = _spots(search, path, range(turn + 1))
    row = _row(search)
    return [
        (row.name, row.value, number)
        for number in range(turn + 1, len(path))
        if _differs(search, number, spots)[path[number]]
    ]


def _unlike(search: "Search", turn: int, path: list[int]) -> float:
    return sum(cost for _, cost, _ in unlike_account(search, turn, path))


def _with_unlike(
    search: "Search", extra: dict[int, Floats], path: list[int], learning: range, teaching: range
) -> dict[int, Floats]:
    """The extra costs with those of grips that would not play a note as the teaching part of the path does."""
    spots, value, out = _spots(search, path, teaching), np.float32(_row(search).value), dict(extra)
    for number in learning:
        differs = _differs(search, number, spots)
        if differs.any():
            out[number] = value * differs + out.get(number, np.float32(0))
    return out


def _spots(search: "Search", path: list[int], numbers: range) -> _Spots:
    spots: _Spots = {}
    for number in numbers:
        grips, row = search.grips(number).grips, path[number]
        spot = int(grips.lead_string[row]), int(grips.lead_finger[row])
        spots.setdefault(search.events[number].lead, set()).add(spot)
    return spots


def _differs(search: "Search", number: int, spots: _Spots) -> Floats:
    """For each grip 1 where it plays the event's one note by another string or finger than any known, else 0."""
    event, grips = search.events[number], search.grips(number).grips
    known = spots.get(event.lead, set()) if sum(not s.held for s in event.sounds) == 1 else set()
    alike = np.zeros(grips.position.shape[0], bool)
    for string, finger in known:
        alike |= (grips.lead_string == string) & (grips.lead_finger == finger)
    differs: Floats = (~alike if known else alike).astype(np.float32)
    return differs


def _row(search: "Search") -> CostRow:
    return remembering(search.table, "unlike_before")
