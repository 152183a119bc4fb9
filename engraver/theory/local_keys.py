"""Local keys on the line of fifths: in which key a moment is heard, and how it would name each note.

A hidden Markov model. The states are key signatures on the unwrapped line (C sharp and D flat are different
keys) times major and minor; the time slots are quarters; what is seen are pitch classes. Both neighbours of a
moment speak (forward-backward), and a cost for remote signatures is paid in every slot, which is what keeps
a long piece from sliding by a diminished second.
Source: keys as regions of the line of fifths, D. Temperley, The Cognition of Basic Musical Structures (2001),
chapters 5 and 7; forward-backward, L. Rabiner, Proceedings of the IEEE 77 (1989); numbers in tables/spelling.yaml.

This module needs numpy: import it inside the function that uses it.
"""

from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from engraver.theory.spelling_weights import spelling_weights, weight

Floats: TypeAlias = NDArray[np.float64]
Integers: TypeAlias = NDArray[np.int64]

TICKS = 960
"""Ticks to a quarter: onsets this near to one another count as one onset."""

_BLOCK, _RUN_IN, _BATCH = 64, 64, 48  # slots decided, slots of run-in on both sides, blocks computed together
_LEAST = -60.0  # log-score below which a key is out of the question; keeps all products within a double's range
_ROWS = 128  # rows multiplied at once: larger products wake further threads, which cost more than they bring
_RENEW = 8  # steps between two normalisations; fewer than it takes to leave the range of a double


@dataclass(frozen=True, slots=True)
class Timeline:
    """Notes in order of onset, then pitch. `ticks` are 1/960 of a quarter, `pitch_class` counts from C."""

    ticks: Integers
    ends: Integers
    midi: Integers

    @property
    def pitch_class(self) -> Integers:
        """Semitones above C."""
        return self.midi % 12


@dataclass(frozen=True, slots=True)
class Home:
    """The signature that the music stays near, at each note, and whether the score says so."""

    signature: Integers
    is_known: bool


@dataclass(frozen=True, slots=True)
class Hearing:
    """What the keys say of each note: the chance of its three names (flattest first), and the likeliest key."""

    chance: Floats
    signature: Integers
    is_minor: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _States:
    signature: Integers
    is_minor: NDArray[np.bool_]
    log_pitch_class: Floats  # pitch class, state
    share: Floats  # state, pitch class, name: what part of the pitch class the name has in the key
    transition: Floats


def names_of() -> Integers:
    """The three names of each pitch class, flattest first: 12 rows of places on the line of fifths."""
    flattest = spelling_weights().names.flattest
    return np.array([[(7 * pc - flattest) % 12 + flattest + 12 * i for i in range(3)] for pc in range(12)])


@cache
def _states() -> _States:
    weights = spelling_weights()
    span = np.arange(weights.signatures.flattest, weights.signatures.sharpest + 1)
    signature, is_minor = np.concatenate([span, span]), np.repeat([False, True], len(span))
    names = names_of()
    profile = np.stack([_profile(int(k), bool(m)) for k, m in zip(signature, is_minor, strict=True)])
    of_name = profile[:, names - weights.names.flattest]  # state, pitch class, name
    of_class = of_name.sum(axis=2)
    share = of_name / of_class[:, :, None]
    return _States(signature, is_minor, np.log(of_class).T, share, _transition(signature, is_minor))


def _profile(signature: int, is_minor: bool) -> Floats:
    """How often each name occurs in a key, summing to 1."""
    weights = spelling_weights()
    rows = weights.profiles.minor if is_minor else weights.profiles.major
    flattest = weights.names.flattest
    profile = np.full(36, weights.profiles.elsewhere)
    for index, per_cent in enumerate(rows):
        place = signature + weights.profiles.first + index - flattest
        if 0 <= place < len(profile):
            profile[place] = per_cent
    profile[weights.names.sharpest - flattest + 1 :] = 1e-6  # three accidentals: never
    normal: Floats = profile / profile.sum()
    return normal


def _transition(signature: Integers, is_minor: NDArray[np.bool_]) -> Floats:
    moved = np.abs(signature[:, None] - signature[None])
    farther = np.minimum(weight("modulation") * moved + weight("leaving"), weight("modulation limit"))
    chances: Floats = np.exp(-farther * (moved > 0) - weight("change of mode") * (is_minor[:, None] != is_minor[None]))
    return chances


def hear_keys(line: Timeline, home: Home, slot_quarters: float) -> Hearing:
    """How the local keys would name each note of a line (at least one note)."""
    slots = _slots(line.ticks, slot_quarters)
    parts = [_hear_batch(line, slots, home, *batch) for batch in _batches(int(slots[-1]) + 1)]
    best = np.concatenate([best for _, best in parts])
    states = _states()
    return Hearing(np.concatenate([chance for chance, _ in parts]), states.signature[best], states.is_minor[best])


