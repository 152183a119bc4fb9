"""Where edited files go: one folder, each file under its own name, never over the file it came from."""

from collections.abc import Sequence
from pathlib import Path

from engraver.errors import OutputError, Place
from engraver.press.files import write_file


def place_for(path: Path, out: Path, others: Sequence[Path]) -> Path:
    """The path of an edited file. Raises OutputError where it would overwrite its source or a file of the same run."""
    target = out / f"{path.stem}.musicxml"
    place = Place(str(path))
    if target.resolve() == path.resolve():
        raise OutputError("the result would overwrite this file", place, "choose another folder with --out")
    first = next(other for other in others if other.stem == path.stem)
    if first != path:
        raise OutputError(f"the result of '{first}' has the same name", place, "edit the two files in two runs")
    return target


def put(target: Path, data: bytes) -> None:
    """Writes an edited file, whole or not at all. Raises OutputError when the folder cannot be written."""
    write_file(target, data)
