"""Grace notes at the beginning of a measure: every other voice and row must wait for them, or bar lines part.

Source: LilyPond notation reference 2.24, section 1.2.6, on grace notes in several staves.
"""

from collections.abc import Sequence

from engraver.score.model import Measure, Score, Voice


def grace_waits(score: Score) -> tuple[str, ...]:
    """For each measure the silence that is as long as the grace notes it begins with, mostly nothing."""
    return tuple(map(_wait, score.measures))


def _wait(measure: Measure) -> str:
    longest = max((voice.elements[0].graces for voice in measure.voices), key=len, default=())
    if not longest:
        return ""
    return f"\\grace {{ \\skip {longest[0].value.base}*{len(longest)} }}"


def begins_with_grace(voice: Voice | None) -> bool:
    """True where a voice has grace notes of its own before its first note."""
    return voice is not None and bool(voice.elements[0].graces)


def waiting(lines: Sequence[str], waits: Sequence[str]) -> tuple[str, ...]:
    """The lines of a row, each after its wait."""
    return tuple(f"{wait} {line}" if wait else line for line, wait in zip(lines, waits, strict=True))
