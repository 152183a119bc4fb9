"""Where a barre begins and ends, what its sign tells, and which marks it makes needless. Invented music only."""

from fractions import Fraction

from engraver.fretboard.tuning import Instrument
from engraver.score.barres import barres_of
from engraver.score.marks import MarkStyle, choose_marks
from engraver.score.model import Notation
from engraver.score.notate import notate
from engraver.spec.house import InstrumentSpec
from tests.score.placed_notes import played

GUITAR: Instrument = InstrumentSpec().instrument()
STRUCK = ["0 2 C4 3.5 1b 5", "0 2 E4 2.5 1b 5", "0 2 A4 1.5 1b 5"]
BROKEN = ["2 2 C4 3.5 1 5", "5/2 3/2 E4 2.5 1b 5", "3 1 A4 1.5 1b 5"]


def test_a_barre_lasts_while_finger_1_keeps_its_fret() -> None:
    """Struck, then broken over the lying finger: one barre of three strings, to the last note under it."""
    (barre,) = barres_of(played(*STRUCK, *BROKEN))
    assert (barre.fret, barre.low, barre.high, barre.strings) == (5, 3, 1, 3)
    assert (barre.start_quarters, barre.until_quarters) == (0, 3)
    assert not barre.hinge


def test_a_barre_ends_where_the_finger_goes_to_another_fret() -> None:
    """The same grip two frets lower is a second barre."""
    lower = ["2 2 Bb3 3.3 1b 3", "2 2 D4 2.3 1b 3"]
    assert [(barre.fret, barre.start_quarters) for barre in barres_of(played(*STRUCK, *lower))] == [(5, 0), (3, 2)]


def test_an_open_string_under_the_finger_ends_a_barre() -> None:
    """The open first string cannot sound under it, so the second chord is laid down anew."""
    rows = [*STRUCK, "2 1 E4 1.0 0 5", "7/2 1 C4 3.5 1b 5", "7/2 1 E4 2.5 1b 5"]
    assert [barre.start_quarters for barre in barres_of(played(*rows))] == [0, Fraction(7, 2)]


def test_an_open_string_over_a_held_tip_makes_a_hinge() -> None:
    """The tip keeps its bass note while the first string sounds open, then flat: one barre, a hinge."""
    rows = ["0 2 D3 5.5 1 5", "0 1 E4 1.0 0 5", "1 1 A4 1.5 1b 5", "2 1 D3 5.5 1b 5", "2 1 A4 1.5 1b 5"]
    (barre,) = barres_of(played(*rows))
    assert barre.hinge
    assert (barre.start_quarters, barre.until_quarters, barre.strings) == (0, 2, 5)


def test_a_tip_that_stays_alone_under_open_strings_makes_a_hinge() -> None:
    """Tip with the open first string, then flat, then tip again, each half a bar: one hinge to the last of them."""
    half = ["D3 5.5 1 5", "E4 1.0 0 5"], ["D3 5.5 1b 5", "A4 1.5 1b 5"]
    rows = [f"{2 * n} 2 {row}" for n, both in enumerate([half[0], half[1], half[0], half[1]]) for row in both]
    (barre,) = barres_of(played(*rows))
    assert barre.hinge
    assert (barre.start_quarters, barre.until_quarters) == (0, 6)


def test_a_chord_before_a_barre_is_no_hinge() -> None:
    """Finger 1 frets a middle string beside open ones, then lies down at the same fret: the barre begins there."""
    chord = ["0 2 C4 2.1 1 1", "0 2 E4 1.0 0 1"]
    grip = ["2 2 F2 6.1 1b 1", "2 2 C4 2.1 1b 1", "2 2 F4 1.1 1b 1"]
    (barre,) = barres_of(played(*chord, *grip))
    assert not barre.hinge
    assert (barre.start_quarters, barre.strings) == (2, 6)


def test_one_finger_used_twice_on_a_fret_is_no_barre() -> None:
    """Without a note that the lying finger holds, finger 1 just crosses over."""
    assert barres_of(played("0 1 C4 3.5 1 5", "1 1 E4 2.5 1 5", "2 1 A4 1.5 1 5")) == ()


def test_the_sign_takes_the_place_of_numeral_and_digits() -> None:
    """Under the sign no position numeral of its fret and no figure 1."""
    marks = choose_marks(played(*STRUCK, *BROKEN), MarkStyle())
    assert list(marks.barres) == [0]
    assert marks.positions == frozenset()
    assert marks.fingers == frozenset()


def test_two_strings_struck_once_are_told_by_their_digits() -> None:
    """A single stroke over two strings has two figures 1 and a numeral, no sign."""
    marks = choose_marks(played("0 2 E4 2.5 1b 5", "0 2 A4 1.5 1b 5"), MarkStyle())
    assert marks.barres == {}
    assert marks.fingers == {0, 1}
    assert marks.positions == {0}


def test_a_barre_is_laid_down_with_the_hand() -> None:
    """Finger 3 comes into position V a quaver before the barre: one sign, at the earlier note."""
    rows = ["0 4 A3 4.7 3 5", "1/2 4 C4 3.5 1b 5", "1 4 E4 2.5 1b 5", "3/2 4 A4 1.5 1b 5"]
    marks = choose_marks(played(*rows), MarkStyle())
    assert list(marks.barres) == [0]
    assert marks.positions == frozenset()


def test_finger_1_has_no_digit_where_the_sign_stands_over_it_early() -> None:
    """It takes a low string of its fret a quaver before the barre: the sign has moved over it and says it."""
    rows = ["0 1/2 D3 5.5 1 5", "1/2 4 C4 3.5 1b 5", "1/2 4 E4 2.5 1b 5", "1/2 4 A4 1.5 1b 5"]
    marks = choose_marks(played(*rows), MarkStyle())
    assert list(marks.barres) == [0]
    assert marks.fingers == frozenset()


def test_the_score_carries_the_sign() -> None:
    """Fret, share of the strings, end and the letter of the house stand at the first note."""
    score = notate(played(*STRUCK, *BROKEN), GUITAR, Notation.BOTH, MarkStyle(barre_letter="B"))
    sign = score.elements[0].barre
    assert sign is not None
    assert (sign.fret, sign.fraction, sign.until_quarters, sign.letter) == (5, "3/6", 3, "B")
    assert all(element.barre is None for element in score.elements[1:])


def test_a_bare_edition_prints_no_barre() -> None:
    """Where no fingers are printed none lies down in print either."""
    assert choose_marks(played(*STRUCK), MarkStyle(fingers="none")).barres == {}
