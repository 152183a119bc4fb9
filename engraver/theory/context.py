"""Context spelling, step by step: the local keys name what they are sure of, voice leading decides the rest.

This module needs numpy: import it inside the function that uses it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from engraver.errors import SpellingError
from engraver.theory.local_keys import (
    TICKS,
    Floats,
    Hearing,
    Home,
    Integers,
    Timeline,
    hear_keys,
    home_signature,
    names_of,
)
from engraver.theory.spelling_weights import Weight, spelling_weights, weight
from engraver.theory.voice_leading import Doubts, Scene, voice_leading_evidence, weigh

TimedNote = tuple[float | Fraction, float | Fraction, int]

_STRETCH, _MARGIN = 16384, 4096  # notes weighed at once, and notes of context on both sides
_FARTHEST_TICK = 2**53


@dataclass(frozen=True, slots=True)
class Spelled:
    """Names of all notes, in the given order, with the local key that each is heard in."""

    names: Integers
    signature: Integers
    is_minor: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Question:
    """A line, the names its keys give, and the doubtful notes with the keys' leanings about them."""

    line: Timeline
    names: Integers
    doubts: Doubts
    leanings: dict[str, Floats]

    def evidence(self) -> Iterator[dict[str, Floats]]:
        """All evidence about the doubtful notes, by the names of the weights, a stretch of the line at a time.

        Stretches have a bounded length and enough context on both sides, so that memory does not grow with them.
        """
        for first in range(0, len(self.names), _STRETCH):
            low, high = np.searchsorted(self.doubts.index, [first, first + _STRETCH])
            if low < high:
                keys = {name: leaning[low:high] for name, leaning in self.leanings.items()}
                yield keys | voice_leading_evidence(self._scene(first, slice(low, high)))

    def _scene(self, first: int, doubtful: slice) -> Scene:
        start = max(0, first - _MARGIN)
        part = slice(start, first + _STRETCH + _MARGIN)
        stretch = Timeline(self.line.ticks[part], self.line.ends[part], self.line.midi[part])
        doubts = Doubts(self.doubts.index[doubtful] - start, self.doubts.sharper[doubtful])
        return Scene(stretch, self.names[part], doubts)


def spell_by_context(notes: Sequence[TimedNote], key_fifths: int | Sequence[int] | None) -> Spelled:
    """Names and local keys of timed notes (at least one); `key_fifths` is the signature, where known.

    Raises SpellingError for a time that is no number or a MIDI number outside 0 to 127.
    """
    order, line = timeline(notes)
    hearing, question = question_of(line, home_of(line, order, key_fifths))
    names = decide(question, spelling_weights().voice_leading)
    back = np.empty_like(order)
    back[order] = np.arange(len(order))
    return Spelled(names[back], hearing.signature[back], hearing.is_minor[back])


def home_of(line: Timeline, order: Integers, key_fifths: int | Sequence[int] | None) -> Home:
    """The home signature at each note of a line: the one given, else the one that fits the whole line best."""
    if key_fifths is None:
        return Home(np.full(len(order), home_signature(line)), is_known=False)
    return Home(np.broadcast_to(np.asarray(key_fifths, dtype=np.int64), len(order))[order], is_known=True)


def question_of(line: Timeline, home: Home) -> tuple[Hearing, Question]:
    """What the keys hear, the names they give, and what is left to voice leading.

    An unaccompanied tune leaves nothing: there the keys alone do better.
    Source: measured by tests/bench/spelling_gold.py on folk tunes.
    """
    hearing = hear_keys(line, home, weight("slot"))
    names, chance, sharper = _candidates(line, hearing)
    index = np.flatnonzero(chance < weight("sure"))
    if is_unaccompanied(line):
        index = index[:0]
    doubts = Doubts(index, sharper[index])
    if len(doubts) == 0:
        return hearing, Question(line, names, doubts, {})
    broad = hear_keys(line, home, weight("wide slot"))
    leanings = {"key": _log_odds(line, doubts, hearing), "broad key": _log_odds(line, doubts, broad)}
    return hearing, Question(line, names, doubts, leanings)


