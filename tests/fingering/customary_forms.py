"""Customary forms of technique as facts, read from customary_forms.yaml, which names their source."""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from ruamel.yaml import YAML

from engraver.fretboard.limits import OpenStrings


class Certainty(StrEnum):
    """How far the methods agree."""

    HIGH = "high"
    MEDIUM = "medium"


HIGH, MEDIUM = Certainty.HIGH, Certainty.MEDIUM


@dataclass(frozen=True, slots=True)
class Form:
    """One form: `notes` are pitches, `places` string/fret-finger of each; + joins what is struck together.

    `turn`: the event (from 0) on which the line turns back, None where it does not.
    """

    name: str
    certainty: Certainty
    policy: OpenStrings
    notes: str
    places: str
    turn: int | None = None


def _read() -> tuple[Form, ...]:
    rows = YAML(typ="safe", pure=True).load(Path(__file__).with_suffix(".yaml").read_text("utf-8"))["forms"]
    return tuple(
        Form(
            row["name"],
            Certainty(row["is"]["certainty"]),
            OpenStrings(row["is"]["open_strings"]),
            row["notes"],
            row["places"],
            row["is"].get("turn"),
        )
        for row in rows
    )


ALL_FORMS = _read()
