"""Where chapters and long exercises begin, and what is ruled for the player's own notes."""

import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest

from engraver.outputs.book import typeset
from engraver.outputs.pages import BookPages, ChapterPages, Look, Opening
from engraver.score.page import PageStyle
from tests.outputs.book_samples import book, drawings, exercise
from tests.outputs.test_book import bookmarks, elements, opened, poppler, systems_on, text_of


def pages_of(pages: BookPages, folder: Path) -> dict[str, int]:
    """The page of every bookmark."""
    with opened(typeset(pages, drawings(pages)), folder) as pdf:
        marks = bookmarks(pdf)
    return {title: page for title, page, _ in marks} | {title: page for _, _, inner in marks for title, page in inner}


def test_chapters_can_wait_for_a_right_hand_page(tmp_path: Path) -> None:
    """Right-hand pages have odd numbers."""
    found = pages_of(book(chapters=4, exercises=2, opening=Opening.RIGHT_PAGE), tmp_path)
    assert all(found[f"Chapter {number}"] % 2 == 1 for number in range(1, 5))


def test_chapters_can_follow_each_other_on_a_page(tmp_path: Path) -> None:
    """Three chapters of one exercise each share a page, which is not so when each opens its own."""
    pages = book(chapters=3, exercises=1, opening=Opening.RUN_ON)
    found = pages_of(pages, tmp_path)
    assert len({found[f"Chapter {number}"] for number in (1, 2, 3)}) == 1
    apart = pages_of(replace(pages, opening=Opening.NEW_PAGE), tmp_path)
    assert len({apart[f"Chapter {number}"] for number in (1, 2, 3)}) == 3


@poppler
def test_the_running_head_names_the_chapter_of_its_page(tmp_path: Path) -> None:
    """Where chapters run on, the head names the last one that the page has reached."""
    pages = book(chapters=3, exercises=9, opening=Opening.RUN_ON)
    pdf = typeset(pages, drawings(pages))
    found = pages_of(pages, tmp_path)
    for number in (1, 2, 3):
        page = found[f"Chapter {number}"]
        assert f"Chapter {number}" in text_of(pdf, tmp_path, page).strip().splitlines()[0]


@pytest.mark.parametrize("before", [1, 2, 5, 9])
def test_an_exercise_of_two_pages_can_be_seen_at_once(before: int, tmp_path: Path) -> None:
    """It begins on a left-hand page, however many exercises stand before it; short ones wait for nothing."""
    long = exercise(50, tuple(f"long-{place}" for place in range(12)))
    items = (*(exercise(number) for number in range(1, before + 1)), long, exercise(60))
    pages = BookPages("Long", (ChapterPages("All", items),), contents=False, facing=True)
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        shown = [len(forms) for forms in systems_on(pdf)]
        ((_, _, marks),) = bookmarks(pdf)
    start = next(page for title, page in marks if title.startswith("50 "))
    assert start % 2 == 0
    assert shown[start - 1] + shown[start] >= 12
    short = [page for title, page in marks if not title.startswith(("50 ", "60 "))]
    assert short == sorted(short)
    assert max(short) - min(short) <= 1


@poppler
def test_lines_for_notes_stand_at_the_end_of_the_chapter(tmp_path: Path) -> None:
    """Under their own heading, which is not in the contents; none where none are asked for."""
    pages = book(chapters=2, exercises=1)
    first = replace(pages.chapters[0], practice_lines=5)
    pages = replace(pages, chapters=(first, pages.chapters[1]))
    pdf = typeset(pages, drawings(pages))
    found = pages_of(pages, tmp_path)
    assert "Your own notes" in text_of(pdf, tmp_path, found["Chapter 1"])
    assert text_of(pdf, tmp_path).count("Your own notes") == 1
    assert "Your own notes" not in found


@pytest.mark.parametrize("size", [18, 22])
@poppler
def test_large_print_is_bold_upright_and_nowhere_small(size: int, tmp_path: Path) -> None:
    """One face without serifs; no word below the size of the text but the music's own. Source: clear-print guidance."""
    page = PageStyle(297, 210)
    pages = book(look=Look.LARGE, page=page, text_size_pt=size, imprint=("Made by us.",), edition="Large")
    with opened(typeset(pages, drawings(pages)), tmp_path) as pdf:
        described = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/FontName" in o]
        faces = {str(font.FontName).partition("+")[2] for font in described}
        headings = [element for element in elements(pdf.Root.StructTreeRoot.K) if str(element.S) == "/H2"]
    assert faces == {"TeXGyreHeros-Bold"}
    assert len(headings) == 6
    run = subprocess.run(["pdftotext", "-bbox", tmp_path / "book.pdf", "-"], capture_output=True, check=True)
    tops = re.findall(r'<word .*?yMin="([\d.]+)".*?yMax="([\d.]+)"', run.stdout.decode())
    heights = [float(bottom) - float(top) for top, bottom in tops]
    assert len(heights) > 50
    assert min(heights) > size - 0.01
