"""Editors' plucking letters met by `engraver finger` itself: scores written as MusicXML, letters read back.

A note that two voices share is written in both, a harmonic with its sign. The editor's first letters may stand in the
file, as pins that the command obeys; the others are hidden, and those are asked for.
"""

import gzip
import json
import tempfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from engraver.editing.fingers import finger_file
from engraver.editing.guitars import PlayerWishes
from engraver.errors import EngraverError
from tests.bench.plucking_scores import GOLD
from tests.reading.music_xml import Written, notes_back, score_xml

_TUNINGS = {"standard": "E2 A2 D3 G3 B3 E4", "dropD": "D2 A2 D3 G3 B3 E4"}
_SHORTEST = Fraction(1, 32)

Key = tuple[Fraction, int]


def read_records() -> tuple[dict[str, Any], ...]:
    """The scores of the gold file as they are."""
    with gzip.open(GOLD, "rt", encoding="utf-8") as lines:
        return tuple(json.loads(line) for line in lines)


def met_by_command(record: dict[str, Any], after: int = 0, given: bool = False) -> tuple[int, int]:
    """(letters met, letters asked for) beyond the first `after` letters, which stand in the file where `given`.

    A score that the command refuses meets none.
    """
    letters = _letters(record)
    first, asked = dict(list(letters.items())[:after]), dict(list(letters.items())[after:])
    shown = first if given else {}
    beats, unit = map(int, str(record["timesig"]).split("/"))
    data = score_xml(list(_written(record, shown)), fifths=int(record["key_fifths"] or 0), metre=(beats, unit))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "score.musicxml"
        path.write_bytes(data)
        try:
            made = finger_file(path, PlayerWishes(tuning=_TUNINGS[record["tuning"]])).data
        except EngraverError:
            return 0, len(asked)
    found = {(note.onset, note.midi): note.mark("pluck") for note in notes_back(made, (beats, unit)) if not note.tied}
    return sum(found.get(key) == letter for key, letter in asked.items()), len(asked)


def _letters(record: dict[str, Any]) -> dict[Key, str]:
    """The editor's letters by onset and pitch, in the order of the music."""
    return {
        (_onset(record, event), note["midi"]): note["r"]
        for event in record["events"]
        for note in event["notes"]
        if note["r"] and not {"harm", "contradict"} & {*(note.get("x") or ())}
    }


def _written(record: dict[str, Any], shown: dict[Key, str]) -> Iterator[Written]:
    for event in record["events"]:
        onset = _onset(record, event)
        for note in event["notes"]:
            letter = shown.get((onset, note["midi"]))
            marks = (("pluck", letter),) if letter else ()
            if "harm" in (note.get("x") or ()):
                marks = (*marks, ("harmonic", ""))
            length = max(_SHORTEST, Fraction(note["d"]).limit_denominator(96))
            for voice in note["v"]:
                yield Written(note["midi"], note["sp"], onset, length, voice + 1, marks)


def _onset(record: dict[str, Any], event: dict[str, Any]) -> Fraction:
    """The onset, moved by whole bars when the score begins before 0."""
    return Fraction(event["t"]).limit_denominator(96) - min(0, *(Fraction(e["t"]) for e in record["events"]))
