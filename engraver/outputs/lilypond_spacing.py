"""Whether the last system is stretched to the full line, judged by an estimate of the music's natural width.

Rule (chosen by us): music that fits one system is stretched when it fills at least `stretch_alone_from` of the line;
where there are several, the last is stretched when it fills at least `stretch_last_from`. Otherwise it keeps its
natural width. The estimate follows the engraver's rule that a note twice as long takes a fixed step more room; its
numbers were fitted to engraved samples and lie within seven in a hundred of them.
"""

from fractions import Fraction
from itertools import pairwise
from math import ceil, log2

from engraver.outputs.engraving_table import Spacing, engraving_table
from engraver.score.model import Element, Measure, Notation, Score
from engraver.score.page import PT_PER_MM, EngravingStyle

_SPACES_PER_STAFF = 4


def last_system_is_ragged(score: Score, style: EngravingStyle) -> bool:
    """True when the last (or only) system keeps its natural width instead of filling the line."""
    spacing = engraving_table().spacing
    line = style.line_width_mm * PT_PER_MM * _SPACES_PER_STAFF / style.staff_size_pt
    opening = _opening(score, spacing)
    shortest = _shortest_quarters(score)
    widths = [_measure_width(m, score.notation, shortest, spacing) for m in score.measures]
    systems = _systems(widths, opening, line, style.measures_per_system)
    fill = (opening + sum(widths[-systems[-1] :])) / line
    return fill < (spacing.stretch_alone_from if len(systems) == 1 else spacing.stretch_last_from)


def _systems(widths: list[float], opening: float, line: float, per_system: int) -> list[int]:
    """How many measures each system is likely to hold: as asked, or as even as the fewest systems allow."""
    if per_system:
        full, rest = divmod(len(widths), per_system)
        return [per_system] * full + ([rest] if rest else [])
    room = max(line - opening, max(widths))
    count = min(ceil(sum(widths) / room), len(widths))
    small, larger = divmod(len(widths), count)
    return [small + 1] * larger + [small] * (count - larger)


def _opening(score: Score, spacing: Spacing) -> float:
    key = abs(score.key_fifths) if score.notation is not Notation.TABLATURE else 0
    return spacing.opening_sp + key * spacing.key_sign_sp


def _shortest_quarters(score: Score) -> float:
    shortest = min(float(element.value.quarters) for element in score.elements)
    return min(shortest, engraving_table().spacing.longest_basis_quarters)


def _measure_width(measure: Measure, notation: Notation, shortest: float, spacing: Spacing) -> float:
    """The natural width of one measure in staff spaces."""
    onsets: dict[Fraction, list[Element]] = {}
    for voice in measure.voices:
        for element in voice.elements:
            onsets.setdefault(element.onset_quarters, []).append(element)
    end = max(e.onset_quarters + e.value.quarters for group in onsets.values() for e in group)
    width = spacing.barline_sp
    for onset, following in pairwise([*sorted(onsets), end]):
        length = max(float(following - onset), shortest)
        width += spacing.note_sp + spacing.doubling_sp * log2(length / shortest)
        notes = [note for element in onsets[onset] for note in element.notes]
        if notation is not Notation.TABLATURE:
            width += spacing.digit_sp * any(note.show_finger for note in notes)
            width += spacing.accidental_sp * any(note.accidental for note in notes)
    return width
