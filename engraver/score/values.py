"""Lengths as written note values: where a note must be split and tied, where rests lie."""

from fractions import Fraction
from functools import cache

from engraver.score.model import NoteValue
from engraver.theory.rhythm import Metre

_BASES = (1, 2, 4, 8, 16, 32, 64)
_PLAIN = tuple(NoteValue(base, dots) for base in _BASES for dots in (1, 0))
"""Written values from the dotted whole note down, longest first."""


@cache
def written_values(onset: Fraction, length: Fraction, metre: Metre) -> tuple[NoteValue, ...]:
    """The values, tied to each other, that write a note of `length` quarters starting `onset` into its bar.

    A note on a beat takes the longest value that fits; a note off the beat is split at the next beat it crosses,
    except the plain syncopation of one beat from half-beat to half-beat. Source: engraving handbooks (from memory).
    """
    values: list[NoteValue] = []
    while length > 0:
        part = min(length, _uncrossed(onset, length, metre))
        value = _longest(part)
        values.append(value)
        onset += value.quarters
        length -= value.quarters
    return tuple(values)


def _uncrossed(onset: Fraction, length: Fraction, metre: Metre) -> Fraction:
    """How far a note may run before it must be split so that the beat stays visible."""
    beat = metre.beat_quarters
    into = onset % beat
    if into == 0 or (into * 2 == beat and length == beat and not metre.is_compound):
        return length
    return beat - into


def _longest(length: Fraction) -> NoteValue:
    """The longest single value not above `length`; a tuplet value when the length has a factor 3 or 5 below."""
    if length.denominator % 3 == 0:
        return _tuplet(length, 3, 2)
    if length.denominator % 5 == 0:
        return _tuplet(length, 5, 4)
    return next(value for value in _PLAIN if value.quarters <= length)


def _tuplet(length: Fraction, actual: int, normal: int) -> NoteValue:
    plain = length * actual / normal
    value = next(value for value in _PLAIN if value.quarters <= plain)
    return NoteValue(value.base, value.dots, actual, normal)


@cache
def written_rests(onset: Fraction, length: Fraction, metre: Metre) -> tuple[NoteValue, ...]:
    """The rests that fill `length` quarters from `onset` in the bar, each starting where its own length divides it.

    Simple metres take no dotted rests; compound metres rest by the dotted beat.
    Source: engraving handbooks (from memory).
    """
    rests: list[NoteValue] = []
    while length > 0:
        value = _rest(onset, length, metre)
        rests.append(value)
        onset += value.quarters
        length -= value.quarters
    return tuple(rests)


def _rest(onset: Fraction, length: Fraction, metre: Metre) -> NoteValue:
    if length.denominator % 3 == 0 or onset.denominator % 3 == 0:
        return _tuplet(min(length, Fraction(1, 3) if length.denominator % 3 == 0 else length), 3, 2)
    if length.denominator % 5 == 0 or onset.denominator % 5 == 0:
        return _tuplet(min(length, Fraction(1, 5)), 5, 4)
    beat = metre.beat_quarters
    if metre.is_compound and onset % beat == 0 and length >= beat:
        return next(value for value in _PLAIN if value.quarters == beat)
    for value in _PLAIN:
        fits = value.quarters <= length and onset % value.quarters == 0
        if fits and not value.dots and (not metre.is_compound or value.quarters <= Fraction(1, 2)):
            return value
    return _longest(length)
