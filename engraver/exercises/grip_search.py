"""Grips for tunings that the table of grips does not know: found on the neck, from the nut upwards."""

from collections.abc import Iterator
from itertools import product

from engraver.fretboard.tuning import Instrument
from engraver.theory.pitch import PitchName

_WIDEST = 4
"""Frets under one hand without a stretch: one a finger (common practice)."""
_FEWEST_STRINGS = 4
"""A thumb and three fingers want a string each."""

Frets = tuple[int | None, ...]
"""What each string sounds, the lowest string first; None is a string that stays silent."""


def find_grip(names: tuple[PitchName, ...], instrument: Instrument) -> Frets | None:
    """The grip of a chord nearest the nut: its root in the bass, all its notes, on neighbouring strings to the first.

    `names` from the root up. Of the grips in one place the one with the lowest root, then with the fewest fingers, then
    the lowest frets. None where four fingers find none. Source: chosen by us, after the common open grips.
    """
    for lowest in range(1, instrument.highest_fret - _WIDEST + 2):
        found = [
            (start, _stopped(frets), sum(frets), frets)
            for start in range(instrument.string_count - _FEWEST_STRINGS + 1)
            for frets in _grips(names, instrument, start, lowest)
        ]
        if found:
            start, _, _, frets = min(found)
            return (None,) * start + frets
    return None


def _grips(names: tuple[PitchName, ...], instrument: Instrument, start: int, lowest: int) -> Iterator[tuple[int, ...]]:
    """The grips on the strings from number `start` (0 = the lowest) upwards, open or from fret `lowest`."""
    opens = instrument.tuning.open_midis[::-1][start:]
    classes = [name.pitch_class for name in names]
    choices = [
        [
            fret
            for fret in (0, *range(lowest, lowest + _WIDEST))
            if (midi + fret) % 12 in (classes if at else classes[:1])
        ]
        for at, midi in enumerate(opens)
    ]
    for frets in product(*choices):
        sounding = [midi + fret for midi, fret in zip(opens, frets, strict=True)]
        if (
            _stopped(frets) <= _WIDEST
            and {midi % 12 for midi in sounding} == set(classes)
            and sounding == sorted(set(sounding))
        ):
            yield frets


def _stopped(frets: tuple[int, ...]) -> int:
    """How many strings a finger stops."""
    return sum(fret > 0 for fret in frets)
