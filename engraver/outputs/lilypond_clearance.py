"""Where the fretting digits stand: over a plain line or beside the heads, and there clear of another voice's signs.

The engraver sets each voice's digits past that voice's own signs alone. Where two voices strike together and one has a
sharp, flat or natural at the height of the other's digit, the digit is moved left past it. Source: chosen by us after
measuring engraved systems.
"""

from collections.abc import Iterable
from fractions import Fraction

from engraver.outputs.engraving_table import engraving_table
from engraver.score.model import Score, ScoreNote

Crowded = dict[tuple[int, Fraction, int], float]
"""The padding in staff spaces of a digit, by voice, onset and string."""


def digits_above(score: Score) -> bool:
    """True in a plain single line, whose digits are read faster over it than beside the heads.

    What stands over the notes itself - slurs, accents and the like - keeps the digits beside the heads.
    Source: digits above or below in single lines are common practice; where they stay beside the heads, chosen by us.
    """
    return not score.has_two_voices and not any(
        len(element.notes) > 1
        or element.accent
        or element.articulations
        or element.graces
        or any(note.slur_start or note.slur_stop or note.harmonic for note in element.notes)
        for element in score.elements
    )


def crowded_digits(score: Score) -> Crowded:
    """The digits that stand beside a sign of another voice, with the padding that clears it."""
    if not score.has_two_voices:
        return {}
    struck: dict[Fraction, list[tuple[int, ScoreNote]]] = {}
    for measure in score.measures:
        for voice in measure.voices:
            for element in voice.elements:
                struck.setdefault(element.onset_quarters, []).extend((voice.number, note) for note in element.notes)
    return {
        (voice, onset, note.string): padding
        for onset, notes in struck.items()
        for voice, note in notes
        if note.show_finger and (padding := _padding(note, (n for number, n in notes if number != voice)))
    }


def _padding(note: ScoreNote, others: Iterable[ScoreNote]) -> float:
    """0 where no sign of the other voice reaches the digit."""
    look = engraving_table().look
    beside = [
        other
        for other in others
        if other.accidental and abs(other.pitch.letter_index - note.pitch.letter_index) <= look.sign_reach_steps
    ]
    if not beside:
        return 0.0
    if note.accidental:  # its own sign has pushed it out already
        return look.digit_padding_sp + look.beside_sign_sp
    return look.digit_padding_sp + (look.reminder_sp if any(other.cautionary for other in beside) else look.sign_sp)
