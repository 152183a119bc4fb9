"""MIDI: what a play-along file sounds like, read back with mido and compared with music21's ear."""

from dataclasses import replace
from fractions import Fraction

import pytest

from engraver.outputs.midi import midi
from engraver.outputs.musicxml import musicxml
from engraver.score.model import Barline
from engraver.theory.passage import Dynamic
from engraver.theory.rhythm import TempoRange
from tests.outputs import score_samples as samples
from tests.outputs.midi_reading import read_midi
from tests.outputs.musicxml_reading import music21_notes, sound_of


@pytest.mark.parametrize("name", samples.SAMPLES)
def test_midi_and_musicxml_sound_alike(name: str) -> None:
    """Two files of one score, read by two libraries, are the same music."""
    score = samples.SAMPLES[name]
    assert sound_of(read_midi(midi(score)).notes) == sound_of(music21_notes(musicxml(score, name)))


@pytest.mark.parametrize("name", samples.SAMPLES)
def test_the_file_ends_with_its_last_bar(name: str) -> None:
    """The end of the track is a bar line, also after a rest."""
    last = {
        "triplets": 4,
        "sextuplets": 2,
        "repeats": 20,
        "upbeat": 5,
        "rest_bar": 6,
        "slurred_thirds": 3,
        "compound": 3,
    }
    once = {"drop_d", "flat_tuning", "staff_only_drop_d", "chords", "double_signs", "unison"}
    four = name in once or name.startswith("key")
    assert read_midi(midi(samples.SAMPLES[name])).end == last.get(name, 4 if four else 8)


def test_a_scale_sounds_where_the_guitar_sounds() -> None:
    """C3 is 48: the sounding octave, not the written one."""
    assert [number for _, _, number in read_midi(midi(samples.one_line())).notes[:4]] == [48, 50, 52, 53]


def test_the_capo_raises_the_sound() -> None:
    """A capo at the third fret sounds three semitones higher."""
    assert [number for _, _, number in read_midi(midi(samples.capo())).notes[:4]] == [51, 53, 55, 56]


def test_the_instrument_is_a_nylon_guitar() -> None:
    """General MIDI program 24, counted from 0, set once."""
    assert read_midi(midi(samples.two_voices())).programs == [24]


def test_every_note_is_as_loud_as_the_next() -> None:
    """Evenness: no accents in the file where the score has no sign of loudness."""
    assert read_midi(midi(samples.two_voices())).velocities == {80}


def test_signs_of_loudness_are_heard() -> None:
    """A lasting sign holds for both voices until the next; sforzando stresses its own notes; fortepiano drops at once."""
    strikes = read_midi(midi(samples.loudness())).strikes
    assert strikes == [(0, 49), (1, 112), (2, 96), (2, 96), (3, 96), (6, 49)]


def test_softer_signs_sound_softer() -> None:
    """From ppp to fff every step is louder than the last, within what MIDI can say."""
    signs = ["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"]
    first = samples.one_line().measures[0]
    heard = []
    for sign in signs:
        head, *rest = first.voices[0].elements
        voice = replace(first.voices[0], elements=(replace(head, dynamic=Dynamic(sign)), *rest))
        score = replace(samples.one_line(), measures=(replace(first, voices=(voice,)),))
        heard.append(read_midi(midi(score)).strikes[-1][1])
    assert heard == sorted(set(heard))
    assert 0 < heard[0] <= heard[-1] < 128


def test_the_tempo_is_the_slowest() -> None:
    """Sixty quarters a minute are a second each; 63 dotted quarters a minute make a quarter of 634921 microseconds."""
    assert read_midi(midi(samples.one_line())).tempos == [1_000_000]
    assert read_midi(midi(samples.compound())).tempos == [634_921]


def test_a_minim_beat_is_twice_as_fast_in_quarters() -> None:
    """Fifty half notes a minute are a hundred quarters."""
    score = replace(samples.one_line(), tempo=TempoRange(50, 80, Fraction(2)))
    assert read_midi(midi(score)).tempos == [600_000]


def test_no_tempo_is_left_unsaid() -> None:
    """Without a tempo in the book the file sets none."""
    assert read_midi(midi(samples.two_voices())).tempos == []


def test_metre_and_key_are_told() -> None:
    """Six-eight as such; seven flats is C flat major, seven sharps C sharp major."""
    assert read_midi(midi(samples.compound())).metres == [(6, 8)]
    assert read_midi(midi(samples.in_key(-7))).keys == ["Cb"]
    assert read_midi(midi(samples.in_key(7))).keys == ["C#"]
    assert read_midi(midi(samples.in_key(-3))).keys == ["Eb"]


def test_tied_notes_are_one_note() -> None:
    """Three quarters, one and two make six."""
    assert read_midi(midi(samples.tie_over_bar())).notes == [(0, 1, 52), (1, 6, 55)]


def test_triplets_fall_on_exact_ticks() -> None:
    """A triplet quaver lasts a third of a quarter, exactly."""
    assert read_midi(midi(samples.triplets())).notes[:2] == [
        (0, Fraction(1, 3), 48),
        (Fraction(1, 3), Fraction(1, 3), 50),
    ]


def test_repeats_are_played_out() -> None:
    """The repeated bars come twice, the bar before them once."""
    assert read_midi(midi(samples.repeats())).notes == [(0, 4, 48), (4, 4, 50), (8, 4, 52), (12, 4, 50), (16, 4, 52)]


def test_a_repeat_without_a_beginning_starts_at_the_first_bar() -> None:
    """A closing repeat sign alone sends the player back to the start."""
    first, second = samples.one_line().measures
    score = replace(samples.one_line(), measures=(first, replace(second, barline=Barline.REPEAT_END)))
    assert read_midi(midi(score)).end == 16


def test_a_unison_is_struck_again_and_held_on() -> None:
    """B held in the bass and struck in the melody: the stroke is heard, and the longer note decides the end."""
    notes = [note for note in read_midi(midi(samples.unison())).notes if note[2] == 59]
    assert notes == [(0, 1, 59), (1, 3, 59)]


def test_the_same_score_gives_the_same_bytes() -> None:
    """No clock and no chance in the file."""
    assert midi(samples.two_voices()) == midi(samples.two_voices())
