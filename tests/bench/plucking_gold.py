"""Measures the plucking hand against editors' letters; run as ``python -m tests.bench.plucking_gold``.

Letters are predicted for whole scores by `pluck` with an empty plan. Weights are tuned on the other files only (all duos,
of one arranger, count as one file); some figures also give the planner the remaining letters of the same score, as a
teacher who has fixed some letters, and the last ones go through the command itself. Beside them: the letter most common
on each string, taken from the other files.
"""

import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from itertools import pairwise
from unittest import mock

from engraver.fingering import plucking_plan
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.plucking_costs import row_names
from engraver.fingering.plucking_table import PluckingTable, plucking_table
from engraver.fingering.right_hand import pluck
from engraver.fingering.strokes import FINGER_ORDER, attacks_of
from engraver.fretboard.limits import RightHandPlan
from engraver.theory.passage import PluckingFinger
from tests.bench.plucking_files import met_by_command, read_records
from tests.bench.plucking_scores import GOLD, MarkedScore, read_marked_scores
from tests.bench.plucking_tuning import Array, stretches_of, tune

Scores = tuple[MarkedScore, ...]
Agreement = tuple[int, int]
_FOLDS = 10
_FIRST = 4
_READINGS = (
    "plain strings",
    "strings of the fretting hand",
    "the same, notes of two voices counted to the upper one",
)


def agreement(score: MarkedScore, notes: set[int] | None = None) -> Agreement:
    """(letters met, letters looked at); `notes` limits both, the score's other letters are then given to the planner."""
    asked = set(score.letters) if notes is None else notes
    given = {} if notes is None else {k: letter for k, letter in score.letters.items() if k not in asked}
    plucked = pluck(_with_letters(score, given), RightHandPlan())
    return sum(plucked.notes[note].plucking == score.letters[note] for note in asked), len(asked)


def tuned_without(readings: tuple[Scores, ...], group: Callable[[MarkedScore], str]) -> dict[str, Array]:
    """For every score, by name, weights tuned on the scores of the other groups, in all readings of their strings."""
    seen = {
        each[0].name: tuple(s for score in each for s in stretches_of(score)) for each in zip(*readings, strict=True)
    }
    groups = {score.name: group(score) for score in readings[0]}
    tuned = {out: tune([seen[name] for name in seen if groups[name] != out]) for out in sorted({*groups.values()})}
    return {name: tuned[groups[name]] for name in seen}


def tuned_on_all(readings: tuple[Scores, ...]) -> Array:
    """The weights of the table: tuned on every score in all readings."""
    return tune([tuple(s for score in each for s in stretches_of(score)) for each in zip(*readings, strict=True)])


def majority_by_string(scores: Scores) -> Agreement:
    """The baseline: on every string the letter most common there in the other files."""
    met = 0
    for score in scores:
        counts: dict[int, Counter[PluckingFinger]] = {string: Counter() for string in range(1, 7)}
        for other in scores:
            for note, letter in other.letters.items() if other.source != score.source else ():
                counts[other.fingered.notes[note].string][letter] += 1
        best = {string: max(FINGER_ORDER, key=lambda f, s=string: counts[s][f]) for string in counts}  # type: ignore[misc]
        met += sum(best[score.fingered.notes[note].string] is letter for note, letter in score.letters.items())
    return met, sum(len(score.letters) for score in scores)


def out_of_reach(scores: Scores) -> int:
    """Letters that cannot all be met under the rules: one finger twice in a chord or running, fingers out of order."""
    lost = 0
    for score in scores:
        before: PluckingFinger | None = None
        for attack in attacks_of(score.fingered):
            letters = [letter for stroke in attack if (letter := score.letters.get(stroke.note))]
            ranks = [FINGER_ORDER.index(letter) for letter in letters]
            lost += sum(high < low or (high == low > 0) for low, high in pairwise(ranks))
            single = letters[0] if len(attack) == len(letters) == 1 else None
            lost += single is not None and single is before and single is not PluckingFinger.THUMB
            before = single
    return lost


