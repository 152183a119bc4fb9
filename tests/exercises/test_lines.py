"""Scales and arpeggios: where they lie, how they turn, how they end."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engraver.errors import OutOfRange, SpellingError
from engraver.spec.house import InstrumentSpec
from engraver.theory.pitch import PitchName
from tests.exercises.entries import composed, pitches

SCALE = {"kind": "scale", "scale": "major", "tonics": ["G"]}


def test_a_scale_goes_up_and_comes_down_with_one_top_note():
    """G major, two octaves from the lowest G of the guitar, turning on note 15 (counted from 1)."""
    passage = composed({**SCALE, "octaves": 2})
    assert pitches(passage)[0] == pitches(passage)[-1] == "G2"
    assert pitches(passage)[14] == "G4"
    assert passage.turn == 14
    assert len(passage.notes) == 29


@pytest.mark.parametrize(("direction", "first", "last", "turn"), [
    ("up", "G2", "G3", None), ("down", "G3", "G2", None), ("up and down", "G2", "G2", 7), ("down and up", "G3", "G3", 7),
])  # fmt: skip
def test_directions(direction, first, last, turn):
    """Each direction begins and ends where it says."""
    passage = composed({**SCALE, "direction": direction})
    assert (pitches(passage)[0], pitches(passage)[-1], passage.turn) == (first, last, turn)


def test_a_finger_cannot_stop_a_string_below_its_own_number():
    """F with finger 2 on string 6 lies at fret 13, not at fret 1: position 0 does not exist (common practice)."""
    entry = {"kind": "scale", "scale": "major", "tonics": ["F"], "left_hand": {"start": {"string": 6, "finger": 2}}}
    assert pitches(composed(entry))[0] == "F3"


def test_avoided_open_strings_begin_on_a_stopped_note():
    """E major one octave from E3 (string 6, fret 12) where open strings are avoided, from open E2 where allowed."""
    assert pitches(composed({**SCALE, "tonics": ["E"], "left_hand": {"open_strings": "avoid"}}))[0] == "E3"
    assert pitches(composed({**SCALE, "tonics": ["E"]}))[0] == "E2"


def test_three_octaves_from_the_open_string_where_nothing_else_fits():
    """E2 to E5 needs the open sixth string; the policy gives way rather than the exercise (chosen by us)."""
    assert (
        pitches(composed({**SCALE, "tonics": ["E"], "octaves": 3, "left_hand": {"open_strings": "avoid"}}))[0] == "E2"
    )


@pytest.mark.parametrize(("entry", "message", "hint"), [
    ({**SCALE, "tonics": ["D2"]}, "D2 lies below the instrument, whose lowest note is E2", "write D3"),
    ({**SCALE, "tonics": ["C"], "octaves": 3}, "three octaves from C3 reach past the last fret (B5)", "write octaves: 2"),
    ({**SCALE, "tonics": ["G4"], "octaves": 2}, "two octaves from G4 reach past", "start from G2"),
])  # fmt: skip
def test_what_the_neck_does_not_hold_names_the_nearest_thing_it_does(entry, message, hint):
    """What is impossible, and the nearest that is possible."""
    with pytest.raises(OutOfRange) as caught:
        composed(entry)
    assert message in caught.value.message
    assert hint in caught.value.hint


def test_drop_d_reaches_the_low_d():
    """The same tonic is in range once the sixth string is lowered."""
    assert pitches(composed({**SCALE, "tonics": ["D"]}, {"tuning": "drop d"}))[0] == "D2"


def test_a_range_takes_the_notes_of_the_key_inside_it():
    """The natural notes of first position, E2 to G4: 17 of them (common practice of the methods)."""
    passage = composed({**SCALE, "tonics": ["C"], "range": ["E2", "G4"], "direction": "up"})
    assert len(passage.notes) == 17
    assert (pitches(passage)[0], pitches(passage)[-1]) == ("E2", "G4")


@pytest.mark.parametrize(("inversion", "expected"), [
    (0, ["C3", "E3", "G3", "C4"]), (1, ["E2", "G2", "C3", "E3"]), (2, ["G2", "C3", "E3", "G3"]),
])  # fmt: skip
def test_inversions_begin_on_the_third_and_the_fifth(inversion, expected):
    """First inversion on the third, second on the fifth (common-practice harmony)."""
    entry = {"kind": "arpeggio", "chord": "major", "tonics": ["C"], "inversion": inversion, "direction": "up"}
    assert pitches(composed(entry)) == expected


def test_a_triad_has_no_third_inversion():
    """It has three notes."""
    with pytest.raises(SpellingError, match="no inversion 3"):
        composed({"kind": "arpeggio", "chord": "major", "tonics": ["C"], "inversion": 3})


def test_the_last_note_fills_its_bar_when_it_falls_on_a_beat():
    """Fifteen quavers in 4/4: the last begins on beat 4 of bar 2 and lasts one crotchet."""
    last = composed({**SCALE, "octaves": 1}).notes[-1]
    assert (last.onset_quarters, last.duration_quarters) == (Fraction(7), Fraction(1))


def test_the_last_note_keeps_its_length_off_the_beat():
    """Eight quavers end on the second half of beat 4."""
    assert composed({**SCALE, "direction": "up"}).notes[-1].duration_quarters == Fraction(1, 2)


@given(st.sampled_from(["standard", "drop d"]), st.integers(1, 3), st.integers(-7, 7), st.booleans())
def test_every_composed_note_lies_on_the_instrument(tuning, octaves, fifths, avoid):
    """Either the line fits the neck or the program says so."""
    instrument = InstrumentSpec(tuning=tuning).instrument()
    entry = {**SCALE, "tonics": [str(PitchName(fifths))], "octaves": octaves}
    if avoid:
        entry["left_hand"] = {"open_strings": "avoid"}
    try:
        notes = composed(entry, {"tuning": tuning}).notes
    except OutOfRange:
        return
    assert all(instrument.lowest <= note.pitch.sounding_midi <= instrument.highest for note in notes)
    assert len({note.pitch.name.letter for note in notes}) == 7
