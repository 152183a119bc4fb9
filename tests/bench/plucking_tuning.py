"""Tunes the weights of free planning on editors' letters: marginal likelihood, unmarked notes latent.

A chain of hands scores minus its cost. The likelihood of the letters an editor printed, summed over all hands
that agree with them, is raised by gradient steps. What moves are families of rows together (how much the strings of a
finger count, how readily a finger is used) and, pulled back harder, each row by itself: an L2 pull toward the weights
set by hand keeps what few letters speak for where its reasons put it. A hand against a letter costs 4 nats, not
infinity: editors err.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from re import fullmatch

import numpy as np
from numpy.typing import NDArray

from engraver.fingering.plucking_costs import Hand, move_rows, own_rows, row_names
from engraver.fingering.plucking_moments import moments_of
from engraver.fingering.plucking_plan import grasp_of, hands_for, is_forbidden
from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.strokes import attacks_of
from tests.bench.plucking_scores import MarkedScore

Array = NDArray[np.float64]
_PLACE = {name: place for place, name in enumerate(row_names())}
_MARGIN_ATTACKS = 6
_AGAINST_LETTER_NATS = 4.0
_FORBIDDEN_NATS = 30.0
_FAMILY_PULL = 6.0
_ROW_PULL = 20.0
_SHARE = 1.3
_STEPS = 30
_FAMILY_RATE = 0.15
_ROW_RATE = 0.06
_READINESS, _LEANING, _SINGLE = 0.3, 0.2, 0.5
"""How far a family of one step moves its rows, where the weights set by hand do not say it."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of attacks around letters: counts of rows [hand before, hand, row], bans, and disagreement."""

    rows: tuple[Array, ...]
    bans: tuple[Array, ...]
    against: tuple[Array, ...]


def weights_by_hand() -> Array:
    """The weights as first set, in the order of the rows."""
    return np.array([weight.by_hand for weight in plucking_table().weights])


def stretches_of(score: MarkedScore) -> tuple[Stretch, ...]:
    """What tuning sees of a score: the attacks within reach of a letter."""
    attacks = attacks_of(score.fingered)
    moments = moments_of(score.fingered.passage, attacks, plucking_table().surroundings)
    marked = [any(stroke.note in score.letters for stroke in attack) for attack in attacks]
    near = [any(marked[max(0, k - _MARGIN_ATTACKS) : k + _MARGIN_ATTACKS + 1]) for k in range(len(attacks))]
    stretches = []
    for run in _runs(near):
        rows, bans, against = [], [], []
        for place in run:
            hands = hands_for(grasp_of(attacks[place]))
            before = hands_for(grasp_of(attacks[place - 1])) if place != run[0] else None
            own = np.array([_count(own_rows(moments[place], hand)) for hand in hands])
            rows.append(own[None] + (_moves(before, hands, moments[place].hurried) if before else 0.0))
            bans.append(np.array([[is_forbidden(b, hand) for hand in hands] for b in before or ()], dtype=float))
            letters = [score.letters.get(stroke.note) for stroke in attacks[place]]
            against.append(np.array([_disagrees(letters, hand) for hand in hands], dtype=float))
        stretches.append(Stretch(tuple(rows), tuple(bans), tuple(against)))
    return tuple(stretches)


def tune(scores: Sequence[tuple[Stretch, ...]]) -> Array:
    """The tuned weights; every score counts by the square root of its marked attacks. Adam, a fixed count of steps."""
    shares = [_SHARE / max(1, sum(each.any() for s in score for each in s.against)) ** 0.5 for score in scores]
    moves, pull, rate = _moves_of_weights()
    steps, mean, square = (np.zeros(len(moves)) for _ in range(3))
    for step in range(1, _STEPS + 1):
        weights = weights_by_hand() + steps @ moves
        slope = np.zeros(len(weights))
        for share, score in zip(shares, scores, strict=True):
            for stretch in score:
                slope += share * (_expected(stretch, weights, True) - _expected(stretch, weights, False))
        pulled = moves @ slope + 2 * pull * steps
        mean, square = 0.9 * mean + 0.1 * pulled, 0.99 * square + 0.01 * pulled**2
        steps -= rate * (mean / (1 - 0.9**step)) / (np.sqrt(square / (1 - 0.99**step)) + 1e-8)
    return np.asarray(weights_by_hand() + steps @ moves)


