"""LilyPond source: one ``\\score`` block an exercise, and whole files of them.

No user text is written here: names of output files are ours, and the words of a book are set by the book's typesetter.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from engraver.outputs.engraving_table import engraving_table
from engraver.outputs.lilypond_notes import (
    Tuplets,
    barline_text,
    break_text,
    length_text,
    measure_length,
    pitch_text,
    staff_voice,
    tablature_voice,
    voice_numbers,
)
from engraver.outputs.lilypond_rows import finger_row, letter_row, position_row, quoted, string_row
from engraver.outputs.templates_folder import templates_folder
from engraver.score.model import Measure, Notation, Score
from engraver.score.page import EngravingStyle

_MAJOR_KEYS = "cf gf df af ef bf f c g d a e b fs cs".split()
_VOICE_OPENINGS = {1: "\\voiceOne", 2: "\\voiceTwo"}
_LONE_TABLATURE = "\\loneTablatureStems"


@dataclass(frozen=True, slots=True)
class _Part:
    """A staff voice or a row of marks: what opens it, and a text for each measure."""

    opening: str
    lines: tuple[str, ...]

    @property
    def context(self) -> str:
        """The kind of row, in the template's word."""
        return self.opening


def lilypond_score(score: Score, style: EngravingStyle) -> str:
    """The ``\\score`` block of one exercise, without name or words."""
    staff = score.notation is not Notation.TABLATURE
    tablature = score.notation is not Notation.STAFF
    above = [_Part("RowAbove", position_row(score))]
    above.append(_Part("RowAbove", string_row(score) if staff else finger_row(score)))
    below = [_Part("RowBelow", letter_row(score, style.little_finger_letter))]
    ragged_right, ragged_last = True, True
    return _template("score.ly.jinja").render(
        staff=staff,
        tablature=tablature,
        rows_above=[row for row in above if row.lines],
        rows_between=[row for row in below if row.lines and staff],
        rows_below=[row for row in below if row.lines and not staff],
        key=f"\\key {_MAJOR_KEYS[score.key_fifths + 7]} \\major",
        time=f"\\time {score.metre}",
        tuning=" ".join(pitch_text(pitch) for pitch in reversed(score.tuning.open_strings)),
        staff_voices=_staff_voices(score, style) if staff else [],
        tablature_voices=_tablature_voices(score, style, rhythm=not staff) if tablature else [],
        ragged_right="t" if ragged_right else "f",
        ragged_last="t" if ragged_last else "f",
    )


def lilypond_file(blocks: Sequence[tuple[str, str]], style: EngravingStyle) -> str:
    """A whole file: the common header and a ``\\book`` for each (output name, score block)."""
    return _template("file.ly.jinja").render(blocks=blocks, **_measures(style))


def _measures(style: EngravingStyle) -> dict[str, Any]:
    table = engraving_table()
    look, large = table.look, table.large_print
    enlarged = style.staff_size_pt >= large.from_pt
    extra = large.mark_extra_steps if enlarged else 0.0
    return {
        "look": look,
        "staff_size_pt": style.staff_size_pt,
        "line_width_mm": style.line_width_mm,
        "digit_steps": look.digit_steps + (large.digit_extra_steps if enlarged else 0.0),
        "ring_steps": look.ring_steps + extra,
        "letter_steps": look.letter_steps + extra,
        "numeral_steps": look.numeral_steps + extra,
        "thickness": large.thickness if enlarged else 1,
    }


def _staff_voices(score: Score, style: EngravingStyle) -> list[_Part]:
    tuplets = {number: Tuplets() for number in voice_numbers(score)}
    return [
        _voice(score, number, style, lambda voice, measure, n=number: staff_voice(voice, measure, tuplets[n]))
        for number in voice_numbers(score)
    ]


def _tablature_voices(score: Score, style: EngravingStyle, rhythm: bool) -> list[_Part]:
    tuplets = {number: Tuplets() if rhythm else None for number in voice_numbers(score)}
    alone = _LONE_TABLATURE if rhythm else ""
    return [
        _voice(score, number, style, lambda voice, measure, n=number: tablature_voice(voice, measure, tuplets[n]), alone)
        for number in voice_numbers(score)
    ]


def _voice(score: Score, number: int, style: EngravingStyle, write: Any, alone: str = "") -> _Part:
    """One voice through the whole score; where it is silent the measure is skipped."""
    several = score.has_two_voices
    lines = []
    for index, measure in enumerate(score.measures):
        text = next((write(voice, measure.number) for voice in measure.voices if voice.number == number), None)
        if text is None:
            text = f"s{length_text(measure_length(measure))}"
        elif several and number == 1 and len(measure.voices) == 1:
            text = f"\\oneVoice {text} \\voiceOne"
        lines.append(f"{text} | {_closing(score, index, style)}".rstrip())
    opening = _VOICE_OPENINGS.get(number, "") if several else alone
    if score.measures[0].repeat_start:
        opening += ' \\bar ".|:"'
    return _Part(opening.strip(), tuple(lines))


def _closing(score: Score, index: int, style: EngravingStyle) -> str:
    last = index + 1 == len(score.measures)
    following: Measure | None = None if last else score.measures[index + 1]
    parts = (
        barline_text(score.measures[index], following),
        break_text(index + 1, style.measures_per_system, last),
    )
    return " ".join(part for part in parts if part)


@cache
def _template(name: str) -> Any:
    """A template with brackets that LilyPond leaves free; a missing name is an error, never a blank."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(templates_folder("lilypond")),
        variable_start_string="[=",
        variable_end_string="=]",
        block_start_string="[%",
        block_end_string="%]",
        comment_start_string="[#",
        comment_end_string="#]",
        undefined=StrictUndefined,
        autoescape=False,
        keep_trailing_newline=True,
    )
    environment.filters["e"] = quoted
    return environment.get_template(name)
