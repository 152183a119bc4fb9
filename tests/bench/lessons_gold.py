"""Prints what an editor's first marks teach: agreement with the later marks of the same piece.

    python tests/bench/lessons_gold.py              # habits learned from other files (5 folds)
    python tests/bench/lessons_gold.py --shipped    # with the habits of the program, which know these pieces

The first ten marks of each score are given as pins; the others are compared. Three ways: no pins, pins that bind alone,
pins that teach.
"""

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from engraver.errors import FingeringError
from engraver.fingering import repertoire
from engraver.fingering.habits import Habits, read_habits
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, Pin
from engraver.fretboard.tuning import Player
from tests.bench.fingering_files import MarkedScore, read_scores
from tests.bench.fingering_gold import learn

GIVEN = 10


def pins_of(score: MarkedScore) -> tuple[Pin, ...]:
    """The first marks of a score, by note."""
    marked = sorted({*score.fingers, *score.strings})[:GIVEN]
    return tuple(Pin(i, score.strings.get(i), score.fingers.get(i)) for i in marked)


def agreement(score: MarkedScore, pins: tuple[Pin, ...], given: set[int], habits: Habits) -> tuple[int, int] | None:
    """Right and all fingers among the marks that were not given; None where the pins cannot be kept."""
    try:
        done = finger_left_hand(score.passage, score.instrument, Player(), LeftHandLimits(pins=pins), habits)
    except FingeringError:
        return None
    later = [(done.notes[i].left_finger, f) for i, f in score.fingers.items() if i not in given]
    return sum(a == b for a, b in later), len(later)


def measured(pieces: list[tuple[MarkedScore, Habits]]) -> Iterator[tuple[str, np.ndarray]]:
    """By way of using the marks: right and all, a row a score."""
    teach = repertoire.taught
    rows: dict[str, list[tuple[int, int]]] = {"no pins": [], "pins bind": [], "pins teach": []}
    for score, habits in pieces:
        pins = pins_of(score)
        given = {pin.note for pin in pins}
        found = {}
        for name, asked, taught in (
            ("no pins", (), False),
            ("pins bind", pins, False),
            ("pins teach", pins, True),
        ):
            repertoire.taught = teach if taught else lambda likely, events, lessons: likely
            found[name] = agreement(score, asked, given, habits)
        repertoire.taught = teach
        if all(found.values()):
            for name, row in found.items():
                rows[name].append(row)
    return ((name, np.array(row)) for name, row in rows.items())


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--shipped", action="store_true")
    wishes = arguments.parse_args()
    scores = read_scores("fingering")
    if not scores:
        print("the gold is not at hand")
        return
    if wishes.shipped:
        pieces = [(score, read_habits()) for score in scores]
    else:
        by_fold = learn(scores, 5)
        pieces = [(score, habits) for held, habits in by_fold for score in scores if score.path in held]
    for name, table in measured(pieces):
        draws = np.random.default_rng(1).integers(0, len(table), (400, len(table)))
        samples = table[draws].sum(1)
        low, high = np.quantile(samples[:, 0] / samples[:, 1], (0.05, 0.95))
        right, total = table.sum(0)
        print(
            f"{name}: {100 * right / total:.1f} % ({100 * low:.0f}-{100 * high:.0f}) of {total} marks in {len(table)} scores"
        )


if __name__ == "__main__":
    main()
