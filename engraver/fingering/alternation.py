"""Alternation: fingers that take turns over a line of single notes, and the finger that should begin.

Source: strict alternation of the plucking fingers is common practice of the methods; that the first finger is
to be chosen for the string crossings is advice of a published teaching article. A slurred note is not plucked
and does not use up a turn: common practice, from memory.
"""

from engraver.fingering.strokes import Line, Stroke
from engraver.theory.passage import PluckingFinger

Pattern = tuple[PluckingFinger, ...]


def pattern_rotations(pattern: Pattern) -> tuple[Pattern, ...]:
    """The pattern begun with each of its fingers in turn: i-m-a gives i-m-a, m-a-i, a-i-m."""
    return tuple(pattern[turn:] + pattern[:turn] for turn in range(len(pattern)))


def letters_from(line: Line, pattern: Pattern) -> Line:
    """The line plucked by a pattern from its first letter on.

    A finger fixed by the exercise stays; when it belongs to the pattern, the turns go on from it.
    """
    turn, out = 0, []
    for stroke in line:
        finger = stroke.finger if stroke.fixed and stroke.finger else pattern[turn % len(pattern)]
        if finger in pattern:
            turn = _turn_of(pattern, finger, turn) + 1
        out.append(stroke if stroke.finger is finger else Stroke(stroke.note, stroke.string, finger, stroke.fixed))
    return tuple(out)


def _turn_of(pattern: Pattern, finger: PluckingFinger, turn: int) -> int:
    """The next turn, from `turn` on, that falls to this finger (a pattern such as i-m-a-m names one twice)."""
    return next(later for later in range(turn, turn + len(pattern)) if pattern[later % len(pattern)] == finger)
