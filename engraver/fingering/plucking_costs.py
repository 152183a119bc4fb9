"""What the free planning of plucking letters weighs: one function a row of tables/plucking.yaml, same name.

Each function counts how often its row applies to one attack with its fingers, given the attack before.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

from engraver.fingering.plucking_moments import Moment
from engraver.fingering.strokes import FINGER_ORDER
from engraver.theory.passage import PluckingFinger

Fingers = tuple[PluckingFinger, ...]
_THUMB = PluckingFinger.THUMB
_MOST_STRINGS = 3


@dataclass(frozen=True, slots=True)
class Step:
    """An attack with its fingers, low to high, and the attack before with its own; None at the start."""

    moment: Moment
    fingers: Fingers
    before: Moment | None = None
    before_fingers: Fingers = ()


def _on_string(finger: PluckingFinger, string: int, step: Step) -> int:
    return sum(f is finger and s == string for f, s in zip(step.fingers, step.moment.strings, strict=True))


def _below(finger: PluckingFinger, count: int, step: Step) -> int:
    near = (min(each, _MOST_STRINGS) for each in step.moment.below)
    return sum(f is finger and b == count for f, b in zip(step.fingers, near, strict=True))


def _above(finger: PluckingFinger, count: int, step: Step) -> int:
    near = (min(each, _MOST_STRINGS) for each in step.moment.above)
    return sum(f is finger and a == count for f, a in zip(step.fingers, near, strict=True))


def thumb_off_bass(step: Step) -> int:
    """Thumb on a voice that is not the bass."""
    return sum(f is _THUMB and upper for f, upper in zip(step.fingers, step.moment.upper, strict=True))


def finger_on_bass(step: Step) -> int:
    """Finger on the bass voice."""
    return sum(f is not _THUMB and bass for f, bass in zip(step.fingers, step.moment.bass, strict=True))


def thumb_on_short(step: Step) -> int:
    """Thumb on a note that does not ring on."""
    return sum(f is _THUMB and not rings for f, rings in zip(step.fingers, step.moment.rings, strict=True))


def chord_spread(step: Step) -> int:
    """Strings between two fingers of a chord more, or fewer, than the fingers between them."""
    pairs = pairwise(zip(step.fingers, step.moment.strings, strict=True))
    return sum(_mismatch(low, high) for low, high in pairs if low[0] is not _THUMB)


def chord_without_thumb(step: Step) -> int:
    """A chord whose lowest note the thumb does not take."""
    return int(len(step.fingers) > 1 and step.fingers[0] is not _THUMB)


def thumb_strum(step: Step) -> int:
    """Strings the thumb takes together beyond the first."""
    return max(0, step.fingers.count(_THUMB) - 1)


def thumb_again_same_string(step: Step) -> int:
    """Thumb twice running on one string."""
    return sum(to == start for start, to in _thumb_ways(step))


def thumb_sweep(step: Step) -> int:
    """Thumb gliding on to the next string up."""
    return sum(to == start - 1 for start, to in _thumb_ways(step))


def thumb_leap(step: Step) -> int:
    """Thumb twice running on strings that are no sweep."""
    return sum(to not in (start, start - 1) for start, to in _thumb_ways(step))


def finger_again(step: Step) -> int:
    """Finger used in two attacks running, at least one of them a chord."""
    return sum(finger in step.before_fingers and finger is not _THUMB for finger in step.fingers)


def awkward_crossing(step: Step) -> int:
    """Awkward crossing between single notes."""
    return sum((_order(b[0]) - _order(a[0])) * (a[1] - b[1]) < 0 for a, b in _single_pairs(step))


def hand_shift(step: Step) -> int:
    """Strings by which the fingers (thumb apart) are carried over from one single note to the next."""
    return sum(_mismatch(a, b) for a, b in _single_pairs(step) if a[1] != b[1] and _THUMB not in (a[0], b[0]))


def _same_string(pair: frozenset[PluckingFinger], step: Step) -> int:
    return sum({a[0], b[0]} == pair and a[1] == b[1] for a, b in _single_pairs(step))


def _order(finger: PluckingFinger) -> int:
    return FINGER_ORDER.index(finger)


def _mismatch(low: tuple[PluckingFinger, int], high: tuple[PluckingFinger, int]) -> int:
    return abs(_order(high[0]) - _order(low[0]) - (low[1] - high[1]))


def _thumb_ways(step: Step) -> Iterator[tuple[int, int]]:
    """The strings (from, to) of a thumb used in two attacks running."""
    if step.before and step.fingers[0] is _THUMB and step.before_fingers[0] is _THUMB:
        yield step.before.strings[0], step.moment.strings[0]


def _single_pairs(step: Step) -> Iterator[tuple[tuple[PluckingFinger, int], tuple[PluckingFinger, int]]]:
    """The (finger, string) of two single notes running, if both attacks are single."""
    if step.before and len(step.fingers) == len(step.before_fingers) == 1:
        yield (step.before_fingers[0], step.before.strings[0]), (step.fingers[0], step.moment.strings[0])


_HAND = (PluckingFinger.THUMB, PluckingFinger.INDEX, PluckingFinger.MIDDLE, PluckingFinger.RING)
_NAMES = {_THUMB: "thumb", PluckingFinger.INDEX: "index", PluckingFinger.MIDDLE: "middle", PluckingFinger.RING: "ring"}
_PAIRS = [(a, b) for place, a in enumerate(_HAND) for b in _HAND[place + 1 :]]

COST_ROWS: dict[str, Callable[[Step], int]] = {
    **{f"{_NAMES[f]}_on_string_{s}": partial(_on_string, f, s) for f in _HAND for s in range(6, 0, -1)},
    **{f"{_NAMES[f]}_over_{n}_strings": partial(_below, f, n) for f in _HAND for n in range(_MOST_STRINGS + 1)},
    **{f"{_NAMES[f]}_under_{n}_strings": partial(_above, f, n) for f in _HAND for n in range(_MOST_STRINGS + 1)},
    **{f"{_NAMES[a]}_{_NAMES[b]}_on_one_string": partial(_same_string, frozenset((a, b))) for a, b in _PAIRS},
    **{
        row.__name__: row
        for row in (
            thumb_off_bass, finger_on_bass, thumb_on_short, chord_spread, chord_without_thumb, thumb_strum,
            thumb_again_same_string, thumb_sweep, thumb_leap, finger_again, awkward_crossing, hand_shift,
        )
    },
}  # fmt: skip
"""The rows by name, as in the table."""
