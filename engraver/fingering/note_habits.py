"""Habits of single notes: which strings and fingers editors tend to give a note, by its place and its surroundings."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from engraver.fingering.habits import (
    FINGERS,
    FRETS,
    HEIGHTS,
    INTERVALS,
    LEAP,
    LOSSES,
    NEED_AWAY,
    NOTE_FAMILIES,
    OFFSETS,
    PLACES,
    SIZES,
    STRINGS,
    TEXTURES,
    Numbers,
    Weights,
)
from engraver.fingering.surroundings import Surroundings

_NOWHERE = 99  # beyond every fret
_REGIONS = (0, 2, 4, 6, 9)  # last frets of five regions of the neck; the sixth has no end
_FIRST_FRETS, _RARELY = 2, 0.1
_HEIGHTS = (1, 4, 7)  # last positions of three regions


@dataclass(frozen=True, slots=True)
class Line:
    """Every note of a passage as habits see it, one row a note.

    Intervals in semitones to the neighbours of the same voice and chord (`None` = 0, else the interval + 13). `length`,
    `beat`, `role` (0 alone, 1 lowest, 2 inner, 3 highest) and `size` are classes; `frets`: by string 1-6, -1 where the
    note does not lie.
    """

    frets: Numbers  # notes x strings
    before: Numbers
    after: Numbers
    before_that: Numbers
    after_that: Numbers
    below: Numbers
    above: Numbers
    length: Numbers
    beat: Numbers
    role: Numbers
    size: Numbers
    around: Surroundings


def interval_class(semitones: Numbers, known: npt.NDArray[np.bool_]) -> Numbers:
    """Intervals as classes, 0 where there is none."""
    return np.where(known, np.clip(semitones, -LEAP, LEAP) + LEAP + 1, 0).astype(np.int32)


def note_numbers(line: Line) -> list[Numbers]:
    """For each note family, the weight's number for every note, string and finger (notes x 6 x 5)."""
    raw = [*_of_the_line(line), *_of_the_surroundings(line)]
    return [
        (numbers + OFFSETS[family.name]).astype(np.int32) for family, numbers in zip(NOTE_FAMILIES, raw, strict=True)
    ]


def note_scores(line: Line, weights: Weights) -> Weights:
    """The score of every note on every string under every finger (notes x 6 x 5)."""
    total = np.zeros((line.frets.shape[0], STRINGS, FINGERS), np.float32)
    for numbers in note_numbers(line):
        total += weights[numbers]
    return total


def places_printed(line: Line, printed: tuple[float, ...]) -> Weights:
    """For every note and string, how readily an editor prints that string; 0 where the note does not lie."""
    found = np.array(printed, np.float32)[np.minimum(_ranks(line.frets), len(printed) - 1)]
    return np.where(line.frets >= 0, found, np.float32(0))


def readiness(line: Line, printed: tuple[float, ...]) -> Weights:
    """For every note and string, how readily an editor prints that string, there and among those surroundings.

    Where all notes around lie on the first two frets hardly a string is printed: one mark for 38 notes that may be
    expected away from the nut, elsewhere one for three or four (counted on openly licensed scores).
    """
    alone = np.where(line.around.far <= _FIRST_FRETS, np.float32(_RARELY), np.float32(1))
    found: Weights = places_printed(line, printed) * alone[:, None]
    return found


def _of_the_line(line: Line) -> list[Any]:
    """By the note's place, its neighbours, its length and its part in the chord."""
    fret, string = np.clip(line.frets, 0, FRETS - 1)[:, :, None], np.arange(STRINGS)[None, :, None]
    before, after, is_open = _wide(line.before), _wide(line.after), fret == 0
    return [
        _with_finger(string * FRETS + fret),
        _with_finger(fret),
        _with_finger(before),
        _with_finger(before * FRETS + fret),
        _with_finger(after),
        _with_finger(after * FRETS + fret),
        _with_finger(before * INTERVALS + after),
        _with_finger(_wide(line.before_that)),
        _with_finger(_wide(line.after_that)),
        _with_finger(_wide(line.length)),
        _with_finger(_wide(line.beat)),
        _with_finger(_wide(line.role) * SIZES + _wide(line.size)),
        (_wide(line.role) * STRINGS + string) * 2 + is_open,
        _with_finger(_wide(line.below)),
        _with_finger(_wide(line.above)),
        (before * STRINGS + string) * 2 + is_open,
    ]


def _of_the_surroundings(line: Line) -> list[Any]:
    """By the strings, frets and positions that the notes around ask for."""
    around, fret = line.around, np.clip(line.frets, 0, FRETS - 1)[:, :, None]
    place, is_open = np.minimum(_ranks(line.frets), PLACES - 1)[:, :, None], fret == 0
    position = np.where(is_open, 0, np.clip(fret - np.maximum(np.arange(FINGERS) - 1, 0), 0, FRETS - 1))
    height = np.searchsorted(np.array(_HEIGHTS), position)

    def by_need(need: Numbers) -> Any:
        away = np.clip(fret - _wide(need), -NEED_AWAY, NEED_AWAY) + NEED_AWAY
        return _with_finger(_region(need) * (2 * NEED_AWAY + 1) + away)

    def by_loss(losses: Numbers) -> Any:
        loss = np.take_along_axis(losses[:, None, :], position, 2)
        return _with_finger(np.where(position > 0, loss, LOSSES - 1) * HEIGHTS + height)

    return [
        ((around.ringing[:, :, None] * TEXTURES + _wide(around.leaping)) * PLACES + place) * 2 + is_open,
        (around.stepping[:, :, None] * PLACES + place) * 2 + is_open,
        by_need(around.near),
        by_need(around.far),
        (_region(around.register) * PLACES + place) * 2 + is_open,
        by_loss(around.covered),
        by_loss(around.covered_far),
        by_loss(around.fretted),
    ]


def _wide(values: Numbers) -> Numbers:
    """One value a note, for all strings and fingers."""
    return values[:, None, None]


def _with_finger(values: Any) -> Any:
    return values * FINGERS + np.arange(FINGERS)


def _region(fret: Numbers) -> Any:
    """The region of the neck, for all strings and fingers."""
    return np.searchsorted(np.array(_REGIONS), _wide(fret))


def _ranks(frets: Numbers) -> Numbers:
    """For every note and string: 0 where it lies nearest to the nut, 1 at the next place, and so on."""
    there = np.where(frets >= 0, frets, _NOWHERE)
    found: Numbers = (there[:, None, :] < there[:, :, None]).sum(-1).astype(np.int32)
    return found
