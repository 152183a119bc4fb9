"""What the hand remembers beyond its last grip: fingers that still lie on a chord, and notes it has played before."""

from typing import TYPE_CHECKING

import numpy as np

from engraver.fingering.grips import FINGER_COUNT, Floats

if TYPE_CHECKING:
    from engraver.fingering.search import Search

_SMALLEST_LEAP = 3  # semitones; a line that leaps outlines a chord whose fingers stay down
_LONGEST_MEMORY = 8  # events


def remembered_costs(search: "Search", path: list[int]) -> dict[int, Floats]:
    """Extra costs for the next search: per event, one cost per grip. Empty when nothing is remembered."""
    row = next(r for r in search.table.remembering if r.name == "finger_called_back")
    out: dict[int, Floats] = {}
    lying: dict[int, tuple[int, int, int]] = {}  # finger -> string, fret, event
    for number, chosen in enumerate(path):
        grips = search.grips(number)
        if number and not _leaps(search, number):
            lying = {}
        extra = np.zeros(grips.count, np.float32)
        for finger, (string, fret, when) in lying.items():
            if when == number - 1 or number - when > _LONGEST_MEMORY:
                continue
            at, on = grips.grips.finger_string[:, finger - 1], grips.grips.finger_fret[:, finger - 1]
            away = np.maximum(np.abs(at - string) - 1, 0)
            extra += np.float32(row.value) * np.where((on > 0) & ((on != fret) | (finger > 1)), away, 0)
        if extra.any():
            out[number] = extra
        for finger in range(1, FINGER_COUNT + 1):
            fret = int(grips.grips.finger_fret[chosen, finger - 1])
            if fret:
                lying[finger] = (int(grips.grips.finger_string[chosen, finger - 1]), fret, number)
    return out


def _leaps(search: "Search", number: int) -> bool:
    """True when a single line leaps into this event."""
    a, b = search.events[number - 1].sounds, search.events[number].sounds
    return len(a) == len(b) == 1 and abs(b[0].midi - a[0].midi) >= _SMALLEST_LEAP


def remembered_account(search: "Search", path: list[int]) -> list[tuple[str, float, int]]:
    """What the path itself pays for calling fingers back: (name, cost, event)."""
    extra = remembered_costs(search, path)
    return [
        ("finger_called_back", float(costs[path[number]]), number)
        for number, costs in sorted(extra.items())
        if costs[path[number]]
    ]