def folds_of(score: MarkedScore, by_bar: bool) -> Iterator[set[int]]:
    """The marked notes dealt into ten hands, one by one or bar by bar."""
    bar = score.fingered.passage.metre.bar_quarters
    onset = {note: score.fingered.passage.notes[note].onset_quarters for note in score.letters}
    keys = {note: onset[note] // bar if by_bar else place for place, note in enumerate(sorted(score.letters))}
    order = {key: place for place, key in enumerate(sorted(set(keys.values())))}
    for fold in range(_FOLDS):
        if notes := {note for note in score.letters if order[keys[note]] % _FOLDS == fold}:
            yield notes


def main() -> None:
    """Prints the figures; with ``--weights`` the tuned weights for the table instead."""
    if not GOLD.exists():
        sys.exit("no gold data beside the project")
    readings = (
        read_marked_scores(),
        read_marked_scores(by_left_hand=True),
        read_marked_scores(True, shared_above=True),
    )
    if "--weights" in sys.argv:
        for name, value in zip(row_names(), tuned_on_all(readings), strict=True):
            print(f"{name} {value:.2f}")
        return
    without = tuned_without(readings, lambda score: score.source)
    for label, every in zip(_READINGS, readings, strict=True):
        scores = tuple(score for score in every if not score.further)
        total = sum(len(score.letters) for score in scores)
        print(f"{label}: {len(scores)} scores, {total} letters, {out_of_reach(scores)} against the rules")
        _print("letter most common on the string", majority_by_string(scores))
        _print("weights of the table (tuned on all these)", _sum(agreement(score) for score in scores))
        by_score = [(s.name, _under(without[s.name], agreement, s)) for s in scores]
        _print("tuned without the file", _sum(each for _, each in by_score))
        for name, (met, asked) in by_score:
            print(f"    {name.rsplit('/', 1)[-1]:45} {met:3} of {asked:3}")
        beside = [_under(without[s.name], agreement, s) for s in every if s.further]
        _print(f"the same on {len(beside)} further scores", _sum(beside))
        for unit, by_bar in (("note", False), ("bar", True)):
            parts = (_under(without[s.name], agreement, s, f) for s in scores for f in folds_of(s, by_bar))
            _print(f"the score's other letters given, {_FOLDS} folds by {unit}", _sum(parts))
    _print_command(without)


def _print_command(without: dict[str, Array]) -> None:
    """The figures of `engraver finger`, each file under weights tuned without it."""
    records = read_records()
    print("through `engraver finger`, tuned without the file:")
    _print("no letter given", _sum(_under(without[r["id"]], met_by_command, r) for r in records))
    for given in (False, True):
        parts = [_under(without[r["id"]], met_by_command, r, _FIRST, given) for r in records]
        _print(f"the letters after the first {_FIRST}, these {'given' if given else 'hidden too'}", _sum(parts))


def _sum(parts: Iterable[Agreement]) -> Agreement:
    listed = list(parts)
    return sum(met for met, _ in listed), sum(asked for _, asked in listed)


def _print(label: str, result: Agreement) -> None:
    print(f"  {label:75} {100 * result[0] / result[1]:5.1f} %")


def _under(weights: Array, measure: Callable[..., Agreement], *arguments: object) -> Agreement:
    with _table_with(weights):
        return measure(*arguments)


@contextmanager
def _table_with(weights: Array) -> Iterator[None]:
    table = plucking_table()
    rows = [w.model_copy(update={"value": float(v)}) for w, v in zip(table.weights, weights, strict=True)]
    changed = PluckingTable.model_validate({**table.model_dump(), "weights": [row.model_dump() for row in rows]})
    with mock.patch.object(plucking_plan, "plucking_table", return_value=changed):
        plucking_plan.forget_costs()
        yield
    plucking_plan.forget_costs()


def _with_letters(score: MarkedScore, given: dict[int, PluckingFinger]) -> FingeredPassage:
    passage = score.fingered.passage
    notes = tuple(replace(note, plucking=given.get(place)) for place, note in enumerate(passage.notes))
    places = tuple(replace(each, note=note) for each, note in zip(score.fingered.notes, notes, strict=True))
    return replace(score.fingered, passage=replace(passage, notes=notes), notes=places)


if __name__ == "__main__":
    main()
