"""Editors' plucking letters as passages the plucking hand can plan; strings by a plain rule where none is printed."""

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
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.passage import Note, Passage, PluckingFinger
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.rhythm import Metre

GOLD = Path(__file__).resolve().parents[2].parent / "shared" / "gold" / "plucking.jsonl.gz"
_OPEN_STRINGS = {"standard": "E4 B3 G3 D3 A2 E2", "dropD": "E4 B3 G3 D3 A2 D2"}
_HIGHEST_FRET = 19
_HELD_STRING = 6.0
_GRIP_FRET = 4


@dataclass(frozen=True, slots=True)
class MarkedScore:
    """One score: the passage with places, and the editor's letter for every note that has one."""

    name: str
    fingered: FingeredPassage
    letters: dict[int, PluckingFinger]

    @property
    def source(self) -> str:
        """The file the score comes from; scores of one file share an editor."""
        return self.name.split("#")[0]


def read_marked_scores(by_left_hand: bool = False) -> tuple[MarkedScore, ...]:
    """All scores of the gold file, in its order, on the strings of a plain rule or of the fretting hand's planning."""
    with gzip.open(GOLD, "rt", encoding="utf-8") as lines:
        scores = tuple(_score(json.loads(line)) for line in lines)
    return tuple(_by_left_hand(*score) if by_left_hand else score[0] for score in scores)


def _by_left_hand(score: MarkedScore, tuning: Tuning) -> MarkedScore:
    """The score on the strings the fretting hand's planning gives it, on the plain ones if no hand can hold it."""
    try:
        fingered = finger_left_hand(score.fingered.passage, Instrument(tuning), Player(), LeftHandLimits())
    except FingeringError:
        return score
    return replace(score, fingered=fingered)


def _score(record: dict[str, Any]) -> tuple[MarkedScore, Tuning]:
    voices = _voice_ranks(record)
    notes: list[Note] = []
    letters: dict[int, PluckingFinger] = {}
    for event in record["events"]:
        for note in event["notes"]:
            if "harm" in (note.get("x") or ()):
                continue
            if note["r"] and "contradict" not in (note.get("x") or ()):
                letters[len(notes)] = PluckingFinger(note["r"])
            notes.append(
                Note(
                    _spelled(note["sp"], note["midi"]),
                    _exact(event["t"]),
                    _exact(note["d"]),
                    voice=max(voices[voice] for voice in note["v"]),
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
