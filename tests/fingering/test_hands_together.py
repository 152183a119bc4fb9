"""One hand gives way for the other. Source of the remedies: a published teaching article on string crossings."""

import pytest

from engraver.fingering.crossings import awkward_crossings
from engraver.fingering.finger import finger
from engraver.fretboard.limits import Crossings, LeftHandLimits, OpenStrings, RightHandPlan
from engraver.theory.passage import PluckingFinger
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, passage, up_and_down
from tests.fingering.playable import faults

INDEX_MIDDLE = (PluckingFinger.INDEX, PluckingFinger.MIDDLE)
E_THREE = "E2 F#2 G#2 A2 B2 C#3 D#3 E3 F#3 G#3 A3 B3 C#4 D#4 E4 F#4 G#4 A4 B4 C#5 D#5 E5"
G_TWO = "G2 A2 B2 C3 D3 E3 F#3 G3 A3 B3 C4 D4 E4 F#4 G4"
CLOSED = LeftHandLimits(open_strings=OpenStrings.AVOID, start_string=6, start_finger=2)


def plan(crossings):
    return RightHandPlan(alternate=INDEX_MIDDLE, crossings=crossings)


def test_another_left_hand_is_taken_where_it_spares_more_than_it_costs():
    """Three octaves of E major: fewer awkward crossings, each worth at most one of the fretting hand's own cost."""
    line = up_and_down(E_THREE)
    alone = finger(line, GUITAR, PLAYER, plan=plan(Crossings.AS_THEY_COME))
    best = finger(line, GUITAR, PLAYER, plan=plan(Crossings.BEST))
    assert alone.together is None
    assert best.together is not None
    assert (best.together.before, best.together.after) == (len(awkward_crossings(alone)), len(awkward_crossings(best)))
    assert 0 <= best.total_cost - alone.total_cost <= best.together.before - best.together.after
    assert faults(best, GUITAR, PLAYER) == []


def test_the_wishes_of_the_book_are_kept():
    """Without open strings, from finger 2 on string 6: the choice keeps to that."""
    best = finger(up_and_down(G_TWO), GUITAR, PLAYER, CLOSED, plan(Crossings.BEST))
    assert (best.notes[0].string, best.notes[0].left_finger) == (6, 2)
    assert all(note.fret for note in best.notes)


def test_slurs_are_added_as_long_as_one_spares_a_crossing():
    """Slurred notes bear no letter, lie on the string of the note before, and leave fewer awkward crossings."""
    line = up_and_down(G_TWO)
    before = awkward_crossings(finger(line, GUITAR, PLAYER, CLOSED, plan(Crossings.AS_THEY_COME)))
    done = finger(line, GUITAR, PLAYER, CLOSED, plan(Crossings.SLUR))
    assert done.together is not None
    assert len(awkward_crossings(done)) == done.together.after < len(before) == done.together.before
    for index in done.together.slurred:
        assert done.passage.notes[index].slurred
        assert done.notes[index].plucking is None
        assert done.notes[index].string == done.notes[index - 1].string
        assert done.notes[index].fret != done.notes[index - 1].fret


@pytest.mark.parametrize("crossings", [Crossings.BEST, Crossings.SLUR])
def test_a_line_without_awkward_crossings_stays_as_it_is(crossings):
    """Four notes to two strings, two on each, cross well."""
    line = passage("G3 A3 B3 C4")
    assert finger(line, GUITAR, PLAYER, plan=plan(crossings)) == finger(
        line, GUITAR, PLAYER, plan=plan(Crossings.AS_THEY_COME)
    )


def test_chords_have_no_line_to_improve():
    """Where notes are plucked together nothing changes."""
    chords = passage("C3+E3+G3+C4 G2+F3+G3+B3 C3+E3+G3+C4")
    assert finger(chords, GUITAR, PLAYER, plan=plan(Crossings.BEST)).together is None
