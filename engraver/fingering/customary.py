"""Customary grips: which fingers hold the chords that every method teaches (tables/grip_fingers.yaml)."""

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
from pydantic import BaseModel, ConfigDict

from engraver.fingering.grips import Floats, GripSet
from engraver.tables.loader import Table, read_table

_SILENT = "x"
_FEWEST_STRINGS = 3  # of fewer strings a grip cannot be told from another (chosen by us)

Held = Mapping[int, int]  # string -> fret, or finger


class GripFingers(BaseModel):
    """One grip: frets and fingers as written, from string 6 to string 1."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    frets: str
    fingers: tuple[str, ...]


class GripFingersTable(Table):
    """tables/grip_fingers.yaml."""

    open: tuple[GripFingers, ...]
    movable: tuple[GripFingers, ...]


def customary_fingers(held: Held) -> tuple[Held, ...]:
    """The usual ways to finger the strings held at these frets, string by string; none for a grip that is not usual.

    `held` may leave strings of the grip out, as a bar that does not pluck all of them does.
    """
    if len(held) < _FEWEST_STRINGS:
        return ()
    for frets, fingers, movable in _rows():
        lying = held[min(held)] - frets.get(min(held), 0) if movable else 0
        if lying < int(movable) or not held.keys() <= frets.keys():
            continue
        if all(fret == frets[string] + lying for string, fret in held.items()):
            return fingers
    return ()


@cache
def _rows() -> tuple[tuple[Held, tuple[Held, ...], bool], ...]:
    """Frets, fingers, and whether the grip moves; open grips first."""
    table = read_table("grip_fingers", GripFingersTable)
    return tuple(
        (_by_string(row.frets), tuple(map(_by_string, row.fingers)), movable)
        for movable, rows in ((False, table.open), (True, table.movable))
        for row in rows
    )


def _by_string(text: str) -> Held:
    """`x 3 2 0 1 0` as numbers by string."""
    marks = text.split()
    return {len(marks) - at: int(mark) for at, mark in enumerate(marks) if mark != _SILENT}


def unusual(grips: GripSet, notes: Sequence[int]) -> Floats:
    """For each grip of an event 1 where its new `notes` form a usual grip held by other fingers than usual, else 0."""
    out = np.zeros(grips.count, np.float32)
    if len(notes) < _FEWEST_STRINGS:
        return out
    for row in range(grips.count):
        strings = grips.strings[row, notes].tolist()
        ways = customary_fingers(dict(zip(strings, grips.frets[row, notes].tolist(), strict=True)))
        held = dict(zip(strings, grips.fingers[row, notes].tolist(), strict=True))
        out[row] = bool(ways) and all(any(way[s] != f for s, f in held.items()) for way in ways)
    return out
