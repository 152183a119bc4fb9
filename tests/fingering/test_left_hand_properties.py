"""Whatever is asked within the neck, the hand can do what comes out; outside it, the error names the note."""

from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from engraver.errors import OutOfRange, Unplayable
from engraver.fingering.fingered import FingeredPassage
from engraver.fingering.left_hand import finger_left_hand
from engraver.fretboard.limits import LeftHandLimits, OpenStrings
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.passage import Note, Passage
from engraver.theory.pitch import PitchName, SpelledPitch
from engraver.theory.rhythm import Metre
from tests.fingering.left_hand_helpers import GUITAR, PLAYER, STANDARD
from tests.fingering.playable import faults

SHARPS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


def pitch(midi: int) -> SpelledPitch:
    return SpelledPitch(PitchName.parse(SHARPS[midi % 12]), midi // 12 - 1)


def sequence(midis: list[list[int]], lengths: list[int] | None = None) -> Passage:
    """Events one quaver apart; lengths in quavers, so that notes may overlap."""
    half = Fraction(1, 2)
    notes = [
        Note(pitch(m), number * half, half * (lengths[number % len(lengths)] if lengths else 1))
        for number, chord in enumerate(midis)
        for m in sorted(set(chord))
    ]
    return Passage(tuple(notes), 0, Metre(4, 4))


def attempt(line: Passage, guitar: Instrument) -> tuple[FingeredPassage | None, str]:
    """The fingering, or the message of its refusal."""
    try:
        return finger_left_hand(line, guitar, PLAYER, LeftHandLimits()), ""
    except Unplayable as error:
        return None, error.message


single = st.lists(st.integers(40, 83).map(lambda m: [m]), min_size=1, max_size=24)
chords = st.lists(st.lists(st.integers(40, 76), min_size=1, max_size=4), min_size=1, max_size=8)
tunings = st.sampled_from(
    [
        ("E4", "B3", "G3", "D3", "A2", "E2"),
        ("E4", "B3", "G3", "D3", "A2", "D2"),
        ("E4", "B3", "G3", "D3", "A2", "E2", "B1"),
        ("E4", "B3", "G3", "D3", "A2", "E2", "D2", "A1"),
    ]
)


@settings(max_examples=60, deadline=None)
@given(single, st.sampled_from(list(OpenStrings)))
def test_every_single_line_in_range_is_playable(midis: list[list[int]], policy: OpenStrings) -> None:
    """Any line of notes the neck has gets a place and a finger for each, under every open-string policy."""
    done = finger_left_hand(sequence(midis), GUITAR, PLAYER, LeftHandLimits(policy))
    assert faults(done, GUITAR, PLAYER) == []


@settings(max_examples=60, deadline=None)
@example([[46, 75], [51, 72, 73]], [1], 530.0)  # close frets high up once drew finger 3 six frets from finger 1
@given(chords, st.lists(st.integers(1, 6), min_size=1, max_size=4), st.sampled_from([530.0, 650.0]))
def test_chords_are_playable_or_refused_by_name(chord_midis: list[list[int]], lengths: list[int], mm: float) -> None:
    """Chords and overlapping notes are held within reach, or the first chord that cannot be is named."""
    guitar = Instrument(STANDARD, scale_length_mm=mm)
    line = sequence(chord_midis, lengths)
    done, error = attempt(line, guitar)
    if done is None:
        assert error.startswith("the chord ")
    else:
        assert faults(done, guitar, PLAYER) == []


@settings(max_examples=40, deadline=None)
@given(tunings, st.integers(0, 4), st.sampled_from([60.0, 80.0, 98.0, 120.0]), st.data())
def test_other_guitars_and_hands(names: tuple[str, ...], capo: int, reach: float, data: st.DataObject) -> None:
    """Seven and eight strings, a lowered sixth, a capo, small and large hands: every line in range is playable."""
    tuning = Tuning("asked", tuple(SpelledPitch.parse(n) for n in names))
    guitar, player = Instrument(tuning, capo=capo), Player(reach_mm=reach)
    midis = data.draw(
        st.lists(st.integers(int(guitar.lowest), int(guitar.highest)).map(lambda m: [m]), min_size=1, max_size=12)
    )
    done = finger_left_hand(sequence(midis), guitar, player, LeftHandLimits())
    assert faults(done, guitar, player) == []


@settings(max_examples=40, deadline=None)
@given(single, st.one_of(st.integers(24, 39), st.integers(84, 100)), st.integers(0, 24))
def test_a_note_outside_the_neck_is_named(midis: list[list[int]], wrong: int, where: int) -> None:
    """The error names the note by number, pitch and bar, and a remedy."""
    where = min(where, len(midis))
    line = sequence([*midis[:where], [wrong], *midis[where:]])
    with pytest.raises(OutOfRange) as caught:
        finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits())
    assert caught.value.message.startswith(f"note {where + 1} ({pitch(wrong)}) in bar {where // 8 + 1} lies ")
    assert "octave" in caught.value.hint


@settings(max_examples=30, deadline=None)
@given(single)
def test_the_same_passage_is_fingered_the_same_twice(midis: list[list[int]]) -> None:
    """Nothing but the passage and the wishes decides."""
    line = sequence(midis)
    assert finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits()) == finger_left_hand(
        line, GUITAR, PLAYER, LeftHandLimits()
    )


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(40, 83), min_size=2, max_size=16))
def test_there_and_back_is_a_mirror(midis: list[int]) -> None:
    """A line that turns and comes back the way it went keeps every place."""
    from dataclasses import replace

    both = [[m] for m in midis + midis[-2::-1]]
    line = replace(sequence(both), turn=len(midis) - 1)
    done = [(n.string, n.left_finger) for n in finger_left_hand(line, GUITAR, PLAYER, LeftHandLimits()).notes]
    assert done == done[::-1]
