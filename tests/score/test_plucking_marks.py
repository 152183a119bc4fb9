"""Which plucking letters a setting prints. Source: the settings are chosen by us."""

from dataclasses import replace

from engraver.fingering.right_hand import pluck
from engraver.fretboard.limits import RightHandPlan
from engraver.score.marks import MarkStyle, choose_marks
from engraver.theory.passage import PluckingFinger
from tests.fingering.plucking_lines import chords, line, there_and_back

PLAN = RightHandPlan(alternate=(PluckingFinger.INDEX, PluckingFinger.MIDDLE))
CROSSINGS = MarkStyle(plucking="crossings")


def printed(fingered, style=CROSSINGS):
    return sorted(choose_marks(fingered, style).plucking)


def test_letters_at_crossings_stand_where_a_new_string_is_met():
    """Two, three and two notes to a string: the first letter, and those that enter strings 3 and 2."""
    assert printed(pluck(line("4/2 4/3 3/0 3/2 3/4 2/0 2/1"), PLAN)) == [0, 2, 5]


def test_a_slurred_note_meets_no_string():
    """The letter stands on the next note that is plucked there."""
    done = pluck(line("4/2 4/3 3/0 3/2", slurred=(1,)), PLAN)
    assert printed(done) == [0, 2]


def test_a_reversal_keeps_its_letter():
    """The mark of the turn needs the letter under it, though no string is crossed there."""
    done = pluck(there_and_back("4/2 4/3 3/0 3/2 3/4"), PLAN)
    turned = replace(done, reversal=5)
    assert printed(turned) == sorted({*printed(replace(done, reversal=None)), 5})


def test_chords_keep_their_turns():
    """Where notes sound together every attack crosses strings: the letters are those of the other setting."""
    done = pluck(chords("5/0 1/0 | 2/1 | 3/2 | 5/0 1/0 | 2/1 | 3/2"), RightHandPlan())
    assert printed(done) == printed(done, MarkStyle(plucking="first and turns"))
