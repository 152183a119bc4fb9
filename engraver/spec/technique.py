"""Kinds of technical exercise beyond scales, arpeggios and right-hand studies."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from engraver.spec.fields import ChordSymbolField, KeyField, ScaleField, TonicField, teacher_error
from engraver.spec.hands import FretNumber, StepField, StoppingFinger, StringNumber
from engraver.spec.played import MOST_TONICS, LineSpec, PlayedSpec

Tonics = Annotated[tuple[TonicField, ...], Field(min_length=1, max_length=MOST_TONICS)]
Strings = Annotated[tuple[StringNumber, ...], Field(min_length=1, max_length=10)]
FingerRow = Annotated[tuple[StoppingFinger, ...], Field(min_length=1, max_length=12)]


class DoubleStopsSpec(LineSpec):
    """A scale in two voices: `{kind: double stops, interval: thirds, scale: major, tonics: [C]}`."""

    kind: Literal["double stops"]
    interval: Literal["thirds", "sixths", "octaves", "tenths", "unisons"]
    scale: ScaleField = "major"
    tonics: Tonics
    manner: Literal["together", "broken"] = "together"


class SequenceSpec(LineSpec):
    """A pattern carried through a scale: by name, or as degree offsets `pattern: [0, 2, 1]`."""

    kind: Literal["sequence"]
    scale: ScaleField = "major"
    tonics: Tonics
    pattern: (
        Literal["broken thirds", "broken fourths", "broken sixths", "groups of three", "groups of four", "up and turn"]
        | Annotated[tuple[Annotated[int, Field(ge=-14, le=14)], ...], Field(min_length=1, max_length=12)]
    ) = "broken thirds"


class ChromaticSpec(LineSpec):
    """The chromatic scale in a named spelling."""

    kind: Literal["chromatic"]
    tonics: Tonics
    convention: Literal["melodic", "harmonic", "sharps up, flats down"] = "melodic"


class SlursSpec(PlayedSpec):
    """Slurs between fingers in one position, string after string."""

    kind: Literal["slurs"]
    fingers: FingerRow
    manner: Literal["ascending", "descending", "triple", "compound", "trill"] = "ascending"
    strings: Strings = (1, 2, 3, 4, 5, 6)
    position: FretNumber = 5


class FingerOrdersSpec(PlayedSpec):
    """Finger orders: one row or several, `all` for the twenty-four; `held` fingers stay down on `held_string`."""

    kind: Literal["finger orders"]
    orders: Literal["all"] | Annotated[tuple[FingerRow, ...], Field(min_length=1, max_length=24)] = "all"
    strings: Strings = (1,)
    across: bool = False
    position: FretNumber = 5
    held: tuple[StoppingFinger, ...] = ()
    held_string: StringNumber | None = None


class TremoloSpec(PlayedSpec):
    """Tremolo over a progression, a chord a bar: `formula: [p, a, m, i]`."""

    kind: Literal["tremolo"]
    progression: Annotated[tuple[ChordSymbolField, ...], Field(min_length=1, max_length=64)] = ("Am", "E7", "Am")
    key: KeyField | None = None
    formula: Annotated[tuple[StepField, ...], Field(min_length=3, max_length=8)] = ()
    string: StringNumber = 1
    closing_chord: bool = True


class ShiftsSpec(PlayedSpec):
    """Shifts along strings: one finger, or a row of fingers led by a guide finger, from fret to fret."""

    kind: Literal["shifts"]
    fingers: FingerRow = (1,)
    strings: Strings = (1,)
    positions: Annotated[tuple[FretNumber, ...], Field(min_length=2, max_length=24)] = (1, 3, 5, 7)
    scale: ScaleField | None = None
    tonics: tuple[TonicField, ...] = ()


class BarreSpec(PlayedSpec):
    """Barre drills: partial, full, or hinge (the first finger lifts and lays down its lower part)."""

    kind: Literal["barre"]
    manner: Literal["partial", "full", "hinge"] = "full"
    frets: Annotated[tuple[FretNumber, ...], Field(min_length=1, max_length=24)] = (5,)
    strings: Strings = (1, 2, 3, 4, 5, 6)


class CrossingsSpec(PlayedSpec):
    """Alternation on open or stopped strings: each string so many times, in the order given."""

    kind: Literal["string crossings"]
    strings: Strings = (1, 2, 3)
    times: Annotated[int, Field(ge=1, le=16)] = 4
    frets: tuple[Annotated[int, Field(ge=0, le=24)], ...] = ()


class CadenceSpec(PlayedSpec):
    """A cadence in a key, voice-led for the guitar: `progression: [I, IV, V7, I]`, block or broken."""

    kind: Literal["cadence"]
    tonics: Tonics
    mode: Literal["major", "minor"] = "major"
    progression: Annotated[
        tuple[Literal["I", "II", "IV", "V", "V7", "VI", "augmented sixth", "Neapolitan", "I6/4"], ...],
        Field(min_length=2, max_length=16),
    ] = ("I", "V7", "I")
    manner: Literal["block", "broken"] = "block"

    @model_validator(mode="after")
    def _closes(self) -> "CadenceSpec":
        if self.progression[-1] not in ("I", "VI", "V"):
            raise teacher_error(
                f"a cadence cannot close on {self.progression[-1]}",
                "close on I, VI (deceptive) or V (half close)",
            )
        return self
