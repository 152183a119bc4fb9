"""Fingering repertoire: the hand-set costs together with what editors tend to write.

Two passes. The first weighs every fingering by its score and asks, note by note, how likely each string and finger is;
notes in the same context, and to a lesser degree notes of the same pitch, lend each other their likelihoods, so that
repeated material is fingered alike. The second finds the playable path that may be expected to agree with most marks,
without losing its own good score.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from engraver.fingering.agreement import AWAY, Blend, Printed, blended, freedom_of, worth_of
from engraver.fingering.grips import Floats
from engraver.fingering.habits import FINGERS, STRINGS, Habits, Numbers
from engraver.fingering.lessons import lessons_of, string_costs, taught
from engraver.fingering.note_habits import note_scores, places_printed, readiness
from engraver.fingering.phrases import line_of, paces
from engraver.fingering.search import Board, Search
from engraver.fingering.tallies import MoveScores, PacedStep, tallies_for
from engraver.fretboard.tuning import Instrument
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.search import Event

_TINY = 1e-12


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
        self._steps = [PacedStep(self.search.step(n), paces_[n]) for n in range(1, len(events))]
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

    def _moves(self, first: int, last: int) -> list[MoveScores]:
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

    def _weighing(self, blend: Blend) -> tuple[list[Floats], Callable[[MoveScores], Floats]]:
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


def _eased(share: np.float32, ease: np.float32) -> Callable[[MoveScores], Floats]:
    """The cost of a move with so much of its strain taken away; equal moves are counted once."""
    known: dict[int, Floats] = {}

    def cost(move: MoveScores) -> Floats:
        if id(move) not in known:
            known[id(move)] = -share * (move.scores + ease * move.strain)
        return known[id(move)]

    return cost
