"""Context spelling from onset, duration and MIDI number: facts of the trade, written by hand."""

import tracemalloc
from fractions import Fraction

import pytest

from engraver.errors import SpellingError
from engraver.theory.pitch import SpelledPitch
from engraver.theory.spelling import respell

MINOR_LEADING_NOTES = [  # tonic, key signature, leading note
    ("E", 1, "D#"), ("B", 2, "A#"), ("F#", 3, "E#"), ("C#", 4, "B#"), ("G#", 5, "F##"), ("D#", 6, "C##"),
    ("D", -1, "C#"), ("G", -2, "F#"), ("C", -3, "B"), ("F", -4, "E"), ("Bb", -5, "A"), ("Eb", -6, "D"),
]  # fmt: skip


def chords(text):
    """Chords of one quarter each, written as pitches between bars: ``C3 E3 G3 | F3 A3 C4``."""
    return [
        (index, 1, SpelledPitch.parse(pitch).sounding_midi)
        for index, chord in enumerate(text.split("|"))
        for pitch in chord.split()
    ]


def assert_kept(text, key_fifths=None):
    """The chords, read as bare MIDI numbers, get back the names they are written with."""
    names = [str(pitch) for pitch in respell(chords(text), key_fifths)]
    assert names == text.replace("|", " ").split()


@pytest.mark.parametrize(("tonic", "fifths", "leading"), MINOR_LEADING_NOTES)
def test_leading_note_of_a_minor_key_has_the_letter_below_the_tonic(tonic, fifths, leading):
    """In tonic - dominant - tonic of a minor key the raised seventh degree is named as the leading note."""
    low = SpelledPitch.parse(f"{tonic}3").sounding_midi
    first, fifth, third, below = low, low + 7, low + 3, low - 1
    notes = []
    for bar in range(4):
        at = 4 * bar
        notes += [(at, 2, first), (at, 2, third), (at, 2, fifth), (at + 2, 1, below), (at + 2, 2, fifth)]
        notes += [(at + 2, 2, low + 2), (at + 3, 1, below)]
    notes += [(16, 4, first), (16, 4, third), (16, 4, fifth)]
    spelled = respell(notes, fifths)
    assert {str(p.name) for p, note in zip(spelled, notes, strict=True) if note[2] == below} == {leading}
    assert {str(p.name) for p, note in zip(spelled, notes, strict=True) if note[2] == first} == {tonic}


@pytest.mark.parametrize(
    "text",
    [
        pytest.param("C3 G3 Eb4 | B2 Ab3 D4 F4 | C3 G3 Eb4 | Ab2 Ab3 C4 Eb4 | G2 G3 B3 D4 | C3 G3 C4 Eb4",
                     id="diminished seventh of C minor has A flat"),
        pytest.param("A2 E3 C4 | G#2 F3 B3 D4 | A2 E3 C4 | E2 E3 G#3 D4 | A2 E3 A3 C4",
                     id="diminished seventh of A minor has G sharp"),
        pytest.param("A2 E3 C4 | F2 A3 C4 D#4 | E2 G#3 B3 E4 | A2 A3 C4 E4",
                     id="augmented sixth opens to the octave of the dominant"),
        pytest.param("C3 G3 E4 | D3 F#3 C4 A4 | G2 G3 B3 G4 | C3 G3 C4 E4",
                     id="dominant of the dominant has the raised fourth"),
        pytest.param("Eb3 Bb3 G4 | Ab2 C4 Eb4 | Bb2 D4 F4 Ab4 | Eb3 Bb3 G4", id="three flats stay flat"),
    ],
)  # fmt: skip
def test_chromatic_chords_are_named_by_their_harmony(text):
    """Chords of one key get the names of harmony textbooks, without being told the key."""
    assert_kept(text)


def test_octaves_of_one_chord_are_named_alike():
    """A doubled leading note has one name, in whatever octaves it sounds."""
    assert_kept("E2 G3 B3 E4 | D#3 F#3 B3 D#4 D#5 | E2 G3 B3 E4")


def test_lower_neighbour_is_raised_and_upper_neighbour_is_lowered():
    """Over a held chord, D sharp serves E from below and A flat serves G from above."""
    held = [(0, 4, 48), (0, 4, 55), (0, 4, 60)]
    line = [(0, 1, 64), (1, 1, 63), (2, 1, 64), (3, 1, 67), (4, 1, 68), (5, 1, 67)]
    assert [str(p) for p in respell([*held, *line, (4, 2, 48), (4, 2, 60)])[3:9]] == [
        "E4",
        "D#4",
        "E4",
        "G4",
        "Ab4",
        "G4",
    ]


