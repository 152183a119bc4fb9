"""Bars are full, notes keep their length, beams follow the metre, marks follow the rule."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engraver.fingering.fingered import FingeredNote, FingeredPassage
from engraver.fretboard.tuning import Instrument
from engraver.score.marks import MarkStyle, choose_marks
from engraver.score.model import Barline, Notation, NoteValue
from engraver.score.notate import notate
from engraver.score.values import written_rests, written_values
from engraver.spec.house import InstrumentSpec
from engraver.theory.passage import Note, Passage, PluckingFinger
from engraver.theory.pitch import SpelledPitch
from engraver.theory.rhythm import Metre

GUITAR: Instrument = InstrumentSpec().instrument()
METRES = [
    Metre(4, 4),
    Metre(3, 4),
    Metre(2, 4),
    Metre(6, 8),
    Metre(9, 8),
    Metre(12, 8),
    Metre(2, 2),
    Metre(5, 4),
    Metre(3, 8),
]


def fingered(rows, metre=Metre(4, 4), key=0, turn=None, repeated=False):  # noqa: B008 - Metre is frozen
    """Rows of (pitch, duration, string, fret, finger, position, letter) laid one after the other."""
    onset, notes = Fraction(0), []
    for pitch, duration, string, fret, finger, position, letter in rows:
        note = Note(SpelledPitch.parse(pitch), onset, Fraction(duration))
        notes.append(FingeredNote(note, string, fret, finger, position, PluckingFinger(letter) if letter else None))
        onset += Fraction(duration)
    passage = Passage(tuple(n.note for n in notes), key, metre, turn=turn, repeated=repeated)
    return FingeredPassage(passage, tuple(notes))


def simple(pitches, duration="1/2", **more):
    """Notes on whichever place; for tests that look at time and signs only."""
    return fingered([(pitch, duration, 1, 1, 1, 1, "i") for pitch in pitches], **more)


def score_of(done, **style):
    return notate(done, GUITAR, Notation.BOTH, MarkStyle(**style))


lengths = st.sampled_from(["1/4", "1/2", "3/4", "1", "3/2", "2", "5/2", "3", "4", "7/2"])


@given(st.lists(lengths, min_size=1, max_size=12), st.sampled_from(METRES))
def test_every_bar_is_full_and_no_note_changes_its_length(durations, metre):
    """Values with their ties add up to the note; values and rests add up to the bar."""
    score = score_of(fingered([("E4", d, 1, 0, 0, 1, "i") for d in durations], metre))
    for measure in score.measures:
        for voice in measure.voices:
            assert sum((e.value.quarters for e in voice.elements), Fraction(0)) == metre.bar_quarters
    sounding, current = [], Fraction(0)
    for element in score.elements:
        if not element.is_rest:
            current += element.value.quarters
            if not element.notes[0].tie_start:
                sounding.append(current)
                current = Fraction(0)
    assert sounding == [Fraction(d) for d in durations]


@given(st.sampled_from(METRES), st.integers(0, 23), st.integers(1, 24))
def test_rests_fill_exactly_and_never_cross_the_bar(metre, start, length):
    """Semiquaver grid: the rests add up to the gap."""
    onset = Fraction(start, 4) % metre.bar_quarters
    gap = min(Fraction(length, 4), metre.bar_quarters - onset)
    assert sum(value.quarters for value in written_rests(onset, gap, metre)) == gap


@pytest.mark.parametrize(("onset", "length", "metre", "written"), [
    ("0", "4", Metre(4, 4), [(1, 0)]), ("0", "3", Metre(4, 4), [(2, 1)]), ("1/2", "1", Metre(4, 4), [(4, 0)]),
    ("1/2", "3/2", Metre(4, 4), [(8, 0), (4, 0)]), ("0", "3", Metre(6, 8), [(2, 1)]), ("0", "5/2", Metre(4, 4), [(2, 0), (8, 0)]),
    ("1", "2", Metre(6, 8), [(8, 0), (4, 1)]),
])  # fmt: skip
def test_values_keep_the_beat_visible(onset, length, metre, written):
    """Off-beat notes are split where they cross a beat, but for the plain syncopation (engraving handbooks, from memory)."""
    values = written_values(Fraction(onset), Fraction(length), metre)
    assert [(value.base, value.dots) for value in values] == written


def beams(score, bar=0):
    return "".join(
        {"none": ".", "begin": "(", "continue": "-", "end": ")"}[e.beam.value]
        for e in score.measures[bar].voices[0].elements
    )


@pytest.mark.parametrize(("metre", "duration", "count", "expected"), [
    (Metre(4, 4), "1/2", 8, "(--)(--)"), (Metre(3, 4), "1/2", 6, "(----)"), (Metre(2, 4), "1/2", 4, "(--)"),
    (Metre(6, 8), "1/2", 6, "(-)(-)"), (Metre(4, 4), "1/4", 16, "(--)" * 4), (Metre(4, 4), "1/3", 12, "(-)" * 4),
    (Metre(4, 4), "1/6", 24, "(----)" * 4), (Metre(6, 8), "1/4", 12, "(----)" * 2), (Metre(4, 4), "1", 4, "...."),
])  # fmt: skip
def test_beams_follow_the_metre(metre, duration, count, expected):
    """Quavers by the half bar in 4/4 and the whole bar in 3/4, shorter notes by the beat (engraving handbooks, from memory)."""
    assert beams(score_of(simple(["E4"] * count, duration, metre=metre))) == expected


def test_a_rest_breaks_a_beam():
    """Five quavers in 4/4: four together, one alone, then a quaver rest and a minim's worth of rests."""
    score = score_of(simple(["E4"] * 5))
    assert beams(score)[:5] == "(--)."
    rests = [element.value for element in score.elements if element.is_rest]
    assert rests == [NoteValue(8), NoteValue(4)]


