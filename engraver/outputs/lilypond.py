r"""LilyPond source: one ``\score`` block an exercise, and whole files of them.

No user text is written here: names of output files are ours, words over the music come from a list of our own, and the
words of a book are set by the book's typesetter.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from functools import partial

from engraver.errors import EngravingFailed
from engraver.outputs.lilypond_changes import changes_text
from engraver.outputs.lilypond_clearance import crowded_digits, digits_above
from engraver.outputs.lilypond_directions import direction_row
from engraver.outputs.lilypond_graces import begins_with_grace, grace_waits, waiting
from engraver.outputs.lilypond_legend import legend_block
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
from engraver.outputs.lilypond_text import Part, StaffText, file_text, score_block
from engraver.outputs.lilypond_timeline import Timeline, measure_length, timeline
from engraver.score.model import Notation, Score, Voice
from engraver.score.page import EngravingStyle, StringName
from engraver.score.signs import Sign
from engraver.score.stems import INNER, LOWER, UPPER, Stems, stems_of
from engraver.theory.pitch import PitchName

_STEMS = {
    Stems.EITHER: r"\oneVoice", Stems.UP: r"\voiceOne", Stems.DOWN: r"\voiceTwo", Stems.INNER_UP: r"\voiceThree",
    Stems.INNER_DOWN: r"\voiceFour",
}  # fmt: skip
_USUAL_STEMS = {UPPER: Stems.UP, LOWER: Stems.DOWN, INNER: Stems.INNER_DOWN}
_LONE_TABLATURE = r"\loneTablatureStems"
_UNSAFE = re.compile(r"[^A-Za-z0-9_-]")
_OPENING_REPEAT = r'\bar ".|:"'
_SIGNS = {-2: r"\doubleflat", -1: r"\flat", 0: '""', 1: r"\sharp", 2: r"\doublesharp"}
_DIGITS_ABOVE = r"\with { \plainLine }"
_NAMED = r"""
      \override Clef.whiteout = ##t \override Clef.layer = 1
      \override Clef.stencil = #(string-names (list%s))"""
_Write = Callable[[Voice], str]


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
    staves = []
    if staff:
        staves.append(StaffText(*_staff(score, waits[0]), "Voice", _voices(score, layout, _staff_writer)))
    if tablature:
        writer = _bare_writer if staff else _rhythm_writer
        opened = _tablature(score, style, waits[0], alone=not staff)
        staves.append(StaffText(*opened, "TabVoice", _voices(score, layout, writer)))
    return score_block(
        staves,
        [Part("RowAbove", waiting(lines, waits)) for lines in above if lines],
        [Part("RowBelow", waiting(lines, waits)) for lines in below if lines],
        layout.width_mm,
        layout.ragged_last,
    )


def _staff(score: Score, wait: str) -> tuple[str, str]:
    """The staff with its differences, and what it opens with; a grace note elsewhere is waited for."""
    different = f" {_DIGITS_ABOVE}" if digits_above(score) else ""
    opening = rf'\clef "treble_8" \key {name_text(PitchName(score.key_fifths))} \major \time {score.metre}'
    return f"Staff{different}", f"{{ {opening} {wait} }}" if wait else opening


def _tablature(score: Score, style: EngravingStyle, wait: str, alone: bool) -> tuple[str, str]:
    """The tablature with its strings, and what it opens with; `alone` it shows the rhythm too."""
    tuning = " ".join(pitch_text(pitch) for pitch in reversed(score.tuning.open_strings))
    names = "".join(f" #{{ \\markup {_string_name(name)} #}}" for name in style.open_strings)
    different = rf"\with {{ stringTunings = \stringTuning <{tuning}>{_NAMED % names if names else ''} }}"
    opening = rf"{{ \time {score.metre} {wait} }}" if wait else rf"\time {score.metre}"
    return f"TabStaff {different}", opening + (r" \tabFullNotation" if alone else "")


def _string_name(name: StringName) -> str:
    return f"\\stringName {quoted(name.letter)} {_SIGNS[name.sign]}"


def lilypond_file(blocks: Sequence[tuple[str, str]], style: EngravingStyle) -> str:
    r"""A whole file: the common header and a ``\book`` for each (output name, score block).

    Whatever a name holds beside letters, figures, hyphens and underscores becomes a hyphen: it names a file.
    """
    return file_text([(_UNSAFE.sub("-", name), block) for name, block in blocks], style)


def legend_snippets(signs: Iterable[Sign], style: EngravingStyle) -> dict[Sign, str]:
    r"""A ``\score`` block for each sign, showing it as the exercises print it, for the legend of a book."""
    return {sign: legend_block(sign, style) for sign in signs}


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


def _voices(score: Score, layout: Spread, writer: Callable[[Score], _Write]) -> list[Part]:
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
        parts.append(Part(f"{stems} {repeat}".strip(), lines))
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
