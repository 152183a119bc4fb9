"""The files of an edition: the book as a PDF, and the formats beside it."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from engraver.press.engraving import ENDINGS
from engraver.press.files import Made
from engraver.press.kept import Shelf
from engraver.press.layout import book_pages, single_page
from engraver.press.legend import legend_drawings
from engraver.press.plates import Plate
from engraver.press.request import Request
from engraver.press.settings import Settings
from engraver.spec.book import BookSpec, Exercise
from engraver.spec.excerpt import ExcerptSpec
from engraver.tables.words import words

if TYPE_CHECKING:
    from engraver.outputs.drawing import Drawing
    from engraver.outputs.pdf import Finished


def make_files(
    book: BookSpec, plates: Mapping[str, Plate], settings: Settings, shelf: Shelf, request: Request, engraved: int
) -> Made:
    """Every file of an edition by its name inside the edition's folder, with the counts for the summary."""
    files: dict[str, bytes] = {}
    pages = 0
    if request.pdf:
        finished = book_pdf(book, plates, settings, shelf)
        files["book.pdf"], pages = finished.pdf, finished.pages
        if book.edition.style.booklet:
            from engraver.outputs.booklet import booklet

            files["booklet.pdf"] = booklet(files["book.pdf"])
    for name in sorted(set(request.formats)):
        for exercise_id, plate in plates.items():
            kept = shelf.get(plate.key, ENDINGS[name])
            files[f"{name}/{exercise_id}{ENDINGS[name]}"] = kept or b""
    counts = {
        "pages": pages,
        "exercises": len(plates),
        "engraved": engraved,
        "reused": len(plates) - engraved,
    }
    about = {
        "book": book.name,
        "edition": book.edition.name,
        "editions": [edition.name for edition in book.editions],
        "exercises": {
            exercise.id: _about(exercise.number, plates[exercise.id])
            for exercise in book.exercises
            if exercise.id in plates
        },
    }
    warnings = tuple(
        f"{e.place}: {warning}" for e in book.exercises if e.id in plates for warning in plates[e.id].warnings
    )
    sources = sorted({e.spec.file for e in book.exercises if isinstance(e.spec, ExcerptSpec) and e.spec.file})
    return Made(book.edition.name, files, about, warnings, counts, tuple(sources))


def _about(number: int | None, plate: Plate) -> dict[str, object]:
    return {"number": number, "title": plate.title, "made_from": plate.key}


def book_pdf(book: BookSpec, plates: Mapping[str, Plate], settings: Settings, shelf: Shelf) -> "Finished":
    """The book as a tagged PDF."""
    from engraver.outputs.book import typeset_counted

    printed = words(book.edition.language)
    pages = book_pages(book, plates, settings, printed)
    return typeset_counted(pages, drawings(plates.values(), shelf, settings))


def page_pdf(book: BookSpec, exercise: Exercise, plate: Plate, settings: Settings, shelf: Shelf) -> bytes:
    """One exercise on a page of its own, as a tagged PDF."""
    from engraver.outputs.book import typeset_page

    printed = words(book.edition.language)
    page = single_page(book, exercise, plate, settings, printed)
    return typeset_page(page, drawings([plate], shelf, settings))


def drawings(plates: Iterable[Plate], shelf: Shelf, settings: Settings) -> dict[str, "Drawing"]:
    """Every system of the plates and every picture of the legend, by name."""
    out: dict[str, Drawing] = {}
    signs: set[str] = set()
    for plate in plates:
        signs |= set(plate.signs)
        for index, picture in enumerate(plate.pictures):
            out[plate.system_name(index)] = picture
    return out | legend_drawings(signs, shelf, settings)
