"""Pins that teach: what an editor marked at one place is copied, softly, to the same notes elsewhere.

A mark speaks for every note of the same pitch that stands in the same chord: strongly where the notes before and after
are the same too, less where only one side is. A pitch alone teaches nothing: one pitch is fingered in many ways.

Source: the weights were found by cross-validation over editors' marks in freely licensed scores; see DEVELOPERS.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from engraver.fingering.grips import Floats
from engraver.fingering.habits import FINGERS, STRINGS

if TYPE_CHECKING:
    from engraver.fingering.search import Event

FULL_MATCH, ONE_SIDE = 3.0, 1.5
"""How much a mark weighs beside what is thought of the note itself: chord and both neighbours alike, or one of them."""
STRING_PULL = 1.0
"""What it costs to leave the string of a mark whose chord and neighbours are alike, beside the costs of habits."""
_TINY = np.float32(1e-6)

_Chord = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Lesson:
    """A mark: the string, the finger or both that an editor gave to one note (counted from 0)."""

    note: int
    string: int | None
    finger: int | None


def lessons_of(events: "Sequence[Event]") -> tuple[Lesson, ...]:
    """The notes of a passage that have only one string or one finger to choose from."""
    found = []
    for event in events:
        for index, sound in zip(event.notes, event.sounds, strict=True):
            string = sound.strings[0] if len(sound.strings) == 1 else None
            finger = sound.fingers[0] if len(sound.fingers) == 1 else None
            if not sound.held and (string or finger is not None):
                found.append(Lesson(index, string, finger))
    return tuple(found)


def taught(likely: Floats, events: "Sequence[Event]", lessons: Sequence[Lesson]) -> Floats:
    """How likely every note is on each string under each finger (notes x 30) once the lessons have been heard."""
    if not lessons:
        return likely
    out = likely.copy()
    for index, lesson, share in _heard_by(events, lessons):
        out[index] += np.float32(share) * _as_marked(likely[index], lesson)
    sums: Floats = out.sum(1, keepdims=True)
    heard: Floats = out / np.maximum(sums, _TINY) * likely.sum(1, keepdims=True)
    return heard


def string_costs(count: int, events: "Sequence[Event]", lessons: Sequence[Lesson]) -> Floats:
    """What it costs each of `count` notes to leave the string of its lessons (notes x 30); nothing without a string.

    Likelihoods weigh the finger far more than the string, and a printed string is a decision.
    """
    out = np.zeros((count, STRINGS, FINGERS), np.float32)
    for index, lesson, share in _heard_by(events, lessons):
        if lesson.string is not None:
            cost = np.float32(STRING_PULL * share / FULL_MATCH)
            out[index] += cost
            out[index, min(lesson.string, STRINGS) - 1] -= cost
    flat: Floats = out.reshape(count, STRINGS * FINGERS)
    return flat


def _heard_by(events: "Sequence[Event]", lessons: Sequence[Lesson]) -> Iterator[tuple[int, Lesson, float]]:
    """Every unmarked note that hears a lesson, the lesson, and how much it weighs."""
    places = _places(events)
    by_chord: dict[tuple[int, _Chord], list[Lesson]] = defaultdict(list)
    for lesson in lessons:
        pitch, _, chord, _ = places[lesson.note]
        by_chord[pitch, chord].append(lesson)
    marked = {lesson.note for lesson in lessons}
    for index, (pitch, before, chord, after) in places.items():
        for lesson in by_chord.get((pitch, chord), ()) if index not in marked else ():
            _, earlier, _, later = places[lesson.note]
            alike = (earlier == before) + (later == after)
            if alike:
                yield index, lesson, FULL_MATCH if alike == 2 else ONE_SIDE


def _as_marked(likely: Floats, lesson: Lesson) -> Floats:
    """The note's own likelihoods narrowed to the mark's string and finger, and made whole again."""
    cube = (likely + _TINY).reshape(STRINGS, FINGERS)
    kept = np.zeros_like(cube)
    strings = slice(None) if lesson.string is None else min(lesson.string, STRINGS) - 1
    fingers = slice(None) if lesson.finger is None else lesson.finger
    kept[strings, fingers] = cube[strings, fingers]
    whole: Floats = (kept / kept.sum()).reshape(-1)
    return whole


def _places(events: "Sequence[Event]") -> Mapping[int, tuple[int, _Chord, _Chord, _Chord]]:
    """Every note's pitch, the chord struck before it, its own chord, and the chord struck after it."""
    struck = [tuple(sorted(s.midi for s in event.sounds if not s.held)) for event in events]
    around = [(), *struck, ()]
    return {
        index: (sound.midi, around[number], around[number + 1], around[number + 2])
        for number, event in enumerate(events)
        for index, sound in zip(event.notes, event.sounds, strict=True)
        if not sound.held
    }
