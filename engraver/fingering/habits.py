"""What editors of printed guitar music tend to write: learned preferences for places, fingers, grips and moves.

A preference is a number added to a score, looked up by a small description ("finger 4 on a note that came up by two
semitones"). Three kinds: of one note, of one grip, of one move between grips. The numbers are learned from printed
marks (tables/fingering_habits.npz says from which) and used where repertoire is fingered; technique exercises follow
the hand-set costs alone.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from engraver.errors import Place, TableError
from engraver.fingering.grips import FINGER_COUNT, Grips, GripSet

Numbers = npt.NDArray[np.int32]
Weights = npt.NDArray[np.float32]

_TABLE = Path(__file__).parent.parent / "tables" / "fingering_habits.npz"
FINGERS = FINGER_COUNT + 1  # with the open string
STRINGS = 6  # lower strings of larger guitars share the habits of string 6
_FRETS = 16
_LEAP = 12  # intervals are told apart up to an octave
_INTERVALS = 2 * _LEAP + 2  # 0 = no such note
_LENGTHS, _BEATS, _ROLES, _SIZES = 6, 4, 4, 6
_GRIPS = 4096
_PAIRS = ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3))


class Family(NamedTuple):
    """A kind of preference: how many different descriptions it tells apart."""

    name: str
    size: int


NOTE_FAMILIES = (
    Family("place", STRINGS * _FRETS * FINGERS),
    Family("fret", _FRETS * FINGERS),
    Family("came from", _INTERVALS * FINGERS),
    Family("came from, by fret", _INTERVALS * _FRETS * FINGERS),
    Family("goes to", _INTERVALS * FINGERS),
    Family("goes to, by fret", _INTERVALS * _FRETS * FINGERS),
    Family("came from and goes to", _INTERVALS * _INTERVALS * FINGERS),
    Family("two before", _INTERVALS * FINGERS),
    Family("two after", _INTERVALS * FINGERS),
    Family("length", _LENGTHS * FINGERS),
    Family("beat", _BEATS * FINGERS),
    Family("role", _ROLES * _SIZES * FINGERS),
    Family("string by role", _ROLES * STRINGS * 2),
    Family("note below", _INTERVALS * FINGERS),
    Family("note above", _INTERVALS * FINGERS),
    Family("string by step", _INTERVALS * STRINGS * 2),
)
GRIP_FAMILIES = (
    Family("finger pair", 6 * 6 * 13 + 1),
    Family("finger pair, by fret", 6 * 6 * 13 * 13 + 1),
    Family("whole grip", _GRIPS),
    Family("position", 16 * 4),
    Family("off fret", FINGER_COUNT * 7 + 1),
    Family("barre", 8),
    Family("let go", 6),
    Family("crossed", 4),
)
MOVE_FAMILIES = (
    Family("leading note", FINGERS * FINGERS * 17 * 9),
    Family("leading finger", FINGERS * FINGERS * 2 * 9),
    Family("travel", 21 * 4 * 2 * 3),
    *(Family(f"finger {finger}", 7 * 11 + 1) for finger in range(1, FINGER_COUNT + 1)),
    Family("lowest finger", FINGERS * FINGERS * 11 * 7),
    Family("held notes moved", 4),
)
FAMILIES = (*NOTE_FAMILIES, *GRIP_FAMILIES, *MOVE_FAMILIES)
OFFSETS = {f.name: sum(g.size for g in FAMILIES[:at]) for at, f in enumerate(FAMILIES)}
SIZE = sum(f.size for f in FAMILIES)


@dataclass(frozen=True, slots=True)
class Line:
    """Every note of a passage as habits see it, one row a note.

    Intervals in semitones to the neighbours of the same voice and chord (`None` = 0, else the interval + 13). `length`,
    `beat`, `role` (0 alone, 1 lowest, 2 inner, 3 highest) and `size` are classes; `frets`: by string 1-6, -1 where the
    note does not lie.
    """

    frets: Numbers  # notes x strings
    before: Numbers
    after: Numbers
    before_that: Numbers
    after_that: Numbers
    below: Numbers
    above: Numbers
    length: Numbers
    beat: Numbers
    role: Numbers
    size: Numbers


def interval_class(semitones: Numbers, known: npt.NDArray[np.bool_]) -> Numbers:
    """Intervals as classes, 0 where there is none."""
    return np.where(known, np.clip(semitones, -_LEAP, _LEAP) + _LEAP + 1, 0).astype(np.int32)


def note_numbers(line: Line) -> list[Numbers]:
    """For each note family, the weight's number for every note, string and finger (notes x 6 x 5)."""
    fret = np.clip(line.frets, 0, _FRETS - 1)[:, :, None]
    finger = np.arange(FINGERS)[None, None, :]
    string = np.arange(STRINGS)[None, :, None]

    def wide(values: Numbers) -> Numbers:
        return values[:, None, None]

    def with_finger(values: Any) -> Any:
        return values * FINGERS + finger

    is_open = fret == 0
    before, after = wide(line.before), wide(line.after)
    raw = [
        with_finger(string * _FRETS + fret),
        with_finger(fret),
        with_finger(before),
        with_finger(before * _FRETS + fret),
        with_finger(after),
        with_finger(after * _FRETS + fret),
        with_finger(before * _INTERVALS + after),
        with_finger(wide(line.before_that)),
        with_finger(wide(line.after_that)),
        with_finger(wide(line.length)),
        with_finger(wide(line.beat)),
        with_finger(wide(line.role) * _SIZES + wide(line.size)),
        (wide(line.role) * STRINGS + string) * 2 + is_open,
        with_finger(wide(line.below)),
        with_finger(wide(line.above)),
        (before * STRINGS + string) * 2 + is_open,
    ]
    return [
        (numbers + OFFSETS[family.name]).astype(np.int32) for family, numbers in zip(NOTE_FAMILIES, raw, strict=True)
    ]