def test_triplets_and_sextuplets_are_grouped_by_the_beat():
    """Three in the time of two; six semiquavers in the time of four."""
    triplet = score_of(simple(["E4"] * 12, "1/3")).elements
    assert {e.value for e in triplet} == {NoteValue(8, 0, 3, 2)}
    assert [e.tuplet_start for e in triplet] == [True, False, False] * 4
    sextuplet = score_of(simple(["E4"] * 24, "1/6")).elements
    assert {e.value for e in sextuplet} == {NoteValue(16, 0, 6, 4)}
    assert [e.tuplet_stop for e in sextuplet] == ([False] * 5 + [True]) * 4


def signs(score):
    return [("(" if n.cautionary else "") + ("!" if n.accidental else "-") for e in score.elements for n in e.notes]


def test_a_sign_holds_to_the_barline_in_its_own_octave():
    """F sharp in C major: shown once, again in another octave and after the barline (common-practice rule)."""
    score = score_of(simple(["F#4", "F#4", "F#5", "E4", "F#4", "E4", "E4", "E4", "F#4"]))
    assert signs(score) == ["!", "-", "!", "-", "-", "-", "-", "-", "!"]


def test_signature_notes_need_no_sign_and_naturals_do():
    """In D major F sharp is in the signature, F natural is shown, F sharp after it again."""
    assert signs(score_of(simple(["F#4", "F4", "F#4"], key=2))) == ["-", "!", "!"]


def test_a_reminder_stands_once_in_the_bar_after_a_sign():
    """C sharp in bar 1, C natural in bar 2: a sign in parentheses, once (chosen by us)."""
    score = score_of(
        simple(["C#4", "E4", "E4", "E4", "E4", "E4", "E4", "E4", "C4", "C4", "E4", "E4", "E4", "E4", "E4", "E4", "C4"])
    )
    assert signs(score)[8] == "(!"
    assert signs(score)[9] == "-"
    assert signs(score)[16] == "-"


def test_the_last_bar_closes_the_piece():
    """A final barline, or repeat signs around a repeated passage."""
    plain, again = score_of(simple(["E4"] * 9)), score_of(simple(["E4"] * 9, repeated=True))
    assert [m.barline for m in plain.measures] == [Barline.PLAIN, Barline.FINAL]
    assert [m.barline for m in again.measures] == [Barline.PLAIN, Barline.REPEAT_END]
    assert again.measures[0].repeat_start
    assert not plain.measures[0].repeat_start


G_SCALE = [
    ("G2", "1/2", 6, 3, 2, 2, "i"), ("A2", "1/2", 6, 5, 4, 2, "m"), ("B2", "1/2", 5, 2, 1, 2, "i"), ("C3", "1/2", 5, 3, 2, 2, "m"),
    ("D3", "1/2", 5, 5, 4, 2, "i"), ("E3", "1/2", 4, 2, 1, 2, "m"), ("D3", "1/2", 5, 5, 4, 2, "i"), ("C3", "1/2", 5, 3, 2, 2, "m"),
]  # fmt: skip


def test_digits_are_thinned_by_the_stated_rule():
    """First notes of strings carry a digit; implied ones and those that return to the same place do not."""
    marks = choose_marks(fingered(G_SCALE), MarkStyle())
    assert sorted(marks.fingers) == [0, 2, 5]
    assert sorted(marks.strings) == [0, 2, 5, 6]
    assert sorted(marks.positions) == [0]


def test_the_thinned_digits_can_be_inverted():
    """A reader who knows string, fret and position gets every finger back from the printed ones."""
    done = fingered(G_SCALE)
    shown = choose_marks(done, MarkStyle()).fingers
    last, previous = {}, None
    for index, note in enumerate(done.notes):
        if index in shown:
            finger = note.left_finger
        elif last.get(note.string, (None,))[0] == note.fret:
            finger = last[note.string][1]
        else:
            assert previous is not None
            assert previous.string == note.string
            finger = note.fret - note.position + 1
        assert finger == note.left_finger
        last[note.string] = (note.fret, finger)
        previous = note


def test_all_and_none_print_all_and_none():
    """The settings of beginners' and bare editions."""
    everything = choose_marks(fingered(G_SCALE), MarkStyle("all", "all", "all"))
    nothing = choose_marks(fingered(G_SCALE), MarkStyle("none", "none", "none", positions=False))
    assert everything.fingers == everything.strings == everything.plucking == frozenset(range(8))
    assert nothing.fingers | nothing.strings | nothing.plucking | nothing.positions == frozenset()


def test_letters_stand_first_and_at_the_turn():
    """Two letters begin a pattern of two; two more stand where the line turns."""
    marks = choose_marks(fingered(G_SCALE, turn=5), MarkStyle())
    assert sorted(marks.plucking) == [0, 1, 5, 6]


def test_a_broken_alternation_is_printed():
    """Where the pattern stumbles the letter stands, or the reader would play on."""
    rows = [
        (p, d, s, f, lf, pos, "i" if k in (0, 2, 4, 5) else "m") for k, (p, d, s, f, lf, pos, _) in enumerate(G_SCALE)
    ]
    assert 5 in choose_marks(fingered(rows), MarkStyle()).plucking
