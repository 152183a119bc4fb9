"""What the second pass over repertoire seeks: agreement with the marks an editor may be expected to print.

A string is printed where it is not the one at hand. How much that counts is read from the music itself: a piece that
stays by the nut keeps its usual places, one that leaves it is fingered as editors finger such music.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from engraver.fingering.grips import Floats
from engraver.fingering.habits import FINGERS, STRINGS, Numbers
from engraver.theory.passage import Passage

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from engraver.fingering.search import Event

AWAY = (0.0, 1.0, 1.0)
"""The places of a note that are not its nearest to the nut."""


@dataclass(frozen=True, slots=True)
class Blend:
    """How the second pass weighs what it hears. Chosen by cross-validation on openly licensed scores.

    `context`: the notes of the same pitch between the same neighbours, `width` events to each side; `pitch`: all notes
    of the same pitch; `grips`, `moves`: the scores of grips and of moves between them (what habits tell of single notes
    is in their likelihoods already); `finger`: a note whose finger is surely the editor's; `string`: a note whose
    string is surely printed and the editor's; `ease`: how much of the hand-set costs of moves is left. The last two
    hold in a piece of which the share `away` leaves its places nearest to the nut, and less in proportion where fewer
    notes do. A few bars tell little of that: every piece is taken together with `by_the_nut` notes that stay there.
    """

    context: float = 1.0
    width: int = 1
    pitch: float = 1.2
    grips: float = 0.4
    moves: float = 0.35
    finger: float = 3.0
    string: float = 10.0
    ease: float = 0.1
    away: float = 0.3
    by_the_nut: int = 200


@dataclass(frozen=True, slots=True)
class Printed:
    """For each note and string: how readily an editor prints it, and whether it is not the nearest to the nut."""

    readiness: Floats
    away: "NDArray[np.bool_]"


def blended(likely: Floats, passage: Passage, events: "tuple[Event, ...]", blend: Blend) -> Floats:
    """Each note's likelihoods together with those of its repeats and of its pitch."""
    contexts = _groups(_contexts(passage, events, blend.width))
    pitches = _groups([note.pitch.sounding_midi for note in passage.notes])
    alike, same_pitch = _mean_of_group(likely, contexts), _mean_of_group(likely, pitches)
    share = np.float32(blend.context / (blend.context + blend.pitch))
    mixed: Floats = share * alike + (np.float32(1) - share) * same_pitch
    return mixed


def freedom_of(heard: Floats, printed: Printed, blend: Blend) -> float:
    """How freely editors finger such music: 0 by the nut, 1 where the share `away` of its notes leaves it."""
    string = heard.reshape(-1, STRINGS, FINGERS).sum(2)
    share = float((string * printed.away).sum()) / (len(string) + blend.by_the_nut)
    return min(1.0, share / blend.away)


def worth_of(heard: Floats, printed: Printed, blend: Blend, freedom: float) -> Floats:
    """What each string and finger of each note is worth: the marks it may agree with (one value a cell)."""
    cube = heard.reshape(-1, STRINGS, FINGERS)
    finger, string = cube.sum(1, keepdims=True), cube.sum(2)
    worth: Floats = blend.finger * finger + freedom * blend.string * (string * printed.readiness)[:, :, None]
    return worth.ravel().astype(np.float32)


def _contexts(passage: Passage, events: "tuple[Event, ...]", width: int) -> list[tuple[object, ...]]:
    """For each note: its pitch and the pitches of the events around it."""
    struck = [tuple(s.midi for s in e.sounds if not s.held) for e in events]
    out: list[tuple[object, ...]] = [()] * len(passage.notes)
    for number, event in enumerate(events):
        around = tuple(struck[max(0, number - width) : number + width + 1])
        for i, s in zip(event.notes, event.sounds, strict=True):
            if not s.held:
                out[i] = (s.midi, min(number, width), around)
    return out


def _groups(keys: Sequence[object]) -> Numbers:
    """Equal keys as equal small numbers."""
    numbers: dict[object, int] = {}
    return np.array([numbers.setdefault(key, len(numbers)) for key in keys], np.int32)


def _mean_of_group(values: Floats, groups: Numbers) -> Floats:
    """Each row replaced by the mean of its group."""
    sums = np.zeros((int(groups.max()) + 1, values.shape[1]), np.float64)
    np.add.at(sums, groups, values)
    means: Floats = (sums / np.bincount(groups)[:, None])[groups].astype(np.float32)
    return means
