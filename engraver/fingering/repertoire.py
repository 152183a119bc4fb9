"""Fingering repertoire: the hand-set costs together with what editors tend to write.

Two passes. The first weighs every fingering by its score and asks, note by note, how likely each string and finger is;
notes in the same context, and to a lesser degree notes of the same pitch, lend each other their likelihoods, so that
repeated material is fingered alike. The second finds the playable path that agrees best with those likelihoods.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from engraver.fingering.grips import Floats, GripSet, after, before, stack
from engraver.fingering.habits import (
    FINGERS,
    STRINGS,
    Habits,
    Numbers,
    grip_numbers,
    move_numbers,
    move_side,
    note_scores,
)
from engraver.fingering.phrases import line_of, paces
from engraver.fingering.search import Board, Search, Step
from engraver.fretboard.tuning import Instrument
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.search import Event

_MOST_MOVES = 16_000_000  # counted moves kept at once (64 MB)
_MOVES_AT_ONCE = 32
_TINY = 1e-12
_LEAST_CHANCE = 1e-4  # no place is thought less likely than this


@dataclass(frozen=True, slots=True)
class Blend:
    """How the second pass weighs what it hears. Chosen by cross-validation on openly licensed scores.

    `context`: the notes of the same pitch between the same neighbours, `width` events to each side; `pitch`: all notes
    of the same pitch; `own`: the model's own scores; `finger`: how far the finger alone counts, whatever its string.
    """

    context: float = 1.0
    width: int = 1
    pitch: float = 0.4
    own: float = 0.4
    finger: float = 0.8


class _Move(NamedTuple):
    """What makes two moves alike here."""

    step: Step
    pace: int


class Repertoire:
    """Scores of one passage under some habits."""

    def __init__(
        self, board: Board, events: "tuple[Event, ...]", passage: Passage, instrument: Instrument, habits: Habits
    ) -> None:
        self.search = Search(board, events)
        self.board, self.events, self.habits, self.passage = board, events, habits, passage
        self._grip_scores: dict[int, Floats] = {}
        self._moves: dict[_Move, Floats] = {}
        self._moves_size = 0
        if self.search.dead is not None:
            return
        self._notes = note_scores(line_of(passage, instrument, events), habits.weights).reshape(-1)
        self._notes = np.append(self._notes, np.float32(0))
        self._paces = paces(passage, events).tolist()
        self._cells = [self._note_cells(number) for number in range(len(events))]

    def _note_cells(self, number: int) -> Numbers:
        """For each grip and new note of an event, its cell among notes x strings x fingers."""
        event, grips = self.events[number], self.search.grips(number)
        new = [at for at, s in enumerate(event.sounds) if not s.held]
        rows = np.array([event.notes[at] for at in new])
        strings = np.minimum(grips.strings[:, new], STRINGS).astype(np.int32) - 1
        return ((rows[None] * STRINGS + strings) * FINGERS + grips.fingers[:, new]).astype(np.int32)

    def hold(self, number: int) -> Floats:
        """Score of holding each grip of an event."""
        set_id = self.search.ids[number]
        if set_id not in self._grip_scores:
            shape = self.habits.weights[grip_numbers(self.board.sets[set_id])].sum(-1)
            self._grip_scores[set_id] = shape
        own = self.habits.own_share * self.search.holding(number)
        scores: Floats = self._notes[self._cells[number]].sum(-1) + self._grip_scores[set_id] - own
        return scores

    def moves(self, first: int, last: int) -> list[Floats]:
        """Score of every move into the events `first` … `last - 1`."""
        asked = [_Move(self.search.step(n), self._paces[n]) for n in range(first, last)]
        missing = sorted({m for m in asked if m not in self._moves}, key=self._width)
        if self._moves_size > _MOST_MOVES:
            self._moves = {m: self._moves[m] for m in set(asked) - set(missing)}
            self._moves_size = sum(m.size for m in self._moves.values())
        for at in range(0, len(missing), _MOVES_AT_ONCE):
            self._count_moves(missing[at : at + _MOVES_AT_ONCE])
        return [self._moves[m] for m in asked]

    def _width(self, move: _Move) -> tuple[int, _Move]:
        return max(self._set(move.step.earlier).count, self._set(move.step.later).count), move

    def _set(self, set_id: int) -> GripSet:
        return self.board.sets[set_id]

    def _count_moves(self, moves: list[_Move]) -> None:
        wide_a = max(self._set(m.step.earlier).count for m in moves)
        wide_b = max(self._set(m.step.later).count for m in moves)
        a = before(stack([self._set(m.step.earlier).grips for m in moves], wide_a))
        b = after(stack([self._set(m.step.later).grips for m in moves], wide_b))
        pace = np.array([m.pace for m in moves], np.int16)[:, None, None]
        moved = ((b.held_on_string > 0) & (b.held_on_string != a.on_string)).sum(-1) if b.held_on_string.any() else 0
        total = np.zeros((len(moves), wide_a, wide_b), np.float32)
        for numbers in move_numbers(move_side(a), move_side(b), pace, np.asarray(moved)):
            total += self.habits.weights[numbers]
        own = self.board.moves([m.step for m in moves])
        for at, m in enumerate(moves):
            cut = total[at, : own[at].shape[0], : own[at].shape[1]] - self.habits.own_share * own[at]
            self._moves[m] = cut
            self._moves_size += cut.size

    def likelihoods(self) -> Floats:
        """How likely every note is on each string under each finger (notes x 30)."""
        count = len(self.events)
        holds = [self.hold(n) for n in range(count)]
        local = [np.exp(h - h.max()) for h in holds]
        alphas = [local[0] / local[0].sum()]
        for first, last in self._blocks():
            for number, factor in enumerate(self._factors(first, last), start=first):
                row = (alphas[-1] @ factor) * local[number]
                alphas.append(row / (row.sum() + _TINY))
        out = np.zeros(len(self.passage.notes) * STRINGS * FINGERS, np.float64)
        beta = np.ones_like(local[-1])
        self._hear(out, count - 1, alphas[-1] * beta)
        for first, last in self._blocks()[::-1]:
            factors = self._factors(first, last)
            for number in range(last - 1, first - 1, -1):
                beta = factors[number - first] @ (beta * local[number])
                beta /= beta.max() + _TINY
                self._hear(out, number - 1, alphas[number - 1] * beta)
        return out.reshape(len(self.passage.notes), STRINGS * FINGERS).astype(np.float32)

    def _blocks(self) -> list[tuple[int, int]]:
        """The moves of the passage in blocks: (first later event, one past the last)."""
        size, count = self.board.table.search.events_per_block, len(self.events)
        return [(start, min(start + size, count)) for start in range(1, count, size)]

    def _factors(self, first: int, last: int) -> list[Floats]:
        """The moves' scores as factors of a likelihood; equal moves are worked out once."""
        known: dict[int, Floats] = {}
        moves = self.moves(first, last)
        for move in moves:
            if id(move) not in known:
                known[id(move)] = np.exp(move - move.max())
        return [known[id(move)] for move in moves]

    def _hear(self, out: Any, number: int, chance: Any) -> None:
        """Adds the chance of each grip of an event to its notes' strings and fingers."""
        cells = self._cells[number]
        np.add.at(out, cells.ravel(), np.repeat(chance / (chance.sum() + _TINY), cells.shape[1]))

    def best_path(self, blend: Blend) -> list[int]:
        """The playable path that agrees best with all likelihoods."""
        heard = blended(self.likelihoods(), self.passage, self.events, blend)
        doubt = np.append(_doubt(heard, blend.finger), np.float32(0))
        total = doubt[self._cells[0]].sum(-1) - blend.own * self.hold(0)
        back: list[np.ndarray[tuple[int], np.dtype[np.int16]]] = []
        for first, last in self._blocks():
            for number, move in enumerate(self.moves(first, last), start=first):
                ways = total[:, None] - blend.own * move
                best = ways.argmin(0)
                back.append(best.astype(np.int16))
                total = ways[best, np.arange(best.shape[0])] - blend.own * self.hold(number)
                total = total + doubt[self._cells[number]].sum(-1)
                total = total - total.min()
        path = [int(total.argmin())]
        for best in reversed(back):
            path.append(int(best[path[-1]]))
        return path[::-1]


