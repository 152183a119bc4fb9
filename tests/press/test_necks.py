"""Neck diagrams of whole exercises: the places of the page's own notes, seen by the player of the edition."""

from dataclasses import replace
from pathlib import Path

import pytest

from engraver.outputs.neck_data import neck_words
from engraver.press.kept import Shelf
from engraver.press.plates import Plate, keep_plate, kept_plate
from engraver.score.diagrams import Barre, Diagram, Dot
from engraver.tables.words import languages, words
from tests.books.building import draft_text


def drafts(folder: Path, *exercises: str, edition: str = "style: {diagrams: true}"):
    lines = "".join(f"      - {line}\n" for line in exercises)
    return draft_text(folder, f"title: Necks\n{edition}\nchapters:\n  - title: One\n    exercises:\n{lines}")


def diagrams(folder: Path, exercise: str, **options: str) -> tuple[Diagram, ...]:
    (draft,) = drafts(folder, exercise, **options)
    return draft.plate.diagrams


def test_a_scale_shows_every_place_of_the_line_once(tmp_path: Path) -> None:
    """Up and down the same places; each is a string, a fret and a finger of the page's own notes."""
    (draft,) = drafts(tmp_path, "{id: g, kind: scale, scale: major, tonics: [G], octaves: 2}")
    (neck,) = draft.plate.diagrams
    played = {(note.string, note.fret, note.left_finger) for note in draft.fingered.notes}
    assert {(dot.string, dot.fret, dot.finger) for dot in neck.dots} == played
    assert len(neck.dots) == len({(string, fret) for string, fret, _ in played})
    assert neck.lying


def test_the_roots_of_g_major_lie_where_players_know_them(tmp_path: Path) -> None:
    """G in first position: string 6 fret 3, string 3 open, string 1 fret 3 (common practice, no source)."""
    (neck,) = diagrams(tmp_path, "{id: g, kind: scale, scale: major, tonics: [G], octaves: 2}")
    assert [(dot.string, dot.fret) for dot in neck.dots if dot.is_root] == [(6, 3), (3, 0), (1, 3)]


def test_a_study_shows_the_grip_of_each_chord_once(tmp_path: Path) -> None:
    """The open chords of C and G7 as every beginner learns them; C comes back without a second picture."""
    necks = diagrams(tmp_path, "{id: s, kind: right hand, right_hand: {formula: [p, i, m, a]}}")
    assert [neck.label for neck in necks] == ["C", "G7"]
    assert necks[0].dots == (Dot(5, 3, 3, True), Dot(3, 0, 0), Dot(2, 1, 1, True), Dot(1, 0, 0))
    assert not necks[0].lying


def test_the_chords_of_a_cadence_carry_their_numerals(tmp_path: Path) -> None:
    """Block chords and chords broken a bar each name the chord above each grip, and each grip its root."""
    block = diagrams(tmp_path, "{id: s, kind: cadence, tonics: [A], progression: [I, IV, V7, I]}")
    assert [neck.label for neck in block][:3] == ["I", "IV", "V7"]
    for neck in block:
        assert any(dot.is_root for dot in neck.dots)


def test_a_left_handed_player_sees_the_neck_mirrored(tmp_path: Path) -> None:
    """The same places, the other way round; music and fingers stay as they are."""
    line = "{id: g, kind: scale, scale: major, tonics: [G], octaves: 2}"
    (right,) = diagrams(tmp_path, line)
    (left,) = diagrams(tmp_path, line, edition="style: {diagrams: true}\nplayer: {handed: left}")
    assert left == replace(right, mirrored=True)


@pytest.mark.parametrize(
    ("line", "edition"),
    [
        ("{id: f, kind: finger orders}", "style: {diagrams: true}"),
        ("{id: g, kind: scale, scale: major, tonics: [G]}", "style: {}"),
    ],
)
def test_drills_and_books_that_do_not_ask_have_none(line: str, edition: str, tmp_path: Path) -> None:
    """A finger drill is its own picture; diagrams are the book's choice."""
    assert diagrams(tmp_path, line, edition=edition) == ()


def test_a_plate_comes_back_from_the_shelf_with_its_diagrams(tmp_path: Path) -> None:
    """What is kept between builds is the same plate."""
    neck = Diagram(6, (Dot(5, 3, 3, True), Dot(3, 0, 0)), False, True, "C")
    plate = Plate("ab" * 32, "Title", "alt", "", "", ("finger",), None, (), (neck,))
    shelf = Shelf(tmp_path)
    keep_plate(shelf, plate)
    assert kept_plate(shelf, plate.key, pictures=False) == plate


def test_a_finger_on_several_strings_is_a_barre_in_a_grip_only() -> None:
    """F with finger 1 on strings 2 and 1; in a scale the same finger plays them one after the other."""
    dots = (Dot(4, 3, 3), Dot(3, 2, 2), Dot(2, 1, 1), Dot(1, 1, 1))
    assert Diagram(6, dots, lying=False).barres == (Barre(1, 2, 1),)
    assert Diagram(6, dots, lying=True).barres == ()


@pytest.mark.parametrize(
    ("frets", "first", "last"), [((0, 2), 1, 4), ((1, 4), 1, 4), ((5, 7), 5, 8), ((2, 12), 2, 12), ((0,), 1, 4)]
)
def test_a_diagram_shows_a_position_at_least(frets: tuple[int, ...], first: int, last: int) -> None:
    """From the nut where all lies low, else from the lowest fret in use."""
    neck = Diagram(6, tuple(Dot(6, fret, min(fret, 1)) for fret in frets), lying=False)
    assert (neck.first_fret, neck.last_fret) == (first, last)


def test_the_words_for_a_diagram_name_every_place() -> None:
    """String by string from the lowest, with fret, finger and root."""
    neck = Diagram(6, (Dot(5, 3, 3, True), Dot(4, 2, 2), Dot(3, 0, 0)), False, label="C")
    assert neck_words(neck, "7", words("en")) == (
        "C: Neck diagram of exercise 7, frets 1 to 4. "
        "string 5: fret 3 finger 3 (root); string 4: fret 2 finger 2; string 3: open."
    )


@pytest.mark.parametrize("language", languages())
def test_the_words_of_every_language_hold_all_figures(language: str) -> None:
    """Nothing is lost in translation."""
    text = neck_words(Diagram(6, (Dot(5, 13, 3, True),), True), "47", words(language))
    for figure in ("47", "13", "16", "5", "3"):
        assert figure in text


def test_labels_speak_the_language_of_the_book(tmp_path: Path) -> None:
    """The Neapolitan sixth has a German name; numerals are the same everywhere."""
    line = "{id: s, kind: cadence, tonics: [A], mode: minor, progression: [I, Neapolitan, V7, I]}"
    necks = diagrams(tmp_path, line, edition="style: {diagrams: true}\nlanguage: de")
    assert [neck.label for neck in necks][:3] == ["i", "neapolitanischer Sextakkord", "V7"]


def test_flats_in_labels_are_signs(tmp_path: Path) -> None:
    """A chord written in words by the book is printed as players write it."""
    line = "{id: s, kind: right hand, progression: [F, B flat, F], right_hand: {formula: [p, i, m, a]}}"
    assert [neck.label for neck in diagrams(tmp_path, line)][:2] == ["F", "B\u266d"]
