"""What is asked of a build, what it reports, and errors brought back to their place in the book."""

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from engraver.errors import EngraverError, OutOfRange, SpellingError
from engraver.press.kept import program_hash

if TYPE_CHECKING:
    from engraver.outputs.engraving import Engraver
    from engraver.spec.book import BookSpec, Exercise

FORMATS = ("musicxml", "midi", "lilypond")
"""What a build can write beside the PDF."""
ALL = "all"
OnStep = Callable[[int, str, int, int], None]
"""Told at every step: its number, its name, how many exercises are done and how many there are."""


def silent(number: int, step: str, done: int, total: int) -> None:
    """Tells nobody."""


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked of a build: editions (none = the first of the book), formats beside the PDF, where to put it."""

    editions: tuple[str, ...] = ()
    formats: tuple[str, ...] = ()
    out: Path = Path("build")
    workers: int = 0
    pdf: bool = True

    def text(self) -> str:
        """The part of the request, and the program, that decide what is written."""
        return f"{program_hash()} {' '.join(sorted(set(self.formats)))} {self.pdf}"

    def names(self, book: "BookSpec") -> tuple[str, ...]:
        """The editions to build. Raises SpecError for one that the book lacks."""
        if self.editions == (ALL,):
            return tuple(edition.name for edition in book.editions)
        return tuple(book.for_edition(name).edition.name for name in self.editions) or (book.edition.name,)


@dataclass(frozen=True, slots=True)
class EditionReport:
    """What a build made of one edition; `reason` says why it was or was not built."""

    book: str
    edition: str
    folder: Path
    pages: int
    exercises: int
    engraved: int
    reused: int
    warnings: tuple[str, ...]
    reason: str


def engraver_ahead(request: Request) -> "AbstractContextManager[Engraver | None]":
    """The engraver, one process of it already reading its own files while we read the book; None for no pages."""
    if not request.pdf:
        return nullcontext(None)
    from engraver.outputs.engraving import Engraver

    return Engraver(workers=request.workers, ahead=1)


def placed(error: EngraverError, exercise: "Exercise") -> EngraverError:
    """The error at the exercise's line (at its tonic for a matter of pitch), told in which exercise it arose."""
    error.message = f"exercise '{exercise.id}': {error.message}"
    return error.at(exercise.tonic_place if isinstance(error, SpellingError | OutOfRange) else exercise.place)
