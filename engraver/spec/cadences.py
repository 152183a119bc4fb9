"""Cadences as the book writes them: Roman numerals in a key."""

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from engraver.spec.fields import NumeralField, TonicField, teacher_error
from engraver.spec.played import MOST_TONICS, PlayedSpec
from engraver.theory.harmony import may_follow


class CadenceSpec(PlayedSpec):
    """A cadence in a key, voice-led for the guitar: `progression: [I, IV, V7, I]`, block or broken.

    Small numerals are read as the large ones; the mode of the key decides. An augmented sixth is German in four parts
    and Italian in three unless the book names it.
    """

    kind: Literal["cadence"]
    tonics: Annotated[tuple[TonicField, ...], Field(min_length=1, max_length=MOST_TONICS)]
    mode: Literal["major", "minor"] = "major"
    progression: Annotated[tuple[NumeralField, ...], Field(min_length=2, max_length=16)] = ("I", "V7", "I")
    manner: Literal["block", "broken"] = "block"
    parts: Literal[3, 4] = 4
    augmented_sixth: Literal["Italian", "French", "German"] | None = None
    chords_a_bar: Annotated[int, Field(ge=1, le=4)] | None = None
    closing_chord: bool = True

    @property
    def sixth(self) -> str:
        """The variety of augmented sixth."""
        return self.augmented_sixth or ("German" if self.parts == 4 else "Italian")

    @model_validator(mode="after")
    def _closes(self) -> "CadenceSpec":
        if self.progression[-1] not in ("I", "VI", "V"):
            raise teacher_error(
                f"a cadence cannot close on {self.progression[-1]}",
                "close on I, VI (deceptive) or V (half close)",
            )
        for one, two in pairwise(self.progression):
            if two not in may_follow(one):
                raise teacher_error(f"{one} does not lead to {two}", "follow it with " + ", ".join(may_follow(one)[1:]))
        return self
