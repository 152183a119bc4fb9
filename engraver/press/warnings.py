"""What a teacher should know of an exercise that can be made, but may not be what was meant: few and true."""

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from engraver.fingering.crossings import repeated_fingers
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.reach import tightest
from engraver.fingering.right_hand import second_start
from engraver.fingering.shifts import positions_of
from engraver.fretboard.limits import Crossings, Planting, Yielding
from engraver.fretboard.numerals import position_numeral
from engraver.spec.book import Edition
from engraver.spec.played import PlayedSpec
from engraver.theory.passage import Passage, PluckingFinger

FASTEST_NOTES_PER_SECOND = 14
"""Four notes to a beat at 210. Source: chosen by us, above the fastest tempos of college scale tables."""
NEAR_MM = 2.0
"""A stretch as near as this to what the player's fingers reach is worth a word (chosen by us)."""
NEAR_FRETS = 2
"""A hand within so many frets of a position is near it (chosen by us)."""
SECONDS_PER_MINUTE = 60


def warnings_of(spec: PlayedSpec, edition: Edition, fingered: FingeredPassage) -> tuple[str, ...]:
    """The warnings of one exercise in English, most pressing first; usually none."""
    found = (
        _too_fast(fingered.passage),
        _at_the_limit(fingered, edition),
        *_given_up(spec, fingered),
        _far_from_wish(spec, fingered),
        *_plucking(spec, fingered),
        _ambiguous_letter(fingered, edition),
    )
    return tuple(warning for warning in found if warning)


def _too_fast(passage: Passage) -> str:
    """A goal that asks for more notes a second than hands play."""
    if passage.tempo is None or not (rate := _notes_per_second(passage)) > FASTEST_NOTES_PER_SECOND:
        return ""
    return (
        f"at the tempo of {passage.tempo.fastest_bpm} the line has {rate:.0f} notes a second, more than "
        f"{FASTEST_NOTES_PER_SECOND}; lower 'to', or choose a slower rhythm"
    )


def _notes_per_second(passage: Passage) -> float:
    """How fast notes follow each other at the goal, by the most common distance between them; 0 for one note."""
    assert passage.tempo is not None
    notes = passage.notes
    onsets = [notes[event[0]].onset_quarters for event in passage.events if not all(notes[i].slurred for i in event)]
    steps: Counter[Fraction] = Counter(later - one for one, later in pairwise(onsets))
    if not steps:
        return 0.0
    step = min(steps, key=lambda length: (-steps[length], length))
    return float(passage.tempo.fastest_bpm * passage.tempo.beat_quarters / (SECONDS_PER_MINUTE * step))


def _at_the_limit(fingered: FingeredPassage, edition: Edition) -> str:
    """A stretch that the player can only just make."""
    stretch = tightest(fingered, edition.instrument, edition.player)
    if stretch is None or stretch.reach_mm - stretch.span_mm > NEAR_MM:
        return ""
    return (
        f"fingers {stretch.lower} and {stretch.upper} open to {stretch.span_mm:.0f} mm at note {stretch.index + 1}, "
        f"all that a reach of {edition.player.reach_mm:g} mm allows; play it higher up, or pin another fingering"
    )


def _given_up(spec: PlayedSpec, fingered: FingeredPassage) -> Iterator[str]:
    """Wishes of a level that the exercise could not be given, and what was done instead."""
    hand = spec.left_hand
    done = {
        Yielding.POSITION: "the hand leaves the position",
        Yielding.EXTENSIONS: "the hand opens beyond one finger per fret",
        Yielding.BARRE: "a barre is taken",
        Yielding.OPEN_STRINGS: "open strings are taken",
    }
    for name in fingered.given_up:
        asked = f"'{name}: {getattr(hand, name)}'"
        yield (
            f"{fingered.refusal}, as the level {hand.level} asks ({asked}); {done[name]} instead; "
            f"choose other notes, or write '{name}' in the entry"
        )


def _far_from_wish(spec: PlayedSpec, fingered: FingeredPassage) -> str:
    """A hand that comes nowhere near the position that the book would have it around."""
    wish, positions = spec.left_hand.around_position, positions_of(fingered)
    if wish is None or not positions or spec.left_hand.position or spec.left_hand.level:
        return ""
    if any(abs(position - wish) <= NEAR_FRETS for position in positions):
        return ""
    lowest, highest = position_numeral(positions[0]), position_numeral(positions[-1])
    where = f"in position {lowest}" if lowest == highest else f"between positions {lowest} and {highest}"
    return f"'around_position: {wish}' was asked for, but the notes lie {where}; choose another octave or position"


def _plucking(spec: PlayedSpec, fingered: FingeredPassage) -> Iterator[str]:
    """Wishes of the plucking hand that could not be kept."""
    hand, plan = spec.right_hand, spec.right_hand.plan()
    alone = len(fingered.passage.events) == len(fingered.notes)
    repeated = repeated_fingers(fingered) if hand.alternate and alone else ()
    if repeated and len(set(hand.alternate)) > 1:
        letter = fingered.notes[repeated[0]].plucking
        yield f"alternation was asked for, but {letter} plucks twice running at note {repeated[0] + 1}"
    if hand.repeat_from_top and second_start(fingered, plan) is None:
        yield "'repeat_from_top' changes no finger here, since the passage is no alternating line; write 'repeat: true'"
    if plan.crossings is not Crossings.AS_THEY_COME and hand.formula:
        yield f"'crossings: {plan.crossings}' does nothing here, since the formula fixes every letter"
    if plan.planting is not Planting.NONE and not fingered.planted:
        yield f"'planting: {plan.planting}' shows nothing here, since no finger is free before its stroke"


def _ambiguous_letter(fingered: FingeredPassage, edition: Edition) -> str:
    """The plucking little finger printed with the letter of another finger."""
    letter = edition.style.little_finger
    used = {note.plucking for note in fingered.notes}
    others = {finger.value for finger in PluckingFinger if finger is not PluckingFinger.LITTLE}
    if PluckingFinger.LITTLE not in used or letter not in others:
        return ""
    return f"the little finger is printed as '{letter}', the letter of another finger; change 'little_finger'"
