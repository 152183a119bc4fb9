"""What grips and moves score under habits, whatever the passage: counted once and kept from passage to passage."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from engraver.fingering.costs import MOVING, Move, held_notes_moved, holding_costs
from engraver.fingering.grips import Floats, Grips, after, before, joined, stack
from engraver.fingering.habits import Habits, grip_numbers
from engraver.fingering.moves import move_tables
from engraver.fingering.search import Board, Step
from engraver.fretboard.limits import Spread

_MOST_MOVES = 8_000_000  # counted moves kept at once (96 MB)
_MOVES_AT_ONCE = 32
_MOST_TALLIES = 2


class PacedStep(NamedTuple):
    """What makes two moves alike here."""

    step: Step
    pace: int


class MoveScores(NamedTuple):
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
        self._moves: dict[PacedStep, MoveScores] = {}
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

    def moves(self, asked: Sequence[PacedStep]) -> list[MoveScores]:
        """Scores of these moves; equal moves are counted once."""
        missing = sorted({m for m in asked if m not in self._moves}, key=self._width)
        if self._moves_size > _MOST_MOVES:
            self._moves = {m: self._moves[m] for m in set(asked) - set(missing)}
            self._moves_size = sum(m.scores.size for m in self._moves.values())
        for at in range(0, len(missing), _MOVES_AT_ONCE):
            self._count_moves(missing[at : at + _MOVES_AT_ONCE])
        return [self._moves[m] for m in asked]

    def _width(self, move: PacedStep) -> tuple[int, PacedStep]:
        return max(self.sets[move.step.earlier].count, self.sets[move.step.later].count), move

    def _count_moves(self, moves: list[PacedStep]) -> None:
        sides = [self.sets[m.step.earlier] for m in moves], [self.sets[m.step.later] for m in moves]
        a, b = (stack([s.grips for s in side], max(s.count for s in side)) for side in sides)
        pace = np.array([m.pace for m in moves], np.int16)[:, None, None]
        total = self._tables.scores(a, b, pace, held_notes_moved(a.on_string[:, :, None], b.held_on_string[:, None]))
        own, binding = self.board.moves([m.step for m in moves]), self._binding([m.step for m in moves], a, b)
        for at, m in enumerate(moves):
            here = (at, slice(own[at].shape[0]), slice(own[at].shape[1]))
            scores = total[here] - self.habits.own_share * own[at]
            strain = self.habits.own_share * (own[at] - binding[here])
            self._moves[m] = MoveScores(scores, np.exp(scores - scores.max()), strain)
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
