"""Fingering repertoire: the hand-set costs together with what editors tend to write.

Two passes. The first weighs every fingering by its score and asks, note by note, how likely each string and finger is;
notes in the same context, and to a lesser degree notes of the same pitch, lend each other their likelihoods, so that
repeated material is fingered alike. The second finds the playable path that may be expected to agree with most marks,
without losing its own good score.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from engraver.fingering.agreement import AWAY, Blend, Printed, blended, freedom_of, worth_of
from engraver.fingering.costs import MOVING, Move, held_notes_moved, holding_costs
from engraver.fingering.grips import Floats, Grips, after, before, joined, stack
from engraver.fingering.habits import (
    FINGERS,
    STRINGS,
    Habits,
    Numbers,
    grip_numbers,
)
from engraver.fingering.lessons import lessons_of, string_costs, taught
from engraver.fingering.moves import move_tables
from engraver.fingering.note_habits import note_scores, places_printed, readiness
from engraver.fingering.phrases import line_of, paces
from engraver.fingering.search import Board, Search, Step
from engraver.fretboard.limits import Spread
from engraver.fretboard.tuning import Instrument
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.search import Event

_MOST_MOVES = 8_000_000  # counted moves kept at once (64 MB)
_MOVES_AT_ONCE = 32
_MOST_TALLIES = 2
_TINY = 1e-12


class _Move(NamedTuple):
    """What makes two moves alike here."""

    step: Step
    pace: int


class _Moved(NamedTuple):
    """What a move scores (earlier grips x later grips), the same as factors of a likelihood, and what may be eased."""

    scores: Floats
    factors: Floats
    strain: Floats


class Tallies:
    """What grips and moves of a board score under some habits, whatever the passage."""

    def __init__(self, board: Board, habits: Habits) -> None:
        self.board, self.habits = board, habits
        self.sets = board.sets  # a board that forgets begins a new list
        self._tables = move_tables(habits.weights)
        self._shapes: dict[int, Floats] = {}
        self._moves: dict[_Move, _Moved] = {}
        self._moves_size = 0

    def shapes(self, set_ids: Sequence[int]) -> dict[int, Floats]:
        """Scores of holding these events' grips, away from the beginning of a passage and whatever their notes."""
        missing = sorted(set(set_ids) - self._shapes.keys())
        if missing:
            grips = joined([self.sets[i].grips for i in missing])
            own = holding_costs(self.board.table.holding, grips, self.board.policy, self.board.setting.shape)
            habitual = self.habits.weights[grip_numbers(grips)].sum(-1)
            ends = np.cumsum([self.sets[i].count for i in missing])[:-1]
            scores = habitual - np.float32(self.habits.own_share) * own
            self._shapes.update(zip(missing, np.split(scores, ends), strict=True))
        return self._shapes

    def moves(self, asked: Sequence[_Move]) -> list[_Moved]:
        """Scores of these moves; equal moves are counted once."""
        missing = sorted({m for m in asked if m not in self._moves}, key=self._width)
        if self._moves_size > _MOST_MOVES:
            self._moves = {m: self._moves[m] for m in set(asked) - set(missing)}
            self._moves_size = sum(m.scores.size for m in self._moves.values())
        for at in range(0, len(missing), _MOVES_AT_ONCE):
            self._count_moves(missing[at : at + _MOVES_AT_ONCE])
        return [self._moves[m] for m in asked]

    def _width(self, move: _Move) -> tuple[int, _Move]:
        return max(self.sets[move.step.earlier].count, self.sets[move.step.later].count), move

    def _count_moves(self, moves: list[_Move]) -> None:
        sides = [self.sets[m.step.earlier] for m in moves], [self.sets[m.step.later] for m in moves]
        a, b = (stack([s.grips for s in side], max(s.count for s in side)) for side in sides)
        pace = np.array([m.pace for m in moves], np.int16)[:, None, None]
        total = self._tables.scores(a, b, pace, held_notes_moved(a.on_string[:, :, None], b.held_on_string[:, None]))
        own, binding = self.board.moves([m.step for m in moves]), self._binding([m.step for m in moves], a, b)
        for at, m in enumerate(moves):
            here = (at, slice(own[at].shape[0]), slice(own[at].shape[1]))
            scores = total[here] - self.habits.own_share * own[at]
            strain = self.habits.own_share * (own[at] - binding[here])
            self._moves[m] = _Moved(scores, np.exp(scores - scores.max()), strain)
            self._moves_size += scores.size

    def _binding(self, steps: list[Step], a: Grips, b: Grips) -> Floats:
        """What these moves pay that is never eased (moves x earlier x later)."""
        total = np.zeros((len(steps), a.position.shape[1], b.position.shape[1]), np.float32)
        free = self.board.setting.shape.spread is Spread.FREE
        if free and not b.held_on_string.any() and not any(step.slurred for step in steps):
            return total
        move = Move(before(a), after(b), self.board.move_context(steps))
        for row in self.board.table.moving:
            if row.binding:
                total += np.float32(row.value) * MOVING[row.name](move)
        return total


