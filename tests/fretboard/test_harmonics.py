"""Harmonics against the physics of the string, and the places where they lie."""

from fractions import Fraction
from math import gcd, log2

import pytest

from engraver.errors import OutOfRange
from engraver.fretboard.harmonics import (
    harmonic_on,
    matching_harmonic,
    natural_places,
    node_near,
    node_of,
    nodes,
    string_of,
    string_pitch,
    touched_pitch,
)
from engraver.fretboard.tuning import Instrument, Tuning
from engraver.theory.passage import Harmonic, HarmonicKind, Note
from engraver.theory.pitch import SpelledPitch

GUITAR = Instrument(Tuning("standard", tuple(SpelledPitch.parse(p) for p in ("E4", "B3", "G3", "D3", "A2", "E2"))))
NATURAL, ARTIFICIAL = HarmonicKind.NATURAL, HarmonicKind.ARTIFICIAL


def pitch(text):
    return SpelledPitch.parse(text)


@pytest.mark.parametrize("node", nodes(), ids=lambda node: node.printed)
def test_a_touched_string_sounds_the_partial_that_has_a_node_there(node):
    """All lower partials move at the point touched, so the first that rests there (sin(n pi x) = 0) is the one heard."""
    resting = [n for n in range(1, 9) if (n * node.share).denominator == 1]
    assert resting[0] == node.partial
    assert gcd(node.share.numerator, node.share.denominator) == 1


@pytest.mark.parametrize("node", nodes(), ids=lambda node: node.printed)
def test_nodes_lie_where_the_frets_would_be(node):
    """Fret by fret the rest of the string shrinks by the twelfth root of two; so many frets leave the rest it has."""
    rest = 1.0
    for _ in range(node.frets):
        rest /= 2 ** (1 / 12)
    beyond = (node.exact_frets - node.frets) / 12
    assert rest / 2**beyond == pytest.approx(1 - float(node.share), abs=0.0005)
    assert abs(node.exact_frets - node.frets) <= 0.5


@pytest.mark.parametrize("node", nodes(), ids=lambda node: node.printed)
def test_a_partial_is_as_many_times_the_frequency(node):
    """Against A 110 the partial n has 110 n hertz; the tempered pitch of the table misses it by the cents it says."""
    tempered = 110.0
    for _ in range(node.sounds.semitones):
        tempered *= 2 ** (1 / 12)
    assert 1200 * log2(110.0 * node.partial / tempered) == pytest.approx(node.cents, abs=0.5)


@pytest.mark.parametrize(
    ("string", "fret", "sounds"),
    [("E2", 12, "E3"), ("E2", 7, "B3"), ("E2", 5, "E4"), ("A2", 4, "C#5"), ("G3", 9, "B5"), ("G3", 3, "D6"), ("B3", 7, "F#5"),
     ("D3", 19, "A4"), ("E4", 5, "E6"), ("D3", 16, "F#5")],
)  # fmt: skip
def test_natural_harmonics_of_the_guitar(string, fret, sounds):
    """Sounds of open strings as guitar methods list them, spelled as intervals above the string (common practice)."""
    found = harmonic_on(pitch(string), fret, NATURAL)
    assert found is not None
    assert str(found[1]) == sounds
    assert str(string_pitch(found[1], found[0])) == string


def test_three_and_a_bit_and_not_quite_three_are_told_apart():
    """The nodes of partials 6 and 7 lie on both sides of fret 3."""
    assert node_near(3).printed == "3.2"
    assert node_near(3, 7).printed == "2.7"
    assert not node_near(3, 7).in_tune
    assert node_near(7).in_tune


def test_a_point_that_is_no_node_is_an_error():
    """No partial up to the seventh rests at fret 11."""
    with pytest.raises(OutOfRange, match="partial 2 at 11 frets"):
        node_of(Harmonic(NATURAL, 2, 11))
    assert harmonic_on(pitch("E2"), 11, NATURAL) is None


def test_the_pitch_under_the_finger_is_that_of_the_fret():
    """Touched at fret 7 of string 1 the finger lies over the B that it would press."""
    assert str(touched_pitch(pitch("B5"), Harmonic(NATURAL, 3, 7))) == "B4"
    assert str(touched_pitch(pitch("C5"), Harmonic(ARTIFICIAL))) == "C5"


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"lying": "E4", "touched": "B4"}, (3, 7, "B5")),
        ({"lying": "E4", "sounding": "B5"}, (3, 7, "B5")),
        ({"touched": "B4", "sounding": "B5"}, (3, 7, "B5")),
        ({"lying": "G3", "touched": "Bb3", "sounding": "F6"}, (7, 3, "F6")),
        ({"lying": "E4", "touched": "Eb5"}, None),
        ({"lying": "E4"}, None),
    ],
)
def test_two_pitches_tell_a_natural_harmonic(given, expected):
    """String, place and sound: any two give the third."""
    found = matching_harmonic(NATURAL, **{name: pitch(text) for name, text in given.items()})
    assert (found and (found[0].partial, found[0].node_frets, str(found[1]))) == expected


def test_an_artificial_harmonic_sounds_an_octave_above_the_stopped_note():
    """From its stopped pitch alone, or from the pitch that is heard; a node a fourth up gives two octaves."""
    assert matching_harmonic(ARTIFICIAL, lying=pitch("F#4")) == (Harmonic(ARTIFICIAL), pitch("F#5"))
    assert matching_harmonic(ARTIFICIAL, sounding=pitch("F#5")) == (Harmonic(ARTIFICIAL), pitch("F#5"))
    fourth = matching_harmonic(ARTIFICIAL, lying=pitch("F#4"), touched=pitch("B4"))
    assert fourth == (Harmonic(ARTIFICIAL, 4, 5), pitch("F#6"))


def test_one_sound_lies_on_several_strings():
    """E4 rings at fret 5 of string 6 and at fret 7 of string 5, B4 at fret 12 of string 2 and elsewhere."""
    e4 = {(string, harmonic.node_frets) for string, harmonic in natural_places(GUITAR, pitch("E4"))}
    assert e4 == {(6, 5), (5, 7), (5, 19)}
    only = natural_places(GUITAR, pitch("B4"), frets=(12, 7, 5))
    assert [(string, harmonic.node_frets) for string, harmonic in only] == [(2, 12)]
    assert natural_places(GUITAR, pitch("C5"), frets=(12, 7, 5)) == ()


def test_a_note_knows_its_string_or_finds_it():
    """A string that the harmonic is no partial of is not believed."""
    note = Note(pitch("B5"), Fraction(0), Fraction(1), harmonic=Harmonic(NATURAL, 3, 7))
    assert string_of(GUITAR, note) == 1
    lost = Note(pitch("C5"), Fraction(0), Fraction(1), string=3, harmonic=Harmonic(NATURAL, 2, 12))
    assert string_of(GUITAR, lost) is None
