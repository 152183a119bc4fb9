"""Prints what each part of the fretting hand buys: agreement with editors when it is left out, one part at a time.

    python tests/bench/fingering_gold.py --keep folds.pickle    # learns habits with files held out
    python tests/bench/fingering_ablation.py folds.pickle       # leaves parts out, after learning

Parts: kinds and families of habits, hand-set costs (beside habits, and alone), and what notes lend each other.
"""

import pickle
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from engraver.errors import FingeringError
from engraver.fingering import agreement as agreement_of
from engraver.fingering import candidates, costs, planning, search
from engraver.fingering import habits as learned
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits
from engraver.fretboard.tuning import Player
from tests.bench.fingering_files import MarkedScore, read_scores

Folds = list[tuple[set[str], learned.Habits]]
KINDS = {"note": learned.NOTE_FAMILIES, "grip": learned.GRIP_FAMILIES, "move": learned.MOVE_FAMILIES}


def agreement(scores: list[MarkedScore], habits_of: Callable[[str], learned.Habits | None]) -> np.ndarray:
    """Right and all: marks, fingers 1-4, strings."""
    total = np.zeros((3, 2), int)
    for score in scores:
        try:
            done = finger_left_hand(
                score.passage, score.instrument, Player(), LeftHandLimits(), habits_of(score.path)
            ).notes
        except FingeringError:
            continue
        fingers = [(done[i].left_finger, f) for i, f in score.fingers.items()]
        strings = [(done[i].string, s) for i, s in score.strings.items()]
        for row, pairs in enumerate((fingers, [p for p in fingers if p[1]], strings)):
            total[row] += sum(a == b for a, b in pairs), len(pairs)
    return total


class Bench:
    """The marked scores, the habits of their folds, and the figures with nothing left out."""

    def __init__(self, folds: Folds) -> None:
        self.folds = folds
        self.scores = [s for s in read_scores("fingering") if s.fingers or s.strings]

    def row(self, name: str, change: Callable[[learned.Habits], learned.Habits | None] = lambda h: h) -> None:
        """Prints one line of the table; `change` makes other habits of each fold's."""
        by_path = {path: habits for held, kept in self.folds for habits in [change(kept)] for path in held}
        found = agreement(self.scores, by_path.__getitem__)
        shares = " | ".join(f"{100 * right / max(1, total):.1f}" for right, total in found.tolist())
        print(f"| {name} | {shares} |", flush=True)


def silent(families: tuple[learned.Family, ...]) -> Callable[[learned.Habits], learned.Habits]:
    """Habits with some families put to 0."""

    def change(habits: learned.Habits) -> learned.Habits:
        weights = habits.weights.copy()
        for family in families:
            weights[learned.OFFSETS[family.name] :][: family.size] = 0
        return replace(habits, weights=weights)

    return change


def _silenced(table: costs.CostTable, name: str) -> costs.CostTable:
    """The table with one row at 0."""
    left = {
        kind: tuple(r.model_copy(update={"value": 0.0}) if r.name == name else r for r in getattr(table, kind))
        for kind in ("holding", "moving", "remembering")
    }
    return table.model_copy(update=left)


@contextmanager
def without_cost(name: str) -> Iterator[None]:
    """The table of hand-set costs with one row at 0."""
    usual, usual_small = planning.cost_table, planning.repertoire_table
    plain, small = (_silenced(table(), name) for table in (usual, usual_small))
    planning.cost_table, planning.repertoire_table = lambda: plain, lambda: small
    try:
        yield
    finally:
        planning.cost_table, planning.repertoire_table = usual, usual_small


@contextmanager
def blend(**changes: float) -> Iterator[None]:
    """Another way to weigh what the second pass hears."""
    usual = agreement_of.Blend
    agreement_of.Blend = lambda: usual(**changes)
    try:
        yield
    finally:
        agreement_of.Blend = usual


def main() -> None:
    """Prints the tables."""
    search.grips_for = lru_cache(maxsize=None)(candidates.grips_for.__wrapped__)
    bench = Bench(pickle.loads(Path(sys.argv[1]).read_bytes()))
    bench.row("everything")
    for kind, families in KINDS.items():
        bench.row(f"no {kind} habits", silent(families))
    bench.row("no hand-set costs", lambda h: replace(h, own_share=0.0))
    bench.row("no readiness of strings to be printed", lambda h: replace(h, printed=(1.0, 1.0, 1.0)))
    for name, changes in (
        ("fingers alone counted in the second pass", {"string": 0.0}),
        ("nothing lent by notes of the same pitch", {"pitch": 0.0}),
        ("nothing lent at all", {"pitch": 0.0, "width": 10_000}),
        ("the model's own best path", {"finger": 0.0, "string": 0.0}),
    ):
        with blend(**changes):
            bench.row(name)
    for family in learned.FAMILIES:
        bench.row(f"no habit: {family.name}", silent((family,)))
    for row in (*costs.repertoire_table().holding, *costs.repertoire_table().moving):
        with without_cost(row.name):
            bench.row(f"no cost: {row.name}")
    bench.row("costs alone", lambda h: None)
    for row in (*costs.cost_table().holding, *costs.cost_table().moving, *costs.cost_table().remembering):
        with without_cost(row.name):
            bench.row(f"costs alone, without {row.name}", lambda h: None)


if __name__ == "__main__":
    main()
