"""What is kept between builds: plates by the hash of everything they depend on, so that nothing is made twice."""

import hashlib
import os
import sys
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from engraver.errors import OutputError


@cache
def program_hash() -> str:
    """A hash of the program's own text, tables and templates, and of the versions of what engraves and typesets."""
    package = Path(__file__).parent.parent
    roots = [package, package.parent / "templates"]
    digest = hashlib.sha256()
    for path in (path for root in roots for path in _files(root)):
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    for name in ("lilypond", "typst"):
        digest.update(_installed(name).encode())
    return digest.hexdigest()


def _installed(library: str) -> str:
    """The name and version of an installed library, empty when it is missing.

    Read from the name of the folder that its installer leaves; the standard library's way takes longer to load than
    all else that is done when nothing has changed.
    """
    return next((path.name for folder in sys.path for path in Path(folder).glob(f"{library}-*.dist-info")), "")


def _files(root: Path) -> Iterable[Path]:
    """Every file of the program below a folder in order, compiled files left out."""
    for folder, folders, names in os.walk(root):
        folders[:] = sorted(name for name in folders if name != "__pycache__")
        parent = Path(folder)
        yield from (parent / name for name in sorted(names) if not name.endswith(".pyc"))


def content_hash(*parts: bytes | str) -> str:
    """A hash of several parts in order, in hexadecimal."""
    digest = hashlib.sha256()
    for part in parts:
        data = part.encode() if isinstance(part, str) else part
        digest.update(str(len(data)).encode() + b":" + data)
    return digest.hexdigest()


class Shelf:
    """A folder of kept things, each under the hash of what it was made from; what is missing is made anew."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._made: set[Path] = set()

    def path(self, key: str, ending: str) -> Path:
        """Where a thing with this key lies."""
        return self.folder / key[:2] / f"{key[2:40]}{ending}"

    def get(self, key: str, ending: str) -> bytes | None:
        """The kept bytes, or None."""
        try:
            return self.path(key, ending).read_bytes()
        except OSError:
            return None

    def put(self, key: str, ending: str, data: bytes) -> None:
        """Keeps bytes; a thing is there whole or not at all. Raises OutputError when the folder cannot be written."""
        path = self.path(key, ending)
        try:
            if path.parent not in self._made:
                path.parent.mkdir(parents=True, exist_ok=True)
                self._made.add(path.parent)
            part = path.with_name(f"{path.name}.{os.getpid()}.part")
            part.write_bytes(data)
            part.replace(path)
        except OSError as error:
            told = f"'{self.folder.parent}' cannot be written ({error.strerror})"
            raise OutputError(told, hint="choose another folder with --out") from error
