"""Where the hand shifts and how far its fingers open. Millimetres by equal temperament on 650 mm, counted by hand."""

from fractions import Fraction

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fingering.reach import stretches, tightest
from engraver.fingering.shifts import positions_of, shifts_by_way, shifts_of
from engraver.fretboard.tuning import Player
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre
from tests.fingering.left_hand_helpers import GUITAR

PITCH = SpelledPitch.parse("C4")  # its name is of no matter here


def hand(text, turn=None, held=()):
    """Notes as string/fret-finger@position; `held` ones last to the end."""
    notes = []
    for index, word in enumerate(text.split()):
        place, position = word.split("@")
        string, rest = place.split("/")
        fret, finger = rest.split("-")
        length = Fraction(len(text.split()) - index) if index in held else Fraction(1)
        notes.append(
            FingeredNote(Note(PITCH, Fraction(index), length), int(string), int(fret), int(finger), int(position))
        )
    return FingeredPassage(Passage(tuple(n.note for n in notes), 0, Metre(4, 4), turn=turn), tuple(notes))


def test_a_move_by_two_frets_is_a_shift_and_by_one_is_none():
    """II to III is an opening of the hand, III to V a shift on string 3."""
    (shift,) = shifts_of(hand("3/2-1@2 3/3-1@3 3/6-2@5"))
    assert (shift.positions, shift.index, shift.over_open) == ((3, 5), 2, False)


def test_a_shift_over_an_open_string_is_seen():
    """The open string has no position of its own and hides nothing."""
    (shift,) = shifts_of(hand("2/3-3@1 1/0-0@1 1/7-1@7"))
    assert (shift.positions, shift.index, shift.over_open) == ((1, 7), 2, True)


def test_shifts_undone_on_the_way_back_are_told_once():
    """II-V there and V-II back is one shift; V-VII back is another matter."""
    there, back = shifts_by_way(hand("3/2-1@2 3/5-1@5 3/6-2@5 3/5-1@5 3/2-1@2", turn=2))
    assert [shift.positions for shift in there] == [(2, 5)]
    assert back == ()
    there, back = shifts_by_way(hand("3/2-1@2 3/5-1@5 3/6-2@5 3/7-1@7", turn=2))
    assert [shift.positions for shift in back] == [(5, 7)]


def test_positions_are_those_of_stopped_notes():
    """Open strings take none."""
    assert positions_of(hand("3/2-1@2 1/0-0@1 3/5-1@5")) == (2, 5)
    assert positions_of(hand("1/0-0@1")) == ()


def test_fingers_held_at_once_are_measured():
    """Finger 1 lies on fret 1 while finger 4 takes fret 4: 134.1 less 36.5 mm from the nut, 97.6 mm of 100."""
    stretch = tightest(hand("2/1-1@1 1/4-4@1", held=(0,)), GUITAR, Player(reach_mm=100))
    assert stretch is not None
    assert (round(stretch.span_mm, 1), round(stretch.reach_mm, 1), stretch.together) == (97.6, 100.0, True)


def test_neighbours_are_measured_but_are_not_held():
    """One after the other the hand may turn; only what lies down at once can fail."""
    passage = hand("2/1-1@1 1/4-4@1")
    assert tightest(passage, GUITAR, Player()) is None
    assert [round(each.span_mm, 1) for each in stretches(passage, GUITAR, Player())] == [97.6]
    assert stretches(hand("2/1-1@1 1/8-4@5"), GUITAR, Player()) == ()
