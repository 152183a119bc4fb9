"""How the music is spread over its systems, judged by an estimate of its natural width.

Rules (chosen by us): a wished number of measures a system is halved, or cut in three and so on, where so many do not
fit. Music that fits one system is given `comfort` times its natural width, and the full line once that comes to
`full_from` of it. Several systems all fill the line; the engraver balances them. Only where a number of measures was
wished, a last system whose measures come to less than `stretch_last_from` of the widest other system keeps its natural
width; elsewhere the last measure, often one held note, never stands alone where it fits beside the one before. The
estimate follows the engraver's rule that a note twice as long takes a fixed step more room; its numbers were fitted to
engraved samples and lie within seven in a hundred.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, log2

from engraver.fretboard.numerals import position_numeral
from engraver.outputs.engraving_table import Spacing, engraving_table
from engraver.outputs.lilypond_clearance import digits_above
from engraver.outputs.lilypond_timeline import Moment, Timeline, quarters
from engraver.score.model import Notation, Score
from engraver.score.page import PT_PER_MM, EngravingStyle

_SPACES_PER_STAFF = 4


@dataclass(frozen=True, slots=True)
class Spread:
    """The width of the systems in mm; measures a system (0 = as they fit); whether the last is left unstretched.

    `last_together` keeps the last two measures on one system.
    """

    width_mm: float
    measures_per_system: int
    ragged_last: bool
    last_together: bool = False


def spread(score: Score, time: Timeline, style: EngravingStyle) -> Spread:
    """How this score is laid over its systems."""
    spacing = engraving_table().spacing
    line = style.line_width_mm * PT_PER_MM * _SPACES_PER_STAFF / style.staff_size_pt
    opening = _opening(score, spacing)
    widths = _measure_widths(score, time, spacing)
    room = max(line - opening, 1.0)
    per_system = _fitting(widths, room, style.measures_per_system)
    last = len(widths) % per_system or per_system if per_system else len(widths)
    share = (opening + sum(widths[-last:])) / line
    if last < len(widths) or share > 1:
        together = not per_system and sum(widths[-2:]) <= room
        return Spread(style.line_width_mm, per_system, _is_short(widths, per_system, spacing), together)
    wanted = share * spacing.comfort
    width = 1.0 if wanted >= spacing.full_from else wanted
    return Spread(round(style.line_width_mm * width, 1), per_system, False)


def _fitting(widths: Sequence[float], room: float, wished: int) -> int:
    """The wished measures a system, or the largest even part of them that fits the line."""
    parts = 1
    while wished:
        count = ceil(wished / parts)
        groups = (widths[start : start + count] for start in range(0, len(widths), count))
        if count == 1 or max(sum(group) for group in groups) <= room:
            return count
        parts += 1
    return 0


def _is_short(widths: Sequence[float], per_system: int, spacing: Spacing) -> bool:
    """True where the last of several systems would be stretched out of all likeness to the others."""
    if not per_system:
        return False
    *others, last = (sum(widths[start : start + per_system]) for start in range(0, len(widths), per_system))
    return bool(others) and last < spacing.stretch_last_from * max(others)


def _opening(score: Score, spacing: Spacing) -> float:
    signs = 0 if score.notation is Notation.TABLATURE else abs(score.key_fifths)
    return spacing.opening_sp + signs * spacing.key_sign_sp


def _measure_widths(score: Score, time: Timeline, spacing: Spacing) -> list[float]:
    """The natural width of each measure in staff spaces."""
    shortest = min(spacing.longest_basis_quarters, *(float(quarters(e.value)) for e in score.elements))
    widths = [spacing.barline_sp] * len(score.measures)
    marks_sp = _marks_beside(score, spacing)
    ends = [*(moment.tick for moment in time.moments[1:]), time.bounds[-1]]
    numerals = [_numeral_sp(moment) for moment in time.moments]
    for moment, end, numeral, following in zip(time.moments, ends, numerals, [*numerals[1:], 0.0], strict=True):
        length = max((end - moment.tick) / time.ticks_per_quarter, shortest)
        width = spacing.note_sp + spacing.doubling_sp * log2(length / shortest) + marks_sp(moment)
        if numeral and following:
            width = max(width, (numeral + following) / 2)
        widths[bisect_right(time.bounds, moment.tick) - 1] += width
    return widths


def _marks_beside(score: Score, spacing: Spacing) -> Callable[[Moment], float]:
    """What gives the room that digits, guide dashes and signs beside the heads take at a moment."""
    if score.notation is Notation.TABLATURE:
        return lambda moment: 0.0
    digit_sp, guide_sp = (0.0, 0.0) if digits_above(score) else (spacing.digit_sp, spacing.guide_sp)

    def width(moment: Moment) -> float:
        notes = tuple(moment.notes)
        return (
            digit_sp * any(note.show_finger for note in notes)
            + guide_sp * any(note.show_finger and note.guide for note in notes)
            + spacing.accidental_sp * any(note.accidental for note in notes)
        )

    return width


def _numeral_sp(moment: Moment) -> float:
    """The width of the position numeral over a moment with the air at its sides; 0 where none stands."""
    look = engraving_table().look
    shown = next((element.position for element in moment.elements if element.position is not None), None)
    if shown is None:
        return 0.0
    return sum(look.barre_letters_sp[letter] for letter in position_numeral(shown)) + 2 * look.numeral_air_sp
