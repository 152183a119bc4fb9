"""Measures context spelling on open scores: notes and chromatic notes right, by stratum, and notes a second.

    python tests/bench/spelling_gold.py            the table, then the cross-validation of the fitted weights
    python tests/bench/spelling_gold.py --fit      also prints the weights fitted to all scores

A note is chromatic when the signature printed at its place lacks its name. A piece is scored up to one
enharmonic shift of all its names ("shifted"), and as it stands ("as it stands"). Where partitura is installed, its
ps13s1 is measured beside ours. Speed is in seconds of one processor. The scores lie beside the project and are never shipped with it.
"""

import argparse
import gzip
import json
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from engraver.theory.context import Question, decide, home_of, question_of, timeline
from engraver.theory.pitch import PitchName
from engraver.theory.spelling import respell
from engraver.theory.spelling_weights import Weight, spelling_weights

GOLD = Path(__file__).resolve().parents[2].parent / "shared" / "gold"
FILES = ("spelling_guitar.jsonl.gz", "spelling_corpus.jsonl.gz")
CORE = ("bach", "beethoven", "haydn_mozart", "baroque_romantic_misc")
FITTED_TO = ("guitar", *CORE)
DRIFTED_BELOW = 0.95  # a piece with fewer notes right is looked at by hand
FOLDS, GUITAR_COUNTS, PULL_TO_START = 10, 3.0, 10.0

Names = Any  # an array of places on the line of fifths
Notes = list[tuple[float, float, int]]


@dataclass(frozen=True)
class Piece:
    """A score with its true names."""

    stratum: str
    group: str
    notes: Notes
    names: Names
    chromatic: Names


@dataclass
class Tally:
    """Counts of one stratum."""

    notes: int = 0
    chromatic: int = 0
    wrong: dict[str, int] = field(default_factory=lambda: dict.fromkeys(("shifted", "plain"), 0))
    wrong_chromatic: dict[str, int] = field(default_factory=lambda: dict.fromkeys(("shifted", "plain"), 0))
    drifted: int = 0
    seconds: float = 0.0

    def add(self, piece: Piece, names: Names, seconds: float) -> None:
        """Score one piece."""
        shifts = {shift: names + shift != piece.names for shift in (0, 12, -12)}
        best = min(shifts.values(), key=lambda wrong: int(wrong.sum()))
        self.notes += len(names)
        self.chromatic += int(piece.chromatic.sum())
        self.seconds += seconds
        self.drifted += bool(best.mean() > 1 - DRIFTED_BELOW)
        for way, wrong in (("shifted", best), ("plain", shifts[0])):
            self.wrong[way] += int(wrong.sum())
            self.wrong_chromatic[way] += int((wrong & piece.chromatic).sum())

    def row(self, name: str) -> str:
        """One line of the table."""
        cells = [f"{name:24}{self.notes:9,}{self.chromatic:8,}"]
        for way in ("shifted", "plain"):
            notes = 100 - 100 * self.wrong[way] / max(self.notes, 1)
            chromatic = 100 - 100 * self.wrong_chromatic[way] / max(self.chromatic, 1)
            cells.append(f"{notes:9.3f}{chromatic:8.2f}")
        speed = f"{self.notes / self.seconds:12,.0f}" if self.seconds else f"{'-':>12}"
        return " ".join(cells) + f"{self.drifted:8}" + speed


def read_pieces() -> Iterator[Piece]:
    """All scores, in the order of the files."""
    for file in FILES:
        with gzip.open(GOLD / file, "rt", encoding="utf-8") as lines:
            for line in lines:
                yield _piece(json.loads(line))


def _piece(record: dict[str, Any]) -> Piece:
    column = {name: index for index, name in enumerate(record["fields"])}
    rows = record["notes"]
    names = np.array([PitchName.of(row[column["step"]], row[column["alter"]]).fifths for row in rows])
    above = names - np.array([row[column["fifths"]] for row in rows])
    notes = [(row[column["onset"]], row[column["dur"]], row[column["midi"]]) for row in rows]
    return Piece(record["stratum"], record["group"], notes, names, (above < -1) | (above > 5))


def measure(title: str, pieces: Sequence[Piece], spell: Callable[[Piece], Names]) -> None:
    """Prints a table of one way of spelling."""
    print(f"\n{title}")
    heads = ("notes", "chrom.", "shifted %", "chrom.", "as is %", "chrom.", "drifted", "notes/s")
    print("{:24}{:>9}{:>8} {:>9}{:>8} {:>9}{:>8}{:>8}{:>12}".format("", *heads))
    tallies: dict[str, Tally] = {}
    for piece in pieces:
        start = time.process_time()
        names = spell(piece)
        seconds = time.process_time() - start
        for key in (piece.stratum, "core together") if piece.stratum in CORE else (piece.stratum,):
            tallies.setdefault(key, Tally()).add(piece, names, seconds)
    for key, tally in tallies.items():
        print(tally.row(key))


def spell_ours(piece: Piece) -> Names:
    """The names that `respell` gives."""
    return np.array([pitch.name.fifths for pitch in respell(piece.notes)])


