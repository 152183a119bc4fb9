"""Which notes carry a circle, by the kind of music, and that a reader finds every other string. Invented music only."""

import pytest

from engraver.fingering.fingered import FingeredPassage
from engraver.score.marks import MarkStyle, choose_marks
from tests.score.placed_notes import played

OPEN_MIDIS = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
THIRDS = [
    "0 1 G3 4.5 3 3", "0 1 B3 3.4 2 3", "1 1 A3 4.7 3 5", "1 1 C4 3.5 1 5",
    "2 1 D4 3.7 3 5", "2 1 F4 2.6 2 5", "3 1 C4 3.5 3 3", "3 1 E4 2.5 3 3",
]  # fmt: skip
LEAPS = [
    "0 1 C4 5.15 4 12", "1 1 G4 3.12 1 12", "2 1 E4 4.14 3 12", "3 1 C5 2.13 2 12", "4 1 G4 3.12 1 12",
    "5 1 E4 4.14 3 12",
]  # fmt: skip
GRIP = [
    "0 1 C4 5.15 4 12", "0 1 E4 4.14 3 12", "0 1 G4 3.12 1 12", "1 1 E4 4.14 3 12", "1 1 C5 2.13 2 12",
]  # fmt: skip
STRETCH = "2 1 G#4 4.18 4 12"


def circles(done: FingeredPassage, **style: object) -> list[int]:
    return sorted(choose_marks(done, MarkStyle(**style)).strings)  # type: ignore[arg-type]


def test_a_line_has_a_circle_at_every_change_of_string() -> None:
    """Two notes on each string: circles at the first of each."""
    rows = ["0 1 C4 3.5 1 5", "1 1 D4 3.7 3 5", "2 1 E4 2.5 1 5", "3 1 F4 2.6 2 5", "4 1 E4 2.5 1 5"]
    assert circles(played(*rows)) == [0, 2]


def test_pairs_have_circles_where_the_pair_changes() -> None:
    """Strings 4 and 3 for two thirds, then 3 and 2: both circles at the first and at the third."""
    assert circles(played(*THIRDS)) == [0, 1, 4, 5]


def test_a_leaping_line_tells_new_places_up_the_neck() -> None:
    """Each note of a broken chord in position XII once, and the first one low down again; what comes back goes without."""
    assert circles(played(*LEAPS)) == [0, 1, 2, 3]
    low = ["6 1 F4 1.1 1 1", "7 1 D4 2.3 3 1", "8 1 A3 3.2 2 1"]
    assert circles(played(*LEAPS, *low)) == [0, 1, 2, 3, 6]


def test_a_leaping_line_tells_a_note_that_could_lie_lower() -> None:
    """A2 at fret 5 of the sixth string would be read as the open fifth; low notes at their lowest place need nothing."""
    rows = ["0 1 F2 6.1 1 2", "1 1 A2 6.5 4 2", "2 1 F3 4.3 3 1", "3 1 C4 2.1 1 1", "4 1 A3 3.2 2 1", "5 1 C3 5.3 3 1"]
    assert circles(played(*rows)) == [1, 2]
    assert circles(played(*rows[:1], *rows[2:])) == []


def test_a_chord_is_told_by_position_and_finger() -> None:
    """A grip in position XII needs no circle, nor does finger 4 a fret further; three frets further it does."""
    assert circles(played(*GRIP)) == []
    assert circles(played(*GRIP, "2 1 F#4 4.16 4 12")) == []
    assert circles(played(*GRIP, STRETCH)) == [5]


@pytest.mark.parametrize("style", [{"positions": False}, {"fingers": "none"}])
def test_without_positions_or_digits_every_high_string_is_told(style: dict[str, object]) -> None:
    """Then nothing else tells the string, once for each note."""
    assert circles(played(*GRIP), **style) == [0, 1, 2, 4]


def test_a_pitch_taken_elsewhere_is_circled() -> None:
    """E4 on the open first string, then on the second at fret 5, and open again; A3 at fret 7 is new once."""
    rows = ["0 1 A3 4.7 3 5", "1 1 E4 1.0 0 5", "2 1 A3 4.7 3 5", "3 1 E4 2.5 1 5", "4 1 A3 4.7 3 5", "5 1 E4 1.0 0 5"]
    assert circles(played(*rows)) == [0, 3, 5]


@pytest.mark.parametrize("rows", [GRIP, [*GRIP, STRETCH], THIRDS], ids=["grip", "stretch", "thirds"])
def test_a_reader_finds_every_string(rows: list[str]) -> None:
    """From circles, position and finger alone: the string on which the note lies nearest to the finger's fret."""
    done = played(*rows)
    shown = choose_marks(done, MarkStyle()).strings
    pair: set[int] = set()
    for index, note in enumerate(done.notes):
        if index in shown:
            pair.add(note.string)
            continue
        own = note.position + note.left_finger - 1
        away = {s: abs(note.note.pitch.sounding_midi - midi - own) for s, midi in OPEN_MIDIS.items()}
        assert note.string in pair or note.string == min(away, key=away.__getitem__)