def decide(question: Question, weights: Sequence[Weight]) -> Integers:
    """The names once every doubtful note has been decided by weighing the evidence about it."""
    doubts = question.doubts
    if len(doubts) == 0:
        return question.names
    leaning = np.concatenate([weigh(evidence, weights) for evidence in question.evidence()])
    settled = _agree(question.line, doubts, leaning)
    decided = question.names.copy()
    decided[doubts.index] = doubts.sharper - 12 * (settled <= 0)
    return decided


def timeline(notes: Sequence[TimedNote]) -> tuple[Integers, Timeline]:
    """The order of onset and pitch, and the notes in that order. Raises SpellingError as spell_by_context does."""
    times = np.stack([np.fromiter((note[part] for note in notes), np.float64, len(notes)) for part in (0, 1)])
    midi = np.fromiter((note[2] for note in notes), np.int64, len(notes))
    if not np.isfinite(times).all() or np.abs(times).max() * TICKS > _FARTHEST_TICK:
        raise SpellingError("a note's onset or duration is not a usable number of quarters")
    if midi.min() < 0 or midi.max() > 127:
        wrong = midi[(midi < 0) | (midi > 127)][0]
        raise SpellingError(f"{wrong} is not a MIDI note number", hint="give numbers from 0 to 127 (60 = C4)")
    ticks = np.rint(times * TICKS).astype(np.int64)
    order = np.lexsort((midi, ticks[0]))
    starts = ticks[0, order]
    return order, Timeline(starts, starts + np.maximum(ticks[1, order], 0), midi[order])


def is_unaccompanied(line: Timeline) -> bool:
    """True when notes practically never sound together (grace notes and touching ends aside)."""
    if len(line.ticks) < 2:
        return True
    real = line.ends > line.ticks
    struck = (np.diff(line.ticks) == 0) & real[1:] & real[:-1]
    held = line.ends[:-1] > line.ticks[1:]
    return bool(struck.mean() < weight("struck together") and held.mean() < weight("held over"))


def _candidates(line: Timeline, hearing: Hearing) -> tuple[Integers, Floats, Integers]:
    """The likeliest name of each note, its chance, and the sharper of it and its better rival 12 fifths away."""
    rows, best = np.arange(len(line.midi)), hearing.chance.argmax(axis=1)
    with_ends = np.pad(hearing.chance, ((0, 0), (1, 1)), constant_values=-1.0)
    is_flatter = with_ends[rows, best + 2] >= with_ends[rows, best]
    name = names_of()[line.pitch_class, best]
    return name, hearing.chance[rows, best], name + 12 * is_flatter


def _log_odds(line: Timeline, doubts: Doubts, hearing: Hearing) -> Floats:
    """How much more the keys expect the sharper name than the flatter, as log-odds."""
    first = names_of()[line.pitch_class[doubts.index], 0]
    column = (doubts.sharper - first) // 12
    chance = np.log(hearing.chance[doubts.index] + 1e-12)
    rows = np.arange(len(doubts))
    return np.asarray(chance[rows, column] - chance[rows, column - 1], dtype=np.float64)


def _agree(line: Timeline, doubts: Doubts, leaning: Floats) -> Floats:
    """Leanings after octaves of one onset have been added up and repeats of a pitch class have drawn together."""
    moment = line.ticks[doubts.index] * 12 + line.pitch_class[doubts.index]
    groups, group = np.unique(moment, return_inverse=True)
    alone: Floats = np.bincount(group, weights=leaning).astype(np.float64)
    drawn = alone
    for _ in range(2):
        drawn = alone + _repeats(groups, np.tanh(drawn / 2))
    return np.asarray(drawn[group], dtype=np.float64)


def _repeats(groups: Integers, certainty: Floats) -> Floats:
    """The pull of the same pitch class a little earlier or later, on each (onset, pitch class)."""
    ticks, pitch_class = groups // 12, groups % 12
    within = weight("repeated within") * TICKS
    pull = np.zeros(len(groups))
    for offset in range(1, min(int(weight("repeats seen")) + 1, len(groups))):
        wait = ticks[offset:] - ticks[:-offset]
        same = (pitch_class[offset:] == pitch_class[:-offset]) & (wait <= within)
        strength = same * weight("repeated name") * np.exp(-wait / within)
        pull[offset:] += strength * certainty[:-offset]
        pull[:-offset] += strength * certainty[offset:]
    return pull
