"""Finger orders: the permutations of the fingers on one string, on several, across strings, or over held fingers."""

from dataclasses import replace
from fractions import Fraction
from itertools import permutations

from engraver.exercises.drills import (
    Place,
    Touch,
    drill_passage,
    fitting,
    lay_groups,
    next_bar,
    placed,
    rested,
    there_and_back,
)
from engraver.fretboard.hand import FINGERS
from engraver.fretboard.tuning import Instrument
from engraver.spec.drills import FingerOrdersSpec
from engraver.theory.passage import Passage


def orders_of(spec: FingerOrdersSpec) -> tuple[tuple[int, ...], ...]:
    """The orders in playing order; `all` are the permutations of the free fingers, 1234 first and 4321 last.

    Source: the twenty-four permutations of four fingers, in lexicographic order.
    """
    return spec.orders or tuple(permutations(finger for finger in FINGERS if finger not in spec.held))


def compose_finger_orders(spec: FingerOrdersSpec, instrument: Instrument) -> Passage:
    """Each order from a new bar on, on each string in turn or across them; held fingers sound once a bar.

    Without `times` an order on one string, or across strings, fills its bar, and one on several strings is played once
    on each. Raises OutOfRange for a string or fret that the instrument lacks.
    """
    touches: list[Touch] = []
    start = Fraction(0)
    for number, order in enumerate(orders_of(spec)):
        stretch = 0 if spec.held else number
        own = rested(lay_groups(_groups(spec, order, instrument), spec, start, stretch), spec.metre)
        end = next_bar(own[-1].onset + own[-1].length, spec.metre)
        touches += _voiced(own, spec) + _held(spec, instrument, start, end, stretch)
        start = end
    return drill_passage(touches, spec, instrument)


def _groups(spec: FingerOrdersSpec, order: tuple[int, ...], instrument: Instrument) -> list[list[Place]]:
    strings = there_and_back(spec.strings, spec.and_back)
    if spec.across:
        group = [placed(instrument, strings[n % len(strings)], spec.position, f) for n, f in enumerate(order)]
        return [group] * (spec.times or fitting(group, spec))
    groups = [[placed(instrument, string, spec.position, finger) for finger in order] for string in strings]
    times = spec.times or (fitting(groups[0], spec) if len(groups) == 1 else 1)
    return [group for group in groups for _ in range(times)]


def _held(spec: FingerOrdersSpec, instrument: Instrument, start: Fraction, end: Fraction, stretch: int) -> list[Touch]:
    """The held fingers as long notes, struck anew at every bar so that the ear can tell whether they stayed."""
    touches = []
    while start < end:
        for finger, string in zip(spec.held, spec.held_strings, strict=True):
            place = placed(instrument, string, spec.position, finger)
            touches.append(Touch(place, start, spec.metre.bar_quarters, stretch, voice=_held_voice(spec)))
        start += spec.metre.bar_quarters
    return touches


def _held_voice(spec: FingerOrdersSpec) -> int:
    """The bass voice where the held fingers lie on lower strings than the orders, else the upper one."""
    return 2 if max(spec.held_strings) > max(spec.strings) else 1


def _voiced(touches: list[Touch], spec: FingerOrdersSpec) -> list[Touch]:
    if not spec.held or _held_voice(spec) == 2:
        return touches
    return [replace(touch, voice=2) for touch in touches]