def test_repeating_a_piece_does_not_let_it_slide():
    """A hundred turns through distant keys end with the names they began with."""
    turn = "C3 G3 E4 | C3 Ab3 F4 | Db3 Ab3 F4 | Db3 Gb3 Bb3 | Ab2 Gb3 C4 | Db3 Ab3 F4 | G2 F3 B3 D4 | C3 G3 E4"
    spelled = respell(chords(" | ".join([turn] * 100)))
    size = len(turn.replace("|", "").split())
    turns = {tuple(map(str, spelled[at : at + size])) for at in range(0, len(spelled), size)}
    assert turns == {tuple(turn.replace("|", "").split())}


def test_key_signature_decides_between_enharmonic_keys():
    """The same scale is G flat major with six flats and F sharp major with six sharps."""
    scale = [(i, 1, 66 + step) for i, step in enumerate((0, 2, 4, 5, 7, 9, 11, 12))]
    assert [str(p) for p in respell(scale, -6)] == ["Gb4", "Ab4", "Bb4", "Cb5", "Db5", "Eb5", "F5", "Gb5"]
    assert [str(p) for p in respell(scale, 6)] == ["F#4", "G#4", "A#4", "B4", "C#5", "D#5", "E#5", "F#5"]


def test_signature_may_change_within_a_piece():
    """With a signature for each note, the first half is spelled in sharps, the second in flats."""
    scale = [66 + step for step in (0, 2, 4, 5, 7, 9, 11, 12)] * 4
    notes = [(i, 1, midi) for i, midi in enumerate(scale * 2)]
    spelled = respell(notes, [6] * len(scale) + [-6] * len(scale))
    assert (str(spelled[0]), str(spelled[-1])) == ("F#4", "Gb5")


def test_order_of_the_notes_is_kept():
    """Notes may come in any order; each spelling stands at its note's place."""
    notes = chords("E2 G3 B3 E4 | D#3 F#3 B3 A4 | E2 G3 B3 E4")
    assert respell(notes[::-1]) == respell(notes)[::-1]


def test_times_may_be_fractions_or_floats():
    """Triplets as fractions and as floats are the same music."""
    exact = [(Fraction(i, 3), Fraction(1, 3), midi) for i, midi in enumerate((64, 63, 64, 65, 66, 67))]
    assert respell(exact) == respell([(float(onset), float(length), midi) for onset, length, midi in exact])


@pytest.mark.parametrize(
    "notes",
    [
        pytest.param([(0, 1, 61)], id="one note"),
        pytest.param([(0, 0, 60), (0, 0, 63), (0, 4, 64)], id="grace notes"),
        pytest.param([(-2, 1, 60), (-1, 1, 61), (0, 1, 62)], id="onsets before the start"),
        pytest.param([(0, 0, 64)] * 50, id="nothing has a length"),
        pytest.param([(i * 10**6, 1, 60 + i) for i in range(8)], id="hours of rest"),
        pytest.param([(0, 1, midi) for midi in range(128)], id="every note at once"),
        pytest.param([(i, -1, 60 + i) for i in range(5)], id="negative lengths"),
    ],
)
def test_odd_input_is_spelled_all_the_same(notes):
    """Odd but legal input comes back with its sounding pitches."""
    assert [pitch.sounding_midi for pitch in respell(notes)] == [midi for _, _, midi in notes]


def test_no_notes_give_no_spellings():
    """Nothing in, nothing out."""
    assert respell([]) == ()


@pytest.mark.parametrize(
    ("notes", "key_fifths", "message"),
    [
        ([(0, 1, 128)], None, "128 is not a MIDI note number"),
        ([(0, 1, -1)], None, "-1 is not a MIDI note number"),
        ([(float("nan"), 1, 60)], None, "not a usable number of quarters"),
        ([(0, float("inf"), 60)], None, "not a usable number of quarters"),
        ([(1e300, 1, 60)], None, "not a usable number of quarters"),
        ([(0, 1, 60)], 8, "8 is not a key signature"),
        ([(0, 1, 60)], [0, 0], "2 key signatures were given for 1 notes"),
    ],
)
def test_what_is_no_music_is_refused(notes, key_fifths, message):
    """Numbers outside MIDI, times that are no times and wrong signatures are named in the error."""
    with pytest.raises(SpellingError, match=message):
        respell(notes, key_fifths)


@pytest.mark.slow
def test_a_long_input_takes_little_memory():
    """Two hundred thousand notes are worked through in stretches, within 150 MB."""
    notes = [(index / 4, 0.5, 40 + index * 7919 % 41) for index in range(200_000)]
    tracemalloc.start()
    spelled = respell(notes)
    peak_bytes = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(spelled) == len(notes)
    assert peak_bytes < 150e6