def spell_ps13s1(piece: Piece) -> Names:
    """The names that partitura's ps13s1 gives."""
    from partitura.musicanalysis import estimate_spelling

    rows = [(onset, length, midi) for onset, length, midi in piece.notes]
    kinds = [("onset_quarter", "f4"), ("duration_quarter", "f4"), ("pitch", "i4")]
    spelled = estimate_spelling(np.array(rows, dtype=kinds))
    return np.array([PitchName.of(str(row["step"]), int(row["alter"])).fifths for row in spelled])


@dataclass(frozen=True)
class Case:
    """A score as the fit sees it: notes in order, the evidence, and the true names."""

    piece: Piece
    order: Names
    question: Question

    def table(self) -> Any:
        """Evidence as a matrix, a column for each weight."""
        rows = spelling_weights().voice_leading
        return np.concatenate([np.stack([part[row.name] for row in rows], axis=1) for part in self.question.evidence()])

    def answers(self) -> tuple[Any, Any]:
        """For each doubtful note, whether the sharper name is true, and whether one of the two is."""
        doubts = self.question.doubts
        true = self.piece.names[self.order][doubts.index]
        is_sharper = true == doubts.sharper
        return is_sharper, is_sharper | (true == doubts.sharper - 12)


def _case(piece: Piece) -> Case:
    order, line = timeline(piece.notes)
    _, question = question_of(line, home_of(line, order, None))
    return Case(piece, order, question)


def fit(cases: Sequence[Case]) -> Any:
    """Weights of a logistic model of the doubtful notes, pulled towards their starting values."""
    cases = [case for case in cases if len(case.question.doubts)]
    answers = [case.answers() for case in cases]
    known = np.concatenate([usable for _, usable in answers])
    table = np.concatenate([case.table() for case in cases])[known]
    truth = np.concatenate([sharper for sharper, _ in answers])[known]
    counts = [GUITAR_COUNTS if case.piece.stratum == "guitar" else 1.0 for case in cases]
    count = np.concatenate([np.full(len(case.question.doubts), c) for case, c in zip(cases, counts, strict=True)])[
        known
    ]
    start = np.array([row.start or 0.0 for row in spelling_weights().voice_leading])
    weights = start
    for _ in range(30):  # Newton steps; about eight are enough
        chance = 1 / (1 + np.exp(-np.clip(table @ weights, -30, 30)))
        slope = table.T @ (count * (chance - truth)) + PULL_TO_START * (weights - start)
        bend = (table.T * (count * chance * (1 - chance))) @ table + PULL_TO_START * np.eye(len(start))
        weights = weights - np.linalg.solve(bend, slope)
    return weights


def _rows(values: Any) -> tuple[Weight, ...]:
    rows = spelling_weights().voice_leading
    return tuple(row.model_copy(update={"value": float(value)}) for row, value in zip(rows, values, strict=True))


def cross_validate(cases: Sequence[Case]) -> None:
    """Fits the weights without a tenth of the pieces and spells that tenth, for every tenth."""
    groups = sorted({case.piece.group for case in cases})
    fold = {group: index % FOLDS for index, group in enumerate(np.random.default_rng(1).permutation(groups))}
    rows = [_rows(fit([case for case in cases if fold[case.piece.group] != index])) for index in range(FOLDS)]
    by_piece = {id(case.piece): case for case in cases}

    def spell(piece: Piece) -> Names:
        case = by_piece[id(piece)]
        names = np.empty(len(piece.names), dtype=np.int64)
        names[case.order] = decide(case.question, rows[fold[piece.group]])
        return names

    measure(f"Cross-validated over pieces ({FOLDS} folds; weights refitted without the pieces measured)",
            [case.piece for case in cases], spell)  # fmt: skip


def main() -> None:
    """Prints all tables."""
    options = argparse.ArgumentParser(description="Measures context spelling on open scores.")
    options.add_argument("--fit", action="store_true", help="print the weights fitted to all scores")
    options.add_argument("--without-ps13s1", action="store_true", help="measure ours alone")
    chosen = options.parse_args()
    if not all((GOLD / file).exists() for file in FILES):
        sys.exit(f"the scores are not here: {GOLD}")
    pieces = list(read_pieces())
    respell([(0, 1, 60), (0, 1, 64)])  # tables and libraries are read before the clock runs
    measure("Ours, weights as shipped", pieces, spell_ours)
    cases = [_case(piece) for piece in pieces if piece.stratum in FITTED_TO]
    cross_validate(cases)
    if chosen.fit:
        for row in _rows(fit(cases)):
            print(f"{row.name}: {row.value:.2f}")
    if not chosen.without_ps13s1:
        _measure_ps13s1(pieces)


def _measure_ps13s1(pieces: Sequence[Piece]) -> None:
    try:
        import partitura  # noqa: F401
    except ImportError:
        print("\npartitura is not installed: ps13s1 not measured")
        return
    measure("ps13s1 (partitura)", [piece for piece in pieces if piece.stratum in FITTED_TO], spell_ps13s1)


if __name__ == "__main__":
    main()
