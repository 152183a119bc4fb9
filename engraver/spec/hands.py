"""What a book says of the two hands, and how it becomes limits for the fingering."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from engraver.fretboard.limits import (
    Barres,
    Crossings,
    HandShape,
    LeftHandLimits,
    OpenStrings,
    Pin,
    Planting,
    RightHandPlan,
    Spread,
    Yielding,
)
from engraver.spec.fields import Frozen, closest, teacher_error
from engraver.spec.levels import level_names, level_row
from engraver.theory.passage import PluckingFinger

StringNumber = Annotated[int, Field(ge=1, le=10)]
FretNumber = Annotated[int, Field(ge=1, le=24)]
Finger = Annotated[int, Field(ge=0, le=4)]
StoppingFinger = Annotated[int, Field(ge=1, le=4)]


def _plucking(value: Any) -> Any:
    letters = [finger.value for finger in PluckingFinger]
    if not isinstance(value, PluckingFinger) and str(value) not in letters:
        raise teacher_error(f"'{value}' is not a plucking letter", "write p, i, m, a or c")
    return value


def _together(value: Any) -> Any:
    """One step of a formula: `p`, `im`, or [i, m] plucked together."""
    return tuple(value) if isinstance(value, str) else value


PluckingField = Annotated[PluckingFinger, BeforeValidator(_plucking)]
StepField = Annotated[tuple[PluckingField, ...], BeforeValidator(_together), Field(min_length=1, max_length=5)]


class StartSpec(Frozen):
    """Where the first note lies: `start: {string: 6, finger: 2}`."""

    string: StringNumber | None = None
    finger: Finger | None = None


class PinSpec(Frozen):
    """A decision for one note: its string, its finger or both."""

    string: StringNumber | None = None
    finger: Finger | None = None


def _level(value: Any) -> Any:
    if value is not None and value not in level_names():
        raise teacher_error(f"'{value}' is not a level we know", closest(str(value), level_names()))
    return value


class LeftHandSpec(Frozen):
    """The fretting hand: `left_hand: {open_strings: avoid, start: {string: 6, finger: 2}}`.

    A `level` fills in what the other fields leave unsaid (tables/left_hand_levels.yaml).
    """

    level: Annotated[str | None, BeforeValidator(_level)] = None
    open_strings: Literal["allow", "avoid", "prefer"] = "allow"
    barre: Literal["allow", "partial", "none"] = "allow"
    extensions: Literal["allow", "none"] = "allow"
    one_finger_per_fret: bool = False
    start: StartSpec = StartSpec()
    position: FretNumber | None = None
    around_position: FretNumber | None = None
    per_string: (
        Annotated[int, Field(ge=1, le=6)] | Annotated[tuple[StoppingFinger, ...], Field(min_length=1)] | None
    ) = None
    strings: tuple[StringNumber, ...] = ()
    pins: dict[Annotated[int, Field(ge=1)], PinSpec] = {}

    @model_validator(mode="before")
    @classmethod
    def _filled_by_level(cls, data: Any) -> Any:
        """The fields with those of the level below them; a level's place gives way to any place the book names."""
        if not isinstance(data, dict) or data.get("level") not in level_names():
            return data
        wishes: dict[str, Any] = dict(level_row(data["level"]).wishes)
        if {"position", "around_position", "start", "strings", "per_string"} & set(data):
            wishes = {name: value for name, value in wishes.items() if name not in ("position", "around_position")}
        return {**wishes, **data}

    @model_validator(mode="after")
    def _agreeing(self) -> "LeftHandSpec":
        asked = self.level is None and self.extensions == "allow" and "extensions" in self.model_fields_set
        if self.one_finger_per_fret and asked:
            raise teacher_error(
                "one finger per fret leaves no room for extensions",
                "leave extensions out, or write one_finger_per_fret: false",
            )
        return self

    def limits(self) -> LeftHandLimits:
        """The limits that the fingering keeps; pins count notes from 0."""
        per_string = self.per_string
        return LeftHandLimits(
            open_strings=OpenStrings(self.open_strings),
            start_string=self.start.string,
            start_finger=self.start.finger,
            position=self.position,
            notes_per_string=per_string if isinstance(per_string, int) else None,
            fingers_per_string=per_string if isinstance(per_string, tuple) else (),
            strings=self.strings,
            pins=tuple(Pin(note - 1, pin.string, pin.finger) for note, pin in sorted(self.pins.items())),
            shape=HandShape(Barres(self.barre), self._spread(), self.around_position),
            yielding=self._yielding(),
        )

    def _spread(self) -> Spread:
        if self.one_finger_per_fret:
            return Spread.ONE_PER_FRET
        return Spread.NO_EXTENSION if self.extensions == "none" else Spread.FREE

    def _yielding(self) -> tuple[Yielding, ...]:
        """The wishes that stand as the level has them; what the book asks for itself does not yield."""
        if self.level is None:
            return ()
        row = level_row(self.level)
        return tuple(name for name in row.yielding if getattr(self, name) == row.wishes[name])


class RightHandSpec(Frozen):
    """The plucking hand: `right_hand: {alternate: [i, m], start: auto, stroke: rest}`.

    `crossings: best` lets the left hand give way for fewer awkward crossings, `crossings: slur` slurs notes for them.
    `repeat_from_top` has the line played twice, the second time begun with another finger.
    `planting` shows when the fingers are laid on their strings in advance.
    """

    alternate: tuple[PluckingField, ...] = ()
    start: Literal["auto"] | PluckingField = "auto"
    formula: tuple[StepField, ...] = ()
    stroke: Literal["rest", "free"] | None = None
    crossings: Literal["as they come", "best", "slur"] = "as they come"
    repeat_from_top: bool = False
    planting: Literal["full", "sequential", "none"] = "none"

    def plan(self) -> RightHandPlan:
        """The plan that the plucking hand follows."""
        start = None if self.start == "auto" else PluckingFinger(self.start)
        crossings, planting = Crossings(self.crossings), Planting(self.planting)
        return RightHandPlan(self.alternate, start, self.formula, self.stroke or "", crossings, planting)