_kept: list[Tallies] = []


def tallies_for(board: Board, habits: Habits) -> Tallies:
    """The tallies of a board and habits, the latest kept from passage to passage."""
    for tallies in _kept:
        if tallies.sets is board.sets and tallies.habits is habits:
            return tallies
    _kept[:] = [Tallies(board, habits), *_kept[: _MOST_TALLIES - 1]]
    return _kept[0]


@dataclass(frozen=True, slots=True)
class _Kind:
    """All events of a passage that share their grips.

    `numbers`: which events; `cells`: for each of them, grip and new note, the cell among notes x strings x fingers.
    """

    numbers: list[int]
    cells: Numbers

    def sums(self, values: Floats) -> Floats:
        """For each event and grip, what its new notes are worth (one value a cell)."""
        found: Floats = values[self.cells[..., 0]] if self.cells.shape[2] == 1 else values[self.cells].sum(-1)
        return found


class Repertoire:
    """Scores of one passage under some habits."""

    def __init__(
        self, board: Board, events: "tuple[Event, ...]", passage: Passage, instrument: Instrument, habits: Habits
    ) -> None:
        self.search = Search(board, events)
        self.events, self.passage, self._size = events, passage, board.table.search.events_per_block
        if self.search.dead is not None:
            return
        self._tallies = tallies_for(board, habits)
        paces_ = paces(passage, events).tolist()
        self._steps = [_Move(self.search.step(n), paces_[n]) for n in range(1, len(events))]
        self._kinds = self._kinds_of_events()
        line = line_of(passage, instrument, events)
        self._printed = Printed(readiness(line, habits.printed), places_printed(line, AWAY) > 0)
        self._likely, self._sought = self._holding(note_scores(line, habits.weights))

    def _kinds_of_events(self) -> list[_Kind]:
        by_set: dict[int, list[int]] = {}
        for number, set_id in enumerate(self.search.ids):
            by_set.setdefault(set_id, []).append(number)
        return [_Kind(numbers, self._cells(numbers)) for numbers in by_set.values()]

    def _cells(self, numbers: list[int]) -> Numbers:
        first, grips = self.events[numbers[0]], self.search.grips(numbers[0])
        new = [at for at, s in enumerate(first.sounds) if not s.held]
        strings = np.minimum(grips.strings[:, new], STRINGS).astype(np.int32) - 1
        rows = np.array([[self.events[n].notes[at] for at in new] for n in numbers], np.int32)
        cells: Numbers = rows[:, None, :] * (STRINGS * FINGERS) + strings * FINGERS + grips.fingers[:, new]
        return cells

    def _by_event(self, values: Floats) -> list[Floats]:
        """For each event, what each grip's new notes are worth (one value a cell)."""
        out: list[Floats] = [values] * len(self.events)
        for kind in self._kinds:
            for number, row in zip(kind.numbers, kind.sums(values), strict=True):
                out[number] = row
        return out

    def _holding(self, notes: Floats) -> tuple[list[Floats], list[Floats]]:
        """Score of holding each grip of each event: for likelihoods, and without its notes where marks are sought."""
        shapes, ids = self._tallies.shapes(self.search.ids), self.search.ids
        sought = [shapes[i] for i in ids]
        begun = self.search.holding(0) - self.search.board.holding(ids[0], False)
        sought[0] = sought[0] - np.float32(self._tallies.habits.own_share) * begun
        likely = [score + shape for score, shape in zip(self._by_event(notes.reshape(-1)), sought, strict=True)]
        return likely, sought

    def _moves(self, first: int, last: int) -> list[_Moved]:
        """Every move into the events `first` … `last - 1`."""
        return self._tallies.moves(self._steps[first - 1 : last - 1])

    def likelihoods(self) -> Floats:
        """How likely every note is on each string under each finger (notes x 30)."""
        local = [np.exp(hold - hold.max()) for hold in self._likely]
        chances = [local[0] / local[0].sum()]
        for first, last in self._blocks():
            for here, move in zip(local[first:last], self._moves(first, last), strict=True):
                row = (chances[-1] @ move.factors) * here
                chances.append(row / (row.sum() + _TINY))
        beta = np.ones_like(local[-1])
        for first, last in self._blocks()[::-1]:
            moves = self._moves(first, last)
            for number in range(last - 1, first - 1, -1):
                beta = moves[number - first].factors @ (beta * local[number])
                beta /= beta.max() + _TINY
                chances[number - 1] = chances[number - 1] * beta
        return self._heard(chances)

    def _blocks(self) -> list[tuple[int, int]]:
        """The moves of the passage in blocks: (first later event, one past the last)."""
        size, count = self._size, len(self.events)
        return [(start, min(start + size, count)) for start in range(1, count, size)]

    def _heard(self, chances: list[Floats]) -> Floats:
        """The chances of the grips of all events as chances of every note's strings and fingers (notes x 30)."""
        size = len(self.passage.notes) * STRINGS * FINGERS
        out = np.zeros(size)
        for kind in self._kinds:
            chance = np.stack([chances[n] for n in kind.numbers])
            chance = chance / (chance.sum(-1, keepdims=True) + _TINY)
            wide = np.broadcast_to(chance[..., None], kind.cells.shape)
            low = int(kind.cells.min())
            part = np.bincount((kind.cells - low).ravel(), wide.ravel())
            out[low : low + part.shape[0]] += part
        return out.reshape(len(self.passage.notes), STRINGS * FINGERS).astype(np.float32)

    def best_path(self, blend: Blend) -> list[int]:
        """The playable path that keeps a good score of its own and may be expected to agree with most marks."""
        costs, moving = self._weighing(blend)
        total = costs[0]
        back: list[np.ndarray[tuple[int], np.dtype[np.intp]]] = []
        for first, last in self._blocks():
            for cost, move in zip(costs[first:last], self._moves(first, last), strict=True):
                ways = total[:, None] + moving(move)
                back.append(ways.argmin(0))
                total = ways.min(0) + cost
                total -= total.min()
        path = [int(total.argmin())]
        for best in reversed(back):
            path.append(int(best[path[-1]]))
        return path[::-1]

    def weighed(self, blend: Blend) -> tuple[tuple[Floats, ...], tuple[Floats, ...]]:
        """What `best_path` weighs: the cost of every grip of every event, and of every move between neighbours."""
        costs, moving = self._weighing(blend)
        moves = self._moves(1, len(self.events)) if len(self.events) > 1 else []
        return tuple(costs), tuple(moving(move) for move in moves)

    def _weighing(self, blend: Blend) -> tuple[list[Floats], Callable[[_Moved], Floats]]:
        """The cost of each grip of each event, and that of a move: less for marks to agree with and for good scores."""
        heard = blended(self.likelihoods(), self.passage, self.events, blend)
        lessons = lessons_of(self.events)
        heard = taught(heard, self.events, lessons)
        freedom = freedom_of(heard, self._printed, blend)
        worth = worth_of(heard, self._printed, blend, freedom)
        if lessons:
            worth = worth - string_costs(len(self.passage.notes), self.events, lessons).ravel()
        share = np.float32(blend.grips)
        costs = [-w - share * hold for w, hold in zip(self._by_event(worth), self._sought, strict=True)]
        return costs, _eased(np.float32(blend.moves), np.float32((1 - blend.ease) * freedom))


def _eased(share: np.float32, ease: np.float32) -> Callable[[_Moved], Floats]:
    """The cost of a move with so much of its strain taken away; equal moves are counted once."""
    known: dict[int, Floats] = {}

    def cost(move: _Moved) -> Floats:
        if id(move) not in known:
            known[id(move)] = -share * (move.scores + ease * move.strain)
        return known[id(move)]

    return cost
