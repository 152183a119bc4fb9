"""Room on the engraved pictures: numbers of tuplets, notes under slurs and numerals stand clear of one another."""

from collections.abc import Sequence
from functools import cache
from itertools import pairwise
from pathlib import Path

from engraver.build import draft_exercises
from engraver.outputs.outlines import Shape
from engraver.press.clearance import measured
from engraver.press.settings import settings_of
from engraver.spec.reader import read_book

ENTRIES = {
    "crossings": "kind: string crossings, strings: [4, 3, 2, 1], times: 3, rhythm: triplets, right_hand: {alternate: [i, m, a]}",
    "repeated": "kind: scale, scale: major, tonics: [G], octaves: 2, left_hand: {open_strings: avoid}, variants: [each note three times]",
    "pulled": "kind: slurs, fingers: [2, 1], manner: descending, position: 5",
    "triple": "kind: slurs, fingers: [1, 2, 4], manner: triple, position: 5",
    "thirds": "kind: double stops, interval: thirds, scale: harmonic minor, tonics: [A3]",
}  # fmt: skip


@cache
def systems(name: str, folder: Path) -> tuple[tuple[Shape, ...], ...]:
    """The shapes of an exercise's systems on a sheet of 170 mm with staves of 16 points; x and y in staff spaces."""
    path = folder / "book.yaml"
    entry = f"{{id: {name}, {ENTRIES[name]}}}"
    path.write_text(
        f"title: T\nstyle: {{staff_size_pt: 16}}\nchapters:\n  - title: C\n    exercises:\n      - {entry}\n", "utf-8"
    )
    book = read_book(path)
    settings = settings_of(book.edition)
    drafts = tuple(draft_exercises(book, list(book.exercises), settings))
    return measured(drafts, settings)[0]


def of_kind(system: Sequence[Shape], kind: str) -> list[Shape]:
    return sorted((shape for shape in system if shape.kind == kind), key=lambda shape: shape.box[0])


def test_tuplet_numbers_have_a_row_between_digits_and_circles(tmp_path: Path) -> None:
    """Over the staff no number stands as high as a string's circle, which would be read as one of them, nor as low as a digit."""
    for name in ("crossings", "repeated"):
        first = systems(name, tmp_path)[0]
        top = min(shape.box[1] for shape in of_kind(first, "staff"))
        numbers = [shape for shape in of_kind(first, "tuplet") if shape.box[3] < top]
        assert len(numbers) >= 2
        assert max(ring.box[3] for ring in of_kind(first, "ring")) < min(number.box[1] for number in numbers)
        near = [d for d in of_kind(first, "digit") if d.box[0] <= numbers[-1].box[2]]
        assert max(number.box[3] for number in numbers) < min(digit.box[1] for digit in near)
        assert max(n.middle[1] for n in numbers) - min(n.middle[1] for n in numbers) < 0.1


def test_slurred_notes_are_not_pressed_together(tmp_path: Path) -> None:
    """Two heads under a slur are at least two and a half spaces apart, on as many systems as that takes."""
    for name in ("pulled", "triple"):
        for system in systems(name, tmp_path):
            heads = of_kind(system, "head")
            for slur in of_kind(system, "slur"):
                under = [h for h in heads if slur.box[0] - 0.8 <= h.middle[0] <= slur.box[2] + 0.8]
                assert len(under) >= 2
                assert all(b.middle[0] - a.middle[0] > 2.4 for a, b in pairwise(under)), name


def test_position_numerals_do_not_run_into_one_another(tmp_path: Path) -> None:
    """XVI and XIV over neighbouring chords stay two numerals: more than a letter's stroke of air between them."""
    (system,) = systems("thirds", tmp_path)
    letters = of_kind(system, "numeral")
    gaps = [b.box[0] - a.box[2] for a, b in pairwise(letters)]
    between, within = [gap for gap in gaps if gap > 0.5], [gap for gap in gaps if gap <= 0.5]
    assert len(between) == 14
    assert min(between) > 1.0
    assert max(within) < 0.4


def test_guide_dashes_take_room_on_the_line(tmp_path: Path) -> None:
    """Fifteen thirds with two dashes each fill the whole line, where plain ones would not."""
    (system,) = systems("thirds", tmp_path)
    staff = of_kind(system, "staff")
    width_mm = (max(s.box[2] for s in staff) - min(s.box[0] for s in staff)) * 16 / 4 / 72.27 * 25.4
    assert 168 < width_mm < 172
