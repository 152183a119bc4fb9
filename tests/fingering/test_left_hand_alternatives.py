"""Other fingerings of the same passage, each playable, different, and with its reason."""

import pytest

from engraver.fingering.alternatives import left_hand_alternatives
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, OpenStrings, Pin
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage, places, up_and_down
from tests.fingering.playable import faults

C_SCALE = "C3 D3 E3 F3 G3 A3 B3 C4 D4 E4 F4 G4 A4 B4 C5"
G_SCALE = "G2 A2 B2 C3 D3 E3 F#3 G3 A3 B3 C4 D4 E4 F#4 G4"


@pytest.mark.parametrize("line", [C_SCALE, G_SCALE, "C3 E3 G3 C4 E4 G4 C5"])
@pytest.mark.parametrize("policy", list(OpenStrings))
def test_three_fingerings_that_differ(line: str, policy: OpenStrings) -> None:
    """Three come back, all playable, the first being the program's own choice, no two alike in a fifth of the notes."""
    limits = LeftHandLimits(policy)
    found = left_hand_alternatives(passage(line), GUITAR, PLAYER, limits)
    assert len(found) == 3
    assert places(found[0].fingered) == places(finger_left_hand(passage(line), GUITAR, PLAYER, limits))
    for at, one in enumerate(found):
        assert faults(one.fingered, GUITAR, PLAYER) == []
        for other in found[:at]:
            pairs = zip(places(one.fingered).split(), places(other.fingered).split(), strict=True)
            assert sum(a != b for a, b in pairs) >= max(2, len(one.fingered.notes) // 5)


def test_the_reason_names_shift_string_and_finger() -> None:
    """The two-octave C major form says where its one shift lies."""
    limits = LeftHandLimits(OpenStrings.AVOID, start_string=5, start_finger=2)
    best = left_hand_alternatives(passage(C_SCALE), GUITAR, PLAYER, limits)[0]
    assert best.reason == "one shift II-V on string 3 after finger 3; no open strings; no stretch beyond 92 mm"


def test_the_reason_names_a_position_kept() -> None:
    """A form without shift says its position."""
    limits = LeftHandLimits(OpenStrings.AVOID, start_string=6, start_finger=2)
    best = left_hand_alternatives(up_and_down(G_SCALE), GUITAR, PLAYER, limits)[0]
    assert best.reason.startswith("stays in position II; no open strings")


def test_alternatives_keep_the_wishes() -> None:
    """A pinned note stays pinned in every alternative, and the start stays where the book put it."""
    limits = LeftHandLimits(OpenStrings.AVOID, start_string=5, start_finger=2, pins=(Pin(7, string=3, finger=4),))
    for one in left_hand_alternatives(passage(C_SCALE), GUITAR, PLAYER, limits):
        first, pinned = one.fingered.notes[0], one.fingered.notes[7]
        assert (first.string, first.left_finger) == (5, 2)
        assert (pinned.string, pinned.left_finger) == (3, 4)


def test_no_alternative_where_there_is_one_way() -> None:
    """E2 open is the only way to play E2."""
    assert len(left_hand_alternatives(passage("E2"), GUITAR, PLAYER, LeftHandLimits())) == 1


@pytest.mark.parametrize("line", [C_SCALE, "C3 E3 G3 C4 E4 G4 C5", "G3+B3 A3+C4 B3+D4 C4+E4", "A3 B3 C4", "E4 G4"])
def test_no_two_alternatives_give_the_same_reason(line: str) -> None:
    """Where two hands do alike, the later one names the note that lies elsewhere."""
    found = left_hand_alternatives(passage(line), GUITAR, PLAYER, LeftHandLimits(), count=6)
    reasons = [one.reason for one in found]
    assert len(set(reasons)) == len(reasons) > 1


def test_the_reason_for_double_stops_keeps_to_one_string() -> None:
    """A pair that slides up its strings shifts on a string, not from the one string to the other."""
    limits = LeftHandLimits(OpenStrings.AVOID, start_string=3, start_finger=2)
    best = left_hand_alternatives(passage("A3+F4 B3+G4 C4+A4"), GUITAR, PLAYER, limits)[0]
    assert best.reason.startswith("one shift I-III on string 3 after finger 2")