def blended(likely: Floats, passage: Passage, events: "tuple[Event, ...]", blend: Blend) -> Floats:
    """Each note's likelihoods together with those of its repeats and of its pitch."""
    contexts = _groups(_contexts(passage, events, blend.width))
    pitches = _groups([note.pitch.sounding_midi for note in passage.notes])
    alike, same_pitch = _mean_of_group(likely, contexts), _mean_of_group(likely, pitches)
    share = np.float32(blend.context / (blend.context + blend.pitch))
    mixed: Floats = share * alike + (np.float32(1) - share) * same_pitch
    return mixed


def _doubt(heard: Floats, finger_share: float) -> Floats:
    """How unlikely each string and finger of each note is, as a cost."""
    cube = heard.reshape(-1, STRINGS, FINGERS)
    place = np.log(cube + _LEAST_CHANCE)
    finger = np.log(cube.sum(1, keepdims=True) + _LEAST_CHANCE)
    doubt: Floats = -((1 - finger_share) * place + finger_share * finger).ravel().astype(np.float32)
    return doubt


def _contexts(passage: Passage, events: "tuple[Event, ...]", width: int) -> list[tuple[object, ...]]:
    """For each note: its pitch and the pitches of the events around it."""
    struck = [tuple(s.midi for s in e.sounds if not s.held) for e in events]
    out: list[tuple[object, ...]] = [()] * len(passage.notes)
    for number, event in enumerate(events):
        around = tuple(struck[max(0, number - width) : number + width + 1])
        for i, s in zip(event.notes, event.sounds, strict=True):
            if not s.held:
                out[i] = (s.midi, min(number, width), around)
    return out


def _groups(keys: Sequence[object]) -> Numbers:
    """Equal keys as equal small numbers."""
    numbers: dict[object, int] = {}
    return np.array([numbers.setdefault(key, len(numbers)) for key in keys], np.int32)


def _mean_of_group(values: Floats, groups: Numbers) -> Floats:
    """Each row replaced by the mean of its group."""
    sums = np.zeros((int(groups.max()) + 1, values.shape[1]), np.float64)
    np.add.at(sums, groups, values)
    means: Floats = (sums / np.bincount(groups)[:, None])[groups].astype(np.float32)
    return means
