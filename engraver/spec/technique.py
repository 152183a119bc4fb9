"""Kinds of technical exercise beyond scales, arpeggios and right-hand studies."""

from typing import Annotated, Literal

from pydantic import Field

from engraver.spec.fields import ScaleField, TonicField
from engraver.spec.played import MOST_TONICS, LineSpec

Tonics = Annotated[tuple[TonicField, ...], Field(min_length=1, max_length=MOST_TONICS)]


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
