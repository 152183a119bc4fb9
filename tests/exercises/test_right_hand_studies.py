"""Right-hand studies: every letter falls on the string the formula means, the chord stays under the hand."""

from fractions import Fraction

import pytest

from engraver.errors import EngraverError
from tests.exercises.entries import composed, pitches

PIMA = {"kind": "right hand", "rhythm": "semiquavers", "right_hand": {"formula": ["p", "i", "m", "a"]}}


def strokes(passage):
    return [(note.plucking.value, note.string) for note in passage.notes]


def test_the_frame_of_c_g7_c_in_three_bars_and_a_chord():
    """Thumb on the bass, i m a on strings 3 2 1, a chord a bar. Source: the frame of Giuliani, Op. 1, part 1 (1812)."""
    passage = composed(PIMA)
    assert strokes(passage)[:4] == [("p", 5), ("i", 3), ("m", 2), ("a", 1)]
    assert pitches(passage)[:4] == ["C3", "G3", "C4", "E4"]
    assert strokes(passage)[16:20] == [("p", 6), ("i", 3), ("m", 2), ("a", 1)]
    assert pitches(passage)[16:20] == ["G2", "G3", "B3", "F4"]
    assert passage.notes[-1].onset_quarters == 12


def test_basses_last_until_the_thumb_plays_again():
    """The thumb's note is a crotchet under each group of four semiquavers, in a voice of its own."""
    basses = [note for note in composed(PIMA).notes if note.plucking == "p"]
    assert {note.voice for note in basses} == {2}
    assert {note.duration_quarters for note in basses[:-1]} == {Fraction(1)}


def test_thumb_strokes_in_a_row_walk_up_the_basses():
    """The pattern p p i m on C: strings 5, 4, then 3, 2 (common practice of the methods, from memory)."""
    entry = {**PIMA, "right_hand": {"formula": ["p", "p", "i", "m"]}}
    assert [string for _, string in strokes(composed(entry))[:4]] == [5, 4, 3, 2]


def test_a_thumb_inside_a_triplet_plays_among_the_fingers():
    """On Bm, p p i m i p a m i has a bass of three crotchets below and three whole triplets above, p on a string of its own.

    Source: Carcassi, Op. 59, prelude in B minor, is written so.
    """
    formula = {"formula": ["p", "p", "i", "m", "i", "p", "a", "m", "i"]}
    entry = {**PIMA, "metre": "3/4", "rhythm": "triplets", "progression": ["Bm"], "right_hand": formula}
    notes = composed(entry).notes[:9]
    assert [(note.voice, note.duration_quarters) for note in notes] == [(2, 3), *[(1, Fraction(1, 3))] * 8]
    thumbs = [note.string for note in notes if note.plucking == "p"]
    assert thumbs[1] == thumbs[2] < thumbs[0]


def test_the_little_finger_takes_the_first_string_when_it_plays():
    """With c in the formula, i m a c lie on strings 4 3 2 1 of a six-string chord (chosen by us)."""
    entry = {
        **PIMA,
        "progression": ["Em"],
        "rhythm": "quavers",
        "metre": "5/8",
        "right_hand": {"formula": ["p", "i", "m", "a", "c"]},
    }
    assert strokes(composed(entry))[:5] == [("p", 6), ("i", 4), ("m", 3), ("a", 2), ("c", 1)]


def test_two_fingers_together_make_a_pair():
    """`im` plucks strings 3 and 2 at once."""
    entry = {**PIMA, "rhythm": "quavers", "right_hand": {"formula": ["p", "im"]}}
    first = composed(entry)
    assert [note.onset_quarters for note in first.notes[:3]] == [0, Fraction(1, 2), Fraction(1, 2)]


def test_the_book_may_choose_the_strings():
    """`strings_of: {i: 2, m: 1}` for patterns of three."""
    entry = {**PIMA, "rhythm": "triplets", "strings_of": {"i": 2, "m": 1}, "right_hand": {"formula": ["p", "i", "m"]}}
    assert strokes(composed(entry))[:3] == [("p", 5), ("i", 2), ("m", 1)]


def test_a_formula_that_does_not_fill_the_bar_says_so():
    """Six strokes do not divide sixteen semiquavers."""
    entry = {**PIMA, "right_hand": {"formula": ["p", "i", "m", "a", "m", "i"]}}
    with pytest.raises(EngraverError, match="6 strokes, a bar of 4/4 holds 16") as caught:
        composed(entry)
    assert "multiple of 6 notes a bar, such as 'rhythm: sextuplets'" in caught.value.hint
    assert composed({**entry, "rhythm": "sextuplets"})


@pytest.mark.parametrize(
    ("formula", "more", "metre"),
    [
        ("p i m", {}, "6/8"),
        ("p i m a m i", {}, "6/8"),
        ("p i m a m i p i m", {}, "9/8"),
        ("p i m a", {}, "4/4"),
        ("p i m a m i", {"metre": "3/4"}, "3/4"),
        ("p i m", {"rhythm": "triplets"}, "4/4"),
    ],
)
def test_a_formula_in_threes_has_a_metre_in_threes(formula, more, metre):
    """What the entry says of metre or rhythm wins; otherwise a bar holds the formula whole (common practice)."""
    passage = composed({"kind": "right hand", "right_hand": {"formula": formula.split()}, **more})
    assert str(passage.metre) == metre


@pytest.mark.parametrize(
    "symbol",
    ["C", "G7", "Am", "F#", "B flat", "C#m", "E flat7", "Bm", "Ebmaj7", "Fm7", "Adim7", "G#m7b5", "Caug", "Bdim"],
)
def test_every_chord_of_a_grip_belongs_to_its_symbol(symbol):
    """All strings sound notes of the chord, the bass sounds its root (open and movable grips, common practice)."""
    from engraver.theory.chord import chord, parse_chord

    passage = composed({**PIMA, "progression": [symbol], "key": "C"})
    root, quality = parse_chord(symbol)
    tones = {name for name in chord(quality, root).names}
    assert {note.pitch.name for note in passage.notes} <= tones
    assert passage.notes[0].pitch.name == root
