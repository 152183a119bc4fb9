"""Harmonics of an excerpt's file: what sounds and where it is touched, kept through every system of writing."""

import pytest

from engraver.exercises.compose import compose
from engraver.fingering.finger import finger
from engraver.outputs.musicxml import musicxml
from engraver.score.harmonics import HarmonicSystem
from engraver.score.marks import MarkStyle
from engraver.score.model import Notation
from engraver.score.notate import notate
from engraver.spec.harmonics import HarmonicsSpec
from engraver.theory.passage import Passage
from tests.exercises.test_excerpt_marks import GUITAR, composed
from tests.reading.music_xml import line, score_xml


def harmonics(passage: Passage) -> list[tuple[str, str, int, int, int | None]]:
    """Pitch heard, kind, partial, node and string of each harmonic."""
    return [
        (str(n.pitch), n.harmonic.kind.value, n.harmonic.partial, n.harmonic.node_frets, n.string)
        for n in passage.notes
        if n.harmonic
    ]


def with_harmonic(name: str, inner: str, technical: str = "") -> bytes:
    """A bar of crotchets, the first of them a harmonic."""
    data = score_xml(line(f"{name} E4 F4 G4")).decode()
    marks = f"<notations><technical>{technical}<harmonic>{inner}</harmonic></technical></notations></note>"
    return data.replace("</voice></note>", f"</voice>{marks}", 1).encode()


@pytest.mark.parametrize(
    ("name", "inner", "technical", "expected"),
    [
        ("B3", "<natural/><base-pitch/>", "<string>2</string><fret>12</fret>", ("B4", "natural", 2, 12, 2)),
        ("B4", "<natural/><touching-pitch/>", "", ("B4", "natural", 2, 12, 2)),
        ("B4", "<natural/><touching-pitch/>", "<string>1</string>", ("B5", "natural", 3, 7, 1)),
        ("B5", "<natural/><sounding-pitch/>", "", ("B5", "natural", 3, 7, 1)),
        ("D4", "", "", ("D4", "natural", 2, 12, 4)),
        ("D4", "<natural/>", "<string>4</string>", ("D4", "natural", 2, 12, 4)),
        ("C4", "<artificial/><base-pitch/>", "", ("C5", "artificial", 2, 12, None)),
        ("C5", "<artificial/><sounding-pitch/>", "", ("C5", "artificial", 2, 12, None)),
    ],
)
def test_what_a_file_says_of_a_harmonic(tmp_path, name, inner, technical, expected):
    """By string and fret, by the touched pitch on an open string, by what sounds, or by the stopped note."""
    passage = composed(tmp_path, with_harmonic(name, inner, technical))
    assert harmonics(passage) == [expected]
    assert len(passage.notes) == 4
    assert passage.remarks == ()


def test_a_harmonic_that_is_not_told_is_left_out(tmp_path):
    """With a word to the reader: no open string has this note at a node, or sounds it."""
    passage = composed(tmp_path, with_harmonic("C4", "<natural/><base-pitch/>"))
    assert [str(note.pitch) for note in passage.notes] == ["E4", "F4", "G4"]
    assert passage.remarks == ("1 harmonics are left out, since the file does not tell what sounds",)


def test_a_harmonic_in_another_key(tmp_path):
    """What no open string sounds any more is touched an octave above a stopped note."""
    data = with_harmonic("B4", "<natural/><touching-pitch/>")
    assert harmonics(composed(tmp_path, data, transpose="down a major second")) == [("A4", "artificial", 2, 12, None)]
    assert harmonics(composed(tmp_path, data, transpose="down a major third"))[0][:4] == ("G4", "natural", 2, 12)


@pytest.mark.parametrize("system", list(HarmonicSystem))
@pytest.mark.parametrize("fields", [{"frets": [12, 7, 5]}, {"scale": "major", "tonics": ["G"], "octaves": 1}])
def test_harmonics_come_back_from_our_own_files(tmp_path, system, fields):
    """Natural and artificial ones, in each of the three systems."""
    spec = HarmonicsSpec.model_validate({"id": "x", "kind": "harmonics", "metre": "4/4", **fields})
    first = compose(spec, GUITAR)
    score = notate(finger(first, GUITAR), GUITAR, Notation.BOTH, MarkStyle(harmonics=system))
    second = composed(tmp_path, musicxml(score, "x"))
    assert [row[:4] for row in harmonics(second)] == [row[:4] for row in harmonics(first)]
    assert [note.onset_quarters for note in second.notes] == [note.onset_quarters for note in first.notes]
