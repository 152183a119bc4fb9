"""The fretting hand for a whole passage: strings, frets, fingers, positions, and what they cost."""

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

from engraver.errors import Unplayable
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.grip_bars import GripBars, grip_bars
from engraver.fingering.per_string import Assigned, assign_groups, group_size
from engraver.fingering.wishes import Wish, check_range, note_words, wishes_of
from engraver.fingering.yielding import ways_to_yield, without
from engraver.fretboard.limits import LeftHandLimits, Yielding
from engraver.fretboard.neck import spots
from engraver.fretboard.tuning import Instrument, Player
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from engraver.fingering.habits import Habits
    from engraver.fingering.planning import Plan, Planned


def finger_left_hand(
    passage: Passage,
    instrument: Instrument,
    player: Player,
    limits: LeftHandLimits,
    habits: "Habits | None" = None,
) -> FingeredPassage:
    """The passage with a string, fret, finger and position for every note; plucking is left open.

    Without `habits` the hand-set costs decide (technique: forms, drills, grips). With them
    (`engraver.fingering.habits.read_habits()`) repertoire is fingered as editors tend to, and a chord that no hand can
    hold at once is rolled instead of refused; the account then names `chord_broken` at its late notes.

    Raises OutOfRange for a note the instrument lacks, Unplayable for wishes or chords no hand can meet; both name
    the note and the nearest remedy. Wishes of a level (`limits.yielding`) are given up before anything is refused;
    `given_up` then names them and `refusal` says where they could not be kept.
    """
    from engraver.fingering.harmonics import as_heard, as_touched

    touched = as_touched(passage, instrument)
    done = _finger(touched, instrument, player, limits, habits)
    return done if touched is passage else as_heard(done, passage)


def _finger(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, habits: "Habits | None"
) -> FingeredPassage:
    """The fingering of a passage whose pitches are those under the fingers."""
    check_range(passage, instrument)
    if not passage.notes:
        return FingeredPassage(passage, ())
    try:
        return _under(passage, instrument, player, limits, habits)
    except Unplayable as refused:
        for given_up in ways_to_yield(limits):
            with suppress(Unplayable):
                done = _under(passage, instrument, player, without(limits, given_up), habits)
                together = f"not all wishes can be kept together ({refused.message})"
                why = _refusal(passage, instrument, player, limits, given_up) or together
                return replace(done, given_up=given_up, refusal=why)
        raise


def _refusal(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, given_up: tuple[Yielding, ...]
) -> str:
    """Where the wishes that were given up stand in the way by themselves; empty where only several together do."""
    others = tuple(name for name in limits.yielding if name not in given_up)
    try:
        _under(passage, instrument, player, without(limits, others), None)
    except Unplayable as refused:
        return refused.message
    return ""


def left_hand_plans(
    passage: Passage,
    instrument: Instrument,
    player: Player,
    limits: LeftHandLimits,
    habits: "Habits | None" = None,
) -> "tuple[Planned, ...]":
    """The searches behind a fingering, the best first: several where notes are counted out to the strings.

    Raises as `finger_left_hand` does; here no wish yields, and pitches are those under the fingers.
    """
    from engraver.fingering.planning import GripPlan, plan_repertoire, plan_technique

    if habits is not None:
        wishes = wishes_of(passage, instrument, limits)
        return (plan_repertoire(passage, instrument, player, limits, wishes, habits),)
    for grips in filter(None, (grip_bars(passage), grip_bars(replace(passage, grips=())))):
        if chords := _chord_plan(grips, instrument, player, limits):
            return (GripPlan(passage, grips, chords, instrument, player, limits),)
    wishes = wishes_of(passage, instrument, limits)
    if not group_size(limits):
        return (plan_technique(passage, instrument, player, limits, wishes),)
    ways = (_grouped(passage, limits, wishes, groups) for groups in _groupings(passage, instrument, limits))
    plans = [plan_technique(passage, instrument, player, limits, way) for way in ways]
    return tuple(sorted(plans, key=lambda plan: plan.fingered().total_cost))


def _under(
    passage: Passage, instrument: Instrument, player: Player, limits: LeftHandLimits, habits: "Habits | None"
) -> FingeredPassage:
    """The best fingering under all of the limits. Raises Unplayable."""
    return left_hand_plans(passage, instrument, player, limits, habits)[0].fingered()


def _chord_plan(grips: GripBars, instrument: Instrument, player: Player, limits: LeftHandLimits) -> "Plan | None":
    """The plan of a study's grips with their usual fingers, None where a grip cannot be held whole.

    Raises Unplayable where wishes of a level forbid one.
    """
    from engraver.fingering.candidates import Setting
    from engraver.fingering.planning import plan_technique

    narrowed, setting = grips.limits(limits), Setting.under(limits, instrument, player)
    try:
        wishes = grips.customary(wishes_of(grips.chords, instrument, narrowed), setting, narrowed)
        plan = plan_technique(grips.chords, instrument, player, narrowed, wishes)
        plan.fingered()
    except Unplayable:
        if limits.yielding:
            raise
        return None
    return plan


def _groupings(passage: Passage, instrument: Instrument, limits: LeftHandLimits) -> list[Assigned]:
    """The possible beginnings of a line with so many notes to a string. Raises Unplayable when there is none."""
    starts = [limits.start_string] if limits.start_string else []
    if not starts:
        lowest = min(passage.notes, key=lambda note: note.pitch.sounding_midi)
        starts = [s.string for s in spots(instrument, lowest.pitch.sounding_midi)][::-1]
    found, trouble = [], None
    for start in starts:
        try:
            found.append(assign_groups(passage, instrument, limits, start))
        except Unplayable as error:
            trouble = trouble or error
    if not found and trouble:
        raise trouble
    return found


def _grouped(passage: Passage, limits: LeftHandLimits, wishes: tuple[Wish, ...], groups: Assigned) -> tuple[Wish, ...]:
    """The wishes narrowed to the strings and fingers of the groups; pins win over a group.

    Raises Unplayable when a group falls on a string the book does not allow.
    """
    pinned = {pin.note for pin in limits.pins if pin.string}
    out: list[Wish] = []
    for index, wish in enumerate(wishes):
        string, finger = groups[index]
        fingers = wish.fingers or ((finger,) if finger else ())
        if index in pinned or passage.notes[index].string:
            out.append(wish)
            continue
        if wish.strings and string not in wish.strings:
            raise Unplayable(
                f"{note_words(passage, index)} falls on string {string}, which is not among the strings allowed",
                hint="allow the string, or choose another start or number of notes to a string",
            )
        out.append(Wish((string,), fingers, wish.open_allowed))
    return tuple(out)
