"""The search over a whole passage: the cheapest chain of grips, every event at once considered with its neighbours.

Moves between two events are counted once for each pair of events that look alike, so a long passage costs little more
than its distinct steps; memory holds one block of events and the way back.
"""

from dataclasses import dataclass, fields
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from engraver.fingering.candidates import Setting, Sound, grips_for
from engraver.fingering.costs import (
    HOLDING,
    MOVING,
    Amounts,
    CostRow,
    CostTable,
    HoldContext,
    Move,
    MoveContext,
    SearchSizes,
    holding_costs,
)
from engraver.fingering.grips import FINGER_COUNT, Floats, Grips, GripSet, after, before, joined, stack
from engraver.fretboard.hand import pair_reach_mm
from engraver.fretboard.limits import OpenStrings
from engraver.fretboard.neck import fret_mm

_MOST_MOVES = 4_000_000  # counted moves kept at once (16 MB)
_MOVES_AT_ONCE = 32
_SETS_AT_ONCE = 256
_MOST_SETS = 2_000  # events' grips kept from passage to passage


class Event(NamedTuple):
    """One event: the notes that sound (indices into the passage, low to high) and how they may be taken.

    `lead` is the highest new pitch. `late`: notes of a chord no hand can hold at once, struck after the others.
    """

    notes: tuple[int, ...]
    sounds: tuple[Sound, ...]
    on_beat: bool
    slurred: bool
    first: bool
    lead: int
    late: bool = False


class Step(NamedTuple):
    """What makes two moves alike."""

    earlier: int
    later: int
    rise: int
    on_beat: bool
    slurred: bool


@dataclass(frozen=True, slots=True)
class Ruler:
    """Millimetres: of each fret from the nut, and within reach of each finger pair (0-4 x 0-4)."""

    ruler_mm: Floats
    pair_reach_mm: Floats


def ruler_of(setting: Setting) -> Ruler:
    """The instrument and hand as arrays."""
    frets = [fret_mm(setting.instrument, f) for f in range(setting.instrument.highest_fret + 1)]
    reach = np.full((FINGER_COUNT + 1, FINGER_COUNT + 1), 1e6, np.float32)
    for lower in range(1, FINGER_COUNT):
        for upper in range(lower + 1, FINGER_COUNT + 1):
            reach[lower, upper] = pair_reach_mm(setting.player, lower, upper)
    return Ruler(np.array(frets, np.float32), reach)


def playable_grips(setting: Setting, sounds: tuple[Sound, ...], sizes: SearchSizes) -> GripSet | None:
    """All grips of an event, or None when no hand can hold it; open strings are a last resort where avoided."""
    grips = grips_for(setting, sounds, sizes.grips, sizes.grips_per_position)
    if grips is None and not all(s.open_allowed for s in sounds):
        opened = tuple(s._replace(open_allowed=True) for s in sounds)
        grips = grips_for(setting, opened, sizes.grips, sizes.grips_per_position)
    return grips


