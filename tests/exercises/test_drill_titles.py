"""Titles of drills in words, and the cautions under those that can tire or strain."""

import pytest

from engraver.exercises.drill_titles import exercise_caution
from engraver.exercises.titles import exercise_title
from engraver.spec.heads import KINDS
from engraver.tables.words import words

ENGLISH = words("en")


def spec(kind, **entry):
    return KINDS[kind].model_validate({"id": "x", "kind": kind, **entry})


def title(kind, **entry):
    return exercise_title(spec(kind, **entry), ENGLISH).replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(("kind", "entry", "expected"), [
    ("slurs", {"fingers": [1, 2]}, "Ascending slurs 1-2, strings 6 to 1, position V"),
    ("slurs", {"fingers": [1, 3], "manner": "trill", "strings": [2]}, "Trills 1-3, string 2, position V"),
    ("slurs", {"fingers": [[0, 1], [0, 2]], "strings": [1, 3]}, "Ascending slurs 0-1 and 0-2, strings 1 and 3, position I"),
    ("slurs", {"fingers": [1, 3], "lower": [2, 4], "strings": [2]}, "Ascending slurs 1-3/2-4, string 2, position V"),
    ("finger orders", {}, "All orders of fingers 1-2-3-4, string 1, position V"),
    ("finger orders", {"held": [1], "position": 9}, "All orders of fingers 2-3-4, string 1, position IX, finger 1 held on string 2"),
    ("finger orders", {"orders": [1, 3, 2, 4], "across": True}, "Finger order 1-3-2-4, across strings 4 to 1, position V"),
    ("tremolo", {}, "Tremolo p a m i over Am, E7, Am"),
    ("shifts", {}, "Shifts with finger 1, string 1, positions I, III, V and VII"),
    ("shifts", {"fingers": [1, 4], "guide": 4, "positions": [1, 4]}, "Shifts of fingers 1-4 led by finger 4, string 1, positions I and IV"),
    ("shifts", {"scale": "major", "tonics": ["E flat"], "strings": [4]}, "E flat major along string 4"),
    ("barre", {"frets": [5, 7]}, "Full barre, strings 6 to 1, frets 5 and 7"),
    ("barre", {"chord": "minor"}, "Full barre, minor grip, fret 5"),
    ("string crossings", {}, "String crossings, strings 1 to 3, each string 4 times"),
    ("string crossings", {"times": 1, "frets": [2]}, "String crossings, strings 1 to 3, each string once, stopped"),
])  # fmt: skip
def test_titles_say_what_is_played(kind, entry, expected):
    """Fingers, strings, position or fret, and what sets the drill apart."""
    assert title(kind, **entry) == expected


@pytest.mark.parametrize(("kind", "entry", "row"), [
    ("barre", {}, "barre"), ("slurs", {"fingers": [1, 2], "manner": "trill"}, "trill"),
    ("slurs", {"fingers": [1, 2]}, "slurs"), ("slurs", {"fingers": [1, 4], "position": 2}, "stretch"),
    ("finger orders", {"held": [1]}, "held"), ("finger orders", {"position": 1}, "stretch"),
])  # fmt: skip
def test_what_can_strain_bears_a_caution(kind, entry, row):
    """Barre, trills, long slur drills, held fingers, wide frets: usual advice to players, common practice."""
    assert exercise_caution(spec(kind, **entry), ENGLISH) == ENGLISH.drills.cautions[row]


@pytest.mark.parametrize(("kind", "entry"), [
    ("slurs", {"fingers": [1, 2], "strings": [1]}), ("finger orders", {}), ("shifts", {}), ("string crossings", {}),
])  # fmt: skip
def test_what_strains_nobody_bears_none(kind, entry):
    """A caution everywhere is read nowhere."""
    assert exercise_caution(spec(kind, **entry), ENGLISH) == ""


def test_every_chord_quality_has_a_name_for_its_grip():
    """A barre drill on any chord of the tables has a title."""
    from engraver.theory.chord import chord_names

    assert set(chord_names()) <= set(ENGLISH.drills.qualities)


@pytest.mark.parametrize(("lowest", "highest", "expected"), [
    ("E2", "G4", "C major, E2 to G4"), ("F#2", "Bb4", "C major, F sharp 2 to B flat 4"),
])  # fmt: skip
def test_the_ends_of_a_range_are_written_as_pitches_are(lowest, highest, expected):
    """A letter and its octave belong together; a name of several words keeps its distance."""
    assert title("scale", scale="major", tonics=["C"], range=[lowest, highest]) == expected


@pytest.mark.parametrize(("kind", "entry", "expected"), [
    ("double stops", {"interval": "tenths", "scale": "harmonic minor", "tonics": ["A"]}, "Dezimen in a-Moll, harmonisch, eine Oktave"),
    ("sequence", {"pattern": "broken thirds", "tonics": ["D"]}, "Gebrochene Terzen in D-Dur, eine Oktave"),
])  # fmt: skip
def test_german_names_the_figure_before_its_scale(kind, entry, expected):
    """The minor form, which German sets after a comma, does not part the scale from its figure."""
    made = exercise_title(spec(kind, **entry), words("de")).replace("\N{NO-BREAK SPACE}", " ")
    assert made == expected
