"""Booklet sheets: the order of pages at the printer's, and what a reader of the folded sheets meets."""

import shutil
import subprocess
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest

from engraver.outputs.book import typeset
from engraver.outputs.booklet import booklet, booklet_sides
from tests.outputs.book_samples import book, drawings

# Left and right page of each side, front and back in turn, for one fold (saddle stitch): common practice, no source.
TABLE = {
    4: [(4, 1), (2, 3)],
    8: [(8, 1), (2, 7), (6, 3), (4, 5)],
    12: [(12, 1), (2, 11), (10, 3), (4, 9), (8, 5), (6, 7)],
}


@pytest.mark.parametrize("pages", TABLE)
def test_pages_lie_on_the_sheets_in_the_order_that_printers_use(pages: int) -> None:
    """The known tables for four, eight and twelve pages."""
    assert list(booklet_sides(pages)) == TABLE[pages]


def test_a_book_that_does_not_fill_its_sheets_ends_with_empty_pages() -> None:
    """Six pages on two sheets: the places of pages 7 and 8 stay empty."""
    assert list(booklet_sides(6)) == [(None, 1), (2, None), (6, 3), (4, 5)]


@pytest.mark.parametrize("pages", range(1, 70))
def test_the_folded_sheets_are_read_from_the_first_page_to_the_last(pages: int) -> None:
    """Sheets laid into each other and folded: right halves of the fronts and left halves of the backs, then back out."""
    sides = booklet_sides(pages)
    fronts, backs = sides[::2], sides[1::2]
    way_in = [page for front, back in zip(fronts, backs, strict=True) for page in (front[1], back[0])]
    way_out = [page for front, back in zip(fronts[::-1], backs[::-1], strict=True) for page in (back[1], front[0])]
    read = [page for page in way_in + way_out if page is not None]
    assert read == list(range(1, pages + 1))
    assert len(way_in + way_out) - pages < 4


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")
def test_the_sheets_hold_the_pages_of_the_book(tmp_path: Path) -> None:
    """Twice as wide, each half with the words of the page that the table puts there; the same bytes each time."""
    pages = book(chapters=5, exercises=2)
    whole = typeset(pages, drawings(pages))
    sheets = booklet(whole)
    assert booklet(whole) == sheets
    (tmp_path / "book.pdf").write_bytes(whole)
    (tmp_path / "sheets.pdf").write_bytes(sheets)
    with pikepdf.open(BytesIO(whole)) as one, pikepdf.open(BytesIO(sheets)) as two:
        count, sides = len(one.pages), len(two.pages)
        width, height = (float(number) for number in one.pages[0].mediabox[2:])
        assert [float(n) for n in two.pages[0].mediabox[2:]] == [pytest.approx(2 * width), pytest.approx(height)]
    expected = booklet_sides(count)
    assert sides == len(expected)
    for place, halves in enumerate(expected, start=1):
        for number, left in zip(halves, (0, width), strict=True):
            found = words_of(tmp_path / "sheets.pdf", place, left, width, height)
            assert found == ([] if number is None else words_of(tmp_path / "book.pdf", number, 0, width, height))


def words_of(path: Path, page: int, left: float, width: float, height: float) -> list[str]:
    """The words of a part of a page."""
    box = ["-x", f"{left:.0f}", "-y", "0", "-W", f"{width:.0f}", "-H", f"{height:.0f}"]
    run = subprocess.run(
        ["pdftotext", "-f", str(page), "-l", str(page), "-r", "72", *box, str(path), "-"],
        capture_output=True,
        check=True,
    )
    return run.stdout.decode().split()
