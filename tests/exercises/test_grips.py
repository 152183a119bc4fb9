"""Chord grips in other tunings: found on the neck where the table of grips, made for the usual tuning, sounds otherwise."""

import pytest
from music21 import chord as other_chords

from engraver.errors import Unplayable
from engraver.exercises.grips import grip, movable_frets
from engraver.fretboard.tuning import Instrument, Player, Tuning
from engraver.theory.pitch import SpelledPitch
from tests.books.building import draft_text
from tests.fingering.playable import faults

TUNINGS = {
    "drop d": "D2 A2 D3 G3 B3 E4",
    "two strings down": "D2 G2 D3 G3 B3 E4",
    "open chord": "D2 A2 D3 G3 A3 D4",
    "lute": "E2 A2 D3 F#3 B3 E4",
    "seven strings": "B1 E2 A2 D3 G3 B3 E4",
    "four strings": "D3 G3 B3 E4",
}
CHORDS = ["C", "G7", "Am", "Em", "D", "F", "Bm", "E7", "F#m", "Bb", "A7", "Dm"]
QUALITY = {"": "major triad", "m": "minor triad", "7": "dominant seventh chord"}


def guitar(name):
    strings = tuple(SpelledPitch.parse(text) for text in reversed(TUNINGS[name].split()))
    return Instrument(Tuning("own", strings))


@pytest.mark.parametrize("tuning", TUNINGS)
@pytest.mark.parametrize("symbol", CHORDS)
def test_a_grip_sounds_its_chord_with_the_root_below(tuning, symbol):
    """What sounds is the chord by music21's account, its root the lowest, a string each."""
    instrument = guitar(tuning)
    held = grip(symbol, instrument)
    heard = other_chords.Chord([pitch.sounding_midi for _, pitch in held.notes])
    named = other_chords.Chord([str(pitch).replace("b", "-") for _, pitch in held.notes])
    root = symbol.rstrip("m7")
    assert named.commonName == QUALITY[symbol[len(root) :]]
    assert named.bass().name == named.root().name == root.replace("b", "-")
    assert len(set(held.strings)) == len(held.notes) == len(heard.pitches)


@pytest.mark.parametrize("tuning", ["drop d", "open chord", "seven strings"])
def test_a_plucking_formula_can_be_practised_in_other_tunings(tmp_path, tuning):
    """The whole way from a book: three chords, every place playable by a judge of its own."""
    strings = ", ".join(TUNINGS[tuning].replace("F#3", "F sharp 3").split())
    (draft,) = draft_text(
        tmp_path,
        f"title: T\ninstrument: {{tuning: [{strings}]}}\nchapters:\n  - title: C\n    exercises:\n"
        "      - {id: x, kind: right hand, right_hand: {formula: [p, i, m, a]}, progression: [D, A7, D]}\n",
    )
    instrument = guitar(tuning)
    assert faults(draft.fingered, instrument, Player()) == []


def test_a_barre_grip_of_another_tuning_is_refused_in_words():
    """With the sixth string a tone lower the shape under the barre is no major chord."""
    with pytest.raises(Unplayable, match="sounds another chord") as caught:
        movable_frets("major", 6, guitar("drop d"))
    assert "standard tuning" in str(caught.value.hint)
    assert movable_frets("major", 6, guitar("seven strings"))
