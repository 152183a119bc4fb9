"""The commands. They read what was typed, call the build, print, and choose the exit code; no music here."""

import gc
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from engraver.errors import EngraverError
from engraver.press.request import FORMATS, EditionReport, Request

gc.set_threshold(100_000, 20, 20)  # hardly anything of ours is garbage that must be searched for (see `main`)
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # we use none, and looking for them takes time
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # our arrays are small; to start its threads takes longer

if TYPE_CHECKING:
    from engraver.editing.edited import Edited
    from engraver.press.request import OnStep

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # plain help comes up in half the time
    help="Makes fingered, engraved technique workbooks for the classical guitar from a YAML book.",
)

BookArgument = Annotated[Path, typer.Argument(metavar="BOOK.yaml", help="The book.")]
BooksArgument = Annotated[list[Path], typer.Argument(metavar="BOOK.yaml…", help="One book or several.")]
OutOption = Annotated[Path, typer.Option("--out", help="The folder that receives the files.")]
MusicArgument = Annotated[list[Path], typer.Argument(metavar="MUSIC…", help="Music files: MusicXML, MIDI, ABC, kern.")]
EditionsOption = Annotated[
    list[str] | None, typer.Option("--edition", help="An edition of the book, or 'all'; the first when left out.")
]
StrictOption = Annotated[bool, typer.Option("--strict", help="Treat warnings as errors.")]


@app.command(short_help="Build books as PDF, with other files.")
def build(
    books: BooksArgument,
    edition: EditionsOption = None,
    formats: Annotated[
        list[str] | None, typer.Option("--formats", help=f"Files beside the PDF: {', '.join(FORMATS)}, or 'all'.")
    ] = None,
    out: OutOption = Path("build"),
    pdf: Annotated[
        bool, typer.Option("--pdf/--no-pdf", help="Typeset the book, or write only the other formats.")
    ] = True,
    workers: Annotated[
        int, typer.Option("--workers", min=0, max=64, help="Engravers at work at once; 0 = one a core.")
    ] = 0,
    strict: StrictOption = False,
) -> None:
    """Build books: the PDF workbook and, when asked, a file for each exercise beside it."""
    request = Request(tuple(edition or ()), _formats(formats), out, workers, pdf)
    failed = False
    for book in books:
        with _told_to_a_teacher() as outcome:
            _build_one(book, request, strict)
        failed = failed or not outcome.fine
    raise typer.Exit(1 if failed else 0)


def _build_one(book: Path, request: Request, strict: bool) -> None:
    from time import perf_counter

    from engraver.build import build_book

    began = perf_counter()
    with _progress(book.name) as on_step:
        reports = build_book(book, request, on_step)
    took = f", {perf_counter() - began:.1f} s"
    for report in reports:
        typer.echo(_summary(report, took if len(reports) == 1 else ""))
        for warning in report.warnings:
            of_edition = f"edition '{report.edition}': " if len(reports) > 1 else ""
            typer.echo(f"warning: {of_edition}{warning}", err=True)
    if len(reports) > 1:
        typer.echo(f"{reports[0].book}: {len(reports)} editions{took}")
    if strict and any(report.warnings for report in reports):
        raise EngraverError("there are warnings, and --strict makes them errors")


def _summary(report: EditionReport, took: str) -> str:
    pages = f"{report.pages} pages, " if report.pages else ""
    return (
        f"{report.book}, {report.edition} ({report.reason}): {pages}{report.exercises} exercises "
        f"({report.engraved} engraved, {report.reused} reused), {len(report.warnings)} warnings{took}\n"
        f"{report.folder}"
    )


@app.command(short_help="Print one exercise on its own page.")
def page(
    book: BookArgument,
    exercise: Annotated[str, typer.Argument(metavar="EXERCISE", help="The exercise's id.")],
    edition: Annotated[str, typer.Option("--edition", help="An edition of the book.")] = "",
    scale_length: Annotated[
        float | None, typer.Option("--scale-length", help="Scale length of your guitar in mm.")
    ] = None,
    reach: Annotated[float | None, typer.Option("--reach", help="Reach from finger 1 to finger 4 in mm.")] = None,
    notation: Annotated[
        str | None, typer.Option("--notation", help="staff, tablature, or 'staff and tablature'.")
    ] = None,
    key: Annotated[str | None, typer.Option("--key", help="Another tonic or key: 'E flat', 'C minor'.")] = None,
    out: OutOption = Path("build"),
) -> None:
    """Print one exercise as a page of its own, for your guitar and your hand."""
    from engraver.build import build_page
    from engraver.press.single import PageWishes

    with _told_to_a_teacher() as outcome:
        wishes = PageWishes(edition, scale_length, reach, notation, key)
        typer.echo(build_page(book, exercise, wishes, out))
    raise typer.Exit(0 if outcome.fine else 1)


@app.command(short_help="Check books; nothing is written.")
def check(
    books: BooksArgument,
    edition: EditionsOption = None,
    strict: StrictOption = False,
    engraved: Annotated[
        bool, typer.Option("--engraved", help="Engrave as well, and measure that no sign touches another.")
    ] = False,
) -> None:
    """Check books: every error and every warning with its line and column. Writes nothing."""
    from engraver.build import check_book

    failed = False
    for book in books:
        with _told_to_a_teacher() as outcome:
            count, warnings = check_book(book, engraved, tuple(edition or ()))
            for warning in warnings:
                typer.echo(warning)
            typer.echo(f"{book}: {count} exercises, no errors, {len(warnings)} warnings")
            failed = failed or (strict and bool(warnings))
        failed = failed or not outcome.fine
    raise typer.Exit(1 if failed else 0)


