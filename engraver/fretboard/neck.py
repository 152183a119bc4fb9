"""Where a pitch lies on the neck, and how many millimetres separate two frets."""

from dataclasses import dataclass
from functools import cache

from engraver.fretboard.tuning import Instrument
from engraver.theory.pitch import Midi

_FRETS_TO_THE_OCTAVE = 12


@dataclass(frozen=True, slots=True, order=True)
class Spot:
    """A place on the neck: `string` 1 = highest sounding, `fret` 0 = open (or at the capo)."""

    string: int
    fret: int


@cache
def spots(instrument: Instrument, sounding_midi: Midi) -> tuple[Spot, ...]:
    """Every place where the pitch can be played, from string 1 down; empty when the neck has none."""
    found = []
    for string, open_midi in enumerate(instrument.tuning.open_midis, start=1):
        fret = sounding_midi - open_midi
        if 0 <= fret <= instrument.highest_fret:
            found.append(Spot(string, fret))
    return tuple(found)


@cache
def fret_mm(instrument: Instrument, fret: int) -> float:
    """Distance of a fret from the nut in millimetres; frets are counted from the capo.

    Source: equal temperament, L (1 - 2^(-n/12)); fret 12 halves the string.
    """
    counted_from_nut = fret + instrument.capo
    return float(instrument.scale_length_mm * (1.0 - 2.0 ** (-counted_from_nut / _FRETS_TO_THE_OCTAVE)))


def span_mm(instrument: Instrument, fret: int, other: int) -> float:
    """Distance in millimetres between two frets along the neck, never negative."""
    return abs(fret_mm(instrument, other) - fret_mm(instrument, fret))
