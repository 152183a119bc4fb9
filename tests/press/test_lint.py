"""House style told from a score: a thing is not said twice. Invented music only."""

from dataclasses import replace
from fractions import Fraction

import pytest

from engraver.build import check_book
from engraver.press.lint import house_style_warnings
from engraver.score.marks import MarkStyle
from engraver.score.model import BarreSign, Element, Score
from tests.conftest import BOOKS
from tests.outputs import scores

LINE = ["C4 2.1 1 - ^1", "D4 2.3 3 -", "E4 1.0 0 -", "F4 1.1 1 -"]


def changed(score: Score, index: int, **changes: object) -> Score:
    """The score with one element of its first measure changed."""
    voice = score.measures[0].voices[0]
    elements: list[Element] = list(voice.elements)
    elements[index] = replace(elements[index], **changes)  # type: ignore[arg-type]
    measure = replace(score.measures[0], voices=(replace(voice, elements=tuple(elements)),))
    return replace(score, measures=(measure, *score.measures[1:]))


def test_a_clean_line_has_no_warning() -> None:
    """Circles at changes of string, one numeral."""
    assert house_style_warnings(scores.line_score(LINE, scores.CROTCHET), MarkStyle()) == ()


def test_a_circle_on_the_string_of_the_note_before_is_told() -> None:
    """Unless the edition prints all of them."""
    score = scores.line_score(LINE, scores.CROTCHET)
    again = replace(score.elements[1].notes[0], show_string=True)
    twice = changed(score, 1, notes=(again,))
    assert house_style_warnings(twice, MarkStyle()) == ("house style: bar 1 circles string 2 again",)
    assert house_style_warnings(twice, MarkStyle(strings="all")) == ()


def test_a_position_told_twice_is_told() -> None:
    """By a second numeral, or by a numeral beside the sign of a barre."""
    score = scores.line_score(LINE, scores.CROTCHET)
    words = ("house style: bar 1 tells position I twice",)
    assert house_style_warnings(changed(score, 3, position=1), MarkStyle()) == words
    barred = changed(score, 0, barre=BarreSign(1, 3, 6, Fraction(3)))
    assert house_style_warnings(barred, MarkStyle(fingers="all")) == words
    assert house_style_warnings(changed(score, 3, position=3), MarkStyle()) == ()


def test_a_dash_without_its_digit_is_told() -> None:
    """A guide finger is printed with its figure."""
    score = scores.line_score(LINE, scores.CROTCHET)
    bare = replace(score.elements[1].notes[0], guide=True, show_finger=False)
    (warning,) = house_style_warnings(changed(score, 1, notes=(bare,)), MarkStyle())
    assert warning == "house style: bar 1 has a guide finger without its digit"


def test_the_finger_of_a_barre_is_told_once() -> None:
    """Not again by a digit under the sign, at the fret of the barre; elsewhere, and after the sign, digits may stand."""
    line = scores.line_score(LINE, scores.CROTCHET)
    first = replace(line.elements[0].notes[0], show_finger=True)
    bare = replace(first, show_finger=False)
    score = changed(line, 0, position=None, barre=BarreSign(1, 3, 6, Fraction(3)), notes=(bare,))
    assert house_style_warnings(score, MarkStyle()) == ()
    assert (first.left_finger, first.fret) == (1, 1)
    words = ("house style: bar 1 has the finger of the barre again",)
    assert house_style_warnings(changed(score, 0, notes=(first,)), MarkStyle()) == words
    assert house_style_warnings(changed(score, 0, notes=(first,)), MarkStyle(fingers="all")) == ()
    last = replace(score.elements[3].notes[0], show_finger=True)
    assert house_style_warnings(changed(score, 3, notes=(last,)), MarkStyle()) == ()


@pytest.mark.parametrize("sounded", ["slur_stop", "tie_stop"])
def test_a_letter_on_a_note_that_is_not_plucked_is_told(sounded: str) -> None:
    """The fretting hand sounds the second note of a slur, and nobody the second of a tie."""
    score = scores.line_score(LINE, scores.CROTCHET)
    note = replace(score.elements[1].notes[0], show_plucking=True, **{sounded: True})
    (warning,) = house_style_warnings(changed(score, 1, notes=(note,)), MarkStyle())
    assert warning == "house style: bar 1 has a plucking letter on a note that is not plucked"


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_the_sample_books_keep_the_house_style(path) -> None:  # type: ignore[no-untyped-def]
    """None of their exercises says a thing twice."""
    _, warnings = check_book(path)
    assert [warning for warning in warnings if "house style" in warning] == []
