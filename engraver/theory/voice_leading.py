"""Voice leading: which of two enharmonic names the neighbours of a note speak for.

Raised notes rise, lowered notes fall, and names of one harmony lie together on the line of fifths. Every piece
of evidence is a column named like its weight in tables/spelling.yaml; positive speaks for the sharper name.
Source: common practice; the balance of names is the line-of-fifths variance of D. Temperley, The Cognition of
Basic Musical Structures (2001), chapter 5, made signed.

This module needs numpy: import it inside the function that uses it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from engraver.theory.local_keys import TICKS, Floats, Integers, Timeline
from engraver.theory.spelling_weights import Weight, spelling_weights

_NOTES_SEEN, _NOTES_HELD = 24, 40  # neighbours looked at for steps, and for what sounds together
_NEAR, _FAR = 4 * TICKS, 16 * TICKS
_JOINED = TICKS // 15  # a gap this short still joins two notes
_ABOVE = (
    *("semitone", "tone", "minor third", "major third", "fourth", "tritone"),
    *("fifth", "minor sixth", "major sixth", "minor seventh", "major seventh"),
)
_STEPS = {1: "semitone up", -1: "semitone down", 2: "tone up", -2: "tone down"}


@dataclass(frozen=True, slots=True)
class Doubts:
    """The doubtful notes of a line: their index, and the sharper of the two names in question."""

    index: Integers
    sharper: Integers

    def __len__(self) -> int:
        return len(self.index)


@dataclass(frozen=True, slots=True)
class Scene:
    """A stretch of a line, the likeliest name of each note so far, and the doubtful notes within it."""

    line: Timeline
    names: Integers
    doubts: Doubts

    def around(self, first: int, last: int) -> "Neighbours":
        """The notes `first` to `last` places away from every doubtful note (negative: earlier in the line)."""
        line, index = self.line, self.doubts.index
        towards = 1 if first <= last else -1
        offsets = np.arange(first, last + towards, towards)
        other = index[:, None] + offsets
        exists = (other >= 0) & (other < len(self.names))
        other = np.clip(other, 0, len(self.names) - 1)
        wait = line.ticks[other] - line.ticks[index][:, None]
        step = line.midi[other] - line.midi[index][:, None]
        return Neighbours(other, exists, wait, step)


@dataclass(frozen=True, slots=True)
class Neighbours:
    """Notes near the doubtful ones, a row for each doubtful note, nearest first.

    `wait` counts ticks from the doubtful note's onset, `step` semitones from its pitch; rows that run over the
    end of the line are filled up with notes for which `exists` is false.
    """

    index: Integers
    exists: NDArray[np.bool_]
    wait: Integers
    step: Integers


def weigh(evidence: dict[str, Floats], weights: Sequence[Weight]) -> Floats:
    """The sum of all evidence, each piece by its weight: above zero the sharper name is the better one."""
    total = sum(row.value * evidence[row.name] for row in weights)
    return np.asarray(total, dtype=np.float64)


def voice_leading_evidence(scene: Scene) -> dict[str, Floats]:
    """What voice leading and harmony say of every doubtful note, by the names of the weights."""
    later = scene.around(1, _NOTES_SEEN)
    found = {"sharper": np.ones(len(scene.doubts))} | _steps(scene, later) | _joined(scene, later)
    return found | _resolution(later) | _sounding(scene) | _surroundings(scene)


def _steps(scene: Scene, later: Neighbours) -> dict[str, Floats]:
    """Steps to the next note one or two semitones away, and to the last such note before."""
    earlier = scene.around(-1, -_NOTES_SEEN)
    found: dict[str, Floats] = {}
    for when, near in (("next", later), ("before", earlier)):
        wait = np.abs(near.wait)
        hits = near.exists & (wait > 0) & (wait <= _NEAR) & (np.abs(near.step) <= 2) & (near.step != 0)
        step = _at_first(hits, near.step)
        found |= {f"{when} {name}": (step == size).astype(np.float64) for size, name in _STEPS.items()}
    return found


def _at_first(hits: NDArray[np.bool_], values: Integers) -> Integers:
    """The value at the first hit of each row, 0 where there is none."""
    rows, first = np.arange(len(hits)), hits.argmax(axis=1)
    return np.where(hits[rows, first], values[rows, first], 0)


def _joined(scene: Scene, later: Neighbours) -> dict[str, Floats]:
    """Whether a note that starts as the doubtful one ends lies a step away."""
    line, index = scene.line, scene.doubts.index
    length = (line.ends - line.ticks)[index][:, None]
    meets = later.exists & (np.abs(later.wait - length) <= _JOINED)
    return {
        f"joined {name}": (meets & (later.step == size)).any(axis=1).astype(np.float64) for size, name in _STEPS.items()
    }


def _resolution(later: Neighbours) -> dict[str, Floats]:
    """Which semitone neighbour, in whatever octave, comes first: 1 the upper, -1 the lower, 0 neither or both."""
    counts = later.exists & (later.wait > 0) & (later.wait <= _NEAR)
    never = np.iinfo(np.int64).max
    up = np.where(counts & (later.step % 12 == 1), later.wait, never).min(axis=1)
    down = np.where(counts & (later.step % 12 == 11), later.wait, never).min(axis=1)
    return {"resolution in any octave": np.sign((up < down) * 1.0 - (down < up))}


def _sounding(scene: Scene) -> dict[str, Floats]:
    """Which intervals sound above the doubtful note (octaves aside), and how the names held from before lean."""
    line, near = scene.line, scene.around(-_NOTES_HELD, _NOTES_HELD)
    now = line.ticks[scene.doubts.index][:, None]
    held = near.exists & (near.wait < 0) & (line.ends[near.index] > now)
    together = held | (near.exists & (near.wait == 0))
    sounding = np.bitwise_or.reduce(np.where(together, 1 << (near.step % 12), 0), axis=1)
    found = {f"with {name}": (sounding >> size & 1).astype(np.float64) for size, name in enumerate(_ABOVE, 1)}
    place = scene.names[near.index] - scene.doubts.sharper[:, None]
    counted = held & (place >= -18) & (place <= 5)
    balance = (counted * np.sign(place + 6)).sum(axis=1)
    return found | {"names still sounding": balance / np.sqrt(counted.sum(axis=1) + 1)}


def _surroundings(scene: Scene) -> dict[str, Floats]:
    """How the names at, before, after and around each doubtful note lean, between its flatter and sharper name."""
    ticks = scene.line.ticks
    now = ticks[scene.doubts.index]
    leaning = _Leaning(scene)
    start, stop = np.searchsorted(ticks, now), np.searchsorted(ticks, now, side="right")
    return {
        "names struck together": leaning.between(start, stop),
        "names just before": leaning.between(np.searchsorted(ticks, now - _NEAR), start),
        "names just after": leaning.between(stop, np.searchsorted(ticks, now + _NEAR, side="right")),
        "names around": leaning.between(
            np.searchsorted(ticks, now - _FAR), np.searchsorted(ticks, now + _FAR, side="right")
        ),
    }


class _Leaning:
    """Counts of names, summed over notes and over the line of fifths, so that any stretch costs a few look-ups."""

    def __init__(self, scene: Scene) -> None:
        span = spelling_weights().names
        self._first, self._sharper = span.flattest, scene.doubts.sharper
        self._rows = np.arange(len(scene.doubts))
        counts = np.zeros((len(scene.names) + 1, span.sharpest - span.flattest + 2), dtype=np.int32)
        counts[np.arange(1, len(counts)), scene.names - span.flattest + 1] = 1
        self._sums = counts.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32)

    def between(self, start: Integers, stop: Integers) -> Floats:
        """Names above the middle of the pair minus names below it, among the 24 places around, tempered by count."""
        counts = self._sums[stop] - self._sums[start]
        low, below, above, high = (self._flatter_than(counts, place) for place in (-18, -6, -5, 6))
        balance = (high - above) - (below - low)
        return np.asarray(balance / np.sqrt(high - low + 1), dtype=np.float64)

    def _flatter_than(self, counts: NDArray[np.int32], place: int) -> NDArray[np.int32]:
        column = np.clip(self._sharper + place - self._first, 0, counts.shape[1] - 1)
        return counts[self._rows, column]
