"""Spelled pitches keep their letters, sound what they say, and come back from where they went."""

import pytest
from hypothesis import given

from engraver.errors import SpellingError
from engraver.theory.pitch import OCTAVE, Interval, PitchName, SpelledPitch, pitch_at_or_above
from tests import strategies


@pytest.mark.parametrize(
    ("text", "signs"),
    [("E flat", "Eb"), ("Eb", "Eb"), ("E♭", "Eb"), ("f sharp", "F#"), ("F double sharp", "F##"), ("Fx", "F##"),
     ("B double-flat", "Bbb"), ("G", "G"), ("C♯", "C#"), ("b", "B"), ("bb", "Bb")],
)  # fmt: skip
def test_names_are_read_as_people_write_them(text, signs):
    """Letter, then flat or sharp in words or signs."""
    assert str(PitchName.parse(text)) == signs


@pytest.mark.parametrize("text", ["H", "", "E flatt", "F###", "8", "A minor", "Ebb sharp"])
def test_what_is_no_note_name_is_refused(text):
    """German H, empty text, triple sharps and the like name no note here."""
    with pytest.raises(SpellingError, match="not a note name"):
        PitchName.parse(text)


@pytest.mark.parametrize(("text", "midi"), [("E2", 40), ("C4", 60), ("B#3", 60), ("Cb4", 59), ("A4", 69), ("F##5", 79)])
def test_octaves_follow_scientific_pitch_notation(text, midi):
    """C4 is MIDI 60 and the octave belongs to the letter. Source: scientific pitch notation; MIDI 1.0 (60 = middle C)."""
    assert SpelledPitch.parse(text).sounding_midi == midi


def test_the_line_of_fifths_runs_from_f_flat_to_b_sharp():
    """Each step up the line is a perfect fifth (common ground of theory)."""
    line = "Fb Cb Gb Db Ab Eb Bb F C G D A E B F# C# G# D# A# E# B#".split()
    assert [PitchName.parse(name).fifths for name in line] == list(range(-8, 13))


@given(strategies.pitches, strategies.intervals)
def test_up_an_interval_and_down_again_returns_the_spelling(pitch, interval):
    """No respelling on the way."""
    assert pitch.up(interval).up(-interval) == pitch


@given(strategies.pitches, strategies.intervals)
def test_an_interval_crosses_its_letters_and_semitones(pitch, interval):
    """The letter distance and the sounding distance are both those of the interval."""
    higher = pitch.up(interval)
    assert pitch.interval_to(higher) == interval
    assert higher.sounding_midi - pitch.sounding_midi == interval.semitones
    assert higher.letter_index - pitch.letter_index == interval.letter_steps


@given(strategies.names)
def test_a_name_read_back_is_the_same_name(name):
    """Signs and words both lead back."""
    assert PitchName.parse(str(name)) == name
    assert PitchName.parse(name.words) == name


@given(strategies.pitches)
def test_the_nearest_pitch_above_is_within_an_octave(pitch):
    """It never lies below, and one octave less would."""
    found = pitch_at_or_above(pitch.name, pitch.sounding_midi)
    assert found == pitch
    assert found.up(-OCTAVE).sounding_midi < pitch.sounding_midi


def test_intervals_add_up():
    """A major and a minor third make a perfect fifth (two letters and two letters, four and three semitones)."""
    assert Interval(2, 4) + Interval(2, 3) == Interval(4, 7)
    assert Interval(4, 7).fifths == 1
    assert Interval(2, 3).fifths == -3
