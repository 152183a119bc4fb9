"""Other formats made into MusicXML by the music21 library, in a process of its own with bounded time and memory.

The library never sees the file's name, opens no address and keeps no copies.
"""

import re
import subprocess
import sys
import tempfile
from pathlib import Path

from engraver.errors import EngraverError, Place

SECONDS = 90
MEMORY_BYTES = 3_000_000_000
"""What a conversion may use (chosen by us: a hundred pages take a fifth of it)."""
_READERS = {
    "abc": "ConverterABC", "humdrum": "ConverterHumdrum", "romantext": "ConverterRomanText",
    "mei": "ConverterMEI",
}  # fmt: skip

_FAILED = 7
_TUNE = re.compile(rb"^X:", re.MULTILINE)


def convert(data: bytes, form: str, file: str) -> bytes:
    """The MusicXML of a file in another format (`abc`, `humdrum`, `romantext`, `mei`).

    Raises EngraverError for a file that cannot be read, or not within the bounds.
    """
    place = Place(file)
    if form == "abc" and (tunes := len(_TUNE.findall(data))) > 1:
        raise EngraverError(
            f"the file is a collection of {tunes} tunes", place, "give the tune you mean a file of its own"
        )
    command = [sys.executable, "-m", "engraver.reading.converting", form]
    with tempfile.TemporaryDirectory(prefix="engraver-") as folder:
        try:
            done = subprocess.run(
                command,
                input=data,
                capture_output=True,
                timeout=SECONDS,
                check=False,
                cwd=folder,
                env=_environment(folder),
            )
        except subprocess.TimeoutExpired as error:
            hint = "split the music into smaller files"
            raise EngraverError(f"the file takes more than {SECONDS} seconds to read", place, hint) from error
    if done.returncode == 0 and done.stdout:
        return done.stdout
    why = _plain_reason(done.stderr) if done.returncode == _FAILED else ""
    hint = "check that the file is whole and that its ending tells its format"
    raise EngraverError(f"the file cannot be read as {form}{f' ({why})' if why else ''}", place, hint)


def _plain_reason(told: bytes) -> str:
    """What the library said last, unless it spoke of its own insides."""
    last = told.decode("utf-8", "replace").strip().rsplit("\n", 1)[-1]
    return "" if "<" in last or "music21" in last else last[:120].strip()


def _environment(folder: str) -> dict[str, str]:
    """The program's own environment with another home, so that the library's settings stay out of the way."""
    import os

    root = str(Path(__file__).resolve().parents[2])
    paths = os.pathsep.join(filter(None, (root, os.environ.get("PYTHONPATH", ""))))
    return {**os.environ, "HOME": folder, "TMPDIR": folder, "PYTHONPATH": paths}


def converted(data: bytes, form: str) -> bytes:
    """The same in this process, without bounds. Raises whatever the library raises."""
    import logging
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from music21 import converter, defaults
        from music21.musicxml.m21ToXml import GeneralObjectExporter

        defaults.title = defaults.author = ""  # the library would sign what has no title or composer
        logging.disable(logging.CRITICAL)
        try:
            reader = getattr(converter.subConverters, _READERS[form])()
            reader.parseData(data.decode("utf-8-sig", "replace"))
            return bytes(GeneralObjectExporter(reader.stream).parse())
        finally:
            logging.disable(logging.NOTSET)


def _within_bounds() -> None:
    """Limits of this process, where the system has them."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))


def main() -> int:
    """Converts standard input to standard output; what goes wrong is said in one line."""
    import os

    _within_bounds()
    out = os.dup(1)
    os.dup2(2, 1)  # what the library prints is no music
    try:
        data = converted(sys.stdin.buffer.read(), sys.argv[1])
    except BaseException as error:
        sys.stderr.write(f"\n{' '.join(str(error).split()) or type(error).__name__}\n")
        return _FAILED
    with os.fdopen(out, "wb") as stream:
        stream.write(data)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
