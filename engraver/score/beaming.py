"""Beams by metre, and tuplet brackets by beat."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import accumulate

from engraver.score.model import Beam, Element
from engraver.tables import Table, read_table
from engraver.theory.rhythm import Metre

SEXTUPLET_FROM = 5
"""From so many notes and rests on, two triplets of one beat are written as a sextuplet (chosen by us)."""


class BeamTable(Table):
    """How far a beam of quavers reaches, by metre."""

    groups: dict[str, tuple[str, ...]]


@cache
def _quaver_groups(metre: Metre) -> tuple[Fraction, ...]:
    """Starts of the groups in which plain quavers share a beam."""
    lengths = read_table("beaming", BeamTable).groups.get(str(metre))
    if lengths is None:
        return _beats(metre)
    return (Fraction(0), *accumulate(Fraction(length) for length in lengths[:-1]))


@cache
def _beats(metre: Metre) -> tuple[Fraction, ...]:
    count = metre.bar_quarters / metre.beat_quarters
    return tuple(index * metre.beat_quarters for index in range(int(count) or 1))


def beamed(elements: Sequence[Element], bar_start: Fraction, metre: Metre) -> tuple[Element, ...]:
    """The elements of one voice of one bar with their beams.

    Plain quavers share the beam of their group (half bar in 4/4, whole bar in 3/4), everything else the beat.
    """
    out = list(elements)
    starts = _quaver_groups(metre)
    wide = _grouped(out, bar_start, starts)
    groups: list[list[int]] = []
    for group in wide:
        if all(_is_plain_quaver(out[index]) for index in group):
            groups.append(group)
        else:
            groups += _grouped_within(out, group, bar_start, _beats(metre))
    for group in groups:
        for run in _runs(out, group):
            _mark(out, run)
    return tuple(out)


def _is_plain_quaver(element: Element) -> bool:
    return element.value.base <= 8 and element.value.actual == 1


def _grouped(elements: Sequence[Element], bar_start: Fraction, starts: Sequence[Fraction]) -> list[list[int]]:
    return _grouped_within(elements, range(len(elements)), bar_start, starts)


def _grouped_within(
    elements: Sequence[Element], indices: Sequence[int], bar_start: Fraction, starts: Sequence[Fraction]
) -> list[list[int]]:
    groups: dict[int, list[int]] = {}
    for index in indices:
        into = elements[index].onset_quarters - bar_start
        groups.setdefault(bisect_right(starts, into), []).append(index)
    return list(groups.values())


def _runs(elements: Sequence[Element], group: Sequence[int]) -> list[list[int]]:
    """Stretches of beamable notes, parted by rests and longer values."""
    runs: list[list[int]] = [[]]
    for index in group:
        if elements[index].is_rest or elements[index].value.base < 8:
            runs.append([])
        else:
            runs[-1].append(index)
    return [run for run in runs if len(run) > 1]


def _mark(elements: list[Element], run: Sequence[int]) -> None:
    for position, index in enumerate(run):
        beam = Beam.BEGIN if position == 0 else Beam.END if position == len(run) - 1 else Beam.CONTINUE
        elements[index] = replace(elements[index], beam=beam)


def with_tuplets(elements: Sequence[Element]) -> tuple[Element, ...]:
    """The elements with their tuplets opened and closed.

    Triplets of a beat that is filled by its sixths, or nearly so, become one sextuplet.
    """
    out = list(elements)
    index = 0
    while index < len(out):
        if out[index].value.actual == 1:
            index += 1
            continue
        group = _tuplet_group(out, index)
        if len(group) >= SEXTUPLET_FROM and all(out[i].value.actual == 3 for i in group):
            for i in group:
                out[i] = replace(out[i], value=replace(out[i].value, actual=6, normal=4))
        out[group[0]] = replace(out[group[0]], tuplet_start=True)
        out[group[-1]] = replace(out[group[-1]], tuplet_stop=True)
        index = group[-1] + 1
    return tuple(out)


def _tuplet_group(elements: Sequence[Element], first: int) -> list[int]:
    """Tuplet notes from `first` until a whole number of quarters is full."""
    total, group = Fraction(0), []
    for index in range(first, len(elements)):
        if elements[index].value.actual == 1:
            break
        group.append(index)
        total += elements[index].value.quarters
        if total.denominator == 1:
            break
    return group
