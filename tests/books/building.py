"""Books built for tests: once a session and book, through the same calls as the command line makes."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from engraver.build import build_book, draft_exercises
from engraver.press.plates import Draft
from engraver.press.request import FORMATS, EditionReport, Request
from engraver.press.settings import settings_of
from engraver.spec.reader import read_book


@cache
def built(path: Path, edition: str = "", pdf: bool = True) -> EditionReport:
    """The report of a book built with every format into a folder of its own, which lasts as long as the tests."""
    out = Path(mkdtemp(prefix="engraver-test-"))
    editions = (edition,) if edition else ()
    return build_book(path, Request(editions, FORMATS, out, pdf=pdf))[0]


@cache
def drafted(path: Path) -> Sequence[Draft]:
    """Every exercise of a book composed, fingered and notated, but not engraved."""
    book = read_book(path)
    played = [exercise for exercise in book.exercises if exercise.number is not None]
    return tuple(draft_exercises(book, played, settings_of(book.edition)))


def draft_text(folder: Path, text: str) -> Sequence[Draft]:
    """The drafts of a book given as text."""
    path = folder / "book.yaml"
    path.write_text(text, "utf-8")
    drafted.cache_clear()
    return drafted(path)
