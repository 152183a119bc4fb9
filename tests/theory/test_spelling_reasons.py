"""Reasons for changed spellings, in the trade's words."""

import pytest

from engraver.errors import SpellingError
from engraver.theory.pitch import SpelledPitch
from engraver.theory.spelling import respell, spelling_reasons

CADENCE = "C3 G3 E4 C5 | F2 A3 F4 C5 | G2 B3 D4 | C3 G3 E4"


def reasons(chords, wrong, key_fifths=None):
    """What is said when the chords of one quarter each are given with the names `wrong` swapped in."""
    notes, given = [], []
    for onset, chord in enumerate(chords.split("|")):
        for text in chord.split():
            pitch = SpelledPitch.parse(text)
            notes.append((onset, 1, pitch.sounding_midi))
            given.append(SpelledPitch.parse(wrong.get(text, text)))
    return [str(change) for change in spelling_reasons(notes, given, key_fifths)]


@pytest.mark.parametrize(
    ("chords", "wrong", "said"),
    [
        pytest.param("E2 G3 B3 E4 | B2 F#3 B3 D#4 | E2 G3 B3 E4", {"D#4": "Eb4"},
                     ["D#4, not Eb4: leading note of E minor"], id="leading note"),
        pytest.param("D3 A3 F#4 | G3 B3 G4 | A3 C#4 E4 | D3 A3 F#4", {"F#4": "Gb4"},
                     ["F#4, not Gb4: in the key of D major"] * 2, id="in the key"),
        pytest.param("C3 G3 C5 | G2 F4 B4 | C3 C5 | C3 G3 F4 | C3 F#4 D5 | C3 G3 G4 | G2 F3 B4 | C3 E4 C5", {"F#4": "Gb4"},
                     ["F#4, not Gb4: chromatic passing note between F and G"], id="neighbour"),
    ],
)  # fmt: skip
def test_a_change_is_told_with_its_reason(chords, wrong, said):
    """Each wrong name is listed with the right one and why."""
    assert reasons(chords, wrong) == said


def test_diminished_seventh_names_its_root():
    """A member of a diminished seventh that lies outside the key is told by its chord."""
    said = reasons(f"{CADENCE} | F#3 A3 Eb4 C5 | G3 B3 D4 | G2 B3 F4 | {CADENCE}", {"Eb4": "D#4"})
    assert said == ["Eb4, not D#4: seventh of the diminished seventh on F sharp"]


def test_augmented_sixth_names_both_notes():
    """Both notes of an augmented sixth are told by the interval."""
    said = reasons(f"{CADENCE} | Ab2 C4 Eb4 F#4 | G2 C4 Eb4 G4 | G2 B3 F4 | {CADENCE}", {"Ab2": "G#2", "F#4": "Gb4"})
    assert said == ["Ab2, not G#2: augmented sixth A flat - F sharp", "F#4, not Gb4: augmented sixth A flat - F sharp"]


@pytest.mark.parametrize(
    ("chords", "said"),
    [
        pytest.param("C3 E4 G4 | C3 E4 Ab4 | C3 E4 G4", "Ab4, not G#4: chromatic neighbour above G", id="above"),
        pytest.param("C3 G3 E4 | C3 G3 D#4 | C3 G3 E4", "D#4, not Eb4: chromatic neighbour below E", id="below"),
    ],
)
def test_chromatic_neighbours_name_the_note_they_adorn(chords, said):
    """A note that leaves by a semitone and returns is told as a neighbour."""
    right, wrong = said.split(":")[0].split(", not ")
    assert reasons(f"{CADENCE} | {chords} | G2 B3 F4 | {CADENCE}", {right: wrong}) == [said]


def test_right_names_give_no_reasons():
    """Nothing is said of a piece that is spelled as we would."""
    notes = [(0, 1, 60), (1, 1, 62), (2, 1, 64)]
    assert spelling_reasons(notes, respell(notes)) == ()
    assert spelling_reasons([], ()) == ()


def test_spellings_and_notes_must_match_in_number():
    """A missing spelling is an error, not a shift of all that follow."""
    with pytest.raises(SpellingError, match="0 spellings were given for 1 notes"):
        spelling_reasons([(0, 1, 60)], ())
