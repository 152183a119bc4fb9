"""Changes of metre, key and bar length within an exercise, in LilyPond's words.

Source: LilyPond notation reference 2.24, sections 1.1.3 (key signature) and 1.2.3 (upbeats, time administration).
"""

from collections.abc import Iterable

from engraver.outputs.lilypond_notes import length_text, name_text
from engraver.score.model import Score
from engraver.theory.pitch import PitchName


def changes_text(score: Score, with_keys: bool) -> Iterable[str]:
    """For each measure what changes at its beginning, empty for nothing; key signatures only where wanted."""
    metre, irregular = score.metre, False
    for index, measure in enumerate(score.measures):
        parts = []
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
