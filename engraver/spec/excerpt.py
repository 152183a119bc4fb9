"""Excerpts as the book writes them: bars of a music file, or notes written in the book itself."""

from pathlib import Path, PurePosixPath
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, PrivateAttr, model_validator

from engraver.errors import EngraverError, SpecError
from engraver.reading.files import ENDINGS, MOST_CONVERTED_BYTES, PACKED, PLAIN, file_bytes
from engraver.reading.safe_xml import MOST_XML_BYTES
from engraver.reading.written import WrittenNote, parse_written
from engraver.spec.fields import Frozen, KeyField, teacher_error
from engraver.spec.played import ExerciseSpec, Line, PlayedSpec
from engraver.theory.pitch import Interval
from engraver.theory.transposing import parse_transposition

Music = Annotated[str, Field(min_length=1, max_length=20_000)]


def _transposition(value: Any) -> Any:
    if isinstance(value, Interval) or (isinstance(value, int) and not isinstance(value, bool)):
        return value
    try:
        return parse_transposition(str(value))
    except EngraverError as error:
        raise teacher_error(error.message, error.hint) from error


def _file_name(value: Any) -> Any:
    """A path from the book's folder, with an ending that we read."""
    text = str(value)
    path = PurePosixPath(text.replace("\\", "/"))
    if path.is_absolute() or ":" in text:
        raise teacher_error(f"'{text}' does not start from the book's folder", "write a path such as 'music/study.mxl'")
    if path.suffix.lower() not in ENDINGS:
        raise teacher_error(f"'{text}' has no ending that we read", f"give a file ending in {', '.join(ENDINGS)}")
    return str(path)


FileName = Annotated[str, BeforeValidator(_file_name), Field(max_length=300)]
Transposition = Annotated[Interval | int, BeforeValidator(_transposition)]


class Voices(Frozen):
    """Music in two or three voices: `notes: {upper: E4 q F4 G4, lower: C3 h.}`."""

    upper: Music
    middle: Music | None = None
    lower: Music


class ExcerptSpec(PlayedSpec):
    """Bars of a piece: `{kind: excerpt, file: study.musicxml, bars: [1, 8]}`, or `notes: E4 q, F#4 e G4` in the book.

    `bars` are printed bar numbers, both included. `keep_marks` keeps the editor's fingers, strings, letters and all
    signs that we print. `respell` names the notes by context (left out: only for files that bear no names).
    `licence` and `source` are printed below the music; left out, what the file itself says of composer and rights.
    """

    kind: Literal["excerpt"]
    file: FileName | None = None
    notes: Music | Voices | None = None
    part: Annotated[int, Field(ge=1, le=200)] | Line | None = None
    bars: Annotated[tuple[Annotated[int, Field(ge=0, le=100_000)], ...], Field(min_length=2, max_length=2)] | None = (
        None
    )
    transpose: Transposition | None = None
    octave: Annotated[int, Field(ge=-3, le=3)] = 0
    voices: Literal["keep", "top", "bottom"] = "keep"
    keep_marks: bool = True
    respell: bool | None = None
    key: KeyField | None = None
    licence: Line | None = None
    source: Line | None = None
    _folder: str = PrivateAttr("")
    _digest: str = PrivateAttr("")

    def __repr__(self) -> str:
        """The spec in one line, with the hash of its file: what it prints depends on both."""
        return f"{super().__repr__()} {self._digest}"

    @model_validator(mode="after")
    def _has_music(self) -> "ExcerptSpec":
        if (self.file is None) == (self.notes is None):
            found = "both 'file' and 'notes'" if self.file else "neither 'file' nor 'notes'"
            raise teacher_error(f"the excerpt has {found}", "write 'file: study.musicxml' or 'notes: E4 q, F4 e G4'")
        if self.bars and self.bars[1] < self.bars[0]:
            raise teacher_error(f"the bars run from {self.bars[0]} back to {self.bars[1]}", "put the first bar first")
        try:
            self.written()
        except EngraverError as error:
            raise teacher_error(error.message, error.hint) from error
        return self

    def written(self) -> tuple[tuple[WrittenNote, ...], ...]:
        """The voices written in the book, upper first; none for an excerpt from a file. Raises SpellingError."""
        texts: tuple[str, ...] = ()
        if isinstance(self.notes, Voices):
            texts = tuple(filter(None, (self.notes.upper, self.notes.middle, self.notes.lower)))
        elif self.notes is not None:
            texts = (self.notes,)
        return tuple(parse_written(text, self.metre) for text in texts)

    def located(self, folder: Path) -> ExerciseSpec:
        """The spec that knows its book's folder and what its file holds. Raises SpecError for a missing file."""
        if self.file is None:
            return self
        from hashlib import sha256

        path = folder / self.file
        try:
            data = file_bytes(path, MOST_XML_BYTES if path.suffix.lower() in (*PLAIN, PACKED) else MOST_CONVERTED_BYTES)
        except EngraverError as error:
            raise SpecError(f"'{self.file}': {error.message}", hint=error.hint) from error
        found = self.model_copy()
        found._folder, found._digest = str(folder), sha256(data).hexdigest()
        return found

    @property
    def path(self) -> Path:
        """Where the file lies."""
        return Path(self._folder) / (self.file or "")

    @property
    def digest(self) -> str:
        """The hash of the file's content."""
        return self._digest
