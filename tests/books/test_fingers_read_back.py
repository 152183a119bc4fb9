"""The rule by which digits are left out can be inverted: from the printed page alone, every finger comes back."""

from dataclasses import replace

import pytest

from tests.books.building import drafted
from tests.conftest import BOOKS
from tests.score.reading_fingers import misread


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_every_finger_can_be_read_from_the_printed_marks(path):
    """Digits, numerals, barres and the tablature of every exercise of the sample books."""
    wrong = {draft.exercise.id: found for draft in drafted(path) if (found := misread(draft.score))}
    assert wrong == {}


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_the_reader_misses_a_digit_that_is_not_there(path):
    """With every printed digit taken away, the stopped notes that had one are no longer all read: nothing is guessed."""
    bare, told = [], 0
    for draft in drafted(path):
        shown = [n for e in draft.score.elements for n in e.notes if n.show_finger and n.left_finger]
        told += len(shown)
        bare += [found for found in misread(_without_digits(draft.score)) if found[2] != found[3]]
    assert len(bare) > told / 2


def _without_digits(score):
    def bare(element):
        return replace(element, notes=tuple(replace(note, show_finger=False) for note in element.notes))

    return replace(
        score,
        measures=tuple(
            replace(
                measure,
                voices=tuple(replace(voice, elements=tuple(map(bare, voice.elements))) for voice in measure.voices),
            )
            for measure in score.measures
        ),
    )
