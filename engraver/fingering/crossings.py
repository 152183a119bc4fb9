"""String crossings of the plucking hand: which are awkward, and how every sensible pattern would fare.

The fingers stand in the order p i m a c from the low strings to the high ones. A line that moves to a higher
string is met halfway when the next finger is nearer the little finger, one that moves to a lower string when it
is nearer the thumb; the other way round the hand must hop, and that crossing is awkward.
Source: a published teaching article on string crossings names the good and the bad way; the counts are ours.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from engraver.fingering.alternation import letters_from, pattern_rotations
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.plucking_table import plucking_table
from engraver.fingering.strokes import FINGER_ORDER, Line, Stroke, attacks_of, lines_of
from engraver.theory.passage import PluckingFinger


@dataclass(frozen=True, slots=True)
class PatternCount:
    """How one pattern with one first finger fares over a passage; the first letter of `pattern` begins.

    `awkward`, `repeated` and `order_breaks` are counts of notes; `chosen` marks the pattern the passage bears.
    """

    pattern: tuple[PluckingFinger, ...]
    awkward: int
    repeated: int
    order_breaks: int
    chosen: bool = False


def is_awkward(before: Stroke, after: Stroke) -> bool:
    """True when the hand must hop over itself: see the head of this file. The same finger twice is not counted."""
    if before.string == after.string or before.finger is None or after.finger is None:
        return False
    toward_little_finger = FINGER_ORDER.index(after.finger) - FINGER_ORDER.index(before.finger)
    toward_high_strings = before.string - after.string
    return toward_little_finger * toward_high_strings < 0


def awkward_crossings(fingered: FingeredPassage) -> tuple[int, ...]:
    """The indices of the notes reached by an awkward crossing, over the single plucked notes of the passage."""
    return _notes_where(lines_of(attacks_of(fingered)), is_awkward)


def repeated_fingers(fingered: FingeredPassage) -> tuple[int, ...]:
    """The indices of single notes plucked by the finger that plucked the single note before."""
    return _notes_where(lines_of(attacks_of(fingered)), _is_repeat)


def pattern_table(
    fingered: FingeredPassage, patterns: Sequence[tuple[PluckingFinger, ...]] = ()
) -> tuple[PatternCount, ...]:
    """Every sensible pattern with every first finger, counted over the single notes of a passage, fewest first.

    Without `patterns` those of tables/plucking.yaml are counted. Letters fixed by the exercise stay as they are.
    Every pattern with whose letters the passage is written is marked as chosen; a passage without letters has none.
    """
    lines = lines_of(attacks_of(fingered))
    rotations = dict.fromkeys(
        turn for each in patterns or plucking_table().patterns for turn in pattern_rotations(each)
    )
    rows = [count_pattern(lines, rotation) for rotation in rotations]
    return tuple(sorted(rows, key=lambda row: (row.repeated, row.order_breaks, row.awkward, len(row.pattern))))


def count_pattern(lines: Sequence[Line], pattern: tuple[PluckingFinger, ...]) -> PatternCount:
    """The counts for one pattern beginning with its first letter on each of the given lines."""
    written = [letters_from(line, pattern) for line in lines]
    breaks = sum(_order_breaks(line, pattern) for line in written)
    free = any(not stroke.fixed for line in lines for stroke in line)
    return PatternCount(
        pattern,
        awkward=len(_notes_where(written, is_awkward)),
        repeated=len(_notes_where(written, _is_repeat)),
        order_breaks=breaks,
        chosen=list(lines) == written != [] and (free or not breaks),
    )


def _order_breaks(line: Line, pattern: tuple[PluckingFinger, ...]) -> int:
    """Notes that do not take the finger next in turn; the same finger twice is counted elsewhere."""
    follows = {finger: pattern[(place + 1) % len(pattern)] for place, finger in enumerate(pattern)}
    pairs = pairwise(line)
    return sum(a.finger != b.finger and (a.finger is None or follows.get(a.finger) != b.finger) for a, b in pairs)


def _is_repeat(before: Stroke, after: Stroke) -> bool:
    return before.finger is not None and before.finger == after.finger


def _notes_where(lines: Iterable[Line], test: Callable[[Stroke, Stroke], bool]) -> tuple[int, ...]:
    """The later note of every pair of neighbours that passes the test."""
    pairs = (pair for line in lines for pair in pairwise(line))
    return tuple(after.note for before, after in pairs if test(before, after))
