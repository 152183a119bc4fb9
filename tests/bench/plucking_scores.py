"""Editors' plucking letters as passages the plucking hand can plan; strings by a plain rule or by the fretting hand.

The main file holds 14 scores. A few letters stand in the files of fretting fingers too; these scores help to tune and
are looked at apart.
"""

import gzip
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any

from engraver.errors import FingeringError
from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fingering.habits import read_habits
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.passage import Note, Passage, PluckingFinger
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.rhythm import Metre

GOLD = Path(__file__).resolve().parents[2].parent / "shared" / "gold" / "plucking.jsonl.gz"
_FURTHER = ("fingering.jsonl.gz", "fingering_duo.jsonl.gz")
_OPEN_STRINGS = {"standard": "E4 B3 G3 D3 A2 E2", "dropD": "E4 B3 G3 D3 A2 D2"}
_HIGHEST_FRET = 19
_HELD_STRING = 6.0
_GRIP_FRET = 4


@dataclass(frozen=True, slots=True)
class MarkedScore:
    """One score: the passage with places, and the editor's letter for every note that has one; `further` as above."""

    name: str
    fingered: FingeredPassage
    letters: dict[int, PluckingFinger]
    further: bool = False

    @property
    def source(self) -> str:
        """The file the score comes from; scores of one file share an editor, and so do all the duos."""
        return "duos" if "-duo" in self.name else self.name.split("#")[0]


def read_marked_scores(by_left_hand: bool = False, shared_above: bool = False) -> tuple[MarkedScore, ...]:
    """All scores, in their order, on the strings of a plain rule or of the fretting hand's planning.

    A note of two voices belongs to the lower one, or to the upper one where `shared_above`.
    """
    main = [(record, False) for record in _records(GOLD)]
    names = {record["id"] for record, _ in main}
    further = [
        (r, True) for file in _FURTHER for r in _records(GOLD.parent / file) if r["id"] not in names and _marked(r)
    ]
    scores = [(*_score(record, shared_above), beside) for record, beside in main + further]
    return tuple(
        replace(_by_left_hand(score, tuning) if by_left_hand else score, further=beside)
        for score, tuning, beside in scores
    )


def _records(path: Path) -> tuple[dict[str, Any], ...]:
    with gzip.open(path, "rt", encoding="utf-8") as lines:
        return tuple(json.loads(line) for line in lines)


def _marked(record: dict[str, Any]) -> bool:
    return any(note.get("r") for event in record["events"] for note in event["notes"])


def _by_left_hand(score: MarkedScore, tuning: Tuning) -> MarkedScore:
    """The score on the strings the fretting hand's planning gives it, on the plain ones if no hand can hold it."""
    try:
        passage = replace(score.fingered.passage, repertoire=True)
        fingered = finger_left_hand(passage, Instrument(tuning), Player(), LeftHandLimits(), read_habits())
    except FingeringError:
        return score
    return replace(score, fingered=fingered)


def _score(record: dict[str, Any], shared_above: bool) -> tuple[MarkedScore, Tuning]:
    voices = _voice_ranks(record)
    notes: list[Note] = []
    letters: dict[int, PluckingFinger] = {}
    for event in record["events"]:
        for note in event["notes"]:
            if "harm" in (note.get("x") or ()):
                continue
            if note.get("r") and "contradict" not in (note.get("x") or ()):
                letters[len(notes)] = PluckingFinger(note["r"])
            notes.append(
                Note(
                    _spelled(note["sp"], note["midi"]),
                    _exact(event["t"]),
                    _exact(note["d"]),
                    voice=(min if shared_above else max)(voices[voice] for voice in note["v"]),
                )
            )
    beats, unit = map(int, str(record["timesig"]).split("/"))
    passage = Passage(tuple(notes), int(record["key_fifths"] or 0), Metre(beats, unit))
    tuning = Tuning(record["tuning"], tuple(map(SpelledPitch.parse, _OPEN_STRINGS[record["tuning"]].split())))
    return MarkedScore(record["id"], _with_places(passage, tuning.open_midis), letters), tuning


def _voice_ranks(record: dict[str, Any]) -> dict[int, int]:
    """The voices numbered from 1 (highest on average) downwards."""
    heights: dict[int, list[int]] = {}
    for event in record["events"]:
        for note in event["notes"]:
            for voice in note["v"]:
                heights.setdefault(voice, []).append(note["midi"])
    ranked = sorted(heights, key=lambda voice: -sum(heights[voice]) / len(heights[voice]))
    return {voice: rank for rank, voice in enumerate(ranked, 1)}


def _exact(quarters: float) -> Fraction:
    return Fraction(quarters).limit_denominator(96)


def _spelled(name: str, midi: int) -> SpelledPitch:
    spelled = PitchName.parse(name)
    return min((SpelledPitch(spelled, octave) for octave in range(9)), key=lambda p: abs(p.sounding_midi - midi))


def _with_places(passage: Passage, open_midi: Sequence[int]) -> FingeredPassage:
    """Every event on distinct strings in the lowest position, strings of notes still held left alone if possible."""
    ringing: dict[int, tuple[Fraction, int]] = {}
    places: dict[int, tuple[int, int]] = {}
    for event in passage.events:
        notes = [passage.notes[index] for index in event]
        held = {string: midi for string, (end, midi) in ringing.items() if end > notes[0].onset_quarters}
        grips = _grips([note.pitch.sounding_midi for note in notes], open_midi)
        best = min(grips, key=lambda grip: _awkwardness(grip, held, open_midi))
        for index, note, place in zip(event, notes, best, strict=True):
            places[index] = place
            ringing[place[0]] = (note.end_quarters, note.pitch.sounding_midi)
    fingered = (
        FingeredNote(note, *places[index], left_finger=min(places[index][1], 4), position=1)
        for index, note in enumerate(passage.notes)
    )
    return FingeredPassage(passage, tuple(fingered))


def _grips(midis: list[int], open_midi: Sequence[int]) -> Iterator[tuple[tuple[int, int], ...]]:
    choices = [
        [(s, midi - o) for s, o in enumerate(open_midi, 1) if 0 <= midi - o <= _HIGHEST_FRET] or [(1, 0)]
        for midi in midis
    ]
    grips = list(product(*choices))
    distinct = [grip for grip in grips if len({string for string, _ in grip}) == len(grip)]
    yield from distinct or grips


def _awkwardness(grip: tuple[tuple[int, int], ...], held: dict[int, int], open_midi: Sequence[int]) -> float:
    stolen = sum(string in held and held[string] != open_midi[string - 1] + fret for string, fret in grip)
    return sum(fret for _, fret in grip) + _HELD_STRING * stolen + sum(fret > _GRIP_FRET for _, fret in grip)
