r"""The frame of LilyPond source: ``\score`` blocks, whole files, the header's numbers in their places.

A template engine would do the same; to load one takes longer than all that is written here for a small book.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from string import Template

from engraver.outputs.engraving_table import engraving_table
from engraver.outputs.lilypond_rows import quoted
from engraver.outputs.templates_folder import templates_folder
from engraver.score.page import EngravingStyle

_STEM_TO_STAFF, _CURVE_TO_STAFF = 1.3, 1.2  # thickness of stems and of slurs by that of staff lines


class _Header(Template):
    """Text whose numbers stand as ``@{name}``: LilyPond and Scheme use the usual dollar themselves."""

    delimiter = "@"


@dataclass(frozen=True, slots=True)
class Part:
    """A voice or a row of marks: its opening words (a row's kind), and a text for each measure."""

    opening: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StaffText:
    """A staff: what it is and how it differs, its opening, the kind of its voices, and they themselves."""

    context: str
    opening: str
    voice: str
    voices: Sequence[Part]


def score_block(
    staves: Sequence[StaffText], above: Iterable[Part], below: Iterable[Part], width_mm: float, ragged_last: bool
) -> str:
    r"""A ``\score`` block: rows of marks above and below the first of one or two staves."""
    joined = r" \new StaffGroup \with { systemStartDelimiter = #'SystemStartBar } <<" if len(staves) > 1 else " <<"
    first, *others = map(_staff, staves)
    lines = [r"\score {", f" {joined}", *map(_row, above), first, *map(_row, below), *others, "  >>"]
    last = "##t" if ragged_last else "##f"
    layout = rf"  \layout {{ line-width = {width_mm}\mm ragged-right = ##f ragged-last = {last} }}"
    return "\n".join([*lines, layout, "}", ""])


def _row(row: Part) -> str:
    lines = "".join(f"\n      {line} |" for line in row.lines)
    return rf"    \new {row.opening} \lyricmode {{{lines}" + "\n    }"


def _staff(staff: StaffText) -> str:
    voices = "".join(_voice(staff.voice, voice) for voice in staff.voices)
    return rf"    \new {staff.context} <<" + f"\n      {staff.opening}{voices}\n    >>"


def _voice(context: str, voice: Part) -> str:
    lines = "".join(f"\n        {line}" for line in voice.lines)
    opening = f" {voice.opening}" if voice.opening else ""
    return f"\n      \\new {context} {{{opening}{lines}\n      }}"


def file_text(blocks: Sequence[tuple[str, str]], style: EngravingStyle) -> str:
    r"""A whole file: the header in this style, and a ``\book`` for each (output name, score block)."""
    return f"{header(style)}{''.join(_book(name, block) for name, block in blocks)}\n"


def _book(name: str, block: str) -> str:
    indented = "\n".join(f"  {line}" if line else line for line in block.split("\n"))
    return f"\n\n\\book {{\n  \\bookOutputName {quoted(name)}\n{indented}}}"


@cache
def header(style: EngravingStyle) -> str:
    """What every file begins with: marks, staves and paper in this style. A place without its number is a KeyError."""
    numbers = _numbers(style)
    text = (templates_folder("lilypond") / "header.ly").read_text("utf-8")
    return _Header(text).substitute(numbers)


def _numbers(style: EngravingStyle) -> Mapping[str, object]:
    """The numbers of the header by name: those of the look, some grown in large print, and what follows from them."""
    table = engraving_table()
    look, large = table.look, table.large_print
    enlarged = style.staff_size_pt >= large.from_pt
    extra = large.mark_extra_steps if enlarged else 0.0
    grown = ("ring_steps", "node_steps", "letter_steps", "loudness_steps", "numeral_steps")
    digit_steps = look.digit_steps + (large.digit_extra_steps if enlarged else 0.0)
    return {
        **dict(look),
        **{name: getattr(look, name) + extra for name in grown},
        "staff_size_pt": style.staff_size_pt,
        "digit_steps": digit_steps,
        "place_steps": digit_steps + 2,
        "grace_digit_steps": digit_steps + 2,
        "guide_foot_sp": look.guide_height_sp - look.guide_rise_sp / 2,
        "half_barre_space_sp": look.barre_space_sp / 2,
        "broken_line_gap_sp": look.line_gap_sp / 4,
        "node_line_gap_sp": look.line_gap_sp + look.node_half_sp,
        "half_tablature_line_sp": look.tablature_line_sp / 2,
        "twice_tablature_beam_sp": 2 * look.tablature_beam_sp,
        "margin_mm": table.margin_mm,
        "paper_width_mm": style.line_width_mm + 2 * table.margin_mm,
        "thicker_lines": _thicker_lines(large.thickness) if enlarged and large.thickness != 1 else "",
    }


def _thicker_lines(thickness: float) -> str:
    """The lines of a staff and what hangs on them, heavier than usual."""
    stems, curves = _STEM_TO_STAFF * thickness, _CURVE_TO_STAFF * thickness
    grobs = {"StaffSymbol": thickness, "Stem": stems, "Slur": curves, "Tie": curves}
    return "".join(f"\n    \\override {grob}.thickness = {number}" for grob, number in grobs.items())
