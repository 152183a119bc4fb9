"""What every exercise may say: its id, time, hands, range and direction."""

from fractions import Fraction
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, model_validator

from engraver.spec.fields import Frozen, MetreField, PitchField, RhythmField, teacher_error
from engraver.spec.hands import FretNumber, LeftHandSpec, RightHandSpec
from engraver.theory.rhythm import Metre, TempoRange

MOST_TONICS = 40
"""The most exercises one entry may stand for; beyond that a slip is likelier than a wish (chosen by us)."""

MOST_VARIANTS = 20
"""The most rhythms one entry may be asked in (chosen by us)."""

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
        beat = Fraction(NOTE_VALUES[self.beat]) if self.beat else metre.beat_quarters
        return TempoRange(self.slowest, self.fastest or self.slowest, beat)


class ExerciseSpec(Frozen):
    """What every exercise may say."""

    id: ExerciseId
    kind: str
    title: Line | None = None
    text: Prose = ""
    reason: Prose = ""

    def located(self, folder: Path) -> "ExerciseSpec":
        """The spec once it is known where the book lies. Raises SpecError for a file it names that is not there."""
        return self


class PlayedSpec(ExerciseSpec):
    """What every played exercise may say of its time and the hands."""

    metre: MetreField = Metre(4, 4)
    rhythm: RhythmField = "quavers"
    tempo: TempoSpec | None = None
    left_hand: LeftHandSpec = LeftHandSpec()
    right_hand: RightHandSpec = RightHandSpec()
    repeat: bool = False


class PositionsSpec(Frozen):
    """A range by the hand's lowest and highest position: `range: {positions: [2, 9]}`."""

    positions: tuple[FretNumber, FretNumber]


class LineSpec(PlayedSpec):
    """What scales, arpeggios and other single lines share: range and direction."""

    variants: Annotated[tuple[RhythmField, ...], Field(max_length=MOST_VARIANTS)] = ()
    octaves: Annotated[int, Field(ge=1, le=4)] = 1
    range: (
        Literal["position", "neck"]
        | PositionsSpec
        | Annotated[tuple[PitchField, ...], Field(min_length=2, max_length=2)]
        | None
    ) = None
    direction: Literal["up", "down", "up and down", "down and up"] = "up and down"
