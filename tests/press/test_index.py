"""The index of a book: keys and techniques, from what the book says of its exercises."""

from pathlib import Path

import pytest

from engraver.exercises.titles import TITLES
from engraver.press.index import book_index
from engraver.spec.reader import read_book
from engraver.tables.words import languages, words

EXERCISES = """\
      - {id: e-flat, kind: scale, scale: major, tonics: [E flat]}
      - {id: e-minor, kind: scale, scale: melodic minor, tonics: [E]}
      - {id: e-major, kind: arpeggio, chord: major, tonics: [E]}
      - {id: seventh, kind: arpeggio, chord: dominant seventh, key: E minor}
      - {id: dorian, kind: scale, scale: dorian, tonics: [E]}
      - {id: close, kind: cadence, tonics: [E], mode: minor}
      - {id: loose, kind: arpeggio, chord: augmented, tonics: [E]}
      - {id: word, kind: text, title: A word, text: Rest.}
      - {id: orders, kind: finger orders}
"""


def index(folder: Path, language: str = "en") -> dict[str, list[tuple[str, tuple[str, ...]]]]:
    path = folder / "book.yaml"
    path.write_text(f"title: T\nchapters:\n  - title: One\n    exercises:\n{EXERCISES}", "utf-8")
    groups = book_index(read_book(path), words(language))
    return {group.title: [(entry.words, entry.exercise_ids) for entry in group.entries] for group in groups}


def test_exercises_stand_under_their_keys(tmp_path: Path) -> None:
    """Flats before naturals of a letter, major before minor before other scales; a chord of no key stands nowhere."""
    assert index(tmp_path)["By key"] == [
        ("E flat major", ("e-flat",)),
        ("E major", ("e-major",)),
        ("E minor", ("e-minor", "seventh", "close")),
        ("E Dorian", ("dorian",)),
    ]


def test_exercises_stand_under_their_techniques(tmp_path: Path) -> None:
    """Each played exercise once; a text is no exercise."""
    assert index(tmp_path)["By technique"] == [
        ("Scales", ("e-flat", "e-minor", "dorian")),
        ("Arpeggios", ("e-major", "seventh", "loose")),
        ("Cadences", ("close",)),
        ("Finger orders", ("orders",)),
    ]


def test_the_index_speaks_the_language_of_the_book(tmp_path: Path) -> None:
    """German keys under German headings."""
    german = index(tmp_path, "de")
    assert [title for title, _ in german["Nach Tonarten"]] == ["Es-Dur", "E-Dur", "e-Moll", "E-Dorisch"]


@pytest.mark.parametrize("language", languages())
def test_every_kind_of_exercise_has_a_line(language: str) -> None:
    """A kind added to the book format needs its heading in every language."""
    assert set(TITLES) <= set(words(language).names.techniques)
