"""Pins that teach: a mark is copied softly to the same note among the same notes, and nowhere else."""

import numpy as np
import pytest

from engraver.fingering import habits
from engraver.fingering.events import events_of
from engraver.fingering.habits import FINGERS, STRINGS
from engraver.fingering.left_hand import finger_left_hand
from engraver.fingering.lessons import Lesson, taught
from engraver.fingering.wishes import wishes_of
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.theory.passage import Passage
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage
from tests.fingering.playable import faults

LEARNED = habits.read_habits()
FINGER_4_ON_3 = (3 - 1) * FINGERS + 4


def after_lessons(line: Passage, lessons: tuple[Lesson, ...]) -> np.ndarray:
    """Every note begun with all places equally likely, and then taught."""
    even = np.full((len(line.notes), STRINGS * FINGERS), 1 / (STRINGS * FINGERS), np.float32)
    events = events_of(line, wishes_of(line, GUITAR, LeftHandLimits()), 6)
    return taught(even, events, lessons)


def test_the_same_note_among_the_same_notes_learns_most() -> None:
    """Both neighbours alike teach more than one, one more than none, and another pitch learns nothing."""
    line = passage("A3 C4 E4 A3 C4 E4 G3 C4 E4 G3 C4 F4 D4")
    chance = after_lessons(line, (Lesson(1, 3, 4),))[:, FINGER_4_ON_3]
    full, one_side, none, other = chance[4], chance[7], chance[10], chance[12]
    assert full > one_side > none == pytest.approx(1 / 30) == other
    assert full == pytest.approx((1 / 30 + 3) / 4, rel=1e-3)


def test_likelihoods_keep_their_sum() -> None:
    """A lesson moves likelihood about and makes none."""
    heard = after_lessons(passage("A3 C4 E4 A3 C4 E4"), (Lesson(1, None, 4), Lesson(2, 2, None)))
    assert np.allclose(heard.sum(1), 1, atol=1e-4)


def test_a_finger_alone_teaches_the_finger_on_every_string() -> None:
    """Without a string the mark leaves the strings as likely to each other as they were."""
    heard = after_lessons(passage("A3 C4 E4 A3 C4 E4"), (Lesson(1, None, 4),))[4].reshape(STRINGS, FINGERS)
    assert heard[:, 4].sum() > 0.7
    assert np.allclose(heard[:, 4], heard[0, 4])


REPEATED = "E4 D4 C4 B3 A3 B3 C4 D4 E4 D4 C4 B3 A3 B3 C4 D4 E4 D4 C4 B3 A3 B3 C4 D4"


@pytest.mark.parametrize("finger", [3, 4])
def test_one_mark_fingers_the_repeats_of_its_bar(finger: int) -> None:
    """The first D of a bar pinned to a finger on string 3: the same D of the bars after takes it too."""
    line = Passage(passage(REPEATED).notes, 0, passage("C3").metre, repertoire=True)
    free = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(), LEARNED)
    pins = (Pin(1, 3, finger), Pin(3, 3, None), Pin(2, 3, None))
    done = finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits(pins=pins), LEARNED)
    assert {n.string for n in free.notes if str(n.note.pitch) == "D4"} == {2}
    assert [(done.notes[i].string, done.notes[i].left_finger) for i in (1, 9, 17)] == [(3, finger)] * 3
    assert faults(done, GUITAR, PLAYER) == []
