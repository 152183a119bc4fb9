"""The rule by which digits are left out can be inverted: from the printed page alone, every finger comes back."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from tests.books.building import drafted
from tests.conftest import BOOKS
from tests.score.reading_fingers import misread, misread_strings


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


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_every_string_of_a_line_can_be_read_from_its_circles(path):
    """Without tablature, digits or positions: pitches and circles tell the string of every note of a single line."""
    wrong = {}
    for draft in drafted(path):
        score = draft.score
        heads = [note for element in score.elements for note in element.notes if not note.tie_stop]
        if score.has_two_voices or any(len(e.notes) > 1 for e in score.elements) or any(n.harmonic for n in heads):
            continue
        changes = 1 + sum(one.string != other.string for one, other in pairwise(heads))
        leaps = changes > Fraction(3, 5) * len(heads)
        if found := misread_strings(score, leaps):
            wrong[draft.exercise.id] = found
    assert wrong == {}
