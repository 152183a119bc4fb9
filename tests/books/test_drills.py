"""Drills through the whole program: what the drill demands is what is fingered, notated and written."""

from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest

from engraver.outputs.musicxml import musicxml
from tests.books.building import draft_text
from tests.exercises.test_slurs import OPEN
from tests.outputs.musicxml_checks import check_musicxml
from tests.outputs.musicxml_reading import read_notes

ENTRIES = {
    "slurs": "kind: slurs, fingers: [1, 2]",
    "slurs down": "kind: slurs, fingers: [[0, 1], [0, 2]], manner: descending, strings: [1, 2, 3]",
    "triple": "kind: slurs, fingers: [1, 2, 4], manner: triple",
    "compound": "kind: slurs, fingers: [1, 3], manner: compound, and_back: true",
    "trill": "kind: slurs, fingers: [1, 2], manner: trill, key: D minor",
    "double slurs": "kind: slurs, fingers: [3, 1], lower: [4, 2], manner: descending",
    "orders": "kind: finger orders",
    "orders on strings": "kind: finger orders, orders: [[1, 2, 3, 4], [4, 3, 2, 1]], strings: [6, 5, 4, 3, 2, 1]",
    "orders across": "kind: finger orders, across: true",
    "held": "kind: finger orders, held: [1], strings: [1]",
    "held above": "kind: finger orders, held: [4, 3], strings: [3], held_string: [1, 2], position: 7",
    "tremolo": "kind: tremolo",
    "tremolo fast": "kind: tremolo, rhythm: demisemiquavers, metre: 2/4, progression: [Em, B7, Em]",
    "preparation": "kind: tremolo, formula: [p, i, p, i], rhythm: quavers",
    "shifts": "kind: shifts",
    "guide": "kind: shifts, fingers: [1, 4], guide: 4, strings: [1, 2]",
    "scale": "kind: shifts, scale: harmonic minor, tonics: [A], strings: [3]",
    "barre": "kind: barre, frets: [7, 5]",
    "partial": "kind: barre, manner: partial",
    "grip": "kind: barre, chord: minor, frets: [5, 3, 1]",
    "hinge": "kind: barre, manner: hinge",
    "crossings": "kind: string crossings, times: [4, 2, 1]",
    "crossings stopped": "kind: string crossings, frets: [5], rhythm: triplets, times: 3",
}  # fmt: skip
BOOK = "title: T\nchapters:\n  - title: C\n    exercises:\n      - {{id: x, {entry}}}\n"


@cache
def drafted(name):
    (draft,) = draft_text(Path(mkdtemp(prefix="engraver-test-")), BOOK.format(entry=ENTRIES[name]))
    return draft


def heads(name):
    """Every note of the score in order of time."""
    elements = sorted(drafted(name).score.elements, key=lambda element: element.onset_quarters)
    return [note for element in elements for note in element.notes]


@pytest.mark.parametrize("name", ENTRIES)
def test_every_kind_goes_through_and_is_valid_musicxml(name):
    """Schema, bars, ties, slurs with both ends, strings and frets that sound their pitch; nothing to warn of."""
    draft = drafted(name)
    assert check_musicxml(musicxml(draft.score, draft.plate.title)) == []
    assert draft.plate.warnings == ()
    assert all(OPEN[note.string] + note.fret == note.pitch.sounding_midi for note in heads(name))


@pytest.mark.parametrize(
    ("name", "under"), [("slurs", 2), ("slurs down", 2), ("triple", 3), ("compound", 3), ("trill", 8)]
)
def test_one_slur_from_the_plucked_note_to_the_last(name, under):
    """The curve begins at the plucked note and ends at the last slurred one; only the first has a letter; one string."""
    notes = heads(name)
    for first in range(0, len(notes), under):
        group = notes[first : first + under]
        assert [note.slur_start for note in group] == [True] + [False] * (under - 1)
        assert [note.slur_stop for note in group] == [False] * (under - 1) + [True]
        assert group[0].plucking is not None
        assert {note.plucking for note in group[1:]} == {None}
        assert len({note.string for note in group}) == 1


def test_double_slurs_keep_to_their_strings():
    """Both strings are plucked, then both pulled; each bears its own slur from start to stop."""
    for string in {note.string for note in heads("double slurs")}:
        line = [note for note in heads("double slurs") if note.string == string]
        assert {note.slur_start == (note.plucking is not None) for note in line} == {True}
    first = drafted("double slurs").score.elements[:2]
    assert [[n.slur_start for n in e.notes] for e in first] == [[True, True], [False, False]]
    assert [[n.slur_stop for n in e.notes] for e in first] == [[False, False], [True, True]]


def test_hammers_and_pulls_are_told_apart():
    """Under one compound slur: a hammer-on up, a pull-off down."""
    first = read_notes(musicxml(drafted("compound").score, "x"))[:3]
    assert "start" in first[0].types("notations/technical/hammer-on")
    assert "start" in first[1].types("notations/technical/pull-off")
    assert [note.types("notations/slur") for note in first] == [["start"], [], ["stop"]]


def test_the_fingers_are_those_of_the_drill():
    """All twenty-four orders, each twice a bar, come through the fingering unchanged."""
    fingers = [note.left_finger for note in heads("orders")]
    assert len(fingers) == 24 * 8
    assert fingers[:8] == [1, 2, 3, 4] * 2
    assert fingers[-8:] == [4, 3, 2, 1] * 2


def test_a_bar_prints_its_order_once():
    """Digits stand at the first four notes of each bar and not at their repetition."""
    shown = [note.show_finger for note in heads("orders")]
    assert shown == ([True] * 4 + [False] * 4) * 24


def test_a_book_may_pin_a_note_otherwise(tmp_path):
    """The teacher's pin wins over the drill."""
    entry = ENTRIES["shifts"] + ", left_hand: {pins: {2: {finger: 2}}}"
    (draft,) = draft_text(tmp_path, BOOK.format(entry=entry))
    fingers = [note.left_finger for element in draft.score.elements for note in element.notes]
    assert fingers[:3] == [1, 2, 1]


def test_a_barre_prints_its_sign_alone():
    """Six strings under finger 1: the sign tells fret, finger and strings, so no digit and no circle stands."""
    first = drafted("barre").score.elements[0]
    assert (first.barre.fret, first.barre.fraction, first.position) == (first.notes[0].fret, "", None)
    assert not any(note.show_finger or note.show_string for note in first.notes)


def test_the_fingers_of_a_grip_are_found_under_the_barre():
    """The A minor shape at fret 5: 1 on strings 6 3 2 1, 3 and 4 on strings 5 and 4 (common practice)."""
    chord = drafted("grip").score.elements[0].notes
    assert [(note.string, note.left_finger) for note in chord] == [(6, 1), (5, 3), (4, 4), (3, 1), (2, 1), (1, 1)]


def test_a_scale_on_one_string_stays_on_it():
    """The hand chooses fingers, not strings."""
    assert {note.string for note in heads("scale")} == {3}