def home_signature(line: Timeline) -> int:
    """The signature -6 … 6 whose seven names hold most of the sounding time of a line."""
    lengths = np.maximum(line.ends - line.ticks, 1).astype(np.float64)
    classes = np.bincount(line.pitch_class, weights=lengths, minlength=12)
    held = {k: sum(classes[7 * name % 12] for name in range(k - 1, k + 6)) for k in range(-6, 7)}
    return max(held, key=lambda k: (held[k], -abs(k), k))


def _slots(ticks: Integers, slot_quarters: float) -> Integers:
    """The time slot of each note, counted from the first note's quarter; long rests are shortened."""
    whole = (ticks - ticks[0] // TICKS * TICKS) // round(slot_quarters * TICKS)
    longest = int(weight("longest rest"))
    return np.cumsum(np.minimum(np.diff(whole, prepend=whole[:1]), longest))


def _batches(count: int) -> list[tuple[int, int, int]]:
    """(first slot, end, slots a block) of each stretch computed at once: memory stays bounded."""
    if count <= _BLOCK + 2 * _RUN_IN:
        return [(0, count, count)]
    step = _BLOCK * _BATCH
    return [(first, min(first + step, count), _BLOCK) for first in range(0, count, step)]


def _hear_batch(
    line: Timeline, slots: Integers, home: Home, first: int, end: int, block: int
) -> tuple[Floats, Integers]:
    """Chances of the names, and the likeliest state, of the notes in the slots `first` up to `end`."""
    states = _states()
    run_in = 0 if block == end - first and first == 0 else _RUN_IN
    blocks = -(-(end - first) // block)
    padded = np.zeros((blocks * block + 2 * run_in, 12))
    start = first - run_in
    low, high = np.searchsorted(slots, [start, start + len(padded)])
    np.add.at(padded, (slots[low:high] - start, line.pitch_class[low:high]), 1.0)
    latest = np.searchsorted(slots, np.arange(start, start + len(padded)), side="right") - 1
    cost = _signature_cost(home.signature[np.maximum(latest, 0)], home.is_known)
    scores = weight("evidence") * _product(padded, states.log_pitch_class) - cost
    seen = np.exp(np.maximum(scores - scores.max(axis=1, keepdims=True), _LEAST))
    rows = np.arange(block + 2 * run_in)[:, None] + np.arange(blocks)[None] * block
    posterior = _forward_backward(seen[rows])[run_in : run_in + block].swapaxes(0, 1)
    best, posterior = _one_world(posterior.reshape(blocks * block, -1))
    low, high = np.searchsorted(slots, [first, end])
    at, classes = slots[low:high] - first, line.pitch_class[low:high]
    names = _product(posterior, states.share.reshape(len(states.share), -1)).reshape(len(posterior), 12, 3)
    return names[at, classes], best[at]


def _product(left: Floats, right: Floats) -> Floats:
    return np.concatenate([left[row : row + _ROWS] @ right for row in range(0, len(left), _ROWS)])


def _one_world(posterior: Floats) -> tuple[Integers, Floats]:
    """The likeliest state of each slot, and the chances of the states that are not its enharmonic doubles.

    That all names might move together by twelve fifths is no reason to doubt one of them.
    """
    signature, best = _states().signature, posterior.argmax(axis=1)
    kept = posterior * (np.abs(signature[None] - signature[best][:, None]) <= weight("same world"))
    return best, np.asarray(kept / kept.sum(axis=1, keepdims=True), dtype=np.float64)


def _signature_cost(home: Integers, is_known: bool) -> Floats:
    """What each state pays in a slot with this home; a known signature is itself the simplest one."""
    signature, home = _states().signature[None], home[:, None]
    away = weight("away from home") * np.maximum(0, np.abs(signature - home) - weight("away free"))
    simplest = home if is_known else weight("simplest signature")
    many = weight("accidentals") * np.maximum(0, np.abs(signature - simplest) - weight("accidentals free"))
    return np.asarray(away + many, dtype=np.float64)


def _forward_backward(seen: Floats) -> Floats:
    """Chance of each state in each slot (slots, blocks, states), from everything before and after it.

    Moving is as likely as moving back, so the backward pass is a forward pass over the reversed slots.
    """
    transition, blocks = _states().transition, seen.shape[1]
    both = np.concatenate([seen, seen[::-1]], axis=1)
    before = np.ones_like(both)
    belief = before[0]
    for slot in range(len(both)):
        if slot:
            belief = np.matmul(belief, transition, out=before[slot])
        if slot % _RENEW == 0:
            belief /= belief.sum(axis=1, keepdims=True)
        belief = belief * both[slot]
    before[:, :blocks] *= seen
    before[:, :blocks] *= before[::-1, blocks:]
    return before[:, :blocks]
