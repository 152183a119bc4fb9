"""What lies around each note of a passage, as far as it tells where the hand will be.

Which strings its neighbours usually take, so that a broken chord may ring; how far up the neck the notes around must
go; and how many of them a hand at each position would cover.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from engraver.fingering.search import Event

Numbers = npt.NDArray[np.int32]

MOST_RINGING, MOST_STEPPING = 3, 2
POSITIONS = 16
"""Positions told apart; 0 stands for none."""
_HAND = 3  # frets beyond the position that a hand covers without stretching
_LEAP = 3  # semitones: from here on neighbours belong to a broken chord rather than to a scale
_BROKEN = 3  # events within which the notes of a broken chord are heard together
_NEXT_NOTES = 15  # in so many notes ahead all of the next events are found, chords included
_LEAPS_AROUND, _LEAP_STEPS = 7, (2, 4)  # of seven intervals: a line, a mixture, a broken chord
_NEAR, _FAR = 2, 8  # events to each side
_COVER_NEAR, _COVER_FRETTED, _COVER_FAR = 3, 5, 8
_LOSS_STEPS = (0.001, 0.12, 0.25, 0.4)  # share of the notes around that the best position covers and this one does not
_REGISTER = 0.9
_NOWHERE = 99


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What lies around every note, one row a note.

    `ringing`, `stepping` (notes x strings): neighbours that leap from the note or step to it and usually lie on that
    string, at most 3 and 2; `leaping`: 0 in a line, 1, 2 in a broken chord; `near`, `far`: the fret that the notes
    around need at least; `register`: the fret that nine tenths of the passage need at most; `covered`, `covered_far`,
    `fretted` (notes x positions): 0 where no position covers more of the notes around, to 4 where another covers far
    more.
    """

    ringing: Numbers
    stepping: Numbers
    leaping: Numbers
    near: Numbers
    far: Numbers
    register: Numbers
    covered: Numbers
    covered_far: Numbers
    fretted: Numbers


def surroundings_of(midis: Numbers, frets: Numbers, events: "tuple[Event, ...]") -> Surroundings:
    """What lies around the notes with these pitches and frets (notes x strings, -1 where a note does not lie)."""
    event = _event_of(len(midis), events)
    there = np.where(frets >= 0, frets, _NOWHERE)
    lowest = there.min(1)
    ringing, stepping = _neighbours(midis, there.argmin(1), event)
    needed = _highest_by_event(lowest, event)
    covered, covered_far, fretted = _covered(frets, event)
    return Surroundings(
        ringing=np.minimum(ringing, MOST_RINGING),
        stepping=np.minimum(stepping, MOST_STEPPING),
        leaping=_leaping(_highest_by_event(midis, event))[event],
        near=_highest_around(needed, _NEAR)[event],
        far=_highest_around(needed, _FAR)[event],
        register=np.full(len(midis), int(np.quantile(lowest, _REGISTER)), np.int32),
        covered=covered,
        covered_far=covered_far,
        fretted=fretted,
    )


def _event_of(count: int, events: "tuple[Event, ...]") -> Numbers:
    """The event at which each note starts."""
    out = np.zeros(count, np.int32)
    for number, event in enumerate(events):
        for i, sound in zip(event.notes, event.sounds, strict=True):
            if not sound.held:
                out[i] = number
    return out


def _neighbours(midis: Numbers, usual: npt.NDArray[np.intp], event: Numbers) -> tuple[Numbers, Numbers]:
    """For each note and string: neighbours of a broken chord, and steps of a line, that usually lie on it."""
    ringing, stepping = (np.zeros((len(midis), 6), np.int32) for _ in range(2))
    order = np.argsort(event, kind="stable")
    for ahead in range(1, min(_NEXT_NOTES + 1, len(midis))):
        a, b = order[:-ahead], order[ahead:]
        apart, interval = event[b] - event[a], np.abs(midis[b] - midis[a])
        broken = (apart >= 1) & (apart <= _BROKEN) & (interval >= _LEAP)
        step = (apart == 1) & (interval > 0) & (interval < _LEAP)
        for found, of in ((ringing, broken), (stepping, step)):
            np.add.at(found, (a[of], usual[b[of]]), 1)
            np.add.at(found, (b[of], usual[a[of]]), 1)
    return ringing, stepping


def _leaping(top: Numbers) -> Numbers:
    """For each event, how much the highest notes around it leap."""
    leaps = (np.abs(np.diff(top, prepend=top[:1])) >= _LEAP).astype(np.int32)
    around = _sums_around(leaps[:, None], _LEAPS_AROUND // 2)[:, 0]
    return np.searchsorted(np.array(_LEAP_STEPS), around).astype(np.int32)


def _highest_by_event(values: Numbers, event: Numbers) -> Numbers:
    out = np.zeros(int(event.max()) + 1, np.int32)
    np.maximum.at(out, event, values)
    return out


def _highest_around(values: Numbers, width: int) -> Numbers:
    """The highest value among so many neighbours to each side."""
    out = values.copy()
    for away in range(1, min(width + 1, len(values))):
        out[away:] = np.maximum(out[away:], values[:-away])
        out[:-away] = np.maximum(out[:-away], values[away:])
    return out


def _covered(frets: Numbers, event: Numbers) -> tuple[Numbers, ...]:
    """How much each position leaves uncovered: of the notes near and far, and of the fretted notes between."""
    positions, fret = np.arange(POSITIONS), frets[:, :, None]
    under = ((fret > 0) & (fret >= positions) & (fret <= positions + _HAND)).any(1)
    openly = (frets == 0).any(1)[:, None]
    started = np.bincount(event).astype(np.int32)[:, None]
    kinds = ((_COVER_NEAR, under | openly), (_COVER_FAR, under | openly), (_COVER_FRETTED, under & ~openly))
    return tuple(_losses(notes, event, started, width)[event] for width, notes in kinds)


def _losses(notes: npt.NDArray[np.bool_], event: Numbers, started: Numbers, width: int) -> Numbers:
    """For each event and position: the class of what it leaves uncovered that another position would cover."""
    sums = np.zeros((len(started), POSITIONS), np.int32)
    np.add.at(sums, event, notes)
    share = _sums_around(sums, width) / np.maximum(_sums_around(started, width), 1)
    loss = share[:, 1:].max(1, keepdims=True) - share
    found: Numbers = np.searchsorted(np.array(_LOSS_STEPS), loss).astype(np.int32)
    return found


def _sums_around(values: Numbers, width: int) -> Numbers:
    """For each row the sum of so many rows to each side and itself."""
    total: Numbers = np.cumsum(np.pad(values, ((width + 1, width), (0, 0))), 0, dtype=np.int32)
    found: Numbers = total[2 * width + 1 :] - total[: -2 * width - 1]
    return found
