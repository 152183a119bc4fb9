"""Both hands for a passage: the fretting hand first, then the plucking hand over its strings."""

from dataclasses import replace

from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fingering.right_hand import pluck
from engraver.fretboard.limits import LeftHandLimits, RightHandPlan
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import Passage


def finger(
    passage: Passage,
    instrument: Instrument,
    player: Player | None = None,
    limits: LeftHandLimits | None = None,
    plan: RightHandPlan | None = None,
) -> FingeredPassage:
    """The passage with a place on the neck and a finger of each hand for every note, and its cost account.

    Letters that the exercise itself demands (a formula over a chord) stay. Raises OutOfRange for a note the
    instrument lacks and Unplayable for what no hand can do; both name the note and the nearest remedy.
    """
    plan = plan or RightHandPlan()
    if any(note.plucking for note in passage.notes):
        plan = replace(plan, formula=())
    fretted = finger_left_hand(passage, instrument, player or Player(), limits or LeftHandLimits())
    return pluck(fretted, plan)
