"""What is said about an exercise beside its title."""

import pytest

from tests.books.building import draft_text

BOOK = """\
title: T
style: {{little_finger: {letter}}}
chapters:
  - title: C
    exercises:
      - {{id: x, kind: string crossings, strings: [3, 2], times: 4, right_hand: {{alternate: [c, a, m, i], stroke: free}}}}
"""


@pytest.mark.parametrize("letter", ["c", "x", "ch"])
def test_the_little_finger_has_one_letter_in_heading_and_music(tmp_path, letter):
    """The letter that the style chooses stands in the remark, under the notes, and in the legend's sign."""
    (draft,) = draft_text(tmp_path, BOOK.format(letter=letter))
    assert draft.plate.remark == f"free stroke, alternate {letter} a m i"
    assert f'\\letter "{letter}"' in draft.source
