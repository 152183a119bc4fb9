"""The book as frozen models. The names of fields are the book format; see README for the teacher's view."""

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, model_validator

from engraver.spec.fields import (
    ChordField,
    ChordSymbolField,
    Frozen,
    KeyField,
    MetreField,
    PitchField,
    RhythmField,
    ScaleField,
    TonicField,
    teacher_error,
)
from engraver.spec.hands import LeftHandSpec, PluckingField, RightHandSpec, StringNumber
from engraver.theory.rhythm import Metre, TempoRange

MOST_TONICS = 40
"""The most exercises one entry may stand for; beyond that a slip is likelier than a wish (chosen by us)."""

Line = Annotated[str, Field(min_length=1, max_length=300)]
Prose = Annotated[str, Field(max_length=20_000)]
ExerciseId = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
Bpm = Annotated[int, Field(ge=20, le=400)]
NOTE_VALUES = {
    "minim": "2", "dotted crotchet": "3/2", "crotchet": "1", "dotted quaver": "3/4", "quaver": "1/2",
    "dotted minim": "3", "semiquaver": "1/4",
}  # fmt: skip


class TempoSpec(Frozen):
    """`tempo: {from: 60, to: 96, beat: crotchet}`; the beat of the metre when none is named."""

    slowest: Bpm = Field(alias="from")
    fastest: Bpm | None = Field(default=None, alias="to")
    beat: (
        Literal["minim", "dotted minim", "crotchet", "dotted crotchet", "quaver", "dotted quaver", "semiquaver"] | None
    ) = None

    @model_validator(mode="after")
    def _rising(self) -> "TempoSpec":
        if self.fastest is not None and self.fastest < self.slowest:
            raise teacher_error(f"the tempo falls from {self.slowest} to {self.fastest}", "put the slower tempo first")
        return self

    def tempo(self, metre: Metre) -> TempoRange:
        """The tempo range; a single tempo is a range of one."""
        from fractions import Fraction

        beat = Fraction(NOTE_VALUES[self.beat]) if self.beat else metre.beat_quarters
        return TempoRange(self.slowest, self.fastest or self.slowest, beat)


class ExerciseSpec(Frozen):
    """What every exercise may say."""

    id: ExerciseId
    kind: str
    title: Line | None = None
    text: Prose = ""
    reason: Prose = ""


class PlayedSpec(ExerciseSpec):
    """What every played exercise may say of its time and the hands."""

    metre: MetreField = Metre(4, 4)
    rhythm: RhythmField = "quavers"
    tempo: TempoSpec | None = None
    left_hand: LeftHandSpec = LeftHandSpec()
    right_hand: RightHandSpec = RightHandSpec()
    repeat: bool = False


class LineSpec(PlayedSpec):
    """What scales, arpeggios and other single lines share: range and direction."""

    octaves: Annotated[int, Field(ge=1, le=4)] = 1
    range: Annotated[tuple[PitchField, ...], Field(min_length=2, max_length=2)] | None = None
    direction: Literal["up", "down", "up and down", "down and up"] = "up and down"


class ScaleSpec(LineSpec):
    """A scale: `{id: g-major, kind: scale, scale: major, tonics: [G], octaves: 2}`."""

    kind: Literal["scale"]
    scale: ScaleField
    tonics: Annotated[tuple[TonicField, ...], Field(min_length=1, max_length=MOST_TONICS)]


class ArpeggioSpec(LineSpec):
    """An arpeggio: by `tonics` (roots), or by `key` when the chord is meant in a key."""

    kind: Literal["arpeggio"]
    chord: ChordField
    tonics: Annotated[tuple[TonicField, ...], Field(min_length=1, max_length=MOST_TONICS)] = ()
    key: KeyField | None = None
    inversion: Annotated[int, Field(ge=0, le=3)] = 0
    spelling: Literal["strict", "practical"] = "strict"

    @model_validator(mode="after")
    def _rooted(self) -> "ArpeggioSpec":
        if bool(self.tonics) == (self.key is not None):
            found = "both 'tonics' and 'key'" if self.tonics else "neither 'tonics' nor 'key'"
            raise teacher_error(
                f"the arpeggio has {found}", "write 'tonics: [C]' for roots or 'key: C minor' for a key"
            )
        return self


class RightHandStudySpec(PlayedSpec):
    """A right-hand formula over a chord progression, a chord a bar."""

    kind: Literal["right hand"]
    progression: Annotated[tuple[ChordSymbolField, ...], Field(min_length=1, max_length=64)] = ("C", "G7", "C")
    key: KeyField | None = None
    strings_of: dict[PluckingField, StringNumber] = {}
    closing_chord: bool = True

    @model_validator(mode="after")
    def _has_formula(self) -> "RightHandStudySpec":
        if not self.right_hand.formula:
            raise teacher_error("the right-hand study has no formula", "write 'right_hand: {formula: [p, i, m, a]}'")
        return self


class TextSpec(ExerciseSpec):
    """A page of words between exercises: `{id: note, kind: text, text: ...}`."""

    kind: Literal["text"]
    text: Annotated[str, Field(min_length=1, max_length=20_000)]


KINDS: dict[str, type[ExerciseSpec]] = {
    "scale": ScaleSpec,
    "arpeggio": ArpeggioSpec,
    "right hand": RightHandStudySpec,
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

    SECTIONS: ClassVar[tuple[str, ...]] = ("instrument", "player", "style")

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
