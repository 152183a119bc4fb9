"""Remedies for awkward crossings. Source: a published teaching article names first finger, left hand and slur."""

from engraver.fingering.crossings import awkward_crossings
from engraver.fingering.plucking_remedies import RemedyKind, remedies
from engraver.fingering.right_hand import pluck
from engraver.fretboard.limits import RightHandPlan
from engraver.theory.passage import PluckingFinger
from tests.fingering.plucking_lines import letters, line

INDEX_MIDDLE = (PluckingFinger.INDEX, PluckingFinger.MIDDLE)
FROM_INDEX = RightHandPlan(alternate=INDEX_MIDDLE, start=PluckingFinger.INDEX)
FREE = RightHandPlan(alternate=INDEX_MIDDLE)


def test_another_first_finger_is_offered_where_the_book_fixed_a_worse_one() -> None:
    """C major begun with i has two awkward crossings, begun with m one."""
    plucked = pluck(line("5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1"), FROM_INDEX)
    first = next(each for each in remedies(plucked, FROM_INDEX) if each.kind is RemedyKind.FIRST_FINGER)
    assert first.words == "begin with m: 1 fewer awkward crossing, 1 left"
    assert letters(first.passage) == "mimimimi"


def test_a_slur_takes_the_last_awkward_crossing_away() -> None:
    """Two, three and two notes to a string hop once whichever finger begins; with one slur the count is even."""
    plucked = pluck(line("4/2 4/3 3/0 3/2 3/4 2/0 2/1"), FREE)
    assert len(awkward_crossings(plucked)) == 1
    slurs = [each for each in remedies(plucked, FREE) if each.kind is RemedyKind.SLUR]
    assert [each.awkward for each in slurs][:1] == [0]
    best = slurs[0]
    assert best.note is not None
    assert letters(best.passage)[best.note] == "."
    assert best.words.startswith(f"slur into note {best.note + 1} (")


def test_another_string_is_offered_from_the_alternatives_of_the_fretting_hand() -> None:
    """Six notes from G, two to three strings, hop once whichever finger begins; with B on string 3 none is left."""
    open_string, stopped = "3/0 3/2 2/0 2/1 2/3 1/0", "3/0 3/2 3/4 2/1 2/3 1/0"
    plucked = pluck(line(open_string), FREE)
    assert len(awkward_crossings(plucked)) == 1
    offered = remedies(plucked, FREE, (line(open_string), line(stopped)))
    found = [each for each in offered if each.kind is RemedyKind.LEFT_HAND]
    assert [(each.alternative, each.note, each.awkward) for each in found] == [(2, 2, 0)]
    assert found[0].words == "play note 3 (B3) on string 3: 1 fewer awkward crossing, 0 left"


def test_a_passage_without_awkward_crossings_needs_no_remedy() -> None:
    """Nothing is offered where nothing is wrong."""
    assert remedies(pluck(line("3/0 3/2 2/0 2/1"), FREE), FREE) == ()


def test_every_remedy_leaves_fewer_awkward_crossings_than_before() -> None:
    """What is promised is what the changed passage counts."""
    plucked = pluck(line("6/0 6/1 6/3 5/0 5/2 5/3 4/0 4/2 4/3 3/0 3/2 2/0 2/1 2/3 1/0 1/1 1/3"), FREE)
    offered = remedies(plucked, FREE)
    assert offered
    for each in offered:
        assert len(awkward_crossings(each.passage)) == each.awkward == len(awkward_crossings(plucked)) - each.removed
        assert each.removed > 0
