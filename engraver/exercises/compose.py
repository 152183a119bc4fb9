"""From one exercise of the book to a spelled and timed passage."""

from engraver.exercises.arpeggios import compose_arpeggio
from engraver.exercises.right_hand import compose_right_hand
from engraver.exercises.scales import compose_scale
from engraver.fretboard.tuning import Instrument
from engraver.spec.models import ArpeggioSpec, RightHandStudySpec, ScaleSpec
from engraver.spec.played import ExerciseSpec
from engraver.theory.passage import Passage


def compose(spec: ExerciseSpec, instrument: Instrument) -> Passage:
    """The passage of a played exercise, spelled by its context, in the register its limits allow.

    Raises SpellingError, OutOfRange, Unplayable or SpecError, worded for a teacher and without a place (the
    caller knows where the exercise stands in the book).
    """
    match spec:
        case ScaleSpec():
            return compose_scale(spec, instrument)
        case ArpeggioSpec():
            return compose_arpeggio(spec, instrument)
        case RightHandStudySpec():
            return compose_right_hand(spec, instrument)
    raise TypeError(f"nothing is played in a {spec.kind}")
