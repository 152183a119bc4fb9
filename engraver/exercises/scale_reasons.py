"""Why a scale is spelled as it is: keys with six signs have a twin, symmetric scales a second spelling."""

from engraver.exercises.titles import note_words, scale_words
from engraver.spec.models import ScaleSpec
from engraver.tables.words import Words
from engraver.theory.pitch import PitchName
from engraver.theory.scale import other_spelling, scale

SIGNS_OF_TWINS = 6
"""Keys with six flats and six sharps sound alike; the book's tonic decides which is written (common practice)."""


def scale_reason(spec: ScaleSpec, words: Words) -> str:
    """What the reader may want to know of the spelling, in one sentence; empty for most scales."""
    tonic = spec.tonics[0].name
    others = other_spelling(spec.scale, tonic)
    if others:
        return words.reasons.symmetric.format(other=" ".join(note_words(name, words) for name in others))
    fifths = scale(spec.scale, tonic).key_fifths
    if abs(fifths) != SIGNS_OF_TWINS:
        return ""
    twin = PitchName(tonic.fifths - 12 if fifths > 0 else tonic.fifths + 12)
    return words.reasons.alike.format(
        chosen=scale_words(tonic, spec.scale, words),
        other=scale_words(twin, spec.scale, words),
        signs=words.number(SIGNS_OF_TWINS),
    )
