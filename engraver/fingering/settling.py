"""The cheapest way through a passage when the hand remembers: what it pays depends on the way it came.

The way is searched, then searched again with what the hand would remember of it. In a short passage the next best ways
are looked at as well, each with its own memory, since a way that is dearer by itself may leave the fingers freer.
"""

from itertools import islice
from typing import TYPE_CHECKING

import numpy as np

from engraver.fingering.costs import remembering
from engraver.fingering.customary import unusual
from engraver.fingering.grips import Floats
from engraver.fingering.lattice import Lattice, ranked
from engraver.fingering.memory import remembered_costs
from engraver.fingering.shape_memory import shape_costs

if TYPE_CHECKING:
    from engraver.fingering.search import Search

_Extra = dict[int, Floats]  # event -> what each of its grips costs besides


def settled(search: "Search") -> tuple[list[int], _Extra]:
    """The cheapest way found, and what else its events' grips cost once the hand remembers it."""
    usual = _unusual_costs(search)
    best, kept = _again_and_again(search, usual)
    sizes = search.table.search
    if len(best) > sizes.events_of_next_best or not _pays(best, _memory(search, best)):
        return best, kept
    least = search.cost(best, kept)
    for path in islice(ranked(lattice_of(search, *weighed(search, usual))), sizes.next_best):
        extra = _with_memory(search, list(path), usual)
        cost = search.cost(list(path), extra)
        if cost < least - 1e-6:
            best, kept, least = list(path), extra, cost
    return best, kept


def weighed(search: "Search", extra: _Extra) -> tuple[tuple[Floats, ...], tuple[Floats, ...]]:
    """What holding the grips of every event costs with these extra costs, and every move between them."""
    count = len(search.events)
    return tuple(search.holding(n) + extra.get(n, 0) for n in range(count)), tuple(search.moves(1, count))


def lattice_of(search: "Search", holding: tuple[Floats, ...], moving: tuple[Floats, ...]) -> Lattice:
    """All ways through a passage with these costs; a note that sounds on is not looked at."""
    strings, fingers = [], []
    for number, event in enumerate(search.events):
        new = [at for at, sound in enumerate(event.sounds) if not sound.held]
        strings.append(search.grips(number).strings[:, new])
        fingers.append(search.grips(number).fingers[:, new])
    return Lattice(holding, moving, tuple(strings), tuple(fingers))


def memory_account(search: "Search", path: list[int]) -> list[tuple[str, float, int]]:
    """What a path pays for what the hand remembers and for usual grips held otherwise: (name, cost, event)."""
    kinds = {
        "finger_called_back": remembered_costs(search, path),
        "shape_refingered": shape_costs(search, path),
        "unusual_grip": _unusual_costs(search),
    }
    return [
        (name, float(costs[number][path[number]]), number)
        for name, costs in kinds.items()
        for number in sorted(costs)
        if costs[number][path[number]]
    ]


def _again_and_again(search: "Search", usual: _Extra) -> tuple[list[int], _Extra]:
    """The cheapest path, searched again with what the hand remembers of the path before; the better one stays."""
    best = path = search.best_path(usual)
    kept = extra = _with_memory(search, path, usual)
    least = search.cost(path, extra)
    for _ in range(search.table.search.rounds - 1):
        if not _pays(path, extra):
            break
        path = search.best_path(extra)
        extra = _with_memory(search, path, usual)
        cost = search.cost(path, extra)
        if cost < least:
            best, kept, least = path, extra, cost
    return best, kept


def _pays(path: list[int], extra: _Extra) -> bool:
    return any(costs[path[number]] for number, costs in extra.items())


def _with_memory(search: "Search", path: list[int], usual: _Extra) -> _Extra:
    """What grips cost for unusual fingers and for what the hand remembers of a path."""
    return _joined(usual, _memory(search, path))


def _memory(search: "Search", path: list[int]) -> _Extra:
    """What the hand remembers of a path: fingers that lie on a chord, and shapes of double stops."""
    return _joined(remembered_costs(search, path), shape_costs(search, path))


def _joined(one: _Extra, other: _Extra) -> _Extra:
    return {**one, **{number: one.get(number, 0) + costs for number, costs in other.items()}}


def _unusual_costs(search: "Search") -> _Extra:
    """What it costs to hold a usual grip by other fingers than usual, by event."""
    value, known = np.float32(remembering(search.table, "unusual_grip").value), dict[int, Floats]()
    out = {}
    for number, event in enumerate(search.events):
        new = [at for at, s in enumerate(event.sounds) if not s.held]
        if search.ids[number] not in known:
            known[search.ids[number]] = value * unusual(search.grips(number), new)
        if known[search.ids[number]].any():
            out[number] = known[search.ids[number]]
    return out
