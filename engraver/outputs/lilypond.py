r"""LilyPond source: one ``\score`` block an exercise, and whole files of them.

No user text is written here: names of output files are ours, words over the music come from a list of our own, and the
words of a book are set by the book's typesetter.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import TYPE_CHECKING

from engraver.errors import EngravingFailed
from engraver.outputs.engraving_table import engraving_table
from engraver.outputs.lilypond_changes import changes_text
from engraver.outputs.lilypond_clearance import crowded_digits, digits_above
from engraver.outputs.lilypond_directions import direction_row
from engraver.outputs.lilypond_graces import begins_with_grace, grace_waits, waiting
from engraver.outputs.lilypond_loudness import loudness_row
from engraver.outputs.lilypond_notes import (
    barline_text,
    break_text,
    length_text,
    name_text,
    pitch_text,
    staff_voice,
    tablature_voice,
    voice_numbers,
)
from engraver.outputs.lilypond_rows import finger_row, hand_row, letter_row, node_row, quoted, string_row
from engraver.outputs.lilypond_spacing import Spread, spread
from engraver.outputs.lilypond_timeline import Timeline, measure_length, timeline
from engraver.outputs.templates_folder import templates_folder
from engraver.score.model import Notation, Score, Voice
from engraver.score.page import EngravingStyle, StringName
from engraver.score.signs import Sign
from engraver.score.stems import INNER, LOWER, UPPER, Stems, stems_of
from engraver.theory.pitch import PitchName

if TYPE_CHECKING:
    from jinja2 import Template

_STEMS = {
    Stems.EITHER: r"\oneVoice", Stems.UP: r"\voiceOne", Stems.DOWN: r"\voiceTwo", Stems.INNER_UP: r"\voiceThree",
    Stems.INNER_DOWN: r"\voiceFour",
}  # fmt: skip
_USUAL_STEMS = {UPPER: Stems.UP, LOWER: Stems.DOWN, INNER: Stems.INNER_DOWN}
_LONE_TABLATURE = r"\loneTablatureStems"
_UNSAFE = re.compile(r"[^A-Za-z0-9_-]")
_OPENING_REPEAT = r'\bar ".|:"'
_SIGNS = {-2: r"\doubleflat", -1: r"\flat", 0: '""', 1: r"\sharp", 2: r"\doublesharp"}
_Write = Callable[[Voice], str]


@dataclass(frozen=True, slots=True)
class _Part:
    """A voice or a row of marks: its opening words (a row's kind), and a text for each measure."""

    opening: str
    lines: tuple[str, ...]


def lilypond_score(score: Score, style: EngravingStyle) -> str:
    r"""The ``\score`` block of one exercise, without name or words.

    Raises EngravingFailed when the tablature would tell a lie: a note that its string and fret do not sound, or two
    notes on one string. (The engraver itself would say nothing.)
    """
    staff = score.notation is not Notation.TABLATURE
    tablature = score.notation is not Notation.STAFF
    time = timeline(score)
    if tablature:
        _check_places(score, time)
    staff_marks = (string_row(time), node_row(time)) if staff else (finger_row(time),)
    above = (direction_row(score, time), hand_row(time), *staff_marks)
    below = (loudness_row(score, time), letter_row(time, style.little_finger_letter))
    layout, waits = spread(score, time, style), grace_waits(score)
    return _template("score.ly.jinja").render(
        staff=staff,
        tablature=tablature,
        rows_above=[_Part("RowAbove", waiting(lines, waits)) for lines in above if lines],
        rows_below=[_Part("RowBelow", waiting(lines, waits)) for lines in below if lines],
        key=rf"\key {name_text(PitchName(score.key_fifths))} \major",
        metre=rf"\time {score.metre}",
        tuning=" ".join(pitch_text(pitch) for pitch in reversed(score.tuning.open_strings)),
        digits_above=digits_above(score),
        string_names=[_string_name(name) for name in style.open_strings],
        staff_voices=_voices(score, layout, _staff_writer) if staff else [],
        tablature_voices=_voices(score, layout, _bare_writer if staff else _rhythm_writer) if tablature else [],
        width_mm=layout.width_mm,
        ragged_last=layout.ragged_last,
        wait=waits[0],
    )


def _string_name(name: StringName) -> str:
    return f"\\stringName {quoted(name.letter)} {_SIGNS[name.sign]}"


def lilypond_file(blocks: Sequence[tuple[str, str]], style: EngravingStyle) -> str:
    r"""A whole file: the common header and a ``\book`` for each (output name, score block).

    Whatever a name holds beside letters, figures, hyphens and underscores becomes a hyphen: it names a file.
    """
    table = engraving_table()
    look, large = table.look, table.large_print
    enlarged = style.staff_size_pt >= large.from_pt
    extra = large.mark_extra_steps if enlarged else 0.0
    return _template("file.ly.jinja").render(
        blocks=[(_UNSAFE.sub("-", name), block) for name, block in blocks],
        look=look,
        margin_mm=table.margin_mm,
        staff_size_pt=style.staff_size_pt,
        line_width_mm=style.line_width_mm,
        digit_steps=look.digit_steps + (large.digit_extra_steps if enlarged else 0.0),
        ring_steps=look.ring_steps + extra,
        node_steps=look.node_steps + extra,
        letter_steps=look.letter_steps + extra,
        loudness_steps=look.loudness_steps + extra,
        numeral_steps=look.numeral_steps + extra,
        thickness=large.thickness if enlarged else 1.0,
    )


def legend_snippets(signs: Iterable[Sign], style: EngravingStyle) -> dict[Sign, str]:
    r"""A ``\score`` block for each sign, showing it as the exercises print it, for the legend of a book."""
    template = _template("legend.ly.jinja")
    return {
        sign: template.render(
            sign=sign.value, little_finger_letter=style.little_finger_letter, barre_letter=style.barre_letter
        ).lstrip()
        for sign in signs
    }


def _check_places(score: Score, time: Timeline) -> None:
    opens = score.tuning.open_midis
    for moment in time.moments:
        notes = tuple(moment.notes)
        for note in notes:
            fits = 1 <= note.string <= len(opens) and opens[note.string - 1] + note.fret == note.fretted.sounding_midi
            if not fits:
                raise EngravingFailed(f"{note.fretted} does not lie on string {note.string}, fret {note.fret}")
        if len({note.string for note in notes}) < len(notes):
            names = " and ".join(str(note.pitch) for note in notes)
            raise EngravingFailed(f"two of the notes {names} lie on one string")


def _staff_writer(score: Score) -> _Write:
    return partial(staff_voice, crowded=crowded_digits(score))


def _rhythm_writer(score: Score) -> _Write:
    return partial(tablature_voice, rhythm=True)


def _bare_writer(score: Score) -> _Write:
    return partial(tablature_voice, rhythm=False)


def _voices(score: Score, layout: Spread, writer: Callable[[Score], _Write]) -> list[_Part]:
    """Every voice through the whole score, each with its opening words."""
    numbers = voice_numbers(score)
    repeat = _OPENING_REPEAT if score.measures[0].repeat_start else ""
    parts = []
    for number in numbers:
        alone = _LONE_TABLATURE if writer is _rhythm_writer else ""
        stems = _STEMS[_USUAL_STEMS[number]] if len(numbers) > 1 else alone
        lines = _voice_lines(score, number, layout, writer(score))
        leads = number == numbers[0] and (writer is not _bare_writer)
        lines = tuple(map(_with_changes, changes_text(score, writer is _staff_writer), lines)) if leads else lines
        parts.append(_Part(f"{stems} {repeat}".strip(), lines))
    return parts


def _with_changes(change: str, line: str) -> str:
    return f"{change} {line}" if change else line


def _voice_lines(score: Score, number: int, layout: Spread, write: _Write) -> tuple[str, ...]:
    """One voice, a text for each measure; where it is silent the measure is skipped."""
    lines = []
    for index, (measure, wait) in enumerate(zip(score.measures, grace_waits(score), strict=True)):
        own = next((voice for voice in measure.voices if voice.number == number), None)
        text = write(own) if own else None
        if text is None:
            text = f"s{length_text(measure_length(measure))}"
        elif score.has_two_voices and (stems := stems_of(score, measure, number)) is not _USUAL_STEMS[number]:
            text = rf"{_STEMS[stems]} {text} {_STEMS[_USUAL_STEMS[number]]}"
        if wait and not begins_with_grace(own):
            text = f"{wait} {text}"
        lines.append(f"{text} | {_closing(score, index, layout)}".rstrip())
    return tuple(lines)


def _closing(score: Score, index: int, layout: Spread) -> str:
    last = index + 1 == len(score.measures)
    bar = barline_text(score.measures[index], None if last else score.measures[index + 1])
    bound = layout.last_together and index + 2 == len(score.measures)
    breaking = "\\noBreak" if bound else break_text(index + 1, layout.measures_per_system, last)
    return " ".join(part for part in (bar, breaking) if part)


@cache
def _template(name: str) -> "Template":
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
