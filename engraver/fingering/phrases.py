"""The neighbours of every note in its voice and chord: what editors' habits look at."""

from fractions import Fraction
from itertools import pairwise

import numpy as np

from engraver.fingering.habits import STRINGS, Numbers
from engraver.fingering.note_habits import Line, interval_class
from engraver.fingering.search import Event
from engraver.fingering.surroundings import surroundings_of
from engraver.fretboard.tuning import Instrument
from engraver.theory.passage import Passage

_LENGTH_STEPS = (Fraction(1, 8), Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2))
_FAST, _SLOW = Fraction(1, 2), Fraction(1)  # quarters from one event to the next
_ALONE, _LOWEST, _INNER, _HIGHEST = range(4)


def line_of(passage: Passage, instrument: Instrument, events: tuple[Event, ...]) -> Line:
    """Every note with its classes; rows in the passage's order."""
    midis = np.array([n.pitch.sounding_midi for n in passage.notes], np.int32)
    before, after = _neighbours(passage)
    before_that = np.where(before >= 0, before[before], -1)
    after_that = np.where(after >= 0, after[after], -1)
    below, above, role, size = _chords(len(midis), events)
    length = [sum(n.duration_quarters > step for step in _LENGTH_STEPS) for n in passage.notes]
    beat = passage.metre.beat_quarters
    frets = _frets(midis, instrument)
    return Line(
        frets=frets,
        before=_interval(midis, before, 1),
        after=_interval(midis, after, -1),
        before_that=_interval(midis, before_that, 1),
        after_that=_interval(midis, after_that, -1),
        below=_interval(midis, below, 1),
        above=_interval(midis, above, -1),
        length=np.array(length, np.int32),
        beat=np.array([_beat_class(n.onset_quarters, beat) for n in passage.notes], np.int32),
        role=role,
        size=size,
        around=surroundings_of(midis, frets, events),
    )


def paces(passage: Passage, events: tuple[Event, ...]) -> Numbers:
    """How fast each event follows the one before: 0 slow, 1, 2 fast."""
    onsets = [passage.notes[_first_new(e)].onset_quarters for e in events]
    gaps = [Fraction(4), *(b - a for a, b in pairwise(onsets))]
    return np.array([0 if gap >= _SLOW else 1 if gap >= _FAST else 2 for gap in gaps], np.int32)


def _first_new(event: Event) -> int:
    return next(i for i, s in zip(event.notes, event.sounds, strict=True) if not s.held)


def _beat_class(onset: Fraction, beat: Fraction) -> int:
    """0 on the beat, 1 half-way, 2 elsewhere."""
    parts = (onset / beat).denominator
    return min(parts - 1, 2)


def _frets(midis: Numbers, instrument: Instrument) -> Numbers:
    """The fret of each note on strings 1-6, -1 where it does not lie."""
    opens: list[int] = [*instrument.tuning.open_midis[:STRINGS]]
    opens += [0] * (STRINGS - len(opens))
    frets = midis[:, None] - np.array(opens)[None, :]
    return np.where((frets >= 0) & (frets <= instrument.highest_fret), frets, -1).astype(np.int32)


def _interval(midis: Numbers, other: Numbers, sign: int) -> Numbers:
    """Interval class from each note's neighbour to the note (sign 1) or from the note on (sign -1)."""
    return interval_class(sign * (midis - midis[other]), other >= 0)


def _neighbours(passage: Passage) -> tuple[Numbers, Numbers]:
    """Each note's nearest note in the event before and after it in the same voice, -1 where there is none."""
    count = len(passage.notes)
    before, after = np.full(count, -1, np.int32), np.full(count, -1, np.int32)
    groups = passage.events
    for out, ordered in ((before, groups), (after, groups[::-1])):
        last: dict[int, list[int]] = {}
        for group in ordered:
            voices: dict[int, list[int]] = {}
            for i in group:
                voices.setdefault(passage.notes[i].voice, []).append(i)
            for voice, members in voices.items():
                for i in members:
                    if voice in last:
                        out[i] = _nearest(passage, i, last[voice])
            last.update(voices)
    return before, after


def _nearest(passage: Passage, index: int, others: list[int]) -> int:
    """The note of a chord whose pitch lies nearest."""
    if len(others) == 1:
        return others[0]
    midi = passage.notes[index].pitch.sounding_midi
    return min(others, key=lambda o: abs(passage.notes[o].pitch.sounding_midi - midi))


def _chords(count: int, events: tuple[Event, ...]) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    """For each note at its onset: the next lower and higher sounding note (-1 = none), its role, and how many start."""
    below, above, role, size = (np.full(count, -1, np.int32) for _ in range(4))
    for event in events:
        new = [not s.held for s in event.sounds]
        last = len(event.notes) - 1
        for at, i in enumerate(event.notes):
            if not new[at]:
                continue
            below[i] = event.notes[at - 1] if at else -1
            above[i] = event.notes[at + 1] if at < last else -1
            role[i] = _ALONE if not last else _LOWEST if not at else _HIGHEST if at == last else _INNER
            size[i] = min(sum(new), 5)
    return below, above, role, size
