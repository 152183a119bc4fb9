"""Scales, arpeggios, right-hand studies and texts as frozen models. The names of fields are the book format."""

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from engraver.spec.drill_fields import filled, given, items_of
from engraver.spec.fields import ChordField, ChordSymbolField, KeyField, ScaleField, TonicField, teacher_error
from engraver.spec.hands import PluckingField, StringNumber
from engraver.spec.played import MOST_TONICS, ExerciseSpec, LineSpec, PlayedSpec

RESOLVING = ("dominant seventh", "diminished seventh", "half-diminished seventh", "diminished")
"""The chords whose leading note and seventh ask for a resolution."""


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
    resolution: bool = False
    study: Literal["four keys"] | None = None
    chain: Literal["fifths", "rising fifths"] | None = None
    chain_chords: Annotated[int, Field(ge=2, le=24)] = 12

    @model_validator(mode="after")
    def _rooted(self) -> "ArpeggioSpec":
        if bool(self.tonics) == (self.key is not None):
            found = "both 'tonics' and 'key'" if self.tonics else "neither 'tonics' nor 'key'"
            raise teacher_error(
                f"the arpeggio has {found}", "write 'tonics: [C]' for roots or 'key: C minor' for a key"
            )
        return self

    @model_validator(mode="after")
    def _one_study(self) -> "ArpeggioSpec":
        if self.resolution + (self.study is not None) + (self.chain is not None) > 1:
            raise teacher_error(
                "resolution, study and chain exclude each other",
                "write an entry for each; the study resolves by itself",
            )
        if self.resolution and (self.chord not in RESOLVING or self.spelling == "practical"):
            wrong = f"a {self.chord} chord" if self.chord not in RESOLVING else "the practical spelling"
            raise teacher_error(f"{wrong} has no resolution of its own", "write one of: " + ", ".join(RESOLVING))
        if self.study and (self.chord != "diminished seventh" or self.key or self.inversion or self.range):
            raise teacher_error(
                "the study in four keys is made of a diminished seventh by its tonics",
                "write 'chord: diminished seventh, tonics: [B]', without key, range or inversion",
            )
        if self.chain and (self.key or self.inversion or self.range):
            raise teacher_error(
                "a chain starts from its tonic, in root position",
                "write 'tonics: [C]', without key, range or inversion",
            )
        return self


_IN_THREES = {3: "6/8", 6: "6/8", 9: "9/8", 12: "12/8"}
"""Metres whose bars of quavers hold that many strokes, or twice as many."""


class RightHandStudySpec(PlayedSpec):
    """A right-hand formula over a chord progression, a chord a bar.

    A formula in threes has a metre in threes where the entry names neither metre nor rhythm: 6/8 for three or six
    strokes (common practice, no source).
    """

    kind: Literal["right hand"]
    progression: Annotated[tuple[ChordSymbolField, ...], Field(min_length=1, max_length=64)] = ("C", "G7", "C")
    key: KeyField | None = None
    strings_of: dict[PluckingField, StringNumber] = {}
    closing_chord: bool = True

    @model_validator(mode="before")
    @classmethod
    def _metre_of_formula(cls, data: Any) -> Any:
        strokes = len(items_of(given(given(data, "right_hand"), "formula")))
        return filled(data, metre=_IN_THREES.get(strokes) if given(data, "rhythm") is None else None)

    @model_validator(mode="after")
    def _has_formula(self) -> "RightHandStudySpec":
        if not self.right_hand.formula:
            raise teacher_error("the right-hand study has no formula", "write 'right_hand: {formula: [p, i, m, a]}'")
        return self


class TextSpec(ExerciseSpec):
    """A page of words between exercises: `{id: note, kind: text, text: ...}`."""

    kind: Literal["text"]
    text: Annotated[str, Field(min_length=1, max_length=20_000)]
