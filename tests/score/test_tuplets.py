"""Which tuplets print their number: one a beat, and none where the pattern goes on."""

from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest
from lxml import etree

from engraver.outputs.musicxml import musicxml
from tests.books.building import draft_text

BOOK = "title: T\nchapters:\n  - title: C\n    exercises:\n      - {{id: x, {entry}}}\n"


@cache
def scored(entry):
    (draft,) = draft_text(Path(mkdtemp(prefix="engraver-test-")), BOOK.format(entry=entry))
    return draft.score


def numbers(entry, voice=1):
    """For each measure the tuplets of a voice: their number, or - where none is printed."""
    return [
        "".join(
            str(element.value.actual) if element.show_tuplet else "-"
            for part in measure.voices
            if part.number == voice
            for element in part.elements
            if element.tuplet_start
        )
        for measure in scored(entry).measures
    ]


def written(upper, lower=None, metre="3/4"):
    notes = f'{{upper: "{upper}", lower: "{lower}"}}' if lower else f'"{upper}"'
    return f"kind: excerpt, metre: {metre}, notes: {notes}"


def test_a_pattern_has_its_number_in_the_first_measure():
    """Thumb below, rest and two fingers above: a beam holds the fingers, so that later measures need no number."""
    entry = "kind: right hand, rhythm: triplets, right_hand: {formula: [p, i, m]}"
    assert numbers(entry) == ["3333", "----", "----", ""]


def test_one_number_a_beat():
    """Both voices have triplets in one beat: the upper one bears the number."""
    entry = written("E4 e3 F4 G4 E4 q E4", "C3 q3 D3 e3 C3 q D3")
    assert numbers(entry) == ["3"]
    assert numbers(entry, voice=2) == ["-"]


def test_a_pattern_of_nine_strokes_has_triplets_above_only():
    """Three thumb strokes among nine: the one on the beat is a bass of the whole bar, the others are among the fingers'."""
    entry = "kind: right hand, metre: 3/4, progression: [Bm, E7], rhythm: triplets, right_hand: {formula: [p, p, i, m, i, p, a, m, i]}"
    assert numbers(entry) == ["333", "---", ""]
    assert set("".join(numbers(entry, voice=2))) == set()


def test_a_lower_voice_alone_bears_its_own():
    """No tuplet sounds above it."""
    entry = written("E4 h.", "C3 e3 D3 E3 C3 q D3 q")
    assert numbers(entry, voice=2) == ["3"]


@pytest.mark.parametrize(
    ("second", "shown"),
    [
        ("E4 e3 F4 G4 E4 q E4", "-"),  # beamed
        ("E4 q3 F4 e3 G4 q E4", "3"),  # crotchet and quaver: no beam holds them, and the rhythm is new
        ("E4 q3 F4 e3 E4 e3 F4 G4 E4 q", "3-"),
    ],
)
def test_a_group_that_no_beam_holds_keeps_its_number(second, shown):
    """Where the rhythm is not that of the measure before."""
    assert numbers(written(f"E4 e3 F4 G4 E4 q E4 | {second}"))[1] == shown


def test_the_same_rhythm_needs_no_number_again():
    """A measure of crotchet and quaver like the one before."""
    assert numbers(written("E4 q3 F4 e3 G4 q E4 | E4 q3 F4 e3 G4 q E4")) == ["3", "-"]


def test_a_beat_filled_by_sixths_is_a_sextuplet():
    """Five or six parts of a beat are one six, not a three of semiquavers; three remain a triplet."""
    fingers = "kind: right hand, rhythm: sextuplets, right_hand: {formula: [p, i, m, a, m, i]}"
    assert numbers(fingers)[0] == "6666"
    assert numbers(written("E4 e3 F4 G4 E4 h"))[0] == "3"


def test_musicxml_hides_the_same_numbers():
    """Attribute show-number of the tuplet element, and no bracket (MusicXML 4.0)."""
    score = scored("kind: right hand, rhythm: triplets, right_hand: {formula: [p, i, m]}")
    starts = etree.fromstring(musicxml(score, "x")).findall(".//tuplet[@type='start']")
    told = [(start.get("show-number"), start.get("bracket")) for start in starts]
    assert told[:4] == [(None, "yes")] * 4
    assert set(told[4:]) == {("none", "no")}
