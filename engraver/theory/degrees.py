"""Scale degrees written as text (`b3`, `#4`, `bb7`) turned into spelled intervals above a tonic."""

import re
from functools import cache

from engraver.errors import SpellingError
from engraver.theory.pitch import Interval

_MAJOR_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_DEGREE = re.compile(r"^(b{0,2}|#{0,2})([1-9]\d?)$")


@cache
def degree_interval(text: str) -> Interval:
    """The interval from the tonic up to a degree; degrees above 7 lie in the next octave. Raises SpellingError.

    >>> degree_interval("b3")
    Interval(letter_steps=2, semitones=3)
    """
    found = _DEGREE.match(text)
    if not found:
        raise SpellingError(f"'{text}' is not a scale degree", hint="write 1 to 7 with b or # before it: b3, #4")
    octave, step = divmod(int(found.group(2)) - 1, 7)
    sign = found.group(1)
    alter = sign.count("#") - sign.count("b")
    return Interval(7 * octave + step, 12 * octave + _MAJOR_SEMITONES[step] + alter)


@cache
def degree_intervals(text: str) -> tuple[Interval, ...]:
    """The intervals of several degrees parted by spaces: `1 b3 5`."""
    return tuple(degree_interval(part) for part in text.split())
