"""The whole program on one screen: read, compose, finger, notate, write, engrave, typeset, put on the shelf.

Every step takes what the step before gives. An exercise whose spec, edition and program have not changed is taken from
the shelf; a book whose files have not changed is not even read.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from engraver.errors import EngraverError, SpecErrors, TableError
from engraver.press.files import Made, nothing_to_do, write_edition
from engraver.press.kept import Shelf
from engraver.press.request import EditionReport, OnStep, Request, engraver_ahead, placed, silent

if TYPE_CHECKING:
    from engraver.outputs.engraving import Engraver
    from engraver.press.explanation import Section
    from engraver.press.plates import Draft
    from engraver.press.settings import Settings
    from engraver.press.single import PageWishes
    from engraver.spec.book import BookSpec, Exercise


def build_book(path: Path, request: Request, on_step: OnStep = silent) -> tuple[EditionReport, ...]:
    """Builds the asked editions of a book and reports on each.

    Raises SpecErrors with everything that is wrong in the book; nothing is written unless everything can be.
    """
    if kept := nothing_to_do(path, request):
        return kept
    with engraver_ahead(request) as engraver:
        from engraver.press.printable import unprintable_texts
        from engraver.spec.reader import read_book

        on_step(1, "reading", 0, 0)
        book = read_book(path)
        if request.pdf and (unprintable := unprintable_texts(path)):
            raise SpecErrors(unprintable)
        shelf = Shelf(request.out / ".kept")
        made = [make_edition(book.for_edition(name), shelf, request, engraver, on_step) for name in request.names(book)]
    return tuple(write_edition(edition, path, request) for edition in made)


def build_page(path: Path, exercise_id: str, wishes: "PageWishes", out: Path) -> Path:
    """One exercise as a printable page, by the same steps; gives the path of the PDF. Raises as `build_book` does."""
    request = Request(out=out, workers=1)
    with engraver_ahead(request) as engraver:
        from engraver.press.engraving import engrave_drafts
        from engraver.press.settings import settings_of
        from engraver.press.single import with_wishes
        from engraver.spec.reader import read_book

        book, exercise = with_wishes(read_book(path), exercise_id, wishes)
        settings, shelf = settings_of(book.edition), Shelf(out / ".kept")
        drafts = draft_exercises(book, [exercise], settings)
        plates = engrave_drafts(drafts, 1, shelf, settings, request, engraver)
    from engraver.press.files import write_file
    from engraver.press.pages import page_pdf

    pdf = page_pdf(book, exercise, plates[exercise.id], settings, shelf)
    return write_file(out / path.stem / book.edition.name / "pages" / f"{exercise.id}.pdf", pdf)


def check_book(path: Path, engraved: bool = False, editions: tuple[str, ...] = ()) -> tuple[int, tuple[str, ...]]:
    """How many exercises the book has, and every warning with its place. Raises SpecErrors with every error.

    `editions` as for a build: the first when none is named. `engraved` measures the engraved pictures as well; they
    are not kept.
    """
    from engraver.press.checking import placed_warnings
    from engraver.press.printable import unprintable_texts
    from engraver.press.settings import settings_of
    from engraver.spec.reader import read_what_is_right

    book, errors = read_what_is_right(path)
    errors += unprintable_texts(path)
    if book is None:
        raise SpecErrors(errors)
    played = [exercise for exercise in book.exercises if exercise.number is not None]
    warnings: list[str] = []
    for name in (names := Request(editions).names(book)):
        settings = settings_of(book.for_edition(name).edition)
        told = f" (edition '{name}')" if len(names) > 1 else ""
        try:
            drafts = tuple(draft_exercises(book.for_edition(name), played, settings))
        except SpecErrors as found:
            errors += tuple(EngraverError(error.message + told, error.place, error.hint) for error in found.errors)
        else:
            warnings += [warning + told for warning in placed_warnings(drafts, settings, engraved and not errors)]
    if errors:
        raise SpecErrors(errors)
    return len(played), tuple(warnings)


def explain_exercise(path: Path, exercise_id: str, edition: str = "") -> "tuple[Section, ...]":
    """Why an exercise is spelled and fingered as it is, section by section; the first edition when none is named.

    Raises SpecError for an unknown exercise or edition, and as `build_book` does.
    """
    from engraver.press.explaining import explain
    from engraver.press.settings import settings_of
    from engraver.press.single import PageWishes, with_wishes
    from engraver.spec.reader import read_book

    book, exercise = with_wishes(read_book(path), exercise_id, PageWishes(edition))
    (draft,) = draft_exercises(book, [exercise], settings_of(book.edition))
    return explain(exercise, book.edition, draft.fingered)


def make_edition(
    book: "BookSpec", shelf: Shelf, request: Request, engraver: "Engraver | None", on_step: OnStep
) -> Made:
    """Everything of one edition, ready to be written: plates from the shelf or anew, then the pages around them."""
    from engraver.press.engraving import engrave_drafts, reusable
    from engraver.press.settings import settings_of

    settings = settings_of(book.edition)
    plates, missing = reusable(book, shelf, request)
    drafts = draft_exercises(book, missing, settings, on_step)
    fresh = engrave_drafts(drafts, len(missing), shelf, settings, request, engraver, on_step)
    on_step(7, "typesetting", 0, 0)
    from engraver.press.pages import make_files

    return make_files(book, {**plates, **fresh}, settings, shelf, request, engraved=len(fresh))


def draft_exercises(
    book: "BookSpec", missing: Sequence["Exercise"], settings: "Settings", on_step: OnStep = silent
) -> Iterator["Draft"]:
    """Each exercise composed, fingered, notated and written as the engraver's source, one after the other.

    Raises SpecErrors at the end, naming every exercise that cannot be made.
    """
    from engraver.exercises.compose import compose
    from engraver.fingering.finger import finger
    from engraver.outputs.lilypond import lilypond_score
    from engraver.press.describing import describe
    from engraver.press.plates import Draft
    from engraver.score.notate import notate

    instrument, player = book.edition.instrument, book.edition.player
    errors: list[EngraverError] = []
    for done, exercise in enumerate(missing):
        on_step(2, "composing and fingering", done, len(missing))
        try:
            passage = compose(exercise.spec, instrument)
            fingered = finger(passage, instrument, player, *exercise.hands)
            score = notate(fingered, instrument, settings.notation, settings.marks)
            source = lilypond_score(score, settings.engraving)
            yield Draft(exercise, describe(exercise, book.edition, fingered, score), fingered, score, source)
        except TableError:
            raise
        except EngraverError as error:
            errors.append(placed(error, exercise))
    if errors:
        raise SpecErrors(tuple(errors))