def note_scores(line: Line, weights: Weights) -> Weights:
    """The score of every note on every string under every finger (notes x 6 x 5)."""
    total = np.zeros((line.frets.shape[0], STRINGS, FINGERS), np.float32)
    for numbers in note_numbers(line):
        total += weights[numbers]
    return total


def grip_numbers(grips: GripSet) -> Numbers:
    """The weights' numbers of every grip's shape (grips x 21)."""
    g = grips.grips
    columns: list[Any] = []
    pair, by_fret = OFFSETS["finger pair"], OFFSETS["finger pair, by fret"]
    nothing_pair, nothing_fret = pair + 6 * 6 * 13, by_fret + 6 * 6 * 13 * 13
    for at, (a, b) in enumerate(_PAIRS):
        both = (g.finger_fret[:, a] > 0) & (g.finger_fret[:, b] > 0)
        gap = np.clip(g.finger_fret[:, b].astype(int) - g.finger_fret[:, a], 0, 5)
        across = np.clip(g.finger_string[:, b].astype(int) - g.finger_string[:, a], -6, 6) + 6
        shape = (at * 6 + gap) * 13 + across
        columns.append(np.where(both, pair + shape, nothing_pair))
        columns.append(np.where(both, by_fret + shape * 13 + np.clip(g.finger_fret[:, a], 0, 12), nothing_fret))
    relative = np.zeros(grips.count, np.int64)
    top = np.where(g.finger_fret > 0, g.finger_string, 99).min(1)
    for finger in range(FINGER_COUNT):
        fret, string = g.finger_fret[:, finger].astype(np.int64), g.finger_string[:, finger].astype(np.int64)
        part = np.where(fret > 0, (fret - g.position + 4) * 8 + (string - top) + 1, 0)
        relative = relative * 131 + part
    columns.append(OFFSETS["whole grip"] + (relative * 10 + np.minimum(g.opens, 5)) % (_GRIPS - 3))
    columns.append(OFFSETS["position"] + np.clip(g.position, 0, 15).astype(int) * 4 + np.clip(g.opens, 0, 3))
    for finger in range(FINGER_COUNT):
        away = np.clip(g.finger_fret[:, finger].astype(int) - (g.position + finger), -3, 3) + 3
        off = OFFSETS["off fret"]
        columns.append(np.where(g.finger_fret[:, finger] > 0, off + finger * 7 + away, off + FINGER_COUNT * 7))
    columns.append(OFFSETS["barre"] + np.clip(g.barre, 0, 3) + 4 * np.clip(g.little_barre, 0, 1))
    columns.append(OFFSETS["let go"] + np.clip(g.let_go, 0, 5))
    columns.append(OFFSETS["crossed"] + np.clip(g.crossed, 0, 3))
    return np.stack(columns, -1).astype(np.int32)


