"""No sign is cut off: everything that is drawn lies within its picture, and every picture within the margins."""

import pytest
from lxml import etree

from engraver.build import draft_exercises
from engraver.outputs import shapes as engraved_shapes
from engraver.outputs.engraving import EngravingJob, engrave
from engraver.outputs.shapes import coloured
from engraver.press.settings import settings_of
from engraver.spec.reader import read_book
from tests.outputs.test_geometry import SHEET

TOUCH = 0.06
"""What the picture may round away, in its own units of a big point (a fiftieth of a millimetre)."""


def overhang(svg: bytes) -> float:
    """How far the farthest shape reaches past the edges of its picture; negative when all lie within."""
    root = etree.fromstring(svg)
    left, top, width, height = map(float, root.get("viewBox").split())
    symbols = {symbol.get("id"): symbol[0].get("d") for symbol in root.iter("{http://www.w3.org/2000/svg}symbol")}
    boxes = [shape.box for shape in engraved_shapes._walk(root, symbols, (1, 0, 0, 1, 0, 0), "")]
    assert len(boxes) > 20
    return max(max(left - box[0], top - box[1], box[2] - left - width, box[3] - top - height) for box in boxes)


@pytest.mark.parametrize("edition", ["plain", "large print", "tablature only"])
def test_no_sign_is_cut_off_by_the_edge_of_its_picture(edition: str) -> None:
    """Every sign of the notation, in every kind of staves: the sheet of all signs."""
    book = read_book(SHEET).for_edition(edition)
    settings = settings_of(book.edition)
    drafts = list(draft_exercises(book, [e for e in book.exercises if e.number is not None], settings))
    done = engrave([EngravingJob(d.exercise.id, coloured(d.source)) for d in drafts], settings.engraving, workers=2)
    over = {
        (draft.exercise.id, number): reach
        for draft in drafts
        for number, system in enumerate(done[draft.exercise.id].systems, 1)
        if (reach := overhang(system.svg)) > TOUCH
    }
    assert over == {}


def test_the_bench_sees_a_sign_that_is_cut_off() -> None:
    """A picture made smaller than its signs is found."""
    book = read_book(SHEET)
    settings = settings_of(book.edition)
    draft = next(iter(draft_exercises(book, [book.exercises[0]], settings)))
    done = engrave([EngravingJob("a", coloured(draft.source))], settings.engraving, workers=1)
    root = etree.fromstring(done["a"].systems[0].svg)
    left, top, width, height = map(float, root.get("viewBox").split())
    root.set("viewBox", f"{left} {top} {width} {height - 8}")
    assert overhang(etree.tostring(root)) > 4
