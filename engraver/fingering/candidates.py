"""Every way the hand can hold one event: strings, frets, fingers, barre, with held notes kept or let go.

A grip is listed only when it is possible: every note on its own string, no finger on two frets, no crossed
fingers, every finger pair within the player's reach, no open string under a barre.
"""

from functools import lru_cache

import numpy as np

from engraver.fingering.grip_arrays import as_arrays
from engraver.fingering.grips import FINGER_COUNT, GripSet
from engraver.fingering.holds import Hold, holds_of
from engraver.fingering.setting import Setting, Sound
from engraver.fretboard.limits import Spread

__all__ = ["Setting", "Sound", "grips_for"]


@lru_cache(maxsize=2048)
def grips_for(setting: Setting, sounds: tuple[Sound, ...], keep: int, keep_per_position: int) -> GripSet | None:
    """All playable grips of one event, or None when there is none.

    At most `keep`, the plainest `keep_per_position` of each hand position first. When every string is open the hand
    may lie in any position.
    """
    rows: list[tuple[tuple[Hold, ...], int]] = []
    highest = max(1, setting.instrument.highest_fret - FINGER_COUNT + 1)
    for holds in holds_of(setting, sounds):
        position = _hand_position(holds)
        if position == 0:
            free = range(1, highest + 1) if setting.position is None else (setting.position,)
            rows.extend((holds, p) for p in free)
        elif setting.position is None or _fits_position(holds, setting.position, setting.shape.spread):
            rows.append((holds, position if setting.position is None else setting.position))
    if not rows:
        return None
    full = as_arrays(setting, sounds, rows)
    return _plainest(full, keep, keep_per_position) if len(rows) > keep else full


def _hand_position(holds: tuple[Hold, ...]) -> int:
    """The fret under finger 1, read from the lowest finger in use; 1 at least; 0 when all strings are open."""
    used = [(finger, fret) for _, fret, finger in holds if finger]
    if not used:
        return 0
    finger, fret = min(used)
    return max(1, fret - finger + 1)


def _fits_position(holds: tuple[Hold, ...], position: int, spread: Spread) -> bool:
    """True when every finger lies on its own fret of the position, or as near to it as the book allows.

    Without further wishes finger 1 may reach one fret back and 4 one up. In a chord a finger may also lie next to its
    own fret, within the four frets of the position (common practice: A minor in first position has two on one fret).
    """
    used = [(finger, fret) for _, fret, finger in holds if finger]
    chord = len({finger for finger, _ in used}) > 1
    for finger, fret in used:
        away = fret - (position + finger - 1)
        if not away:
            continue
        if spread is Spread.ONE_PER_FRET:
            return False
        if chord and abs(away) == 1 and position <= fret < position + FINGER_COUNT:
            continue
        if spread is not Spread.FREE or (finger, away) not in ((1, -1), (FINGER_COUNT, 1)):
            return False
    return True


def _plainest(full: GripSet, keep: int, keep_per_position: int) -> GripSet:
    """The plainest grips, spread over the positions of the hand."""
    g = full.grips
    effort = g.off_fret + 3.0 * g.let_go + 2.0 * g.crossed + g.little_barre + g.stretch_mm / 10 + g.barre * 0.5
    order = np.argsort(effort, kind="stable")
    seen: dict[int, int] = {}
    first: list[int] = []
    for row in order.tolist():
        position = int(g.position[row])
        seen[position] = seen.get(position, 0) + 1
        if seen[position] <= keep_per_position:
            first.append(row)
    return full.take(np.array(first[:keep]))
