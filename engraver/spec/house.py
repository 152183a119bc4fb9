"""The parts of a book around its exercises: instrument, player, style, paper."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from engraver.errors import EngraverError
from engraver.fretboard.tuning import Instrument, Player, tuning_of, tunings, usual_tuning
from engraver.spec.fields import Frozen, PitchField, closest, teacher_error

Millimetres = Annotated[float, Field(ge=50, le=2000)]


def _tuning(value: Any) -> Any:
    if isinstance(value, str):
        name = " ".join(value.lower().split())
        if name not in tunings():
            hint = f"{closest(value, tunings())}, or the strings from the lowest: [D2, A2, D3, G3, B3, E4]"
            raise teacher_error(f"'{value}' is not a tuning we know", hint)
        return tuple(tunings()[name])
    return value


class InstrumentSpec(Frozen):
    """The guitar: `instrument: {tuning: standard, scale_length_mm: 650, frets: 19, capo: 0}`."""

    tuning: Annotated[tuple[PitchField, ...], BeforeValidator(_tuning), Field(min_length=4, max_length=10)] = (
        usual_tuning().open_strings[::-1]
    )
    scale_length_mm: Annotated[float, Field(ge=300, le=800)] = 650.0
    frets: Annotated[int, Field(ge=5, le=24)] = 19
    capo: Annotated[int, Field(ge=0, le=12)] = 0

    def instrument(self) -> Instrument:
        """The instrument, string 1 first."""
        return Instrument(tuning_of(self.tuning[::-1]), self.scale_length_mm, self.frets, self.capo)


class PlayerSpec(Frozen):
    """The hand: `player: {reach_mm: 98, handed: right}`; reach from finger 1 to finger 4 along the neck."""

    reach_mm: Annotated[float, Field(ge=40, le=200)] = 98.0
    handed: Literal["right", "left"] = "right"

    def player(self) -> Player:
        """The player."""
        return Player(self.reach_mm, self.handed)


class OwnPaper(Frozen):
    """A sheet of one's own: `paper: {width_mm: 230, height_mm: 310}`."""

    width_mm: Millimetres
    height_mm: Millimetres


MOST_PRACTICE_LINES = 60
"""More lines than two pages hold (chosen by us)."""
LARGE_PRINT = {"staff_size_pt": 28.0, "landscape": True, "typeface": "sans"}
"""What `large_print: true` sets unless the book says otherwise: staff, lying sheet, bold letters without serifs.

Source: UKAAF G009 (Modified Stave Notation, 2013) and RNIB's pages on it, by report: no single size fits, stretch less
across than up, bold sans text, often a lying sheet; the figure of 28 points is chosen by us.
"""
PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Portrait width and height. Source: ISO 216 (A4); ANSI/ASME Y14.1 size A (Letter)."""


class StyleSpec(Frozen):
    """How the pages look.

    `chapters` says where one begins; `facing` lets an exercise of two pages begin on a left-hand page; `index` None
    means an index when the book is long enough to need one, `glossary` None one when enough terms are printed;
    `booklet` adds the book folded from its sheets.
    """

    paper: Literal["a4", "letter"] | OwnPaper = "a4"
    landscape: bool = False
    mirrored: bool = False
    staff_size_pt: Annotated[float, Field(ge=10, le=48)] = 18.0
    notation: Literal["staff", "tablature", "staff and tablature"] = "staff and tablature"
    fingers: Literal["all", "changes", "none"] = "changes"
    strings: Literal["all", "changes", "none"] = "changes"
    plucking: Literal["all", "first and turns", "crossings", "none"] = "first and turns"
    positions: bool = True
    reminders: bool = True
    diagrams: bool = False
    reasons: bool = False
    tempo_table: bool = False
    measures_per_system: Annotated[int, Field(ge=0, le=12)] = 0
    large_print: bool = False
    typeface: Literal["serif", "sans"] = "serif"
    chapters: Literal["new page", "right page", "run on"] = "new page"
    facing: bool = False
    index: bool | None = None
    glossary: bool | None = None
    practice_lines: Annotated[int, Field(ge=0, le=MOST_PRACTICE_LINES)] = 0
    booklet: bool = False
    barre: Literal["C", "B"] = "C"
    harmonics: Literal["open string and fret number", "touched pitch", "sounding pitch"] = "open string and fret number"
    harmonic_numbers: Literal["arabic", "roman"] = "arabic"
    little_finger: Annotated[str, Field(min_length=1, max_length=2, pattern=r"^[a-zñ]+$")] = "c"

    @model_validator(mode="before")
    @classmethod
    def _large(cls, written: Any) -> Any:
        if isinstance(written, dict) and written.get("large_print") is True:
            return {**LARGE_PRINT, **written}
        return written

    def paper_mm(self) -> tuple[float, float]:
        """Width and height of the sheet as it lies."""
        if isinstance(self.paper, OwnPaper):
            size = (self.paper.width_mm, self.paper.height_mm)
        else:
            size = PAPERS_MM[self.paper]
        return (max(size), min(size)) if self.landscape else size


def makes_large(style: Mapping[str, Any], change: Mapping[str, Any]) -> bool:
    """True for an edition that turns a book in usual print into one in large print.

    Such an edition takes the sizes of large print, whatever the book says for its other editions.
    """
    return change.get("large_print") is True and style.get("large_print") is not True


def check_tuning(instrument: Instrument) -> None:
    """Raises EngraverError when the strings do not rise from the lowest to the highest, or no fret is left."""
    midis = instrument.tuning.open_midis
    if list(midis) != sorted(midis, reverse=True):
        raise EngraverError("the tuning does not rise from string to string", hint="write it from the lowest string")
    if instrument.highest_fret < 5:
        raise EngraverError(f"a capo at {instrument.capo} leaves {instrument.highest_fret} frets", hint="move it down")
