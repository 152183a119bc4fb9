"""Which notes carry a plucking letter in chords. Invented music only."""

from engraver.score.marks import MarkStyle, choose_marks
from tests.score.placed_notes import played


def chord(onset: int, letters: str) -> list[str]:
    """E minor on open strings, from string 6 up, plucked by these fingers."""
    places = ["E2 6.0", "G3 3.0", "B3 2.0", "E4 1.0"][-len(letters) :]
    return [f"{onset} 1 {place} 0 1 {letter}" for place, letter in zip(places, letters, strict=True)]


def test_a_chord_plucked_like_the_one_before_has_no_letters() -> None:
    """Thumb, then three equal chords, twice: the letters of the first chord serve for all."""
    rows = [row for k, letters in enumerate(["c", "ima", "ima", "ima"] * 2) for row in chord(k, letters)]
    marks = choose_marks(played(*rows), MarkStyle())
    assert sorted(marks.plucking) == [0, 1, 2, 3]


def test_a_chord_plucked_otherwise_has_its_letters() -> None:
    """The closing chord takes the thumb as well."""
    rows = [row for k, letters in enumerate(["ima", "ima", "ima", "pima"]) for row in chord(k, letters)]
    assert sorted(choose_marks(played(*rows), MarkStyle()).plucking) == [0, 1, 2, 9, 10, 11, 12]


def test_a_finger_over_several_strings_has_its_letter_once() -> None:
    """The thumb strikes three strings: one p, at the lowest, even where all letters are asked for."""
    rows = ["0 1 E2 6.0 0 1 p", "0 1 A2 5.0 0 1 p", "0 1 D3 4.0 0 1 p", "0 1 G3 3.0 0 1 i"]
    for setting in ("all", "first and turns"):
        assert sorted(choose_marks(played(*rows), MarkStyle(plucking=setting)).plucking) == [0, 3]
