"""Both hands for music that was not made as an exercise: fingered as editors tend to, then plucked."""

from engraver.errors import TableError
from engraver.fingering.finger import finger
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fingering.right_hand import pluck
from engraver.fretboard.limits import LeftHandLimits, RightHandPlan
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import Passage


def finger_music(passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits) -> FingeredPassage:
    """The passage with both hands; a chord that no hand holds at once is rolled, and the account says so.

    Raises OutOfRange and Unplayable as `finger` does.
    """
    from engraver.fingering.habits import read_habits

    try:
        habits = read_habits()
    except TableError:
        return finger(passage, instrument, player, limits)
    return pluck(finger_left_hand(passage, instrument, player, limits, habits), RightHandPlan())
