"""Double stops remember their shapes: two notes as far apart as before, on the same strings, take the same fingers."""

from typing import TYPE_CHECKING, Any

import numpy as np

from engraver.fingering.costs import remembering
from engraver.fingering.grips import Floats, GripSet, Ints

if TYPE_CHECKING:
    from engraver.fingering.search import Search

_Shape = tuple[int, int, int]  # the two strings, and by how many frets the second lies above the first
_Fingers = tuple[int, int]


def shape_costs(search: "Search", path: list[int]) -> dict[int, Floats]:
    """Per event what its grips cost that finger a shape otherwise than the path did at first. Empty without shapes."""
    known: dict[_Shape, _Fingers] = {}
    for number, row in enumerate(path):
        if _is_double_stop(search, number):
            strings, apart, fingers, counts = (values[row] for values in _shapes(search.grips(number)))
            if counts:
                known.setdefault((*strings.tolist(), int(apart)), tuple(fingers.tolist()))
    if not known:
        return {}
    value = np.float32(remembering(search.table, "shape_refingered").value)
    numbers = (number for number in range(len(path)) if _is_double_stop(search, number))
    costs = {number: value * _otherwise(search.grips(number), known) for number in numbers}
    return {number: cost for number, cost in costs.items() if cost.any()}


def _is_double_stop(search: "Search", number: int) -> bool:
    sounds = search.events[number].sounds
    return len(sounds) == 2 and not any(sound.held for sound in sounds)


def _shapes(grips: GripSet) -> tuple[Ints, Ints, Ints, Any]:
    """Strings, frets apart and fingers of every grip of two notes, and whether it is a shape that moves.

    In first position fingers follow the frets, and beside an open string there is nothing to keep.
    """
    moves = grips.fingers.all(1) & (grips.grips.position > 1)
    return grips.strings, grips.frets[:, 1] - grips.frets[:, 0], grips.fingers, moves


def _otherwise(grips: GripSet, known: dict[_Shape, _Fingers]) -> Floats:
    """1 for each grip whose shape is known by other fingers, else 0."""
    strings, apart, fingers, moves = _shapes(grips)
    out = np.zeros(grips.count, np.float32)
    for (lower, upper, frets), usual in known.items():
        alike = (strings[:, 0] == lower) & (strings[:, 1] == upper) & (apart == frets) & moves
        out += alike & (fingers != np.array(usual)).any(1)
    return out
