"""Drill entries as a teacher may get them wrong: one sentence each, at the place of the slip."""

import pytest

from engraver.errors import SpecErrors
from engraver.spec.reader import read_book

BOOK = "title: T\nchapters:\n  - title: C\n    exercises:\n      - {{id: x, kind: {entry}}}\n"


def printed(folder, entry):
    path = folder / "book.yaml"
    path.write_text(BOOK.format(entry=entry), "utf-8")
    with pytest.raises(SpecErrors) as caught:
        read_book(path)
    return [line.removeprefix(str(path)) for line in str(caught.value).splitlines()]


@pytest.mark.parametrize(("entry", "line"), [
    ("slurs", ":5:9: 'fingers' is missing; add 'fingers: …'"),
    ("slurs, fingers: 12", ":5:39: 'fingers' is '12'; write a list in brackets: [12]"),
    ("slurs, fingers: [1, 5]", ":5:40: 'fingers' is '5'; write a number up to 4"),
    ("slurs, fingers: [1]", ":5:40: 'fingers' holds 1 values; write at least 2"),
    ("finger orders, orders: every", ":5:46: 'every' is no finger order; write all, or the fingers in order: [1, 3, 2, 4]"),
    ("finger orders, held: 1", ":5:44: 'held' is '1'; write a list in brackets: [1]"),
    ("tremolo, formula: [p, x]", ":5:45: 'x' is not a plucking letter; write p, i, m, a or c"),
    ("barre, manner: half", ":5:38: 'manner' is 'half'; write one of: partial, full, hinge"),
    ("string crossings, times: 0", ":5:48: 'times' is '0'; write a number from 1"),
    ("string crossings, right_hand: 5", ":5:53: 'right_hand' is '5'; write a group of fields: {alternate: [i, m]}"),
])  # fmt: skip
def test_one_sentence_for_one_slip(tmp_path, entry, line):
    """The value found, its line and column, and what to write instead."""
    assert printed(tmp_path, entry) == [line]


@pytest.mark.parametrize("entry", [
    "slurs, fingers: [1, 2]", "slurs, fingers: [[1, 2], [1, 3]]", "finger orders, orders: all", "finger orders, orders: [1, 3, 2, 4]",
    "finger orders, orders: [[1, 2], [3, 4]]", "finger orders, held: [1], held_string: 3", "tremolo, formula: [p, a, m, i]", "tremolo",
    "shifts", "barre", "string crossings", "string crossings, times: [4, 2, 1]",
])  # fmt: skip
def test_what_is_written_plainly_is_understood(tmp_path, entry):
    """One row or several, one count or several, or nothing but the kind."""
    path = tmp_path / "book.yaml"
    path.write_text(BOOK.format(entry=entry), "utf-8")
    assert len(read_book(path).exercises) == 1


def test_a_chapters_position_is_the_drills_default(tmp_path):
    """`left_hand: {position: 9}` of a chapter places a drill that names no position itself."""
    path = tmp_path / "book.yaml"
    path.write_text(
        BOOK.format(entry="slurs, fingers: [1, 2]").replace(
            "    exercises:", "    defaults: {left_hand: {position: 9}}\n    exercises:"
        ),
        "utf-8",
    )
    assert read_book(path).exercises[0].spec.position == 9
