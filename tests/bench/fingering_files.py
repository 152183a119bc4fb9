"""Reads the open fingering gold: scores with some fingers and strings printed by editors."""

import gzip
import json
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from engraver.fretboard.tuning import Instrument, Tuning
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.rhythm import Metre

GOLD = Path(__file__).resolve().parents[2].parent / "shared" / "gold"
STRINGS = {"standard": ("E4", "B3", "G3", "D3", "A2", "E2"), "dropD": ("E4", "B3", "G3", "D3", "A2", "D2")}


@dataclass(frozen=True, slots=True)
class MarkedScore:
    """A score with its editor's marks, by note index: finger (0-4) and string (1-6)."""

    name: str
    path: str
    passage: Passage
    instrument: Instrument
    fingers: dict[int, int]
    strings: dict[int, int]


def read_scores(name: str) -> list[MarkedScore]:
    """All scores of `fingering` or `fingering_duo`; empty when the gold is not at hand."""
    path = GOLD / f"{name}.jsonl.gz"
    if not path.exists():
        return []
    with gzip.open(path, "rt", encoding="utf-8") as lines:
        return [_score(json.loads(line)) for line in lines]


def spelled(midi: int, name: str) -> SpelledPitch:
    """The pitch with this name that sounds as this MIDI number (at most a few octaves away)."""
    parsed = PitchName.parse(name)
    near = midi // 12 - 1
    return next(p for o in (near, near - 1, near + 1) if (p := SpelledPitch(parsed, o)).sounding_midi == midi)


def _score(row: dict) -> MarkedScore:
    tuning = Tuning(row["tuning"], tuple(SpelledPitch.parse(p) for p in STRINGS[row["tuning"]]))
    beats, unit = (int(x) for x in row["timesig"].split("/")) if row["timesig"] else (4, 4)
    notes: list[Note] = []
    fingers: dict[int, int] = {}
    strings: dict[int, int] = {}
    for event in row["events"]:
        onset = Fraction(event["t"]).limit_denominator(960)
        for note in event["notes"]:
            index = len(notes)
            duration = max(Fraction(note["d"]).limit_denominator(960), Fraction(1, 64))
            notes.append(Note(spelled(note["midi"], note["sp"]), onset, duration, note["v"][0] + 1))
            if set(note.get("x", ())) - {"loose"}:
                continue
            if note["f"] is not None:
                fingers[index] = note["f"]
            if note["s"] is not None:
                strings[index] = note["s"]
    passage = Passage(tuple(notes), row["key_fifths"], Metre(beats, unit))
    return MarkedScore(row["id"], row["path"], passage, Instrument(tuning), fingers, strings)
