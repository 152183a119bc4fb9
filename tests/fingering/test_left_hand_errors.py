"""What cannot be played is said by note, bar and remedy."""

import pytest

from engraver.errors import OutOfRange, Unplayable
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, OpenStrings, Pin
from engraver.fretboard.tuning import Instrument, Player
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, STANDARD, passage

CASES = {
    "too low": (
        "E3 D2",
        LeftHandLimits(),
        OutOfRange,
        "note 2 (D2) in bar 1 lies below the lowest string, E2; write the passage an octave higher, or tune the "
        "lowest string down by 2 semitones",
    ),
    "too high": (
        "E3 E3 E3 E3 E3 E3 E3 E3 C6",
        LeftHandLimits(),
        OutOfRange,
        "note 9 (C6) in bar 2 lies above the last fret of string 1 (fret 19); write the passage an octave lower",
    ),
    "start string": (
        "E2 F2",
        LeftHandLimits(start_string=5),
        Unplayable,
        "note 1 (E2) in bar 1 cannot be played on string 5; it lies on string 6",
    ),
    "no such string": (
        "E2 F2",
        LeftHandLimits(strings=(6, 7)),
        Unplayable,
        "string 7 does not exist on this guitar; strings run from 1 to 6",
    ),
    "pin beyond the end": (
        "E2 F2",
        LeftHandLimits(pins=(Pin(5, finger=1),)),
        Unplayable,
        "a pin names note 6, but the exercise has 2 notes; pin a note from 1 to 2",
    ),
    "pinned string": (
        "E2 F2",
        LeftHandLimits(pins=(Pin(1, string=3),)),
        Unplayable,
        "note 2 (F2) in bar 1 cannot be played on string 3; it lies on string 6",
    ),
    "pinned open": (
        "F2 G2",
        LeftHandLimits(pins=(Pin(0, finger=0),)),
        Unplayable,
        "note 1 (F2) in bar 1 is pinned to finger 0, but no open string sounds it there; give a finger from 1 to 4",
    ),
    "open pinned to a finger": (
        "E2 G2",
        LeftHandLimits(pins=(Pin(0, finger=2),)),
        Unplayable,
        "note 1 (E2) in bar 1 is pinned to finger 2, but it is an open string there; give finger 0 or another string",
    ),
    "position": (
        "C3 D3 E5",
        LeftHandLimits(position=2),
        Unplayable,
        "note 3 (E5) in bar 1 does not lie in position 2; position 8 holds the whole passage",
    ),
    "chord": (
        "E2+F2",
        LeftHandLimits(),
        Unplayable,
        "the chord E2, F2 at note 1 (E2) in bar 1 cannot be held within the player's reach and wishes; drop or move a "
        "note by an octave, allow open strings, or raise reach_mm",
    ),
    "group on a forbidden string": (
        "G2 A2 B2 C3 D3 E3",
        LeftHandLimits(OpenStrings.AVOID, start_string=6, notes_per_string=3, strings=(4, 6)),
        Unplayable,
        "note 4 (C3) in bar 1 falls on string 5, which is not among the strings allowed; allow the string, or choose "
        "another start or number of notes to a string",
    ),
    "no string allowed": (
        "E4 C4 E3",
        LeftHandLimits(strings=(1, 2)),
        Unplayable,
        "note 3 (E3) in bar 1 lies on none of the strings allowed (1 or 2); it lies on string 4, 5 or 6; allow that, or "
        "choose another octave",
    ),
    "strings used up": (
        "G4 A4 B4 C5 D5 E5",
        LeftHandLimits(OpenStrings.AVOID, start_string=1, notes_per_string=3),
        Unplayable,
        "note 4 (C5) in bar 1 finds no string left: 3 notes to a string use up all strings before it; start on a "
        "lower string, shorten the range or take more notes to a string",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_impossible_wishes_are_named(case: str) -> None:
    """The printed line names the note, what is wrong and what helps."""
    text, limits, error, printed = CASES[case]
    with pytest.raises(error) as caught:
        finger_left_hand(passage(text), GUITAR, PLAYER, limits)
    assert str(caught.value) == printed


def test_a_capo_is_blamed_when_it_takes_the_note() -> None:
    """The note lies on the neck without the capo: say so."""
    with pytest.raises(OutOfRange, match="take the capo off"):
        finger_left_hand(passage("A5 B5"), Instrument(STANDARD, capo=2), PLAYER, LeftHandLimits())


def test_a_reach_too_small_for_a_chord_is_named() -> None:
    """A hand of 40 mm holds no barre chord in first position."""
    with pytest.raises(Unplayable, match="raise reach_mm"):
        finger_left_hand(passage("F2+C3+F3+A3+C4+F4"), GUITAR, Player(reach_mm=40), LeftHandLimits())
