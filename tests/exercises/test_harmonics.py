"""Harmonics: on open strings, in scales and melodies, natural where they ring, artificial elsewhere."""

import pytest
from pydantic import ValidationError

from engraver.errors import OutOfRange
from engraver.exercises.titles import exercise_title
from engraver.spec.heads import KINDS
from engraver.tables.words import languages, words
from engraver.theory.passage import HarmonicKind
from tests.exercises.entries import composed, pitches


def harmonics(**entry):
    return composed({"kind": "harmonics", **entry})


def touched(passage):
    """(string, node) of natural harmonics, A for artificial ones."""
    return [
        (n.string, n.harmonic.node_frets) if n.harmonic.kind is HarmonicKind.NATURAL else "A" for n in passage.notes
    ]


def test_open_strings_are_touched_at_12_7_and_5_from_low_to_high():
    """Sounds of the three usual nodes as guitar methods list them; each node begins a bar."""
    passage = harmonics()
    assert touched(passage) == [(string, fret) for fret in (12, 7, 5) for string in (6, 5, 4, 3, 2, 1)]
    assert pitches(passage) == ("E3 A3 D4 G4 B4 E5 B3 E4 A4 D5 F#5 B5 E4 A4 D5 G5 B5 E6".split())
    assert [str(passage.notes[n].onset_quarters) for n in (6, 12)] == ["6", "12"]
    assert {note.finger for note in passage.notes} == {3}


def test_the_book_chooses_nodes_strings_and_finger():
    """Nodes between frets go by their printed number; a retuned string sounds by its own pitch."""
    passage = composed(
        {"kind": "harmonics", "frets": [3.2, 2.7, 9], "strings": [6], "finger": 1, "times": 2}, {"tuning": "drop d"}
    )
    assert pitches(passage) == ["A4", "A4", "C5", "C5", "F#4", "F#4"]
    assert {note.finger for note in passage.notes} == {1}


def test_a_scale_takes_natural_harmonics_where_they_ring():
    """G major lies where most of its notes are natural, from G4: only C has no harmonic at 12, 7 or 5."""
    passage = harmonics(scale="major", tonics=["G"], direction="up")
    assert pitches(passage) == ["G4", "A4", "B4", "C5", "D5", "E5", "F#5", "G5"]
    assert touched(passage) == [(3, 12), (4, 7), (2, 12), "A", (3, 7), (1, 12), (2, 7), (3, 5)]


def test_partials_out_of_tune_serve_in_no_line():
    """Partial 5 is 14 cents low: the C# at fret 9 of string 5 is left to an artificial harmonic."""
    passage = harmonics(notes="A4 q, C#5, E5", frets=[12, 7, 5, 9, 4])
    assert touched(passage)[1] == "A"


def test_the_hand_takes_the_shorter_way_between_two_harmonics_of_one_pitch():
    """E4 after B3 (string 6, fret 7) is touched at fret 7 of string 5, after E4-A4 at fret 5 at fret 5."""
    assert touched(harmonics(notes="B3 q, E4"))[1] == (5, 7)
    assert touched(harmonics(notes="B5 q, E4", strings=[2, 5, 6], frets=[5, 7]))[1] == (6, 5)


def test_an_artificial_scale_is_stopped_as_written_and_sounds_an_octave_higher():
    """The stopped notes are those of the plain scale in the same position."""
    entry = {"scale": "major", "tonics": ["A"], "octaves": 2, "left_hand": {"position": 4}}
    plain = composed({"kind": "scale", **entry})
    passage = harmonics(manner="artificial", **entry)
    heard = [note.pitch.sounding_midi - 12 for note in passage.notes]
    assert heard == [note.pitch.sounding_midi for note in plain.notes]
    assert set(touched(passage)) == {"A"}


def test_artificial_harmonics_do_not_alternate():
    """One finger plucks while the index touches, whatever a chapter asks of its lines."""
    entry = {"id": "x", "kind": "harmonics", "manner": "artificial", "notes": "C4 q, D4"}
    spec = KINDS["harmonics"].model_validate({**entry, "right_hand": {"alternate": ["i", "m"], "stroke": "free"}})
    assert (spec.right_hand.alternate, spec.right_hand.stroke) == ((), "free")


def test_a_melody_keeps_its_rhythm_key_and_loudness():
    """Notes written in the book, rests left out of the sound."""
    passage = harmonics(notes="D5 q. !p, r e, E5 h", key="D major", plucking="p")
    assert [(str(n.pitch), float(n.onset_quarters), float(n.duration_quarters)) for n in passage.notes] == [
        ("D5", 0.0, 1.5), ("E5", 2.0, 2.0),
    ]  # fmt: skip
    assert (passage.key_fifths, str(passage.notes[0].dynamic)) == (2, "p")


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"notes": "E2 q"}, r"no harmonic sounds note 1 \(E2\) in bar 1"),
        ({"frets": [24]}, "fret 24 on string 6 lies beyond the last fret"),
        ({"strings": [7]}, "there is no string 7"),
        ({"manner": "artificial", "notes": "C6 q"}, "C6 cannot be stopped on this neck"),
    ],
)
def test_what_cannot_ring_is_refused(entry, message):
    """Named with its place."""
    with pytest.raises(OutOfRange, match=message):
        harmonics(**entry)


@pytest.mark.parametrize(
    ("entry", "message"),
    [
        ({"frets": [11]}, "no harmonic is touched at fret '11'"),
        ({"manner": "artificial"}, "neither a scale nor notes"),
        ({"scale": "major"}, "both its form and its tonic"),
        ({"scale": "major", "tonics": ["G"], "notes": "G4 q"}, "both a scale and notes"),
        ({"manner": "open strings", "notes": "G4 q"}, "played by their frets"),
        ({"notes": "G4+B4 q"}, "two notes at once"),
        ({"notes": "H4 q"}, "is not a pitch"),
        ({"notes": "G4 q", "plucking": "i"}, "the index touches"),
    ],
)
def test_entries_that_ask_for_nothing_playable_are_refused(entry, message):
    """One sentence for one slip."""
    with pytest.raises(ValidationError, match=message):
        KINDS["harmonics"].model_validate({"id": "x", "kind": "harmonics", **entry})


def title(language, **entry):
    return exercise_title(KINDS["harmonics"].model_validate({"id": "x", "kind": "harmonics", **entry}), words(language))


def test_titles():
    """What is played, and where."""
    assert title("en") == "Natural harmonics at frets 12, 7 and 5, strings 6 to 1"
    assert (
        title("de", frets=["3.2"], strings=[1])
        == "Natürliche Flageoletts, Bund\N{NO-BREAK SPACE}3.2, Saite\N{NO-BREAK SPACE}1"
    )
    assert title("en", scale="major", tonics=["G"], direction="up") == "G major in harmonics, one octave, ascending"
    assert title("fr", manner="artificial", scale="major", tonics=["G"]).endswith(
        "en harmoniques artificiels, une octave"
    )


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("entry", [{}, {"notes": "G4 q"}, {"notes": "G4 q", "manner": "artificial"}])
def test_every_manner_has_a_title_in_every_language(language, entry):
    """No place is left open."""
    assert "{" not in title(language, **entry)
