"""The book: pages in, a tagged PDF out.

Steps: number the drawings, hand texts and places to the typesetter as data, put the drawings into their places.
The result is PDF/UA-1 (ISO 14289-1): titled, tagged, with bookmarks and an alternative text for every picture.
"""

from collections.abc import Mapping

from engraver.outputs.book_data import Album, book_data, page_data
from engraver.outputs.drawing import Drawing
from engraver.outputs.pages import BookPages, SinglePage
from engraver.outputs.pdf import Finished, finish
from engraver.outputs.typesetting import run_typesetter


def typeset(book: BookPages, drawings: Mapping[str, Drawing]) -> bytes:
    """The book as a PDF; equal books give equal bytes. Raises as `typeset_counted` does."""
    return typeset_counted(book, drawings).pdf


def typeset_counted(book: BookPages, drawings: Mapping[str, Drawing]) -> Finished:
    """The book as a PDF, with the number of its pages.

    `drawings` holds every system and legend picture the book names. Raises OutputError for a missing picture, a
    character that no font shows, and anything the typesetter warns of.
    """
    album = Album(drawings, book.page.line_width_mm)
    data = book_data(book, album)
    return finish(run_typesetter("book.typ", data, book.look.value), album.used)


def typeset_page(page: SinglePage, drawings: Mapping[str, Drawing]) -> bytes:
    """One exercise as a printable PDF page, with its legend and a caution. Raises OutputError as `typeset` does."""
    album = Album(drawings, page.page.line_width_mm)
    data = page_data(page, album)
    return finish(run_typesetter("page.typ", data, page.look.value), album.used).pdf
