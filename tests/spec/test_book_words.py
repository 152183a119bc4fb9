"""The words and numbers of a book's head: language, date, ISBN, ISMN, for the book and for each edition."""

from pathlib import Path

import pytest

from engraver.errors import SpecErrors
from engraver.spec.reader import read_book

CHAPTERS = "chapters: [{title: a, exercises: [{id: a, kind: scale, scale: major, tonics: [C]}]}]\n"


def read(folder: Path, text: str):
    path = folder / "book.yaml"
    path.write_text(text + CHAPTERS, "utf-8")
    return read_book(path)


def refused(folder: Path, text: str) -> list[str]:
    with pytest.raises(SpecErrors) as error:
        read(folder, text)
    return [line.rpartition("book.yaml:")[2] for line in str(error.value).splitlines()]


def test_an_edition_has_its_own_language_and_numbers(tmp_path: Path) -> None:
    """What an edition does not change is the book's."""
    book = read(
        tmp_path,
        "title: Lines\nlanguage: de-AT\ndate: autumn\neditions:\n"
        "  a: {}\n  b: {language: fr, date: spring, ismn: 979-0-2600-0043-8}\n",
    )
    first, second = book.editions
    assert (first.language, first.date, first.ismn) == ("de-AT", "autumn", "")
    assert (second.language, second.date, second.ismn) == ("fr", "spring", "979-0-2600-0043-8")


def test_an_unknown_language_is_refused_where_it_stands(tmp_path: Path) -> None:
    """For the book and for an edition, with the languages that can be had."""
    first, second = refused(tmp_path, "title: Lines\nlanguage: tlh\neditions:\n  a: {language: nl}\n")
    assert first.startswith("2:11: there are no printed words for the language 'tlh'")
    assert second.startswith("4:17: there are no printed words for the language 'nl'")
    assert "de, en, es, fr, it, pt" in first


# 978-3-16-148410-0 and 979-0-2600-0043-8 are the examples that the agencies' own user manuals print.
@pytest.mark.parametrize("line", ["isbn: 978-3-16-148410-0", "isbn: ISBN 9783161484100", "ismn: 979-0-2600-0043-8"])
def test_a_number_with_the_right_last_digit_is_taken(tmp_path: Path, line: str) -> None:
    """With or without hyphens and its name."""
    edition = read(tmp_path, f"title: Lines\n{line}\n").edition
    assert "".join(filter(str.isdigit, edition.isbn + edition.ismn)) in ("9783161484100", "9790260000438")


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("isbn: 978-3-16-148410-1", "does not end with its check digit"),
        ("ismn: 979-0-2600-0034-8", "does not end with its check digit"),
        ("isbn: 979-0-2600-0043-8", "is an ISMN; write it under 'ismn'"),
        ("isbn: 3-16-148410-0", "is not an ISBN; write its 13 digits"),
        ("ismn: M-2600-0043-8", "is not an ISMN"),
    ],
)
def test_a_wrong_number_is_refused(tmp_path: Path, line: str, told: str) -> None:
    """A mistyped digit, two digits exchanged, the other kind, the short forms of old."""
    (error,) = refused(tmp_path, f"title: Lines\n{line}\n")
    assert error.startswith("2:7: ")
    assert told in error


def test_large_print_is_a_preset_that_the_book_can_change(tmp_path: Path) -> None:
    """Larger staff, lying sheet, letters without serifs, unless the book says otherwise."""
    style = read(tmp_path, "title: Lines\nstyle: {large_print: true, landscape: false}\n").edition.style
    assert (style.staff_size_pt, style.landscape, style.typeface) == (28, False, "sans")
