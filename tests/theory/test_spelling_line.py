"""Spelling one line in a known key."""

import pytest

from engraver.errors import SpellingError
from engraver.theory.pitch import SpelledPitch
from engraver.theory.spelling import spell_line


@pytest.mark.parametrize(
    ("written", "key_fifths", "is_minor"),
    [
        pytest.param("C4 C#4 D4 D#4 E4 F4 F#4 G4 G#4 A4 A#4 B4 C5", 0, False, id="rising chromatic scale has sharps"),
        pytest.param("C5 B4 Bb4 A4 Ab4 G4 F#4 F4 E4 Eb4 D4 Db4 C4", 0, False,
                     id="falling chromatic scale has flats, but the raised fourth"),
        pytest.param("A3 B3 C4 D4 E4 F#4 G#4 A4 G4 F4 E4 D4 C4 B3 A3", 0, True, id="melodic minor"),
        pytest.param("D#4 E#4 F#4 G#4 A#4 B4 C##5 D#5", 6, True, id="harmonic minor of six sharps"),
        pytest.param("E4 D#4 E4 F#4 E#4 F#4", 1, False, id="lower neighbours"),
        pytest.param("B3 D4 F4 Ab4 G4", -3, True, id="diminished seventh falls to the fifth of C minor"),
        pytest.param("Gb4 F4 Eb4 Db4 Cb4 Bb3 Ab3 Gb3", -6, False, id="G flat major has C flat"),
        pytest.param("B#3 C#4 D#4 E#4 F#4 G#4 A#4 B#4 C#5", 7, False, id="C sharp major has B sharp"),
    ],
)  # fmt: skip
def test_lines_get_the_names_of_the_methods(written, key_fifths, is_minor):
    """A line read as bare MIDI numbers gets back the names it is written with."""
    midi = [SpelledPitch.parse(pitch).sounding_midi for pitch in written.split()]
    assert " ".join(map(str, spell_line(midi, key_fifths, is_minor))) == written


def test_repeated_chromatic_note_waits_for_its_resolution():
    """Repeats of a note are looked through: all of them are named by where they go at last."""
    assert [str(p) for p in spell_line([61, 61, 61, 62, 61, 61, 60], 0)] == [
        "C#4",
        "C#4",
        "C#4",
        "D4",
        "Db4",
        "Db4",
        "C4",
    ]


def test_chromatic_note_between_leaps_has_its_usual_name():
    """Without a step the raised fourth and the lowered seventh of the key are preferred."""
    assert [str(p) for p in spell_line([60, 66, 60, 70, 60], 0)] == ["C4", "F#4", "C4", "Bb4", "C4"]


def test_numbers_outside_midi_are_refused():
    """The error names the number."""
    with pytest.raises(SpellingError, match="200 is not a MIDI note number"):
        spell_line([60, 200], 0)
