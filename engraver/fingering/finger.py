"""Both hands for a passage: the fretting hand first, then the plucking hand over its strings."""

from dataclasses import replace
from typing import TYPE_CHECKING

from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.hands_together import give_way
from engraver.fingering.left_hand import finger_left_hand
from engraver.fingering.per_string import group_size
from engraver.fingering.right_hand import pluck
from engraver.fingering.yielding import for_lines, without
from engraver.fretboard.limits import LeftHandLimits, Pin, RightHandPlan
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.habits import Habits


def finger(
    passage: Passage,
    instrument: Instrument,
    player: Player | None = None,
    limits: LeftHandLimits | None = None,
    plan: RightHandPlan | None = None,
) -> FingeredPassage:
    """The passage with a place on the neck and a finger of each hand for every note, and its cost account.

    Repertoire (`passage.repertoire`) is fingered as editors tend to, and a chord that no hand can hold at once is
    rolled; the account then names `chord_broken`. Exercises are fingered by the costs of technique alone, and so is
    repertoire for which the book asks a number of notes to a string.

    Letters and fingers that the exercise itself demands (a formula over a chord, a finger drill) stay, unless the book
    pins a note otherwise. Raises OutOfRange for a note the instrument lacks and Unplayable for what no hand can do;
    both name the note and the nearest remedy.
    """
    plan, player = plan or RightHandPlan(), player or Player()
    if any(note.plucking for note in passage.notes):
        plan = replace(plan, formula=())
    limits = with_demands(passage, limits or LeftHandLimits())
    habits = habits_for(passage, limits)
    done = pluck(finger_left_hand(passage, instrument, player, limits, habits), plan)
    return done if habits else give_way(done, instrument, player, limits, plan)


def with_demands(passage: Passage, limits: LeftHandLimits) -> LeftHandLimits:
    """The limits with the strings and fingers that the exercise itself demands, as pins.

    An exercise that demands every finger leaves a level nothing to say of the hand.
    """
    if limits.yielding and all(note.string and note.finger is not None for note in passage.notes):
        limits = without(limits, limits.yielding)
    limits = for_lines(limits, passage)
    return replace(limits, pins=(*_demanded(passage, limits), *limits.pins))


def habits_for(passage: Passage, limits: LeftHandLimits) -> "Habits | None":
    """What editors tend to do, for repertoire; None for exercises and where notes are counted out to the strings.

    The arrays are loaded when first needed.
    """
    if not passage.repertoire or group_size(limits):
        return None
    from engraver.fingering.habits import read_habits

    return read_habits()


def _demanded(passage: Passage, limits: LeftHandLimits) -> tuple[Pin, ...]:
    """The strings and fingers that the exercise demands, as pins; a note that the book pins itself is left to it."""
    pinned = {pin.note for pin in limits.pins}
    return tuple(
        Pin(index, note.string, note.finger)
        for index, note in enumerate(passage.notes)
        if note.finger is not None and index not in pinned
    )
