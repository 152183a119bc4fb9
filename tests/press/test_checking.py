"""A check tells all that is wrong in one run: of the file, of its letters, and of the hands, in every edition asked for."""

import pytest

from engraver.build import build_book, check_book
from engraver.errors import SpecErrors
from engraver.press.request import Request

BOOK = """\
title: A book
editions: {plain: {}, short: {instrument: {frets: 12}}}
chapters:
  - title: Scales
    exercises:
      - {id: high, kind: scale, scale: major, tonics: [E4], octaves: 1, direction: up, left_hand: {strings: [1]}}
"""


def lines(tmp_path, text, **more):
    """The printed errors of a check, without the folder."""
    path = tmp_path / "book.yaml"
    path.write_text(text, "utf-8")
    with pytest.raises(SpecErrors) as caught:
        check_book(path, **more)
    return str(caught.value).replace(f"{tmp_path}/", "").splitlines()


def test_slips_of_the_pen_and_of_the_hands_are_told_together(tmp_path):
    """A misspelled field in one entry does not hide that another entry leaves the neck."""
    text = (
        BOOK
        + "      - {id: b, kind: scale, scael: major, tonics: [C6]}\n      - {id: c, kind: scale, scale: major, tonics: [C6]}\n"
    )
    found = lines(tmp_path, text)
    assert [line.split(":")[1] for line in found] == ["7", "7", "8"]
    assert "exercise 'c'" in found[-1]


@pytest.mark.parametrize(("text", "place"), [
    (BOOK.replace("A book", "Guitar 🎸"), "book.yaml:1:8: "),
    (BOOK.replace("title: Scales", "title: Scales\n    text: 音 and 階"), "book.yaml:5:11: "),
    (BOOK.replace("plain", "音"), "book.yaml:2:12: "),
])  # fmt: skip
def test_letters_that_no_font_holds_are_told_with_their_place(tmp_path, text, place):
    """By a check, and by a build before anything is written."""
    (line,) = lines(tmp_path, text)
    assert line.startswith(f"{place}no font of the book can show '")
    with pytest.raises(SpecErrors, match="no font of the book"):
        build_book(tmp_path / "book.yaml", Request(out=tmp_path / "out"))
    assert not list(tmp_path.glob("out/book/*"))


def test_letters_in_a_remark_of_the_file_and_other_alphabets_are_no_errors(tmp_path):
    """What is not printed needs no font; Greek, Cyrillic, Hebrew and musical signs have one."""
    path = tmp_path / "book.yaml"
    path.write_text("# 🎸\n" + BOOK.replace("A book", "Гитара ♯ κιθάρα ספר"), "utf-8")
    assert check_book(path) == (1, ())


def test_every_edition_asked_for_is_checked(tmp_path):
    """E4 to E5 on the first string needs twelve frets; a thirteenth is wanted a semitone higher."""
    high = BOOK.replace("[E4]", "[F4]")
    path = tmp_path / "book.yaml"
    path.write_text(high, "utf-8")
    assert check_book(path)[0] == 1
    (line,) = lines(tmp_path, high, editions=("all",))
    assert "exercise 'high'" in line
    assert "(edition 'short')" in line
