"""Why an exercise is written as it is, where the exercise itself knows: turns of a chain, spellings of one sound."""

from collections.abc import Callable
from importlib import import_module

from engraver.spec.played import ExerciseSpec
from engraver.tables.words import Words

REASONS = {
    "scale": "scale_reasons.scale_reason",
    "arpeggio": "harmony_titles.arpeggio_reason",
    "cadence": "harmony_titles.cadence_reason",
}
"""The reason of each kind that has one, as module and function of this room; a function takes spec and words."""


def exercise_reason(spec: ExerciseSpec, words: Words) -> str:
    """The book's own reason, else what the exercise says of its spelling; empty when there is nothing to say."""
    if spec.reason or spec.kind not in REASONS:
        return spec.reason
    module, function = REASONS[spec.kind].split(".")
    make: Callable[[ExerciseSpec, Words], str] = getattr(import_module(f"engraver.exercises.{module}"), function)
    return make(spec, words)
