"""Warnings: few, true, and none for the books that come with the program."""

import pytest

from engraver.build import check_book
from tests.books.building import draft_text
from tests.conftest import BOOKS

BOOK = """\
title: T
player: {{reach_mm: {reach}}}
style: {{little_finger: {little}}}
chapters:
  - title: C
    exercises:
      - {{id: x, {entry}}}
"""


def warnings(folder, entry, reach=100, little="c"):
    (made,) = draft_text(folder, BOOK.format(entry=entry, reach=reach, little=little))
    return made.plate.warnings


def line(more):
    return f"kind: scale, scale: major, tonics: [C3], {more}"


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_the_sample_books_are_free_of_warnings(path):
    """What we show is what we would print."""
    assert check_book(path)[1] == ()


def test_a_goal_beyond_what_hands_play_is_told(tmp_path):
    """Semiquavers at 240 are sixteen notes a second, at 200 thirteen. The limit of fourteen is chosen by us."""
    assert warnings(tmp_path, line("rhythm: semiquavers, tempo: {from: 60, to: 200}")) == ()
    (told,) = warnings(tmp_path, line("rhythm: semiquavers, tempo: {from: 60, to: 240}"))
    assert "16 notes a second" in told
    assert warnings(tmp_path, line("rhythm: quavers, tempo: {from: 60, to: 240}")) == ()


def test_slurred_notes_do_not_count_as_plucked(tmp_path):
    """Trills run faster than a plucking hand could, and are not told."""
    assert warnings(tmp_path, "kind: slurs, fingers: [1, 2], manner: trill, tempo: {from: 60, to: 120}") == ()


def test_a_stretch_at_the_limit_of_the_hand_is_told(tmp_path):
    """Finger 1 held while finger 4 plays three frets higher in position I measures 97.6 mm (equal temperament, 650 mm)."""
    entry = "kind: finger orders, orders: [[2, 3, 4]], position: 1, held: [1], strings: [1], held_string: 2"
    (told,) = warnings(tmp_path, entry, reach=99)
    assert "fingers 1 and 4 open to 98 mm" in told
    assert warnings(tmp_path, entry, reach=110) == ()


def test_a_note_that_is_let_go_stretches_no_finger(tmp_path):
    """A chord that no hand holds is rolled, and told as rolled; what its written lengths would ask for is not told too."""
    (told,) = warnings(tmp_path, "kind: excerpt, notes: 'F2+A4+F5 w'", reach=80)
    assert "it is rolled" in told


def test_a_repeat_that_changes_no_finger_is_told(tmp_path):
    """Playing a formula twice practises nothing new."""
    (told,) = warnings(tmp_path, "kind: right hand, right_hand: {formula: [p, i, m, a], repeat_from_top: true}")
    assert "no alternating line" in told


def test_planting_without_a_free_finger_is_told(tmp_path):
    """Repeated notes on one string must sound until the next finger plucks them."""
    entry = (
        "kind: string crossings, strings: [1], times: 4, frets: [1], right_hand: {alternate: [i, m], planting: full}"
    )
    (told,) = warnings(tmp_path, entry)
    assert "'planting: full' shows nothing" in told


def test_a_letter_of_two_fingers_is_told(tmp_path):
    """The little finger printed as m cannot be told from the middle finger."""
    entry = "kind: right hand, metre: 3/4, rhythm: triplets, right_hand: {formula: [p, i, m, a, c, a, m, i, m]}"
    assert any("letter of another finger" in told for told in warnings(tmp_path, entry, little="m"))
    assert not any("letter of another finger" in told for told in warnings(tmp_path, entry))


def test_alternation_that_a_formula_breaks_is_told(tmp_path):
    """The book asks for i-m and lays i-i-m-m over the line: the first repeated finger is named."""
    told = warnings(tmp_path, line("right_hand: {alternate: [i, m], formula: [[i], [i], [m], [m]]}"))
    assert told == ("alternation was asked for, but i plucks twice running at note 2",)


def test_a_wish_for_crossings_under_a_formula_is_told(tmp_path):
    """Every letter is fixed, nothing is left to choose."""
    (told,) = warnings(tmp_path, line("right_hand: {formula: [[i], [m]], crossings: best}"))
    assert "'crossings: best' does nothing here" in told


def test_a_level_that_cannot_be_kept_is_told_with_what_was_done(tmp_path):
    """A scale that ends beyond first position leaves it, and the teacher hears so; one that fits is quiet."""
    (told,) = warnings(tmp_path, "kind: scale, scale: major, tonics: [G3], octaves: 2, left_hand: {level: beginner}")
    assert told == (
        "note 10 (B4) in bar 2 does not lie in position 1, as the level beginner asks ('position: 1'); the hand leaves the "
        "position instead; choose other notes, or write 'position' in the entry"
    )
    assert warnings(tmp_path, line("left_hand: {level: beginner}")) == ()


def test_a_drill_that_prescribes_every_finger_is_not_measured_by_a_level(tmp_path):
    """A level says nothing where the exercise itself names string and finger of every note."""
    assert warnings(tmp_path, "kind: finger orders, orders: [[1, 2, 3, 4]], left_hand: {level: beginner}") == ()


def test_a_position_that_is_nowhere_near_is_told(tmp_path):
    """E2 to A2 lies on string 6 below its sixth fret, far from position XII."""
    near = "kind: scale, scale: major, tonics: [E], range: [E2, A2], left_hand: {strings: [6], around_position: 4}"
    assert warnings(tmp_path, near) == ()
    (told,) = warnings(tmp_path, near.replace("4}", "12}"))
    assert "'around_position: 12' was asked for, but the notes lie in position II; choose another octave" in told
