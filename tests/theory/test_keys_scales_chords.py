"""Scales and chords are spelled by degree; music21 is the second opinion, common practice the first."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import chord as m21_chord
from music21 import key as m21_key
from music21 import pitch as m21_pitch
from music21 import scale as m21_scale

from engraver.errors import SpellingError
from engraver.theory.chord import chord, chord_in_key, chord_names, chord_symbol, parse_chord
from engraver.theory.key import Key, signature_alter
from engraver.theory.pitch import OCTAVE, Interval, Midi, PitchName, SpelledPitch
from engraver.theory.scale import scale, scale_names

ALL_TONICS = [PitchName(fifths) for fifths in range(-8, 13)]
M21_SCALES = {
    "major": m21_scale.MajorScale, "natural minor": m21_scale.MinorScale, "harmonic minor": m21_scale.HarmonicMinorScale,
    "dorian": m21_scale.DorianScale, "phrygian": m21_scale.PhrygianScale, "lydian": m21_scale.LydianScale,
    "mixolydian": m21_scale.MixolydianScale, "aeolian": m21_scale.MinorScale, "locrian": m21_scale.LocrianScale,
}  # fmt: skip
SEVEN_NOTE_SCALES = [
    name
    for name in scale_names()
    if not any(part in name for part in ("pentatonic", "whole tone", "octatonic", "chromatic"))
]


def names_of(pitches):
    return [str(pitch.name) for pitch in pitches]


def one_octave(name, tonic):
    lowest = SpelledPitch(tonic, 3)
    form = scale(name, tonic)
    low, high = lowest.sounding_midi, Midi(lowest.sounding_midi + 12)
    return form.line_up(low, high), form.line_down(low, high)


def m21_name(name):
    return str(name).replace("b", "-") if len(str(name)) > 1 else str(name)


def from_m21(pitches):
    return [pitch.name.replace("-", "b") for pitch in pitches]


@pytest.mark.parametrize("name", M21_SCALES)
@pytest.mark.parametrize("tonic", ALL_TONICS, ids=str)
def test_scales_agree_with_music21(name, tonic):
    """In every key with a signature of at most seven signs the two agree note for note. Source: music21.scale."""
    try:
        up, _ = one_octave(name, tonic)
    except SpellingError:
        return  # keys beyond seven signs are refused; the count below holds that they are few
    octave = m21_pitch.Pitch(f"{m21_name(tonic)}3")
    assert names_of(up) == from_m21(M21_SCALES[name](octave).getPitches(octave, octave.transpose(12))[: len(up)])


def test_fifteen_keys_have_a_signature_in_each_mode():
    """From seven flats to seven sharps: fifteen majors and fifteen minors (common-practice theory)."""
    for minor in (False, True):
        keys = []
        for tonic in (PitchName(fifths) for fifths in range(-12, 16)):
            try:
                Key(tonic, minor).check()
            except SpellingError:
                continue
            keys.append(tonic)
        assert len(keys) == 15


@pytest.mark.parametrize("text", ["G", "E flat major", "F sharp minor", "C minor", "C# major", "A flat minor"])
def test_signatures_agree_with_music21(text):
    """Sharps or flats of the signature. Source: music21.key."""
    key = Key.parse(text)
    theirs = m21_key.Key(m21_name(key.tonic), "minor" if key.minor else "major")
    assert key.signature_fifths == theirs.sharps
    for letter in "CDEFGAB":
        sign = theirs.accidentalByStep(letter)
        assert signature_alter(letter, key.signature_fifths) == (sign.alter if sign else 0)


@pytest.mark.parametrize(("minor", "leading_note"), [
    ("E", "D#"), ("B", "A#"), ("F#", "E#"), ("C#", "B#"), ("G#", "F##"), ("D#", "C##"), ("A#", "G##"), ("D", "C#"),
    ("G", "F#"), ("C", "B"), ("F", "E"), ("Bb", "A"), ("Eb", "D"), ("Ab", "G"),
])  # fmt: skip
def test_leading_notes_of_the_minor_keys(minor, leading_note):
    """The raised seventh keeps the letter below the tonic. Source: degree rule of common practice, no single source."""
    for name in ("harmonic minor", "melodic minor"):
        up, _ = one_octave(name, PitchName.parse(minor))
        assert str(up[-2].name) == leading_note


def test_the_hard_majors_use_their_own_letters():
    """G flat has C flat, C sharp has B sharp and E sharp, C flat has F flat (common practice, no source)."""
    assert "Cb" in names_of(one_octave("major", PitchName.parse("Gb"))[0])
    assert {"B#", "E#"} <= set(names_of(one_octave("major", PitchName.parse("C#"))[0]))
    assert "Fb" in names_of(one_octave("major", PitchName.parse("Cb"))[0])


@given(st.sampled_from(SEVEN_NOTE_SCALES), st.sampled_from(ALL_TONICS))
def test_a_seven_note_scale_uses_seven_letters(name, tonic):
    """Each degree its own letter, up and down."""
    try:
        up, down = one_octave(name, tonic)
    except SpellingError:
        return
    assert len({pitch.name.letter for pitch in up}) == 7
    assert len({pitch.name.letter for pitch in down}) == 7


@pytest.mark.parametrize("tonic", ["A", "E", "F#", "C", "Bb", "G#"])
def test_the_melodic_minor_comes_down_as_the_natural_minor(tonic):
    """Raised sixth and seventh up, natural down (common practice)."""
    name = PitchName.parse(tonic)
    assert one_octave("melodic minor", name)[1] == one_octave("natural minor", name)[1]
    assert one_octave("melodic minor", name)[0] != one_octave("natural minor", name)[0]
    assert one_octave("melodic minor raised", name)[1] == one_octave("melodic minor", name)[0][::-1]


@given(st.sampled_from(["major", "harmonic minor", "dorian"]), st.integers(-2, 3), st.integers(-2, 2))
def test_transposing_a_scale_is_the_scale_on_the_transposed_tonic(name, fifths, by):
    """Transposition by fifths commutes with spelling."""
    tonic, other = PitchName(fifths), PitchName(fifths + by)
    moved = [PitchName(pitch.name.fifths + by) for pitch in one_octave(name, tonic)[0]]
    assert moved == [pitch.name for pitch in one_octave(name, other)[0]]


def test_a_key_beyond_seven_signs_names_its_neighbour():
    """G sharp major would have eight sharps; A flat major is meant."""
    with pytest.raises(SpellingError, match="8 sharps") as caught:
        scale("major", PitchName.parse("G#"))
    assert "A flat major" in caught.value.hint


M21_CHORDS = {
    "major": "", "minor": "m", "diminished": "dim", "augmented": "+", "dominant seventh": "7", "major seventh": "maj7",
    "minor seventh": "m7", "half-diminished seventh": "m7b5", "diminished seventh": "dim7",
}  # fmt: skip


@pytest.mark.parametrize("quality", chord_names())
@pytest.mark.parametrize("root", ["C", "F#", "Bb", "Eb", "B", "G#", "Db"])
def test_strict_chords_are_what_music21_calls_by_the_same_name(quality, root):
    """Stacked thirds, recognised by music21.chord as root position of this quality."""
    spelled = chord(quality, PitchName.parse(root))
    theirs = m21_chord.Chord([m21_name(name) for name in spelled.names])
    assert theirs.root().name.replace("-", "b") == root
    found = theirs.commonName.replace("triad", "").replace("chord", "").strip()
    assert found == {"half-diminished seventh": "half-diminished seventh"}.get(quality, quality)


def test_diminished_sevenths_of_common_practice():
    """The leading-note chord of C minor is B D F A flat, of A minor G sharp B D F (common practice)."""
    assert [str(n) for n in chord_in_key("diminished seventh", Key.parse("C minor")).names] == ["B", "D", "F", "Ab"]
    assert [str(n) for n in chord_in_key("diminished seventh", Key.parse("A minor")).names] == ["G#", "B", "D", "F"]


def test_strict_and_practical_diminished_sevenths():
    """Strictly C has B double flat; practically it is read as A. Strict is the default."""
    root = PitchName.parse("C")
    assert [str(n) for n in chord("diminished seventh", root).names] == ["C", "Eb", "Gb", "Bbb"]
    assert [str(n) for n in chord("diminished seventh", root, practical=True).names] == ["C", "Eb", "Gb", "A"]


def test_the_dominant_seventh_stands_in_its_key():
    """G7 in C major has no sign in the signature; in C minor three flats and a natural B."""
    assert chord("dominant seventh", PitchName.parse("G")).key_fifths == 0
    assert chord_in_key("dominant seventh", Key.parse("C minor")).key_fifths == -3


@pytest.mark.parametrize(("text", "root", "quality"), [
    ("C", "C", "major"), ("Am", "A", "minor"), ("G7", "G", "dominant seventh"), ("F#dim7", "F#", "diminished seventh"),
    ("B flat", "Bb", "major"), ("Ebmaj7", "Eb", "major seventh"), ("Dmin7", "D", "minor seventh"), ("Caug", "C", "augmented"),
])  # fmt: skip
def test_chord_symbols(text, root, quality):
    """Root and quality of the usual symbols."""
    assert parse_chord(text) == (PitchName.parse(root), quality)


@given(st.sampled_from(chord_names()), st.integers(-4, 6))
def test_chord_notes_lie_in_thirds(quality, fifths):
    """Each note of a strict chord is two letters above the one below."""
    found = chord(quality, PitchName(fifths)).pitches(Midi(48), Midi(72))
    root = next(pitch for pitch in found if pitch.name.fifths == fifths)
    tones = [pitch for pitch in found if root.sounding_midi <= pitch.sounding_midi < root.sounding_midi + 12]
    assert [pitch.letter_index - root.letter_index for pitch in tones] == [2 * step for step in range(len(tones))]
    assert root.up(OCTAVE).interval_to(root) == Interval(-7, -12)


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("B flat", "B\u266d"),
        ("Bb", "B\u266d"),
        ("F#m", "F\u266fm"),
        ("Am", "Am"),
        ("G7", "G7"),
        ("E flat 7", "E\u266d7"),
    ],
)
def test_chord_symbols_are_printed_with_signs_not_words(written: str, printed: str) -> None:
    """Flat and sharp by their signs, which every language reads."""
    assert chord_symbol(written) == printed
