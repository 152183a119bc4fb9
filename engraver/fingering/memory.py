"""What the hand remembers beyond its last grip: fingers that still lie on a chord, and notes it has played before."""

from typing import TYPE_CHECKING

import numpy as np

from engraver.fingering.grips import Floats, Grips

if TYPE_CHECKING:
    from engraver.fingering.search import Search

_SMALLEST_LEAP = 3  # semitones; a line that leaps outlines a chord whose fingers stay down
_LONGEST_MEMORY = 5  # events: six strings hold no more notes of a chord


def remembered_costs(search: "Search", path: list[int]) -> dict[int, Floats]:
    """Extra costs for the next search: per event, one cost per grip. Empty when nothing is remembered."""
    row = next(r for r in search.table.remembering if r.name == "finger_called_back")
    out: dict[int, Floats] = {}
    lying: dict[int, tuple[int, int, int]] = {}  # finger -> string, fret, event
    for number, chosen in enumerate(path):
        grips = search.grips(number).grips
        if number and not _leaps(search, number):
            lying = {}
        earlier = {f: at for f, at in lying.items() if number - _LONGEST_MEMORY <= at[2] < number - 1}
        if earlier:
            extra = np.float32(row.value) * _called_back(grips, earlier)
            if extra.any():
                out[number] = extra
        used = int(grips.low_finger[chosen])
        if used and grips.low_finger[chosen] == grips.high_finger[chosen]:
            lying[used] = (int(grips.low_string[chosen]), int(grips.low_fret[chosen]), number)
        elif used:
            lying = {}
    return out


def _called_back(grips: Grips, lying: dict[int, tuple[int, int, int]]) -> Floats:
    """Strings beyond one that a lying finger would have to cross, for each grip of a single note."""
    total = np.zeros(grips.position.shape[0], np.float32)
    for finger, (string, fret, _) in lying.items():
        here = grips.lead_finger == finger
        if finger == 1:
            here = here & (grips.lead_fret != fret)
        total += here * np.maximum(np.abs(grips.lead_string - string) - 1, 0)
    return total


def _leaps(search: "Search", number: int) -> bool:
    """True when a single line leaps into this event."""
    a, b = search.events[number - 1].sounds, search.events[number].sounds
    return len(a) == len(b) == 1 and abs(b[0].midi - a[0].midi) >= _SMALLEST_LEAP