@app.command(short_help="Tell why an exercise is so fingered.")
def explain(
    book: BookArgument,
    exercise: Annotated[str, typer.Argument(metavar="EXERCISE", help="The exercise's id.")],
    edition: Annotated[str, typer.Option("--edition", help="An edition of the book.")] = "",
) -> None:
    """Tell why an exercise is spelled and fingered as it is, and what else the hands could do."""
    from engraver.build import explain_exercise
    from engraver.press.explanation import plain_text, print_on_terminal

    with _told_to_a_teacher() as outcome:
        sections = explain_exercise(book, exercise, edition)
        if sys.stdout.isatty():
            print_on_terminal(sections)
        else:
            typer.echo(plain_text(sections), nl=False)
    raise typer.Exit(0 if outcome.fine else 1)


@app.command(short_help="Finger music files for the guitar.")
def finger(
    music: MusicArgument,
    out: OutOption = Path("build"),
    replace: Annotated[bool, typer.Option("--replace", help="Plan every mark anew, the printed ones too.")] = False,
    tuning: Annotated[
        str | None, typer.Option("--tuning", help="standard, 'drop d', or the strings from the lowest: 'D2 A2 …'.")
    ] = None,
    scale_length: Annotated[float | None, typer.Option("--scale-length", help="Scale length in mm.")] = None,
    reach: Annotated[float | None, typer.Option("--reach", help="Reach from finger 1 to finger 4 in mm.")] = None,
    capo: Annotated[int | None, typer.Option("--capo", help="The fret of the capo.")] = None,
) -> None:
    """Finger music for the guitar: fingers, strings, frets and plucking letters, written as MusicXML."""
    from engraver.editing.fingers import finger_file
    from engraver.editing.guitars import PlayerWishes

    wishes = PlayerWishes(tuning, scale_length, reach, capo, replace)
    _edit_each(music, out, lambda path: finger_file(path, wishes))


@app.command(short_help="Name the notes of music by context.")
def respell(music: MusicArgument, out: OutOption = Path("build")) -> None:
    """Name the notes of music by their context, each change with its reason, written as MusicXML."""
    from engraver.editing.spelling import respell_file

    _edit_each(music, out, respell_file)


def _edit_each(music: list[Path], out: Path, edit: "Callable[[Path], Edited]") -> NoReturn:
    """Edits every file; one that cannot be edited is told and the others go on."""
    from engraver.editing.shelf import place_for, put

    failed = False
    for path in music:
        with _told_to_a_teacher() as outcome:
            target = place_for(path, out, music)
            edited = edit(path)
            put(target, edited.data)
            for remark in edited.remarks:
                typer.echo(remark)
            typer.echo(f"{target}: {edited.changed} notes changed")
        failed = failed or not outcome.fine
    raise typer.Exit(1 if failed else 0)


def _formats(asked: list[str] | None) -> tuple[str, ...]:
    """The formats asked for, given apart or joined by commas."""
    names = [name.strip().lower() for text in asked or () for name in text.split(",") if name.strip()]
    if "all" in names:
        return FORMATS
    for name in names:
        if name not in (*FORMATS, "pdf"):
            known = ", ".join(FORMATS)
            raise typer.BadParameter(f"'{name}' is not a format we write; choose from {known}, or 'all'")
    return tuple(dict.fromkeys(name for name in names if name != "pdf"))


class _Outcome:
    """Whether a book went well."""

    fine = True


@contextmanager
def _told_to_a_teacher() -> Iterator[_Outcome]:
    """Our own errors as lines on standard error; anything else is a bug, told in one sentence."""
    outcome = _Outcome()
    try:
        yield outcome
    except EngraverError as error:
        outcome.fine = False
        typer.echo(str(error), err=True)
    except (typer.Exit, typer.Abort, KeyboardInterrupt):
        raise
    except Exception as error:
        _report_bug(error)


def _report_bug(error: Exception) -> NoReturn:
    """Saves the traceback and says where."""
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile("w", prefix="engraver-", suffix=".txt", delete=False) as file:
        traceback.print_exception(error, file=file)
    typer.echo(f"This is a mistake of the program, not of your book: {error!r}. Details are in {file.name}", err=True)
    raise typer.Exit(3)


@contextmanager
def _progress(name: str) -> "Iterator[OnStep]":
    """A progress bar on a terminal; nothing elsewhere."""
    if not sys.stderr.isatty():
        yield lambda *_: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(name, total=None)

        def on_step(number: int, step: str, done: int, total: int) -> None:
            bar.update(task, description=f"{name}: step {number}, {step}", completed=done, total=total or None)

        yield on_step


def main() -> None:
    """The command line's entrance.

    What is alive at the end is not searched for garbage before the process goes: with the rarer searches before (see
    above) a seventh of the time of a small build.
    """
    try:
        app()
    finally:
        gc.freeze()
