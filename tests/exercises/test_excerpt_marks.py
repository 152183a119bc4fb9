"""What an excerpt keeps of its source beside notes and hands: hairpins; read, cut, written and read again."""

import re
from fractions import Fraction
from pathlib import Path

import pytest

from engraver.exercises.compose import compose
from engraver.fingering.finger import finger
from engraver.outputs.lilypond import lilypond_score
from engraver.outputs.midi import midi
from engraver.outputs.musicxml import musicxml
from engraver.score.marks import MarkStyle
from engraver.score.model import Notation, Score
from engraver.score.notate import notate
from engraver.score.page import EngravingStyle
from engraver.spec.excerpt import ExcerptSpec
from engraver.spec.house import InstrumentSpec
from engraver.theory.passage import Passage
from tests.outputs.midi_reading import read_midi
from tests.outputs.musicxml_schema import schema_problems
from tests.reading.music_xml import line, score_xml

GUITAR = InstrumentSpec().instrument()
PLAIN = score_xml(line("E4 F4 G4 A4 B4 C5 D5 E5 E4 F4 G4 A4"), fifths=0)


def with_parts(data: bytes, *parts: tuple[int, str]) -> bytes:
    """The file with elements put before its notes, which are counted from 0; -1 stands for the end."""
    pieces = data.decode().split("<note>")
    for number, text in parts:
        if number < 0:
            pieces[-1] = pieces[-1].replace("</measure>", f"{text}</measure>")
        else:
            pieces[number] += text
    return "<note>".join(pieces).encode()


def direction(inner: str) -> str:
    return f"<direction><direction-type>{inner}</direction-type></direction>"


def composed(folder: Path, data: bytes | None = None, **fields: object) -> Passage:
    if data is not None:
        (folder / "x.musicxml").write_bytes(data)
        fields["file"] = "x.musicxml"
    return compose(ExcerptSpec.model_validate({"id": "x", "kind": "excerpt", **fields}).located(folder), GUITAR)


def score_of(passage: Passage, notation: Notation = Notation.BOTH) -> Score:
    return notate(finger(passage, GUITAR), GUITAR, notation, MarkStyle())


def again(folder: Path, passage: Passage, notation: Notation = Notation.BOTH) -> Passage:
    """The passage written to MusicXML, which must obey the schema, and read from there."""
    data = musicxml(score_of(passage, notation), "x")
    assert schema_problems(data) == []
    return composed(folder, data)


def engraved(passage: Passage, notation: Notation = Notation.BOTH) -> str:
    return lilypond_score(score_of(passage, notation), EngravingStyle())


CRESCENDO, DIMINUENDO = (direction(f'<wedge type="{kind}" number="1"/>') for kind in ("crescendo", "diminuendo"))
STOP = direction('<wedge type="stop" number="1"/>')


def hairpins(passage: Passage) -> list[tuple[Fraction, Fraction, str]]:
    return [(h.start_quarters, h.end_quarters, "<" if h.grows else ">") for h in passage.hairpins]


def test_hairpins_are_kept_and_written(tmp_path):
    """From note to note, through MusicXML and back, in all notations; or left out with the other marks."""
    data = with_parts(PLAIN, (1, CRESCENDO), (3, STOP), (4, DIMINUENDO), (-1, STOP))
    passage = composed(tmp_path, data)
    assert hairpins(passage) == [(1, 3, "<"), (4, 12, ">")]
    for notation in Notation:
        assert again(tmp_path, passage, notation).hairpins == passage.hairpins
    assert composed(tmp_path, data, keep_marks=False).hairpins == ()


def test_a_hairpin_is_cut_with_its_bars(tmp_path):
    """What lies in the bars asked for stays, from their first note and to their last."""
    data = with_parts(PLAIN, (1, CRESCENDO), (10, STOP))
    assert hairpins(composed(tmp_path, data, bars=[2, 2])) == [(0, 4, "<")]
    assert hairpins(composed(tmp_path, data, bars=[3, 3])) == [(0, 2, "<")]
    assert hairpins(composed(tmp_path, data, bars=[1, 1], transpose="+2")) == [(1, 4, "<")]


def test_the_tempo_of_the_file_is_that_of_its_beginning(tmp_path):
    """In beats of the metre, unless the book asks for another or the excerpt begins later."""
    data = with_parts(score_xml(line("E4 F4 G4 A4 B4 C5 D5 E5 E4"), metre=(6, 8)), (0, '<sound tempo="96"/>'))
    tempo = composed(tmp_path, data).tempo
    assert tempo is not None
    assert (tempo.slowest_bpm, tempo.fastest_bpm, tempo.beat_quarters) == (64, 64, Fraction(3, 2))
    asked = composed(tmp_path, data, tempo={"from": 40, "to": 50}).tempo
    assert asked is not None
    assert (asked.slowest_bpm, asked.fastest_bpm) == (40, 50)
    assert composed(tmp_path, data, bars=[2, 3]).tempo is None
    assert composed(tmp_path, data, keep_marks=False).tempo is None


