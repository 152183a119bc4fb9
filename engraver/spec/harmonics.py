"""Harmonics: open strings touched at their nodes, scales and melodies in harmonics. Field names are the book format."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from engraver.errors import EngraverError
from engraver.fretboard.harmonics import nodes
from engraver.reading.written import WrittenNote, parse_written
from engraver.spec.drill_fields import Strings, Times, filled, given
from engraver.spec.fields import KeyField, ScaleField, TonicField, closest, teacher_error
from engraver.spec.hands import PluckingField, StoppingFinger
from engraver.spec.played import MOST_TONICS, LineSpec
from engraver.theory.passage import PluckingFinger

USUAL_PLACES = ("12", "7", "5")
"""The nodes that sound most readily: halves, thirds and quarters of the string (common practice)."""


def _node(value: Any) -> str:
    """A place where a string is touched, by its printed number: 12, 7, 3.2."""
    known = [node.printed for node in nodes()]
    text = str(value).strip()
    if text not in known:
        raise teacher_error(f"no harmonic is touched at fret '{value}'", closest(text, known))
    return text


NodeField = Annotated[str, BeforeValidator(_node), WithJsonSchema({"type": ["string", "number"]})]


class HarmonicsSpec(LineSpec):
    """Harmonics: `{kind: harmonics, frets: [12, 7, 5]}` over the open strings, or a line in harmonics.

    Open strings: every string touched at each of the `frets` in turn. Natural first: a `scale` on its `tonics`, or a
    melody in `notes`, at the pitch that is heard: natural harmonics at the `frets` where they sound it, artificial ones
    elsewhere; a tonic without its octave lies where most are natural. Artificial: the scale or melody is stopped as it
    is written and sounds an octave higher; `plucking` takes every note, so that no fingers alternate.
    """

    kind: Literal["harmonics"]
    manner: Literal["open strings", "natural first", "artificial"] = "open strings"
    frets: Annotated[tuple[NodeField, ...], Field(min_length=1, max_length=10)] = USUAL_PLACES
    strings: Strings = (6, 5, 4, 3, 2, 1)
    times: Times = 1
    finger: StoppingFinger | None = None
    plucking: PluckingField | None = None
    scale: ScaleField | None = None
    tonics: Annotated[tuple[TonicField, ...], Field(max_length=MOST_TONICS)] = ()
    notes: Annotated[str, Field(min_length=1, max_length=20_000)] | None = None
    key: KeyField | None = None

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, data: Any) -> Any:
        line = given(data, "scale") is not None or given(data, "notes") is not None
        manner = "natural first" if line else None
        manner_given = given(data, "manner") or manner
        drill = manner_given in (None, "open strings")
        if manner_given == "artificial" and isinstance(hand := given(data, "right_hand"), Mapping):
            data = {**data, "right_hand": {name: value for name, value in hand.items() if name != "alternate"}}
        return filled(data, manner=manner, rhythm="crotchets" if drill else None, metre="3/4" if drill else None)

    @model_validator(mode="after")
    def _named(self) -> "HarmonicsSpec":
        scale, melody = self.scale is not None or bool(self.tonics), self.notes is not None
        if self.manner == "open strings":
            if scale or melody:
                raise teacher_error(
                    "open strings are played by their frets, not by a scale or notes",
                    "write manner: natural first, or leave scale, tonics and notes out",
                )
            return self
        if scale == melody:
            found = "both a scale and notes" if scale else "neither a scale nor notes"
            raise teacher_error(
                f"the line in harmonics has {found}", "write scale: major and tonics: [G], or notes: G4 q, A4, B4"
            )
        if scale and (self.scale is None or not self.tonics):
            raise teacher_error("a scale needs both its form and its tonic", "write scale: major and tonics: [G]")
        return self

    @model_validator(mode="after")
    def _touched(self) -> "HarmonicsSpec":
        if self.plucking is PluckingFinger.INDEX:
            raise teacher_error("the index touches and cannot pluck", "write plucking: a, or plucking: p")
        try:
            if any(len(note.pitches) > 1 for note in self.written()):
                raise teacher_error("the melody has two notes at once", "write one line of single notes")
        except EngraverError as error:
            raise teacher_error(error.message, error.hint) from error
        return self

    def written(self) -> tuple[WrittenNote, ...]:
        """The melody written in the book; none for a scale. Raises SpellingError."""
        return parse_written(self.notes, self.metre) if self.notes is not None else ()
