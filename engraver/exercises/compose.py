"""From one exercise of the book to a spelled and timed passage."""

from collections.abc import Callable
from dataclasses import replace
from importlib import import_module

from engraver.fretboard.tuning import Instrument
from engraver.spec.played import ExerciseSpec, PlayedSpec
from engraver.theory.passage import Passage

COMPOSERS = {
    "scale": "scales.compose_scale",
    "chromatic": "scales.compose_chromatic",
    "sequence": "sequences.compose_sequence",
    "double stops": "double_stops.compose_double_stops",
    "arpeggio": "arpeggios.compose_arpeggio",
    "right hand": "right_hand.compose_right_hand",
    "cadence": "cadences.compose_cadence",
    "slurs": "slurs.compose_slurs",
    "finger orders": "finger_orders.compose_finger_orders",
    "tremolo": "tremolo.compose_tremolo",
    "shifts": "shifts.compose_shifts",
    "barre": "barre.compose_barre",
    "string crossings": "crossings.compose_crossings",
    "harmonics": "harmonics.compose_harmonics",
    "excerpt": "excerpts.compose_excerpt",
}
"""The composer of each played kind, as module and function of this room; loaded when first needed."""


def compose(spec: ExerciseSpec, instrument: Instrument) -> Passage:
    """The passage of a played exercise, spelled by its context, in the register its limits allow.

    Raises SpellingError, OutOfRange, Unplayable or SpecError, worded for a teacher and without a place (the
    caller knows where the exercise stands in the book).
    """
    module, function = COMPOSERS[spec.kind].split(".")
    composer: Callable[[ExerciseSpec, Instrument], Passage] = getattr(
        import_module(f"engraver.exercises.{module}"), function
    )
    passage = composer(spec, instrument)
    twice = isinstance(spec, PlayedSpec) and spec.right_hand.repeat_from_top
    return replace(passage, repeated=True) if twice else passage