class Board:
    """Everything counted so far for one guitar, hand and policy; shared by all passages played on it.

    Keeps a bounded number of counted moves, so that memory stays flat however long the music.
    """

    def __init__(self, setting: Setting, policy: OpenStrings, table: CostTable) -> None:
        self.setting, self.policy, self.table = setting, policy, table
        self.ruler = ruler_of(setting)
        self.forget()

    def forget(self) -> None:
        """Drops everything counted; only between passages."""
        self.sets: list[GripSet] = []
        self._known: dict[tuple[Sound, ...], int | None] = {}
        self._holding: dict[tuple[int, bool], Floats] = {}
        self._moves: dict[Step, Floats] = {}
        self._moves_size = 0

    def set_id(self, sounds: tuple[Sound, ...]) -> int | None:
        """The number of an event's grips, or None when no hand can hold it; open strings are a last resort."""
        if sounds not in self._known:
            grips = playable_grips(self.setting, sounds, self.table.search)
            self._known[sounds] = None if grips is None else len(self.sets)
            if grips is not None:
                self.sets.append(grips)
        return self._known[sounds]

    def holding(self, set_id: int, first: bool) -> Floats:
        """Cost of holding each grip of an event."""
        key = (set_id, first)
        if key not in self._holding:
            self.count_holding([set_id], first)
        return self._holding[key]

    def count_holding(self, set_ids: list[int], first: bool = False) -> None:
        """Counts what holding costs for several events' grips at once."""
        missing = [number for number in dict.fromkeys(set_ids) if (number, first) not in self._holding]
        for at in range(0, len(missing), _SETS_AT_ONCE):
            numbers = missing[at : at + _SETS_AT_ONCE]
            grips = joined([self.sets[number].grips for number in numbers])
            costs = holding_costs(self.table.holding, grips, self.policy, self.setting.shape, first)
            ends = np.cumsum([self.sets[number].count for number in numbers])[:-1]
            self._holding.update(zip(((number, first) for number in numbers), np.split(costs, ends), strict=True))

    def moves(self, steps: list[Step]) -> list[Floats]:
        """Cost of every move of these steps (earlier grips x later grips)."""
        missing = sorted({s for s in steps if s not in self._moves}, key=self._width)
        if self._moves_size > _MOST_MOVES:
            self._moves = {s: self._moves[s] for s in set(steps) - set(missing)}
            self._moves_size = sum(m.size for m in self._moves.values())
        for at in range(0, len(missing), _MOVES_AT_ONCE):
            self._count_moves(missing[at : at + _MOVES_AT_ONCE])
        return [self._moves[s] for s in steps]

    def _width(self, step: Step) -> tuple[int, Step]:
        return max(self.sets[step.earlier].count, self.sets[step.later].count), step

    def _count_moves(self, steps: list[Step]) -> None:
        wide_a = max(self.sets[s.earlier].count for s in steps)
        wide_b = max(self.sets[s.later].count for s in steps)
        a = before(stack([self.sets[s.earlier].grips for s in steps], wide_a))
        b = after(stack([self.sets[s.later].grips for s in steps], wide_b))
        move = Move(a, b, self.move_context(steps))
        total = np.zeros((len(steps), wide_a, wide_b), np.float32)
        for row in self.table.moving:
            total += np.float32(row.value) * MOVING[row.name](move)
        for at, s in enumerate(steps):
            cut = total[at, : self.sets[s.earlier].count, : self.sets[s.later].count].copy()
            self._moves[s] = cut
            self._moves_size += cut.size

    def move_context(self, steps: list[Step]) -> MoveContext:
        """The context of some moves, as arrays of shape moves x 1 x 1."""

        def column(values: list[int]) -> Amounts:
            return np.array(values)[:, None, None]

        return MoveContext(
            column([s.rise for s in steps]),
            column([s.on_beat for s in steps]).astype(bool),
            column([s.slurred for s in steps]).astype(bool),
            self.ruler.ruler_mm,
            self.ruler.pair_reach_mm,
            self.setting.shape.spread,
        )


def board_for(setting: Setting, policy: OpenStrings, table: CostTable) -> Board:
    """The board of a guitar, hand and policy, kept from passage to passage until it has grown large."""
    board = _kept_board(setting, policy, table)
    if len(board.sets) > _MOST_SETS:
        board.forget()
    return board


@lru_cache(maxsize=4)
def _kept_board(setting: Setting, policy: OpenStrings, table: CostTable) -> Board:
    return Board(setting, policy, table)


