"""A fixed sample of the scores bundled with music21, of every format it carries."""

from pathlib import Path

SHARES = {".krn": 62, ".abc": 52, ".mxl": 46, ".xml": 20, ".rntxt": 14, ".musicxml": 1, ".mid": 9}
"""How many of each ending: 204 in all."""


def sample() -> list[Path]:
    """Evenly spaced in the alphabet; the MIDI files are those of the library's own tests."""
    import music21

    folder = Path(music21.__file__).parent
    found: list[Path] = []
    for ending, count in SHARES.items():
        paths = sorted((folder if ending == ".mid" else folder / "corpus").rglob(f"*{ending}"))
        step = max(1, len(paths) // count)
        found += paths[::step][:count]
    return found
