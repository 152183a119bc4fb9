"""Habits of moving from one grip to the next: the numbers of their weights, and tables that look them up at once.

A move is described by where its leading note, its lowest finger and each finger lie before and after, by how far the
hand travels, and by the held notes that would change their place.
"""

from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from engraver.fingering.grips import FINGER_COUNT, Floats, Grips
from engraver.fingering.habits import FINGERS, MOVE_FAMILIES, OFFSETS, STRINGS, Numbers, Weights

_FRETS = 20  # higher frets are looked up as the last
_PLACES = 1 + _FRETS * STRINGS  # of one finger: unused, or a fret on a string
_POSITIONS = 24
_PACES = 3
_LEAD_WIDE, _LEAD_NEAR, _TRAVEL, _FINGER_1 = range(4)
_LOW, _MOVED = _FINGER_1 + FINGER_COUNT, _FINGER_1 + FINGER_COUNT + 1


class MoveSide(NamedTuple):
    """What a move asks of one side's grips; arrays whose last axes broadcast against the other side's."""

    lead_finger: Any
    lead_fret: Any
    lead_string: Any
    position: Any
    fretted: Any
    low_finger: Any
    low_fret: Any
    low_string: Any
    finger_fret: Any  # four arrays, finger 1 first
    finger_string: Any


def move_numbers(a: MoveSide, b: MoveSide, pace: Any, moved: Any) -> list[Numbers]:
    """For each move family, the weight's number for every move.

    `pace`: 0 slow to 2 fast; `moved`: held notes that would change their place.
    """
    raw = [
        *_lead_numbers(a, b),
        (_travel_numbers(a, b) * 2 + (a.lead_string == b.lead_string)) * _PACES + pace,
        *(_finger_numbers(a, b, finger) for finger in range(FINGER_COUNT)),
        _low_numbers(a, b),
        np.minimum(moved, 3),
    ]
    return [(numbers + np.int32(OFFSETS[family.name])) for family, numbers in zip(MOVE_FAMILIES, raw, strict=True)]


def _lead_numbers(a: MoveSide, b: MoveSide) -> tuple[Any, Any]:
    """The leading note: fingers with its way across the neck, and nearby with the string kept or not."""
    fret, string = b.lead_fret - a.lead_fret, b.lead_string - a.lead_string
    fingers = a.lead_finger * FINGERS + b.lead_finger
    wide = (fingers * 17 + np.clip(fret, -8, 8) + 8) * 9 + np.clip(string, -4, 4) + 4
    return wide, (fingers * 2 + (string == 0)) * 9 + np.clip(fret, -4, 4) + 4


def _travel_numbers(a: MoveSide, b: MoveSide) -> Any:
    """Frets the hand travels, with the sides on which all strings are open."""
    free = (a.fretted == 0) * 2 + (b.fretted == 0)
    return (np.clip(b.position - a.position, -10, 10) + 10) * 4 + free


def _finger_numbers(a: MoveSide, b: MoveSide, finger: int) -> Any:
    """Where one finger goes that is used on both sides."""
    used = (a.finger_fret[finger] > 0) & (b.finger_fret[finger] > 0)
    across = np.clip(b.finger_string[finger] - a.finger_string[finger], -3, 3) + 3
    along = np.clip(b.finger_fret[finger] - a.finger_fret[finger], -5, 5) + 5
    return np.where(used, across * 11 + along, 77)


def _low_numbers(a: MoveSide, b: MoveSide) -> Any:
    """The lowest fretting finger and the lowest string."""
    fret = np.clip(b.low_fret - a.low_fret, -5, 5) + 5
    string = np.clip(b.low_string - a.low_string, -3, 3) + 3
    return ((a.low_finger * FINGERS + b.low_finger) * 11 + fret) * 7 + string


class MoveTables(NamedTuple):
    """The weights of moves by the places before and after; every axis a place, a pair of them an entry.

    `lead`, `low`: by finger, fret and string; `fingers`: by fret and string; `travel`: by position and open hand, then
    by string kept and pace.
    """

    lead: Floats
    low: Floats
    fingers: tuple[Floats, ...]
    travel: Floats
    moved: Floats

    def scores(self, a: Grips, b: Grips, paces: Any, moved: Any) -> Floats:
        """The scores of moves from earlier to later grips (moves x earlier x later).

        `a`, `b`: batches of grips (moves x grips); `paces`: moves x 1 x 1; `moved`: as the scores.
        """
        total = _looked_up(self.lead, *(_placed(g.lead_finger, g.lead_fret, g.lead_string) for g in (a, b)))
        total += _looked_up(self.low, *(_placed(g.low_finger, g.low_fret, g.low_string) for g in (a, b)))
        for at, table in enumerate(self.fingers):
            sides = [_place(g.finger_fret[..., at], g.finger_string[..., at]) for g in (a, b)]
            if all(side.any() for side in sides):
                total += _looked_up(table, *sides)
            else:
                total += table[0, 0]
        kept = a.lead_string[:, :, None] == b.lead_string[:, None, :]
        hands = [np.minimum(g.position, _POSITIONS - 1).astype(np.intp) * 2 + (g.fretted == 0) for g in (a, b)]
        ways = hands[0][:, :, None] * (2 * _POSITIONS) + hands[1][:, None, :]
        total += self.travel.take(ways * (2 * _PACES) + (kept * _PACES + paces))
        total += self.moved[np.minimum(moved, 3)]
        return total