class MoveSide(NamedTuple):
    """What a move asks of one side's grips; arrays whose last axes broadcast against the other side's."""

    lead_finger: Any
    lead_fret: Any
    lead_string: Any
    position: Any
    fretted: Any
    low_finger: Any
    low_fret: Any
    low_string: Any
    finger_fret: Any  # four arrays, finger 1 first
    finger_string: Any


def move_side(g: Grips) -> MoveSide:
    """One side of a move, from a batch of grips whose axes already broadcast."""
    return MoveSide(
        *(g.lead_finger, g.lead_fret, g.lead_string, g.position, g.fretted, g.low_finger, g.low_fret, g.low_string),
        [g.finger_fret[..., f] for f in range(FINGER_COUNT)],
        [g.finger_string[..., f] for f in range(FINGER_COUNT)],
    )


def move_numbers(a: MoveSide, b: MoveSide, pace: Any, moved: Any) -> list[Numbers]:
    """For each move family, the weight's number for every move.

    `pace`: 0 slow to 2 fast; `moved`: held notes that would change their place.
    """
    fret = b.lead_fret - a.lead_fret
    string = b.lead_string - a.lead_string
    same = string == 0
    fingers = a.lead_finger * FINGERS + b.lead_finger
    free = (a.fretted == 0) * 2 + (b.fretted == 0)
    raw = [
        (fingers * 17 + np.clip(fret, -8, 8) + 8) * 9 + np.clip(string, -4, 4) + 4,
        (fingers * 2 + same) * 9 + np.clip(fret, -4, 4) + 4,
        (((np.clip(b.position - a.position, -10, 10) + 10) * 4 + free) * 2 + same) * 3 + pace,
    ]
    for finger in range(FINGER_COUNT):
        used = (a.finger_fret[finger] > 0) & (b.finger_fret[finger] > 0)
        across = np.clip(b.finger_string[finger] - a.finger_string[finger], -3, 3) + 3
        along = np.clip(b.finger_fret[finger] - a.finger_fret[finger], -5, 5) + 5
        raw.append(np.where(used, across * 11 + along, 77))
    low = np.clip(b.low_fret - a.low_fret, -5, 5) + 5
    low_string = np.clip(b.low_string - a.low_string, -3, 3) + 3
    raw.append(((a.low_finger * FINGERS + b.low_finger) * 11 + low) * 7 + low_string)
    raw.append(np.minimum(moved, 3))
    return [(numbers + np.int32(OFFSETS[family.name])) for family, numbers in zip(MOVE_FAMILIES, raw, strict=True)]


@dataclass(frozen=True, slots=True)
class Habits:
    """The learned numbers. `own_share`: how much the hand-set costs count beside them."""

    weights: Weights
    own_share: float


@cache
def read_habits() -> Habits:
    """The learned table. Raises TableError when it is missing or does not fit this program."""
    try:
        with np.load(_TABLE) as table:
            weights = table["weights"].astype(np.float32) * float(table["unit"])
            own = float(table["own_share"])
    except (OSError, KeyError, ValueError) as error:
        raise TableError(
            f"the table 'fingering_habits' cannot be read: {error}", Place(f"tables/{_TABLE.name}")
        ) from error
    if weights.shape != (SIZE,):
        raise TableError("the table 'fingering_habits' does not fit this program", Place(f"tables/{_TABLE.name}"))
    return Habits(weights, own)
