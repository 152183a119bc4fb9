"""String crossings: the counts a teacher would make by hand."""

import pytest

from engraver.fingering.crossings import awkward_crossings, pattern_table, repeated_fingers
from engraver.fingering.right_hand import pluck
from engraver.fretboard.limits import RightHandPlan
from engraver.theory.passage import PluckingFinger
from tests.fingering.plucking_lines import letters, line

C_MAJOR = "5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1"
NATURALS = "6/0 6/1 6/3 5/0 5/2 5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1 2/3 1/0 1/1 1/3"
G_OPEN = "6/3 5/0 5/2 5/3 4/0 4/2 4/4 3/0 3/2 2/0 2/1 2/3 1/0 1/2 1/3"
G_MOVABLE = "6/3 6/5 5/2 5/3 5/5 4/2 4/4 4/5 3/2 3/4 3/5 2/3 2/5 1/2 1/3"
E_OPEN = "6/0 6/2 6/4 5/0 5/2 5/4 4/1 4/2 4/4 3/1 3/2 2/0 2/2 2/4 1/0"
C_SHIFTING = "5/3 5/5 4/2 4/3 4/5 3/2 3/4 3/5 3/7 2/5 2/6 2/8 1/5 1/7 1/8"
E_THREE_OCTAVES = "6/0 6/2 6/4 6/5 6/7 6/9 5/6 5/7 5/9 4/6 4/7 4/9 3/6 3/8 3/9 3/11 2/9 2/10 2/12 1/9 1/11 1/12"
CHROMATIC = (
    "6/0 6/1 6/2 6/3 6/4 5/0 5/1 5/2 5/3 5/4 4/0 4/1 4/2 4/3 4/4 "
    "3/0 3/1 3/2 3/3 2/0 2/1 2/2 2/3 2/4 1/0 1/1 1/2 1/3 1/4"
)


def pattern(text: str) -> tuple[PluckingFinger, ...]:
    return tuple(PluckingFinger(letter) for letter in text)


# Source: a published teaching article on string crossings for C major (i-m 2, m-i 1); the other figures were
# counted by us with the article's rule on customary fingerings (first position from memory of the old methods).
@pytest.mark.parametrize(
    ("frets", "begun", "awkward"),
    [
        (C_MAJOR, "im", 2), (C_MAJOR, "mi", 1),
        (NATURALS, "im", 2), (NATURALS, "mi", 3),
        (G_OPEN, "im", 2), (G_OPEN, "mi", 3),
        (E_OPEN, "im", 2), (E_OPEN, "mi", 3),
        (G_MOVABLE, "im", 2), (G_MOVABLE, "mi", 3), (G_MOVABLE, "ima", 0),
        (C_SHIFTING, "im", 2), (C_SHIFTING, "mi", 2),
        (E_THREE_OCTAVES, "im", 3), (E_THREE_OCTAVES, "mi", 2),
        (CHROMATIC, "im", 2), (CHROMATIC, "mi", 3),
    ],
)  # fmt: skip
def test_awkward_crossings_are_counted_as_by_hand(frets: str, begun: str, awkward: int) -> None:
    """Up a string the finger nearer the little finger should follow, down a string the one nearer the thumb."""
    plucked = pluck(line(frets), RightHandPlan(alternate=pattern(begun), start=PluckingFinger(begun[0])))
    assert len(awkward_crossings(plucked)) == awkward


def test_awkward_crossings_are_named_by_the_note_they_reach() -> None:
    """In C major begun with i the hop is on G (string 3) and on B (string 2). Source: as above."""
    plucked = pluck(line(C_MAJOR), RightHandPlan(alternate=pattern("im"), start=PluckingFinger.INDEX))
    assert awkward_crossings(plucked) == (4, 6)


def test_a_line_down_wants_the_finger_nearer_the_thumb() -> None:
    """From string 1 down to string 2, m then i is good and i then m awkward. Source: the same article."""
    good = pluck(line("1/0 2/0"), RightHandPlan(alternate=pattern("im"), start=PluckingFinger.MIDDLE))
    bad = pluck(line("1/0 2/0"), RightHandPlan(alternate=pattern("im"), start=PluckingFinger.INDEX))
    assert (awkward_crossings(good), awkward_crossings(bad)) == ((), (1,))


def test_the_table_lists_every_first_finger_and_marks_the_chosen_one() -> None:
    """The movable G major scale goes without a hop in i-m-a; what the passage bears is marked, once."""
    plucked = pluck(line(G_MOVABLE), RightHandPlan(alternate=pattern("ima")))
    rows = {"".join(row.pattern): row for row in pattern_table(plucked)}
    assert {"im", "mi", "ia", "ai", "ma", "am", "pi", "ip", "pm", "mp", "ima", "mai", "aim", "ami"} <= set(rows)
    assert [name for name, row in rows.items() if row.chosen] == ["ima"]
    assert (rows["ima"].awkward, rows["im"].awkward, rows["mi"].awkward) == (0, 2, 3)
    assert not any(row.repeated or row.order_breaks for row in rows.values())


def test_the_table_marks_nothing_on_a_passage_without_letters() -> None:
    """Nothing is chosen before the hand is planned."""
    assert not any(row.chosen for row in pattern_table(line(G_MOVABLE)))


def test_the_table_counts_what_a_fixed_letter_breaks() -> None:
    """A letter fixed by the exercise is kept, and the repeat or break of order it causes is counted."""
    fixed = line("3/0 3/2 3/4 3/5 3/4", fixed="..i..")
    rows = {"".join(row.pattern): row for row in pattern_table(fixed)}
    assert (rows["im"].repeated, rows["mi"].repeated) == (0, 1)
    assert (rows["ima"].order_breaks, rows["ami"].order_breaks) == (1, 0)


def test_repeats_are_seen_where_the_exercise_fixes_them() -> None:
    """Two fixed i in a row are the exercise's wish, and reported."""
    assert repeated_fingers(pluck(line("3/0 3/2 3/4", fixed="ii."), RightHandPlan())) == (1,)
    assert letters(pluck(line("3/0 3/2 3/4", fixed="ii."), RightHandPlan())) == "iim"
