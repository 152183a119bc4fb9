"""The book's and the chapters' own fields, and the kinds of exercise a chapter can hold."""

from typing import Annotated, Any, Literal

from pydantic import Field

from engraver.spec.cadences import CadenceSpec
from engraver.spec.drills import BarreSpec, CrossingsSpec, FingerOrdersSpec, ShiftsSpec, SlursSpec, TremoloSpec
from engraver.spec.fields import Frozen
from engraver.spec.models import ArpeggioSpec, RightHandStudySpec, ScaleSpec, TextSpec
from engraver.spec.played import ExerciseSpec, Line, Prose
from engraver.spec.technique import ChromaticSpec, DoubleStopsSpec, SequenceSpec

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
    "text": TextSpec,
}


def known_fields() -> dict[str, None]:
    """Every field that some kind of exercise has, so that defaults can be checked."""
    return {name: None for model in KINDS.values() for name in model.model_fields}


class ChapterHead(Frozen):
    """A chapter without its exercises."""

    title: Line
    text: Prose = ""
    defaults: dict[str, Any] = {}
    exercises: list[Any] = Field(min_length=1)


class BookHead(Frozen):
    """The book's own fields; its chapters are read one by one."""

    title: Line
    subtitle: Line | None = None
    author: Line | None = None
    language: Literal["en"] = "en"
    text: Prose = ""
    imprint: Prose = ""
    instrument: dict[str, Any] = {}
    player: dict[str, Any] = {}
    style: dict[str, Any] = {}
    editions: dict[
        Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9 _-]*$", max_length=40)], dict[str, Any] | None
    ] = {}
    defaults: dict[str, Any] = {}
    chapters: list[Any] = Field(min_length=1)