def _moves_of_weights() -> tuple[Array, Array, Array]:
    """What may move, each as a step of all weights, with its pull and its rate: the families, then every row."""
    families = [family for family in _families() if family.any()]
    moves = np.vstack([*families, np.eye(len(_PLACE))])
    sizes = len(families), len(_PLACE)
    return moves, np.repeat((_FAMILY_PULL, _ROW_PULL), sizes), np.repeat((_FAMILY_RATE, _ROW_RATE), sizes)


def _families() -> Iterator[Array]:
    """Rows that move together."""
    by_hand = weights_by_hand()
    for finger in ("thumb", "index", "middle", "ring"):
        home, under = _named(rf"{finger}_on_string_\d"), _named(rf"{finger}_under_.*")
        yield from (by_hand * home, by_hand * under, _READINESS * home)
        yield _LEANING * (_named(f"{finger}_off_pulse") - _named(f"{finger}_on_pulse"))
    yield by_hand * _named(".*_in_rise_of_.*")
    yield by_hand * _named(".*_on_one_string")
    for name in list(_PLACE)[_PLACE["hand_shift"] :]:
        yield _SINGLE * _named(name)


def _named(pattern: str) -> Array:
    """1 for each row whose name fits, 0 for the others."""
    return np.array([float(fullmatch(pattern, name) is not None) for name in _PLACE])


def _expected(stretch: Stretch, weights: Array, with_letters: bool) -> Array:
    """The expected counts of rows over all chains of hands, by forward and backward sums."""
    scores = [-(rows @ weights) for rows in stretch.rows]
    for place, bans in enumerate(stretch.bans):
        if bans.size:
            scores[place] -= _FORBIDDEN_NATS * bans
        if with_letters:
            scores[place] -= _AGAINST_LETTER_NATS * stretch.against[place][None]
    ahead = [scores[0][0]]
    for score in scores[1:]:
        ahead.append(_log_sum(ahead[-1][:, None] + score, 0))
    total, behind = _log_sum(ahead[-1], 0), np.zeros(len(ahead[-1]))
    expected = np.zeros(len(weights))
    for place in range(len(scores) - 1, 0, -1):
        share = np.exp(ahead[place - 1][:, None] + scores[place] + behind[None] - total)
        expected += np.tensordot(share, stretch.rows[place], axes=([0, 1], [0, 1]))
        behind = _log_sum(scores[place] + behind[None], 1)
    return np.asarray(expected + np.exp(ahead[0] + behind - total) @ stretch.rows[0][0])


def _log_sum(values: Array, axis: int) -> Array:
    highest = values.max(axis=axis, keepdims=True)
    return np.asarray((highest + np.log(np.exp(values - highest).sum(axis=axis, keepdims=True))).squeeze(axis))


def _count(rows: Iterable[str]) -> Array:
    counts = np.zeros(len(_PLACE))
    for row in rows:
        counts[_PLACE[row]] += 1
    return counts


@cache
def _moves(before: tuple[Hand, ...], hands: tuple[Hand, ...], hurried: bool) -> Array:
    return np.array([[_count(move_rows(b, hand, hurried)) for hand in hands] for b in before])


def _disagrees(letters: Sequence[str | None], hand: Hand) -> bool:
    return any(letter not in (None, finger) for letter, finger in zip(letters, hand.fingers, strict=True))


def _runs(flags: Sequence[bool]) -> list[list[int]]:
    runs: list[list[int]] = []
    for place, flag in enumerate(flags):
        if flag and runs and runs[-1][-1] == place - 1:
            runs[-1].append(place)
        elif flag:
            runs.append([place])
    return runs
