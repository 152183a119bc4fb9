"""Clearance measured on the engraved pictures: nothing of either hand touches anything, and every row is straight.

Marks are digits, circles, plucking letters, position numerals, barres and their lines; each is held against every
other shape of its system but staff and ledger lines (a digit beside a head below the staff crosses the ledger line of
that head, and its white ground parts the two).
"""

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from engraver.build import draft_exercises
from engraver.outputs.engraving import EngravingJob, engrave
from engraver.outputs.outlines import Shape, touching
from engraver.outputs.shapes import coloured
from engraver.press.clearance import clearance_warnings, crooked_rows, crowded_digits, legend_faults, measured, meetings
from engraver.press.plates import Draft
from engraver.press.settings import settings_of
from engraver.score.signs import Sign
from engraver.spec.reader import read_book
from tests.conftest import ROOT

SHEET = ROOT / "books" / "feature-sheet.yaml"
EDITIONS = ["plain", "large print", "staff only", "tablature only", "touched pitch", "sounding pitch", "everything",
            "retuned"]  # fmt: skip
FULL = [(ROOT / "books" / f"{name}.yaml", edition) for name, edition in [
    ("complete-technique", ""), ("lamplight-term", "student"), ("lamplight-term", "teacher"),
    ("lamplight-term", "large print"), ("first-lines", ""),
]]  # fmt: skip
CASES = [
    *(pytest.param(SHEET, edition, id=f"sheet-{edition}") for edition in EDITIONS),
    *(pytest.param(path, edition, id=f"{path.stem}-{edition}", marks=pytest.mark.slow) for path, edition in FULL),
]
every_book = pytest.mark.parametrize(("path", "edition"), CASES)


@cache
def systems(path: Path, edition: str) -> tuple[tuple[Draft, tuple[tuple[Shape, ...], ...]], ...]:
    """Every exercise of an edition with the shapes of its systems."""
    book = read_book(path)
    book = book.for_edition(edition) if edition else book
    settings = settings_of(book.edition)
    drafts = tuple(draft_exercises(book, [e for e in book.exercises if e.number is not None], settings))
    return tuple(zip(drafts, measured(drafts, settings, workers=2), strict=True))


@every_book
def test_no_mark_touches_anything(path: Path, edition: str) -> None:
    """Zero collisions on every system of every exercise."""
    met = {
        (draft.exercise.id, number): found
        for draft, drawn in systems(path, edition)
        for number, system in enumerate(drawn, 1)
        if (found := meetings(system))
    }
    assert met == {}


@every_book
def test_digits_keep_clear_of_heads_and_signs(path: Path, edition: str) -> None:
    """A digit has air on all sides, most of it before its head."""
    close = [
        (draft.exercise.id, found)
        for draft, drawn in systems(path, edition)
        for system in drawn
        if (found := crowded_digits(system))
    ]
    assert close == []


@every_book
def test_every_row_is_straight(path: Path, edition: str) -> None:
    """The highest letter of each stack, every numeral and every single circle of a system stand on one line."""
    for draft, drawn in systems(path, edition):
        assert [crooked for system in drawn if (crooked := crooked_rows(system))] == [], draft.exercise.id


@every_book
def test_the_legend_has_what_is_drawn_and_no_more(path: Path, edition: str) -> None:
    """The kinds of shapes in the pictures of an exercise are the signs that it gives to the legend."""
    for draft, drawn in systems(path, edition):
        kinds = {shape.kind for system in drawn for shape in system}
        told = {Sign(sign) for sign in draft.plate.signs}
        assert legend_faults(draft.plate.signs, kinds) == [], draft.exercise.id
        if not told & {Sign.HARMONIC_BY_SOUND, Sign.ARTIFICIAL_BY_SOUND}:  # their circle is of the family of accents
            touched = any(element.articulations for element in draft.score.elements)  # drawn alike, not explained
            assert touched or (Sign.ACCENT in told) == bool(kinds & {"accent", "tab accent"}), draft.exercise.id
        assert "node" not in kinds or told & {sign for sign in Sign if "harmonic" in sign}


