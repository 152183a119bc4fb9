"""What the free planning of plucking letters weighs: the rows of tables/plucking.yaml, by the same names.

`own_rows` names what one attack pays by itself, `move_rows` what it pays for the attack before; a row is named as
often as it applies. Each family of rows has one function.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise

from engraver.fingering.plucking_moments import Moment
from engraver.fingering.strokes import FINGER_ORDER
from engraver.theory.passage import PluckingFinger

Fingers = tuple[PluckingFinger, ...]
_THUMB, _INDEX, _MIDDLE, _RING, _LITTLE = FINGER_ORDER
_NAMES = {_THUMB: "thumb", _INDEX: "index", _MIDDLE: "middle", _RING: "ring", _LITTLE: "ring"}
_MOST_STRINGS = 3
_LONGEST_RISE = 4
_HIGH_STRINGS = 3
_LOWEST_KNOWN = 6  # lower strings of larger guitars share the costs of string 6
HOVERED_STRINGS = (4, 3, 2)
"""Strings the index may hover over."""


@dataclass(frozen=True, slots=True)
class Hand:
    """The plucking hand at one attack: its strings and fingers from the lowest up, and the string under the index."""

    strings: tuple[int, ...]
    fingers: Fingers
    index_string: int

    def reach(self, finger: PluckingFinger, string: int) -> int:
        """Strings from a finger's place, fingers one to a string, up (+) or down (-) to the string it plucks."""
        return self.index_string + _order(_INDEX) - _order(finger) - string


def own_rows(moment: Moment, hand: Hand) -> Iterator[str]:
    """The rows one attack pays by itself, each as often as it applies."""
    yield f"hand_over_string_{hand.index_string}"
    yield from _stroke_rows(moment, hand)
    yield from _reach_rows(hand)
    yield from _chord_rows(hand)
    if not moment.wide and _RING in hand.fingers:
        yield "ring_unneeded"
    if moment.in_line and hand.fingers[0] not in (_INDEX, _MIDDLE):
        yield f"{_NAMES[hand.fingers[0]]}_in_line"
    if moment.weak is not None and len(hand.fingers) == 1:
        yield f"{_NAMES[hand.fingers[0]]}_{'off' if moment.weak else 'on'}_pulse"
    if moment.rise:
        notes, to_peak = min(moment.rise.notes, _LONGEST_RISE), min(moment.rise.to_peak, _LONGEST_RISE - 1)
        yield f"{_NAMES[hand.fingers[0]]}_{notes - to_peak}_in_rise_of_{notes}"


def move_rows(before: Hand, hand: Hand, hurried: bool) -> Iterator[str]:
    """The rows an attack pays for the one before it, each as often as it applies; `hurried` as in Moment."""
    yield from ["hand_shift"] * abs(hand.index_string - before.index_string)
    if len(hand.fingers) == len(before.fingers) == 1:
        yield from _single_rows(before, hand)
    yield from ["finger_again"] * len({*hand.fingers} & {*before.fingers} - {_THUMB})
    if before.fingers[0] is hand.fingers[0] is _THUMB:
        yield _thumb_row(before.strings[0] - hand.strings[0], hurried)


def row_names() -> tuple[str, ...]:
    """Every row the costs know, in the order of the table."""
    hand = [_NAMES[finger] for finger in FINGER_ORDER[:4]]
    counts = range(_MOST_STRINGS + 1)
    return (
        *(f"{name}_on_string_{string}" for name in hand for string in range(_LOWEST_KNOWN, 0, -1)),
        *(f"{name}_under_{n}_strings{wide}" for wide in ("_wide", "") for name in hand for n in counts),
        *(f"{f}_{k}_in_rise_of_{n}" for f in hand for n in range(2, _LONGEST_RISE + 1) for k in range(1, n + 1)),
        *(f"{name}_{pulse}_pulse" for name in hand for pulse in ("on", "off")),
        *(f"{one}_{other}_on_one_string" for one, other in combinations(hand, 2)),
        *(f"hand_over_string_{string}" for string in HOVERED_STRINGS),
        *("hand_shift", "finger_reach", "thumb_reach", "ring_unneeded", "awkward_crossing", "finger_again"),
        *("thumb_in_line", "ring_in_line", "finger_on_bass", "thumb_on_short", "thumb_sweep", "thumb_again"),
        *("thumb_leap", "thumb_at_ease", "thumb_up_in_hurry", "thumb_strum", "thumb_strum_apart", "chord_spread"),
        *("chord_without_thumb", "against_lesson"),
    )


def _stroke_rows(moment: Moment, hand: Hand) -> Iterator[str]:
    """What each stroke pays for its string, its voice and its surroundings."""
    wide = "_wide" if moment.wide else ""
    for place, (finger, string) in enumerate(zip(hand.fingers, hand.strings, strict=True)):
        yield f"{_NAMES[finger]}_on_string_{min(string, _LOWEST_KNOWN)}"
        yield f"{_NAMES[finger]}_under_{min(moment.above[place], _MOST_STRINGS)}_strings{wide}"
        if finger is _THUMB and not moment.rings[place]:
            yield "thumb_on_short"
        if finger is _THUMB and moment.hurried and string <= _HIGH_STRINGS:
            yield "thumb_up_in_hurry"
        if finger is not _THUMB and moment.bass[place]:
            yield "finger_on_bass"
        if moment.lessons[place] not in (None, finger):
            yield "against_lesson"


def _reach_rows(hand: Hand) -> Iterator[str]:
    """A string of reach for every string a finger leaves its place, and for every string the thumb comes up."""
    for finger, string in zip(hand.fingers, hand.strings, strict=True):
        reach = hand.reach(finger, string)
        yield from ["thumb_reach"] * max(0, reach) if finger is _THUMB else ["finger_reach"] * abs(reach)


def _chord_rows(hand: Hand) -> Iterator[str]:
    if len(hand.fingers) < 2:
        return
    if hand.fingers[0] is not _THUMB:
        yield "chord_without_thumb"
    yield from ["thumb_strum"] * (hand.fingers.count(_THUMB) - 1)
    for (low, low_string), (high, high_string) in pairwise(zip(hand.fingers, hand.strings, strict=True)):
        if high is _THUMB and low_string - high_string > 1:
            yield "thumb_strum_apart"
        if low is not _THUMB:
            yield from ["chord_spread"] * abs(_order(high) - _order(low) - (low_string - high_string))


def _single_rows(before: Hand, hand: Hand) -> Iterator[str]:
    """What two single notes running pay for their strings; the same finger twice is no matter of these rows."""
    low, high = sorted((before.fingers[0], hand.fingers[0]), key=_order)
    up = before.strings[0] - hand.strings[0]
    if up * (_order(hand.fingers[0]) - _order(before.fingers[0])) < 0:
        yield "awkward_crossing"
    if not up and _NAMES[low] != _NAMES[high]:
        yield f"{_NAMES[low]}_{_NAMES[high]}_on_one_string"


def _thumb_row(up: int, hurried: bool) -> str:
    """The row of a thumb used in two attacks running, `up` strings higher the second time."""
    if not hurried:
        return "thumb_at_ease"
    return {0: "thumb_again", 1: "thumb_sweep"}.get(up, "thumb_leap")


def _order(finger: PluckingFinger) -> int:
    return FINGER_ORDER.index(finger)
