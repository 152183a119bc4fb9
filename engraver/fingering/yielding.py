"""Wishes of a level that are given up, as few as possible, where an exercise leaves no other way."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from engraver.fretboard.limits import Barres, LeftHandLimits, OpenStrings, Spread, Yielding
from engraver.theory.passage import Passage

_DOUBLE_STOP = 2  # notes


def ways_to_yield(limits: LeftHandLimits) -> Iterator[tuple[Yielding, ...]]:
    """What may be given up, least first: each wish alone in the order of the level, then two of them, then three."""
    for count in range(1, len(limits.yielding) + 1):
        yield from combinations(limits.yielding, count)


def without(limits: LeftHandLimits, given_up: tuple[Yielding, ...]) -> LeftHandLimits:
    """The limits without these wishes; none of them can be given up a second time."""
    for name in given_up:
        if name is Yielding.POSITION:
            limits = replace(limits, position=None)
        elif name is Yielding.OPEN_STRINGS:
            limits = replace(limits, open_strings=OpenStrings.ALLOW)
        elif name is Yielding.EXTENSIONS:
            limits = replace(limits, shape=replace(limits.shape, spread=Spread.FREE))
        else:
            limits = replace(limits, shape=replace(limits.shape, barre=Barres.ALLOW))
    return replace(limits, yielding=tuple(name for name in limits.yielding if name not in given_up))


def for_lines(limits: LeftHandLimits, passage: Passage) -> LeftHandLimits:
    """The limits with what a level says of open strings settled: kept for lines and double stops, not for chords.

    A closed form moves to every key; a cadence without its open strings only strains the hand. Source: common practice,
    no source.
    """
    if Yielding.OPEN_STRINGS not in limits.yielding:
        return limits
    if any(len(event) > _DOUBLE_STOP for event in passage.events):
        return without(limits, (Yielding.OPEN_STRINGS,))
    return replace(limits, yielding=tuple(name for name in limits.yielding if name is not Yielding.OPEN_STRINGS))
