"""Texts of a book that no font can show, found before anything is engraved, each with its place."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from engraver.errors import EngraverError, OutputError
from engraver.spec.source import Path_, Source, read_source

_DOUBTFUL = re.compile("[^\u0000-\u052f\u1e00-\u206f\u266d-\u266f]")
"""Beyond Latin, Greek, Cyrillic, punctuation and the signs of music, which every face of the book holds."""
_NOT_PRINTED = ("file",)


def unprintable_texts(path: Path) -> tuple[EngraverError, ...]:
    """An error for each text of the book with a character that no font of the book can show.

    Books of usual letters cost a look at their text; the typesetter is asked about other letters only.
    """
    if not _DOUBTFUL.search(path.read_text("utf-8-sig")):
        return ()
    source = read_source(path)
    if not isinstance(source.value, dict):
        return ()
    return tuple(error for where, text in _texts(source.value, ()) if (error := _error_of(text, where, source)))


def _error_of(text: str, where: Path_, source: Source) -> EngraverError | None:
    from engraver.outputs.typesetting import run_typesetter

    if where[-1] in _NOT_PRINTED or not _DOUBTFUL.search(text):
        return None
    try:
        run_typesetter("words.typ", {"words": text})
    except OutputError as error:
        return error.at(source.place(where, of_key=_names_edition(where)))
    return None


def _names_edition(path: Path_) -> bool:
    return path[:1] == ("editions",) and len(path) == 2


def _texts(value: Any, path: Path_) -> Iterator[tuple[Path_, str]]:
    """Every text of the book with its path, the names of editions too."""
    if isinstance(value, str):
        yield path, value
    elif isinstance(value, list):
        for index, item in enumerate(value):
            yield from _texts(item, (*path, index))
    elif isinstance(value, dict):
        for key, item in value.items():
            if path == ("editions",):
                yield (*path, key), str(key)
            yield from _texts(item, (*path, key))
