"""Composes one entry of a book, written as it would stand there."""

from typing import Any

from engraver.exercises.compose import compose
from engraver.spec.heads import KINDS
from engraver.spec.house import InstrumentSpec
from engraver.theory.passage import Passage


def composed(entry: dict[str, Any], instrument: dict[str, Any] | None = None) -> Passage:
    """The passage of an entry on the standard guitar, or another."""
    spec = KINDS[entry["kind"]].model_validate({"id": "x", **entry})
    return compose(spec, InstrumentSpec.model_validate(instrument or {}).instrument())


def pitches(passage: Passage) -> list[str]:
    """Pitch names with octaves in playing order."""
    return [str(note.pitch) for note in passage.notes]
