"""Which way the stems of each voice point, measure by measure."""

from enum import StrEnum

from engraver.score.model import Measure, Score

UPPER, LOWER, INNER = 1, 2, 3


class Stems(StrEnum):
    """The direction of the stems of a voice in one measure; `EITHER` where it is alone."""

    EITHER = "either"
    UP = "up"
    DOWN = "down"
    INNER_UP = "inner up"
    INNER_DOWN = "inner down"


def stems_of(score: Score, measure: Measure, number: int) -> Stems:
    """Melody up, bass down; an inner voice against the livelier of the two, or in the place of one that is silent.

    Source: common practice; the measure of liveliness, notes in the bar, is chosen by us.
    """
    strikes = {voice.number: sum(not e.is_rest for e in voice.elements) for voice in measure.voices}
    if not score.has_two_voices or len(strikes) == 1:
        return Stems.EITHER
    if number != INNER:
        return Stems.UP if number == UPPER else Stems.DOWN
    if UPPER not in strikes or LOWER not in strikes:
        return Stems.UP if LOWER in strikes else Stems.DOWN
    return Stems.INNER_DOWN if strikes[UPPER] >= strikes[LOWER] else Stems.INNER_UP
