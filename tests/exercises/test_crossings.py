"""String crossings: each string so often, in order, and back."""

from itertools import groupby

import pytest
from pydantic import ValidationError

from engraver.spec.heads import KINDS
from tests.exercises.entries import composed, pitches


def crossings(**entry):
    return composed({"kind": "string crossings", **entry})


def runs(passage):
    return [(string, len(list(notes))) for string, notes in groupby(note.string for note in passage.notes)]


def test_four_notes_a_string_there_and_back():
    """Open strings 1 2 3 2 1, four quavers each."""
    passage = crossings()
    assert runs(passage) == [(1, 4), (2, 4), (3, 4), (2, 4), (1, 4)]
    assert set(pitches(passage)) == {"E4", "B3", "G3"}


def test_fewer_notes_each_time_through():
    """Four, two, one (a usual ladder of alternation drills); every way through begins a bar."""
    passage = crossings(strings=[1, 2], times=[4, 2, 1], and_back=False)
    assert runs(passage) == [(1, 4), (2, 4), (1, 2), (2, 2), (1, 1), (2, 1)]
    starts = [note.onset_quarters for note in passage.notes]
    assert (starts[8], starts[12]) == (4, 8)


def test_stopped_strings():
    """One fret for all, or one for each; fingers are left to the hand."""
    assert pitches(crossings(strings=[1, 2], frets=[5], times=1, and_back=False)) == ["A4", "E4"]
    assert pitches(crossings(strings=[2, 1], frets=[1, 0], times=1, and_back=False)) == ["C4", "E4"]
    assert {note.finger for note in crossings(frets=[5]).notes} == {None}


def test_index_and_middle_take_turns_unless_others_are_named():
    """Fingers i m are the usual alternation; an entry's own fingers win."""
    kind = KINDS["string crossings"]
    plain = kind.model_validate({"id": "x", "kind": "string crossings", "right_hand": {"stroke": "rest"}}).right_hand
    assert ([f.value for f in plain.alternate], plain.stroke) == (["i", "m"], "rest")
    own = kind.model_validate({"id": "x", "kind": "string crossings", "right_hand": {"alternate": ["m", "a"]}})
    assert [finger.value for finger in own.right_hand.alternate] == ["m", "a"]


def test_frets_match_their_strings():
    """Two frets for three strings is a slip."""
    with pytest.raises(ValidationError, match="2 frets for 3 strings"):
        KINDS["string crossings"].model_validate({"id": "x", "kind": "string crossings", "frets": [1, 2]})
