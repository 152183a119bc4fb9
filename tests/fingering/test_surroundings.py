"""What lies around a note. Strings and frets are facts of the tuning E4 B3 G3 D3 A2 E2; the classes are chosen by us."""

import numpy as np
import pytest

from engraver.fingering.events import events_of
from engraver.fingering.phrases import line_of
from engraver.fingering.surroundings import Surroundings
from engraver.fingering.wishes import Wish
from tests.fingering.left_hand_helpers import GUITAR, passage


def around(notes: str) -> Surroundings:
    line = passage(notes)
    return line_of(line, GUITAR, events_of(line, tuple(Wish() for _ in line.notes), 6)).around


def test_notes_of_a_broken_chord_that_share_a_string_do_not_ring_together() -> None:
    """B3 lies open on string 2 and D4 at its fret 3: each finds the other there; G4 on string 1 is heard by both."""
    ringing = around("B3 D4 G4").ringing
    assert ringing.tolist() == [[1, 1, 0, 0, 0, 0], [1, 1, 0, 0, 0, 0], [0, 2, 0, 0, 0, 0]]


def test_steps_are_no_broken_chord() -> None:
    """C4 and D4 lie on string 2 a step apart: neighbours of a line, which may stop each other."""
    seen = around("C4 D4")
    assert not seen.ringing.any()
    assert seen.stepping[:, 1].tolist() == [1, 1]


def test_a_broken_chord_is_told_from_a_line() -> None:
    assert set(around("C4 D4 E4 F4 G4 A4 B4 C5").leaping.tolist()) == {0}
    assert 2 in around("C3 G3 C4 E4 G4 E4 C4 G3").leaping.tolist()


def test_high_notes_call_the_hand_up_the_neck() -> None:
    """E5 needs fret 12: two events away it is near, three away it is far."""
    seen = around("E4 E4 E4 E5")
    assert seen.near.tolist() == [0, 12, 12, 12]
    assert seen.far.tolist() == [12, 12, 12, 12]


@pytest.mark.parametrize(("position", "loss"), [(5, 0), (1, 4), (9, 4)])
def test_the_position_that_covers_the_notes_around_loses_none_of_them(position: int, loss: int) -> None:
    """A4 and C5 are frets 5 and 8 of string 1, which position V covers whole and neither I nor IX."""
    assert set(around("A4 C5 A4 C5").fretted[:, position].tolist()) == {loss}


def test_open_strings_are_covered_from_everywhere() -> None:
    assert not around("E4 B3 E4 B3").covered[:, 1:].any()
    assert np.array_equal(around("E4 B3 E4 B3").fretted[:, 1:], np.zeros((4, 15)))
