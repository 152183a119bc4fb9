"""Changes of metre, key and bar length within an exercise, in LilyPond's words.

Source: LilyPond notation reference 2.24, sections 1.1.3 (key signature), 1.2.3 (upbeats, time administration) and
1.4.1 (repeats written by hand).
"""

from collections.abc import Iterable

from engraver.outputs.lilypond_notes import length_text, name_text
from engraver.score.model import Score
from engraver.theory.pitch import PitchName

_NONE: tuple[int, ...] = ()


def changes_text(score: Score, with_keys: bool) -> Iterable[str]:
    """For each measure what changes at its beginning, empty for nothing; key signatures only where wanted.

    The bracket of an ending is such a change too.
    """
    metre, irregular, endings = score.metre, False, _NONE
    for index, measure in enumerate(score.measures):
        parts = [_bracket(measure.endings, endings)] if measure.endings != endings else []
        endings = measure.endings
        if with_keys and measure.key_fifths is not None:
            parts.append(rf"\key {name_text(PitchName(measure.key_fifths))} \major")
        if measure.metre:
            metre = measure.metre
            parts.append(rf"\time {metre}")
        length = measure.length_quarters
        if length is not None and index == 0:
            parts.append(rf"\partial {length_text(length)}")
        elif length is not None or irregular:
            whole = (length or metre.bar_quarters) / 4
            parts.append(rf"\set Timing.measureLength = #(ly:make-moment {whole.numerator}/{whole.denominator})")
        irregular = length is not None and index > 0
        yield " ".join(parts)


def _bracket(endings: tuple[int, ...], before: tuple[int, ...]) -> str:
    """Closes the bracket that is open and opens the one over these passes."""
    closing = "(volta #f) " if before else ""
    opening = f'(volta "{", ".join(f"{number}." for number in endings)}")' if endings else ""
    return rf"\set Score.repeatCommands = #'({closing}{opening})".replace(" )", ")")
