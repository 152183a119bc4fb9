"""What one edition asks of the later rooms: paper, engraving, marks."""

from dataclasses import dataclass

from engraver.outputs.pages import Look
from engraver.press.guitar_words import string_names
from engraver.score.harmonics import HarmonicSystem
from engraver.score.marks import MarkStyle
from engraver.score.model import Notation
from engraver.score.page import EngravingStyle, PageStyle
from engraver.spec.book import Edition
from engraver.spec.house import StyleSpec
from engraver.tables.words import words

USUAL_STAFF_PT, USUAL_TEXT_PT, LARGEST_TEXT_PT = 18.0, 10.5, 18.0
"""Text grows with the staff, up to a size at which lines still hold enough words (chosen by us)."""
LARGE_PRINT_TEXT_PT = 18.0
"""Large print begins at 16 to 18 points. Source: RNIB and UKAAF guidance on large print, by report."""


@dataclass(frozen=True, slots=True)
class Settings:
    """One edition, worked out."""

    page: PageStyle
    engraving: EngravingStyle
    marks: MarkStyle
    notation: Notation
    text_size_pt: float
    look: Look = Look.SERIF


def settings_of(edition: Edition) -> Settings:
    """The settings of an edition."""
    style = edition.style
    page = page_style(style)
    engraving = EngravingStyle(
        style.staff_size_pt,
        page.line_width_mm,
        style.measures_per_system,
        style.little_finger,
        style.barre,
        string_names(edition.instrument, words(edition.language)),
    )
    marks = MarkStyle(
        style.fingers,
        style.strings,
        style.plucking,
        style.positions,
        style.reminders,
        style.barre,
        HarmonicSystem(style.harmonics),
        style.harmonic_numbers == "roman",
    )
    look = Look.LARGE if style.large_print else Look(style.typeface)
    return Settings(page, engraving, marks, Notation(style.notation), text_size(style), look)


def text_size(style: StyleSpec) -> float:
    """The size of the text in points, growing with the staff; in large print never below the size of clear print."""
    grown = USUAL_TEXT_PT * style.staff_size_pt / USUAL_STAFF_PT
    if style.large_print:
        return round(max(LARGE_PRINT_TEXT_PT, grown), 2)
    return round(min(LARGEST_TEXT_PT, max(USUAL_TEXT_PT, grown)), 2)


def page_style(style: StyleSpec) -> PageStyle:
    """The sheet and its margins; small sheets get narrower ones."""
    width, height = style.paper_mm()
    usual = PageStyle()
    scale = min(1.0, min(width, height) / usual.width_mm)
    inner = round((usual.inner_mm + (5 if style.mirrored else 0)) * scale, 2)
    outer = round(usual.outer_mm * scale, 2)
    return PageStyle(width, height, inner, outer, round(usual.top_mm * scale, 2), round(usual.bottom_mm * scale, 2))