def test_words_of_growing_and_fading(tmp_path):
    """With dashes as far as they go, without them to the next sign of loudness; read back as they were."""
    dashed = direction("<words>cresc.</words>").replace(
        "</direction-type></direction>",
        '</direction-type><direction-type><dashes type="start"/></direction-type></direction>',
    )
    parts = ((0, dashed), (3, direction('<dashes type="stop"/>')), (4, direction("<words>Diminuendo</words>")))
    sign = direction("<dynamics><p/></dynamics>")
    passage = composed(tmp_path, with_parts(PLAIN, *parts, (7, sign)))
    assert [(*h[:2], w.words, w.dashes) for h, w in zip(hairpins(passage), passage.hairpins, strict=True)] == [
        (0, 3, True, True), (4, 7, True, False),
    ]  # fmt: skip
    assert again(tmp_path, passage).hairpins == passage.hairpins
    assert re.findall(r'\\word "(\S+)"', engraved(passage)) == ["cresc.", "dim."]


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        ([(2, CRESCENDO)], [(2, 12, "<")]),
        ([(2, CRESCENDO), (5, direction("<dynamics><f/></dynamics>"))], [(2, 5, "<")]),
        ([(2, STOP)], []),
        ([(2, CRESCENDO), (2, STOP)], []),
        ([(2, CRESCENDO), (5, DIMINUENDO), (7, STOP)], [(2, 5, "<"), (5, 7, ">")]),
        ([(2, CRESCENDO), (3, DIMINUENDO.replace('"1"', '"2"')), (5, STOP)], [(2, 3, "<"), (3, 12, ">")]),
    ],
)
def test_hairpins_of_a_careless_file(tmp_path, parts, expected):
    """Without an end they last to the next sign or the last note; without a beginning they are none; none overlap."""
    assert hairpins(composed(tmp_path, with_parts(PLAIN, *parts))) == expected


def test_hairpins_are_written_in_the_book(tmp_path):
    """They end at a sign of loudness, at their own end, or with the music."""
    passage = composed(tmp_path, notes="E4 q !p !< F4 G4 !f A4 !> | B4 C5 !. D5 !< E5")
    assert hairpins(passage) == [(0, 2, "<"), (3, 5, ">"), (6, 8, "<")]


def test_midi_follows_hairpins(tmp_path):
    """Evenly to the sign at the end; without one, two steps of the scale of loudness; the end stays."""
    heard = read_midi(midi(score_of(composed(tmp_path, notes="E4 q !p !< F4 G4 A4 | B4 !f C5 !> D5 !. E5"))))
    assert [velocity for _, velocity in heard.strikes] == [49, 61, 72, 84, 96, 96, 64, 64]


def test_hairpins_are_played_again_in_a_repeat(tmp_path):
    """The second time begins as loud as the first ended, unless a sign says otherwise."""
    passage = composed(tmp_path, notes="E4 q !p !< F4 G4 !f A4", repeat=True)
    heard = [velocity for _, velocity in read_midi(midi(score_of(passage))).strikes]
    assert heard == [49, 72, 96, 96] * 2


@pytest.mark.parametrize("notation", list(Notation))
def test_a_hairpin_is_printed_once(tmp_path, notation):
    """In the row of loudness; shortened where a sign or another hairpin stands at its end."""
    passage = composed(tmp_path, notes="E4 q !p !< F4 G4 !f A4 | B4 !> C5 !< D5 !. E5")
    text = engraved(passage, notation)
    found = re.findall(r"\\hairpin #'\((\S+) \. (\S+)\) (\\[<>])", text)
    assert [(left != "0", right != "0", kind) for left, right, kind in found] == [
        (True, True, "\\<"), (False, True, "\\>"), (True, False, "\\<"),
    ]  # fmt: skip
    assert text.count("\\!") == 3


def test_a_hairpin_may_stand_under_the_last_note(tmp_path):
    """It ends in the middle of it."""
    passage = composed(tmp_path, notes="E4 q F4 G4 h !<")
    assert r"""\hairpin #'(0 . 0) \<""" in engraved(passage)
    assert hairpins(passage) == [(2, 4, "<")]