@every_book
def test_no_last_system_holds_a_measure_alone(path: Path, edition: str) -> None:
    """Unless two measures do not fit beside each other, which only large print and dense music meet."""
    alone = [
        draft.exercise.id
        for draft, drawn in systems(path, edition)
        if len(drawn) > 1 and "noBreak" in draft.source and _measures(drawn[-1]) < 2
    ]
    assert alone == []


def _measures(system: tuple[Shape, ...]) -> int:
    """The measures of a system by its bar lines; the double line at the end counts once."""
    places = sorted(shape.middle[0] for shape in system if shape.kind == "barline")
    return sum(1 for one, two in pairwise([-9.0, *places]) if two - one > 2)


BROKEN = """\
title: T
style: {measures_per_system: 1}
chapters:
  - title: C
    exercises:
      - {id: string, kind: shifts, scale: major, tonics: [C], strings: [2]}
      - {id: barre, kind: barre, frets: [5]}
      - {id: hinge, kind: barre, manner: hinge, frets: [5]}
"""


@pytest.mark.parametrize(("exercise", "sign"), [("string", "ring"), ("barre", "numeral"), ("hinge", "numeral")])
def test_lines_go_on_over_the_break_with_a_reminder(exercise: str, sign: str, tmp_path: Path) -> None:
    """On the second system the line of a string or a barre begins with its circle or sign, before the first head."""
    path = tmp_path / "book.yaml"
    path.write_text(BROKEN, "utf-8")
    drawn = next(drawn for draft, drawn in systems(path, "") if draft.exercise.id == exercise)
    again = [shape for shape in drawn[1] if shape.kind == sign]
    heads = [shape for shape in drawn[1] if shape.kind == "head"]
    lines = [shape for shape in drawn[1] if shape.kind == "line"]
    assert again
    assert lines
    assert min(shape.box[0] for shape in again) < min(shape.box[2] for shape in heads)
    assert max(shape.box[2] for shape in again[:1]) < max(shape.box[2] for shape in lines)


def test_colours_change_no_place() -> None:
    """The bench measures what is printed: with colours or without, every shape lies where it lay."""
    book = read_book(SHEET)
    settings = settings_of(book.edition)
    draft = next(iter(draft_exercises(book, [book.exercises[0]], settings)))
    jobs = [EngravingJob("plain", draft.source), EngravingJob("coloured", coloured(draft.source))]
    done = engrave(jobs, settings.engraving, workers=1)
    for one, two in zip(done["plain"].systems, done["coloured"].systems, strict=True):
        assert (one.width_mm, one.height_mm) == (two.width_mm, two.height_mm)


def test_the_bench_sees_a_collision() -> None:
    """Outlines that cross, that lie within each other, or that come too near are found; others are not."""

    def square(left: float, size: float = 1.0, kind: str = "digit") -> Shape:
        points = ((left, 0.0), (left + size, 0.0), (left + size, size), (left, size), (left, 0.0))
        return Shape(kind, (points,), (left, 0.0, left + size, size))

    assert touching(square(0), square(0.9))
    assert touching(square(0, 3), square(1, 0.5))
    assert not touching(square(0), square(1.1))
    assert touching(square(0), square(1.1), air=0.2)
    assert meetings((square(0), square(0.5, kind="head"))) == [("digit", "head", 0.5, 0.5)]
    assert meetings((square(0, kind="stem"), square(0.5, kind="head"))) == []


def test_check_tells_what_it_measures(monkeypatch: pytest.MonkeyPatch) -> None:
    """The feature sheet is clean; with a legend that lacks a sign and signs that need much air it is not."""
    from engraver.press import clearance

    draft, drawn = systems(SHEET, "plain")[0]
    assert list(clearance_warnings(draft, drawn)) == []
    monkeypatch.setattr(clearance, "AIR_SP", {"head": 3.0})
    monkeypatch.setattr(clearance, "ROW_SP", -1.0)
    monkeypatch.setattr(clearance, "DRAWN_AS", {Sign.SLUR: {"ring"}})
    told = " / ".join(clearance_warnings(draft, drawn))
    for part in ("a digit crowds a head", "the row of letters is not straight", "the legend lacks slur"):
        assert part in told