class Search:
    """One passage's events with their grips and costs. `dead` is the first event that has no grip, or None."""

    def __init__(self, board: Board, events: tuple[Event, ...]) -> None:
        self.board, self.events, self.table = board, events, board.table
        self.dead: int | None = None
        self.ids: list[int] = []
        for number, event in enumerate(events):
            found = board.set_id(event.sounds)
            if found is None:
                self.dead = number
                return
            self.ids.append(found)

    def grips(self, number: int) -> GripSet:
        """The grips of an event."""
        return self.board.sets[self.ids[number]]

    def holding(self, number: int) -> Floats:
        """Cost of holding each grip of an event."""
        return self.board.holding(self.ids[number], self.events[number].first)

    def step(self, number: int) -> Step:
        """The move from the event before to this one."""
        earlier, later = self.events[number - 1], self.events[number]
        rise = later.lead - earlier.lead
        return Step(self.ids[number - 1], self.ids[number], (rise > 0) - (rise < 0), later.on_beat, later.slurred)

    def moves(self, first: int, last: int) -> list[Floats]:
        """Cost of every move into the events `first` … `last - 1`."""
        return self.board.moves([self.step(number) for number in range(first, last)])

    def best_path(self, extra: dict[int, Floats] | None = None) -> list[int]:
        """The grip of each event on the cheapest way through; `extra` adds costs to some events' grips."""
        extra = extra or {}
        self.board.count_holding(self.ids[1:])
        total = self.holding(0) + extra.get(0, 0.0)
        back: list[np.ndarray[tuple[int], np.dtype[np.int16]]] = []
        block = self.table.search.events_per_block
        for start in range(1, len(self.events), block):
            stop = min(start + block, len(self.events))
            for number, move in zip(range(start, stop), self.moves(start, stop), strict=True):
                ways = total[:, None] + move
                best = ways.argmin(0)
                back.append(best.astype(np.int16))
                total = ways[best, np.arange(best.shape[0])] + self.holding(number)
                if number in extra:
                    total = total + extra[number]
                total = total - total.min()
        path = [int(total.argmin())]
        for best in reversed(back):
            path.append(int(best[path[-1]]))
        return path[::-1]

    def cost(self, path: list[int], extra: dict[int, Floats]) -> float:
        """The whole cost of a path."""
        total = sum(float(self.holding(number)[row]) for number, row in enumerate(path))
        total += sum(float(costs[path[number]]) for number, costs in extra.items())
        block = self.table.search.events_per_block
        for start in range(1, len(path), block):
            moves = self.moves(start, min(start + block, len(path)))
            total += sum(float(m[path[n - 1], path[n]]) for n, m in enumerate(moves, start=start))
        return total

    def _chosen(self, path: list[int]) -> Grips:
        """The grips along a path as a batch of one grip an event."""
        picks = list(zip(self.ids, path, strict=True))
        kinds = {pick: at for at, pick in enumerate(dict.fromkeys(picks))}
        chosen = [(self.board.sets[number].grips, row) for number, row in kinds]
        order = np.array([kinds[pick] for pick in picks])
        columns = {f.name: np.array([getattr(grips, f.name)[row] for grips, row in chosen]) for f in fields(Grips)}
        return Grips(**{name: column[order, None] for name, column in columns.items()})

    def account(self, path: list[int]) -> list[tuple[str, float, int]]:
        """Named costs along a path: (name, cost, event); nothing that costs nothing."""
        batch = self._chosen(path)
        first = np.array([[e.first] for e in self.events])
        out: list[tuple[str, float, int]] = []
        for row in self.table.holding:
            context = HoldContext(first, self.board.policy, self.board.setting.shape)
            out += _entries(row, HOLDING[row.name](batch, context), (len(path), 1), 0)
        if len(path) > 1:
            earlier, later = (_slice(batch, slice(None, -1)), _slice(batch, slice(1, None)))
            context_of_moves = self.board.move_context([self.step(n) for n in range(1, len(path))])
            move = Move(before(earlier), after(later), context_of_moves)
            for row in self.table.moving:
                out += _entries(row, MOVING[row.name](move), (len(path) - 1, 1, 1), 1)
        return sorted(out, key=lambda entry: entry[2])


def _slice(batch: Grips, part: slice) -> Grips:
    """Some events of a batch."""
    return Grips(**{f.name: getattr(batch, f.name)[part] for f in fields(Grips)})


def _entries(row: CostRow, amounts: Amounts, shape: tuple[int, ...], first: int) -> list[tuple[str, float, int]]:
    """The account's entries of one row; events count from `first`."""
    if not np.any(amounts):  # as most rows
        return []
    flat = np.broadcast_to(amounts, shape).reshape(shape[0])
    return [(row.name, row.value * float(flat[n]), int(n) + first) for n in np.nonzero(flat)[0]]
