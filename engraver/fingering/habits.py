"""What editors of printed guitar music tend to write: learned preferences for places, fingers, grips and moves.

A preference is a number added to a score, looked up by a small description ("finger 4 on a note that came up by two
semitones"). Three kinds: of one note, of one grip, of one move between grips. The numbers are learned from printed
marks (tables/fingering_habits.npz says from which) and used where repertoire is fingered; technique exercises follow
the hand-set costs alone.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from engraver.errors import Place, TableError
from engraver.fingering.grips import FINGER_COUNT, Grips
from engraver.fingering.surroundings import MOST_RINGING, MOST_STEPPING

Numbers = npt.NDArray[np.int32]
Weights = npt.NDArray[np.float32]

_TABLE = Path(__file__).parent.parent / "tables" / "fingering_habits.npz"
FINGERS = FINGER_COUNT + 1  # with the open string
STRINGS = 6  # lower strings of larger guitars share the habits of string 6
FRETS = 16
LEAP = 12  # intervals are told apart up to an octave
INTERVALS = 2 * LEAP + 2  # 0 = no such note
LENGTHS, BEATS, ROLES, SIZES = 6, 4, 4, 6
_GRIPS = 4096
TEXTURES, PLACES, HEIGHTS = 3, 3, 4  # line to broken chord; nearest, next, further; positions in four regions
NEEDS, NEED_AWAY = 6, 7  # regions of the neck, and frets above and below
LOSSES = 6  # with the open string
_PAIRS = ((0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3))


class Family(NamedTuple):
    """A kind of preference: how many different descriptions it tells apart."""

    name: str
    size: int


NOTE_FAMILIES = (
    Family("place", STRINGS * FRETS * FINGERS),
    Family("fret", FRETS * FINGERS),
    Family("came from", INTERVALS * FINGERS),
    Family("came from, by fret", INTERVALS * FRETS * FINGERS),
    Family("goes to", INTERVALS * FINGERS),
    Family("goes to, by fret", INTERVALS * FRETS * FINGERS),
    Family("came from and goes to", INTERVALS * INTERVALS * FINGERS),
    Family("two before", INTERVALS * FINGERS),
    Family("two after", INTERVALS * FINGERS),
    Family("length", LENGTHS * FINGERS),
    Family("beat", BEATS * FINGERS),
    Family("role", ROLES * SIZES * FINGERS),
    Family("string by role", ROLES * STRINGS * 2),
    Family("note below", INTERVALS * FINGERS),
    Family("note above", INTERVALS * FINGERS),
    Family("string by step", INTERVALS * STRINGS * 2),
    Family("ringing", (MOST_RINGING + 1) * TEXTURES * PLACES * 2),
    Family("stepping", (MOST_STEPPING + 1) * PLACES * 2),
    Family("needed fret", NEEDS * (2 * NEED_AWAY + 1) * FINGERS),
    Family("needed fret, far", NEEDS * (2 * NEED_AWAY + 1) * FINGERS),
    Family("register", NEEDS * PLACES * 2),
    Family("notes covered", LOSSES * HEIGHTS * FINGERS),
    Family("notes covered, far", LOSSES * HEIGHTS * FINGERS),
    Family("fretted notes covered", LOSSES * HEIGHTS * FINGERS),
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


def grip_numbers(g: Grips) -> Numbers:
    """The weights' numbers of every grip's shape (grips x 21)."""
    frets, strings = g.finger_fret.T.astype(np.int32), g.finger_string.T.astype(np.int32)
    position, opens = g.position.astype(np.int32), g.opens.astype(np.int32)
    columns = [*_pair_numbers(frets, strings)]
    columns.append(OFFSETS["whole grip"] + _shape_code(frets, strings, position, opens) % (_GRIPS - 3))
    columns.append(OFFSETS["position"] + np.minimum(position, 15) * 4 + np.minimum(opens, 3))
    off = OFFSETS["off fret"]
    for finger, fret in enumerate(frets):
        away = np.maximum(np.minimum(fret - (position + finger), 3), -3) + 3
        columns.append(np.where(fret > 0, off + finger * 7 + away, off + FINGER_COUNT * 7))
    columns.append(OFFSETS["barre"] + np.minimum(g.barre, 3) + 4 * np.minimum(g.little_barre, 1))
    columns.append(OFFSETS["let go"] + np.minimum(g.let_go, 5))
    columns.append(OFFSETS["crossed"] + np.minimum(g.crossed, 3))
    return np.stack(columns, -1).astype(np.int32)


def _pair_numbers(frets: Numbers, strings: Numbers) -> Iterator[Numbers]:
    """Numbers of the two families of finger pairs, pair by pair (fingers x grips)."""
    pair, by_fret = OFFSETS["finger pair"], OFFSETS["finger pair, by fret"]
    nothing_pair, nothing_fret = pair + 6 * 6 * 13, by_fret + 6 * 6 * 13 * 13
    for at, (a, b) in enumerate(_PAIRS):
        both = (frets[a] > 0) & (frets[b] > 0)
        gap = np.maximum(np.minimum(frets[b] - frets[a], 5), 0)
        across = np.maximum(np.minimum(strings[b] - strings[a], 6), -6) + 6
        shape = (at * 6 + gap) * 13 + across
        yield np.where(both, pair + shape, nothing_pair)
        yield np.where(both, by_fret + shape * 13 + np.minimum(frets[a], 12), nothing_fret)


def _shape_code(frets: Numbers, strings: Numbers, position: Numbers, opens: Numbers) -> Any:
    """One number for the whole shape, whatever its place on the neck."""
    top = np.where(frets > 0, strings, 99).min(0)
    relative = np.zeros(position.shape[0], np.int64)
    for fret, string in zip(frets, strings, strict=True):
        relative = relative * 131 + np.where(fret > 0, (fret - position + 4) * 8 + (string - top) + 1, 0)
    return relative * 10 + np.minimum(opens, 5)


@dataclass(frozen=True, slots=True)
class Habits:
    """The learned numbers.

    `own_share`: how much the hand-set costs count beside them. `printed`: how readily an editor prints the string of a
    note that lies at its lowest fret, at its next higher place, and further up; the readiest is 1.
    """

    weights: Weights
    own_share: float
    printed: tuple[float, ...] = (1.0, 1.0, 1.0)


@cache
def read_habits() -> Habits:
    """The learned table. Raises TableError when it is missing or does not fit this program."""
    try:
        with np.load(_TABLE) as table:
            weights = table["weights"].astype(np.float32) * float(table["unit"])
            own = float(table["own_share"])
            printed = tuple(float(x) for x in table["printed"])
    except (OSError, KeyError, ValueError) as error:
        raise TableError(
            f"the table 'fingering_habits' cannot be read: {error}", Place(f"tables/{_TABLE.name}")
        ) from error
    if weights.shape != (SIZE,):
        raise TableError("the table 'fingering_habits' does not fit this program", Place(f"tables/{_TABLE.name}"))
    return Habits(weights, own, printed)
