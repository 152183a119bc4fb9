"""Repeats of a piece in an excerpt from it: those that lie in it whole are kept, others are left out and told."""

from collections.abc import Sequence
from dataclasses import replace

from engraver.theory.passage import PassageBar

FIRST_PASS = 1


def without_signs(bar: PassageBar) -> PassageBar:
    """The bar without repeat signs, endings and words that send the player elsewhere."""
    return replace(bar, repeat_start=False, repeat_end=False, endings=(), ways=())


def whole_repeats(bars: Sequence[PassageBar], first: int, last: int) -> tuple[tuple[PassageBar, ...], tuple[str, ...]]:
    """The bars from `first` to `last`, counted from 0, with the repeats that lie whole in them, and remarks.

    Words that send the player elsewhere are kept only with the whole piece.
    """
    kept = list(bars[first : last + 1])
    remarks = []
    for start, end in _sections(bars):
        if first <= start and end <= last:
            continue
        inside = range(max(start, first), min(end, last) + 1)
        if any(_repeats(bars[number]) for number in inside):
            for number in inside:
                kept[number - first] = replace(without_signs(kept[number - first]), ways=bars[number].ways)
            remarks.append(f"the repeat of bars {bars[start].number} to {bars[end].number} is cut through and left out")
    if len(kept) < len(bars) and any(bar.ways for bar in kept):
        kept = [replace(bar, ways=()) for bar in kept]
        remarks.append("words and signs that lead to other bars are left out")
    return tuple(kept), tuple(remarks)


def _repeats(bar: PassageBar) -> bool:
    return bar.repeat_start or bar.repeat_end or bool(bar.endings)


def _sections(bars: Sequence[PassageBar]) -> list[tuple[int, int]]:
    """The first and last bar of each repeated section with all its endings."""
    sections, begin = [], 0
    for number, bar in enumerate(bars):
        following = bars[number + 1].endings if number + 1 < len(bars) else ()
        begin = number if bar.repeat_start else begin
        closes = bar.repeat_end or (bar.endings and bar.endings != following)
        if closes and not (following and FIRST_PASS not in following):
            sections.append((begin, number))
            begin = number + 1
    return sections
