"""Where a digit carries the dash of a guide finger. Invented music only."""

from engraver.score.marks import MarkStyle, choose_marks
from tests.score.placed_notes import played


def guided(*rows: str) -> list[int]:
    return sorted(choose_marks(played(*rows), MarkStyle()).guides)


def test_a_finger_that_keeps_its_string_through_a_shift_guides() -> None:
    """Finger 1 from fret 1 to 5 on string 2, finger 3 between: dash at the second."""
    assert guided("0 1 C4 2.1 1 1", "1 1 D4 2.3 3 1", "2 1 E4 2.5 1 5", "3 1 F#4 2.7 3 5") == [2]


def test_another_string_or_finger_does_not_guide() -> None:
    """The hand moves, but finger 1 leaves its string, or another finger leads."""
    assert guided("0 1 C4 2.1 1 1", "1 1 A4 1.5 1 5") == []
    assert guided("0 1 C4 2.1 1 1", "1 1 F#4 2.7 3 5") == []


def test_a_string_sounded_open_has_lost_its_finger() -> None:
    """The open string between the two notes cannot sound under a guide."""
    assert guided("0 1 C4 2.1 1 1", "1 1 B3 2.0 0 1", "2 1 E4 2.5 1 5") == []


def test_only_the_first_note_after_the_shift_is_led() -> None:
    """Finger 3 arrives first on another string; finger 1 that follows has no dash."""
    assert guided("0 1 C4 2.1 1 1", "1 1 B4 1.7 3 5", "2 1 E4 2.5 1 5") == []


def test_no_guide_without_a_shift() -> None:
    """A stretch of finger 4 within one position is no shift."""
    assert guided("0 1 G4 1.3 3 1", "1 1 Ab4 1.4 4 1", "2 1 A4 1.5 4 1") == []


def test_a_led_digit_is_printed() -> None:
    """The dash needs its figure even where the rule of changes would drop it; a bare edition prints neither."""
    rows = ("0 1 C4 2.1 1 1", "1 1 E4 2.5 1 5")
    assert choose_marks(played(*rows), MarkStyle()).fingers == {0, 1}
    bare = choose_marks(played(*rows), MarkStyle(fingers="none"))
    assert (bare.guides, bare.fingers) == (frozenset(), frozenset())
