"""The book's and the chapters' own fields, and the kinds of exercise a chapter can hold."""

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from engraver.spec.book_numbers import IsbnField, IsmnField
from engraver.spec.cadences import CadenceSpec
from engraver.spec.drills import BarreSpec, CrossingsSpec, FingerOrdersSpec, ShiftsSpec, SlursSpec, TremoloSpec
from engraver.spec.excerpt import ExcerptSpec
from engraver.spec.fields import Frozen, closest, teacher_error
from engraver.spec.harmonics import HarmonicsSpec
from engraver.spec.house import MOST_PRACTICE_LINES
from engraver.spec.models import ArpeggioSpec, RightHandStudySpec, ScaleSpec, TextSpec
from engraver.spec.played import ExerciseSpec, Line, Prose
from engraver.spec.technique import ChromaticSpec, DoubleStopsSpec, SequenceSpec
from engraver.tables.words import languages

KINDS: dict[str, type[ExerciseSpec]] = {
    "scale": ScaleSpec,
    "chromatic": ChromaticSpec,
    "sequence": SequenceSpec,
    "double stops": DoubleStopsSpec,
    "arpeggio": ArpeggioSpec,
    "right hand": RightHandStudySpec,
    "cadence": CadenceSpec,
    "slurs": SlursSpec,
    "finger orders": FingerOrdersSpec,
    "tremolo": TremoloSpec,
    "shifts": ShiftsSpec,
    "barre": BarreSpec,
    "string crossings": CrossingsSpec,
    "harmonics": HarmonicsSpec,
    "excerpt": ExcerptSpec,
    "text": TextSpec,
}


def known_fields() -> dict[str, None]:
    """Every field that some kind of exercise has, so that defaults can be checked."""
    return {name: None for model in KINDS.values() for name in model.model_fields}


def _language(value: Any) -> str:
    """A language with printed words, with or without a region: `de`, `en-GB`."""
    code = str(value).strip().partition("-")[0].lower()
    if code not in languages():
        raise teacher_error(f"there are no printed words for the language '{value}'", closest(code, languages()))
    return str(value).strip()


LanguageField = Annotated[
    str, BeforeValidator(_language), Field(max_length=12, pattern=r"^[A-Za-z]{2,3}(-[A-Za-z]{2}|-[0-9]{3})?$")
]


class ChapterHead(Frozen):
    """A chapter without its exercises; `practice_lines` are ruled at its end, as many as the style says by default."""

    title: Line
    text: Prose = ""
    practice_lines: Annotated[int, Field(ge=0, le=MOST_PRACTICE_LINES)] | None = None
    defaults: dict[str, Any] = {}
    exercises: list[Any] = Field(min_length=1)


class EditionHead(Frozen):
    """The words that an edition may change; nothing written leaves the book's own."""

    title: Line | None = None
    subtitle: Line | None = None
    language: LanguageField | None = None
    date: Line | None = None
    isbn: IsbnField | None = None
    ismn: IsmnField | None = None


class BookHead(Frozen):
    """The book's own fields; its chapters are read one by one."""

    title: Line
    subtitle: Line | None = None
    author: Line | None = None
    language: LanguageField = "en"
    text: Prose = ""
    imprint: Prose = ""
    date: Line | None = None
    isbn: IsbnField | None = None
    ismn: IsmnField | None = None
    instrument: dict[str, Any] = {}
    player: dict[str, Any] = {}
    style: dict[str, Any] = {}
    editions: dict[
        Annotated[str, Field(pattern=r"^[\p{L}\p{N}][\p{L}\p{M}\p{N} _-]*$", max_length=40)], dict[str, Any] | None
    ] = {}
    defaults: dict[str, Any] = {}
    chapters: list[Any] = Field(min_length=1)