def _place(fret: Any, string: Any) -> Any:
    """The number of a finger's place; 0 = unused."""
    found = (np.minimum(fret, _FRETS).astype(np.intp) - 1) * STRINGS + np.minimum(string, STRINGS)
    return np.where(fret > 0, found, 0)


def _placed(finger: Any, fret: Any, string: Any) -> Any:
    """The number of a finger (0 = open) with its fret and string."""
    fretted = (np.minimum(fret, _FRETS).astype(np.intp) - 1) * FINGER_COUNT + finger
    return np.where(finger > 0, fretted, 0) * STRINGS + np.minimum(string, STRINGS) - 1


def _looked_up(table: Floats, earlier: Any, later: Any) -> Floats:
    """Entries of a table for every pair of places of each move."""
    found: Floats = table.take((earlier * table.shape[1])[:, :, None] + later[:, None, :])
    return found


@lru_cache(maxsize=2)
def _kept(key: bytes) -> MoveTables:
    return _tables(np.frombuffer(key, np.float32))


def move_tables(weights: Weights) -> MoveTables:
    """The tables of these weights."""
    return _kept(weights.tobytes())


def _tables(weights: Weights) -> MoveTables:
    lead, low, finger, hand = _lead_side(), _low_side(), _finger_side(), _hand_side()

    def worth(family: int, numbers: Any) -> Floats:
        found: Floats = weights[numbers + OFFSETS[MOVE_FAMILIES[family].name]]
        return found

    wide, near = _lead_numbers(_across(lead), lead)
    one = _finger_numbers(_across(finger), finger, 0)
    travel = _travel_numbers(_across(hand), hand)[..., None] * (2 * _PACES) + np.arange(2 * _PACES)
    return MoveTables(
        lead=worth(_LEAD_WIDE, wide) + worth(_LEAD_NEAR, near),
        low=worth(_LOW, _low_numbers(_across(low), low)),
        fingers=tuple(worth(_FINGER_1 + f, one) for f in range(FINGER_COUNT)),
        travel=worth(_TRAVEL, travel),
        moved=worth(_MOVED, np.arange(4)),
    )


def _side(**fields: Any) -> MoveSide:
    """A side of which only some fields are asked."""
    nothing: dict[str, Any] = dict.fromkeys(MoveSide._fields, 0)
    return MoveSide(**{**nothing, **fields})


def _across(side: MoveSide) -> MoveSide:
    """The side as the earlier one: its values down, the later one's across."""
    return MoveSide(*(_down(field) for field in side))


def _down(values: Any) -> Any:
    """Arrays turned from across to down, also within a list."""
    if isinstance(values, list):
        return [_down(v) for v in values]
    return values[:, None] if isinstance(values, np.ndarray) else values


def _lead_side() -> MoveSide:
    fingers, frets, strings = _all_placed()
    return _side(lead_finger=fingers, lead_fret=frets, lead_string=strings)


def _low_side() -> MoveSide:
    fingers, frets, strings = _all_placed()
    return _side(low_finger=fingers, low_fret=frets, low_string=strings)


def _all_placed() -> tuple[Any, Any, Any]:
    """Every finger, fret and string in the order of `_placed`."""
    hands = np.repeat(np.arange(1 + _FRETS * FINGER_COUNT, dtype=np.int16), STRINGS)
    fingers = np.where(hands, (hands - 1) % FINGER_COUNT + 1, 0)
    frets = np.where(hands, (hands - 1) // FINGER_COUNT + 1, 0)
    strings = np.tile(np.arange(1, STRINGS + 1, dtype=np.int16), 1 + _FRETS * FINGER_COUNT)
    return fingers, frets, strings


def _finger_side() -> MoveSide:
    """Every place of one finger in the order of `_place`."""
    places = np.arange(_PLACES, dtype=np.int16)
    frets, strings = np.where(places, (places - 1) // STRINGS + 1, 0), np.where(places, (places - 1) % STRINGS + 1, 0)
    return _side(finger_fret=[frets], finger_string=[strings])


def _hand_side() -> MoveSide:
    """Every position, with a fretting and an open hand, in the order the tables are read in."""
    states = np.arange(2 * _POSITIONS)
    return _side(position=states // 2, fretted=1 - states % 2)
