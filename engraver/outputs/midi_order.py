"""The order in which the measures of a score are played: repeats with their endings, and words that send back."""

from collections.abc import Iterable, Sequence

from engraver.score.model import Barline, Measure
from engraver.theory.signs import Way

_ALWAYS, _FIRST_PASS = 2, 1
"""A repeated section is played twice at least."""


def played_order(measures: Sequence[Measure]) -> tuple[int, ...]:
    """The measures as they are played, counted from 0.

    After *D.C.* or *D.S.* repeats are not taken again, and of endings the last is played, up to *Fine* or over to the
    coda. Source: common practice.
    """
    order: list[int] = []
    sections = _sections(measures)
    for start, end in sections:
        for number in _passes(measures, start, end):
            order.append(number)
    back = next((way for number in order for way in measures[number].ways if way.goes_back), None)
    if back is None:
        return tuple(order)
    leaves = next(number for number in order if back in measures[number].ways)
    last = len(order) - 1 - order[::-1].index(leaves)
    return (*order[: last + 1], *_second_time(measures, sections, back))


def _second_time(measures: Sequence[Measure], sections: Sequence[tuple[int, int]], back: Way) -> Iterable[int]:
    """The measures from the beginning or the sign to the end or to *Fine*, without repeats."""
    place = _place(measures, Way.SEGNO) if back.value.startswith(Way.DAL_SEGNO.value) else 0
    coda = _place(measures, Way.CODA)
    once = [
        number for start, end in sections for number in _pass(measures, start, end, _last_pass(measures, start, end))
    ]
    leaps = back in (Way.DA_CAPO_AL_CODA, Way.DAL_SEGNO_AL_CODA)
    for number in once:
        if number < place:
            continue
        yield number
        ways = measures[number].ways
        if Way.FINE in ways or back in ways:
            return
        if leaps and Way.TO_CODA in ways:
            break
    else:
        return
    yield from (number for number in once if number >= coda > 0)


def _place(measures: Sequence[Measure], sign: Way) -> int:
    return next((number for number, measure in enumerate(measures) if sign in measure.ways), 0)


def _passes(measures: Sequence[Measure], start: int, end: int) -> Iterable[int]:
    for which in range(_FIRST_PASS, _last_pass(measures, start, end) + 1):
        yield from _pass(measures, start, end, which)


def _pass(measures: Sequence[Measure], start: int, end: int, which: int) -> Iterable[int]:
    for number in range(start, end + 1):
        endings = measures[number].endings
        if not endings or which in endings:
            yield number


def _last_pass(measures: Sequence[Measure], start: int, end: int) -> int:
    section = measures[start : end + 1]
    if not any(measure.barline is Barline.REPEAT_END for measure in section):
        return max((max(measure.endings) for measure in section if measure.endings), default=_FIRST_PASS)
    return max(_ALWAYS, *(number for measure in section for number in measure.endings), 0)


def _sections(measures: Sequence[Measure]) -> list[tuple[int, int]]:
    """The first and last measure of each section: repeated ones with all their endings, and what lies between them."""
    sections, begin = [], 0
    for number, measure in enumerate(measures):
        if measure.repeat_start and number > begin:
            sections.append((begin, number - 1))
            begin = number
        following = measures[number + 1].endings if number + 1 < len(measures) else ()
        closes = measure.barline is Barline.REPEAT_END or (measure.endings and measure.endings != following)
        if closes and not (following and _FIRST_PASS not in following):
            sections.append((begin, number))
            begin = number + 1
    return [*sections, (begin, len(measures) - 1)] if begin < len(measures) else sections
