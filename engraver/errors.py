"""Everything that can go wrong, worded for a teacher.

    EngraverError
      SpecError         the book file says something we cannot read
      TableError        one of our own tables is damaged (a bug or a broken installation)
      SpellingError     a pitch, key or chord that has no name in use
      FingeringError    the hands cannot do what is asked
        OutOfRange      a note lies outside the instrument
        Unplayable      no way to hold the notes within the player's limits
      OutputError       a page or file could not be made
        EngravingFailed the music engraver refused an exercise
        ToolMissing     a program we need is not installed

Each prints as ``file:line:column: what is wrong; what to write instead``.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A place in a book file: line and column count from 1."""

    file: str
    line: int = 1
    column: int = 1

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class EngraverError(Exception):
    """An error with its message, its place in the book (if known) and a hint for mending it."""

    def __init__(self, message: str, place: Place | None = None, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.place = place
        self.hint = hint

    def at(self, place: Place | None) -> "EngraverError":
        """The same error, given a place if it had none."""
        if self.place is None:
            self.place = place
        return self

    def __str__(self) -> str:
        where = f"{self.place}: " if self.place else ""
        hint = f"; {self.hint}" if self.hint else ""
        return f"{where}{self.message}{hint}"


class SpecError(EngraverError):
    """The book file says something we cannot read."""


class SpecErrors(SpecError):  # noqa: N818 - several errors in one
    """Several errors of one book file, in reading order; prints one a line."""

    def __init__(self, errors: tuple[EngraverError, ...]) -> None:
        super().__init__(f"{len(errors)} errors")
        self.errors = tuple(sorted(errors, key=lambda error: error.place or Place("")))

    def __str__(self) -> str:
        return "\n".join(str(error) for error in self.errors)


class TableError(EngraverError):
    """One of our own tables is damaged."""


class SpellingError(EngraverError):
    """A pitch, key or chord that has no name in use."""


class FingeringError(EngraverError):
    """The hands cannot do what is asked."""


class OutOfRange(FingeringError):  # noqa: N818 - named in the trade's words, as the error tree says
    """A note lies outside the instrument."""


class Unplayable(FingeringError):  # noqa: N818 - named in the trade's words, as the error tree says
    """No way to hold the notes within the player's limits."""


class OutputError(EngraverError):
    """A page or file could not be made."""


class EngravingFailed(OutputError):  # noqa: N818 - named in the trade's words, as the error tree says
    """The music engraver refused an exercise."""


class ToolMissing(OutputError):  # noqa: N818 - named in the trade's words, as the error tree says
    """A program we need is not installed."""
