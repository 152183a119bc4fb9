"""Repeats, endings, words, signs of touch and a third voice: what an excerpt keeps, writes, plays and reads again."""

import re
from fractions import Fraction

import pytest

from engraver.exercises.compose import compose
from engraver.outputs.midi import midi
from engraver.outputs.musicxml import musicxml
from engraver.score.model import Barline, Notation
from engraver.spec.excerpt import ExcerptSpec
from engraver.theory.passage import Passage
from engraver.theory.signs import Articulation, Way
from tests.conftest import ROOT
from tests.exercises.test_excerpt_marks import (
    GUITAR,
    PLAIN,
    again,
    composed,
    direction,
    engraved,
    score_of,
    with_parts,
)  # fmt: skip
from tests.outputs.midi_reading import read_midi
from tests.outputs.musicxml_checks import check_musicxml
from tests.reading.music_xml import Written, line, score_xml

BARCAROLE = ROOT / "books" / "excerpts" / "mill-barcarole.musicxml"
FOUR = score_xml(line("C4 D4 E4 F4 G4 A4 B4 C5", Fraction(2)))
FORWARD = '<barline location="left"><repeat direction="forward"/></barline>'
BACKWARD = '<barline location="right"><repeat direction="backward"/></barline>'


def in_bars(data: bytes, *parts: tuple[int, str, str]) -> bytes:
    """The file with elements at the head and the foot of its bars, which are counted from 1."""
    text = data.decode()
    for number, head, foot in parts:
        before, bar = text.split(f'<measure number="{number}">')
        inside, after = bar.split("</measure>", 1)
        attributes, found, rest = inside.partition("</attributes>")
        opened = f"{attributes}{found}{head}{rest}" if found else f"{head}{inside}"
        text = f'{before}<measure number="{number}">{opened}{foot}</measure>{after}'
    return text.encode()


def ending(number: str, kind: str, repeat: bool = False) -> str:
    back = '<repeat direction="backward"/>' if repeat else ""
    side = "left" if kind == "start" else "right"
    return f'<barline location="{side}"><ending number="{number}" type="{kind}"/>{back}</barline>'


def signs(passage: Passage) -> list[str]:
    """The bars with their signs: `|:` and `:|` for repeats, figures for endings."""
    return [
        f"{'|:' if bar.repeat_start else ''}{''.join(map(str, bar.endings))}{':|' if bar.repeat_end else ''}"
        for bar in passage.bars
    ]


def heard(passage: Passage) -> str:
    """The bars as they sound, each by the letter of its first note (two notes a bar)."""
    notes = read_midi(midi(score_of(passage))).notes
    return "".join("C_D_EF_G_A_B"[midi_number % 12] for onset, _, midi_number in notes if onset % 4 == 0)


TWO_ENDINGS = in_bars(
    FOUR, (1, FORWARD, ""), (2, ending("1", "start"), ending("1", "stop", True)),
    (3, ending("2", "start"), ending("2", "discontinue")),
)  # fmt: skip


def test_repeats_and_endings_are_kept(tmp_path):
    """Printed with brackets, written to MusicXML, played: the first ending once, the second the second time."""
    passage = composed(tmp_path, TWO_ENDINGS)
    assert signs(passage) == ["|:", "1:|", "2", ""]
    assert heard(passage) == "CECGB"
    for notation in Notation:
        assert signs(again(tmp_path, passage, notation)) == signs(passage)
        text = engraved(passage, notation)
        assert re.findall(r"volta (\S+?)\)", text) == ['"1."', "#f", '"2."', "#f"]
        assert ".|:" in text
        assert ":|." in text


@pytest.mark.parametrize(
    ("parts", "order"),
    [
        ([(2, "", BACKWARD)], "CECEGB"),
        ([(2, "", BACKWARD), (4, "", BACKWARD)], "CECEGBGB"),
        ([(2, FORWARD, ""), (3, "", BACKWARD)], "CEGEGB"),
        ([(2, ending("1, 2", "start"), ending("1, 2", "stop", True)), (3, ending("3", "start"), ending("3", "stop"))],
         "CECECGB"),
        ([(2, "", direction("<words>Fine</words>")), (4, "", direction("<words>D.C. al Fine</words>"))], "CEGBCE"),
        ([(2, direction("<segno/>"), ""), (4, "", direction("<words>D.S.</words>"))], "CEGBEGB"),
        ([(1, "", direction("<words>To Coda</words>")), (4, direction("<coda/>"), ""),
          (3, "", direction("<words>D.C. al Coda</words>"))], "CEGCB"),
        ([(2, "", BACKWARD), (3, "", direction("<words>Fine</words>")),
          (4, "", direction("<words>Da Capo al Fine</words>"))], "CECEGBCEG"),
    ],
)  # fmt: skip
def test_midi_plays_what_the_signs_say(tmp_path, parts, order):
    """Every repeat once more; after a word that sends back, no repeats and only up to Fine or over to the coda."""
    passage = composed(tmp_path, in_bars(FOUR, *parts))
    assert heard(passage) == order
    assert heard(again(tmp_path, passage)) == order


def test_words_that_send_elsewhere_are_printed_at_the_end_of_their_bar(tmp_path):
    """Signs of places at the beginning."""
    parts = [(2, direction("<segno/>"), ""), (4, "", direction("<words>D.S. al Fine</words>"))]
    passage = composed(tmp_path, in_bars(FOUR, *parts))
    assert [bar.ways for bar in passage.bars] == [(), (Way.SEGNO,), (), (Way.DAL_SEGNO_AL_FINE,)]
    assert re.findall(r'#(\w+) \\markup \\(?:way|place) "(.+?)"', engraved(passage)) == [
        ("LEFT", "segno"), ("RIGHT", "D.S. al Fine"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("bars", "kept", "told"),
    [
        ([1, 3], ["|:", "1:|", "2"], 0),
        ([1, 2], ["", ""], 1),
        ([2, 4], ["", "", ""], 1),
        ([4, 4], [""], 0),
    ],
)
def test_a_repeat_that_is_cut_through_is_left_out_and_told(tmp_path, bars, kept, told):
    """Its bars are played on; a repeat that lies in the excerpt whole stays."""
    passage = composed(tmp_path, TWO_ENDINGS, bars=bars)
    assert signs(passage) == kept
    assert passage.remarks == ("the repeat of bars 1 to 3 is cut through and left out",) * told


def test_the_books_own_repeat_takes_the_place_of_those_inside(tmp_path):
    """Repeats within repeats are not printed."""
    score = score_of(composed(tmp_path, TWO_ENDINGS, repeat=True))
    assert [measure.repeat_start for measure in score.measures] == [True, False, False, False]
    assert [measure.barline for measure in score.measures] == [Barline.PLAIN] * 3 + [Barline.REPEAT_END]


def test_words_of_tempo_are_kept_from_a_list_of_ours(tmp_path):
    """What else a stranger's file says over its notes is left out."""
    said = ["Andante con moto", "poco rit.", "<b>", "\\include x", "VII", "C 3/6 V", "as in my dream"]
    safe = [text.replace("<", "&lt;").replace(">", "&gt;") for text in said]
    data = with_parts(PLAIN, *((number, direction(f"<words>{text}</words>")) for number, text in enumerate(safe)))
    passage = composed(tmp_path, data)
    kept = [(Fraction(0), "Andante con moto"), (Fraction(1), "poco rit.")]
    assert [(words.onset_quarters, words.text) for words in passage.directions] == kept
    assert again(tmp_path, passage).directions == passage.directions
    assert composed(tmp_path, data, bars=[2, 2]).directions == ()


TOUCHES = {
    "staccato": Articulation.STACCATO, "staccatissimo": Articulation.STACCATISSIMO, "tenuto": Articulation.TENUTO,
    "strong-accent": Articulation.MARCATO,
}  # fmt: skip


def test_signs_of_touch_are_kept(tmp_path):
    """Each on its note, on the staff and not again in the tablature below it."""
    wanted = [(f"<articulations><{name}/></articulations>", touch) for name, touch in TOUCHES.items()]
    wanted += [("<fermata/>", Articulation.FERMATA), ("<arpeggiate/>", Articulation.ROLLED)]
    text = PLAIN.decode()
    for notation, _ in wanted:
        text = text.replace("</voice></note>", f"</voice><notations>{notation}</notations></note>", 1)
    passage = composed(tmp_path, text.encode())
    assert [note.articulations for note in passage.notes[:6]] == [(touch,) for _, touch in wanted]
    assert [note.articulations for note in again(tmp_path, passage).notes[:6]] == [(touch,) for _, touch in wanted]
    source = engraved(passage)
    for sign in ("-.", "-!", "--", "-^", "\\fermata", "\\arpeggio"):
        assert source.count(sign) == 1
    assert composed(tmp_path, text.encode(), keep_marks=False).notes[0].articulations == ()


def test_a_fermata_stands_over_the_end_of_a_tie(tmp_path):
    """The dot of a staccato over its beginning."""
    both = "<notations><articulations><staccato/></articulations><fermata/></notations></note>"
    data = score_xml([*line("E4 F4"), Written(67, "G", Fraction(2), Fraction(4))]).decode()
    passage = composed(tmp_path, data.replace("</voice></note>", f"</voice>{both}").encode())
    held = [e for e in score_of(passage).elements if e.notes and str(e.notes[0].pitch) == "G4"]
    assert [e.articulations for e in held] == [(Articulation.STACCATO,), (Articulation.FERMATA,)]


def test_short_notes_sound_short(tmp_path):
    """Half as long in MIDI, as long as before on paper."""
    short = "</voice><notations><articulations><staccato/></articulations></notations></note>"
    passage = composed(tmp_path, PLAIN.decode().replace("</voice></note>", short, 1).encode())
    assert [length for _, length, _ in read_midi(midi(score_of(passage))).notes[:2]] == [Fraction(1, 2), 1]


def three_voices(lower: str = "C3 G3 C3 G3") -> bytes:
    voices = (line("G4 A4 B4 C5"), line("E4 D4 D4 E4"), line(lower))
    return score_xml([
        Written(n.midi, n.name, n.onset, n.duration, number) for number, v in enumerate(voices, 1) for n in v
    ])  # fmt: skip


def test_three_voices_stay_three(tmp_path):
    """The highest above, the lowest below, the third between them, in print and in MusicXML."""
    passage = composed(tmp_path, three_voices())
    by_voice = {
        number: "".join(n.pitch.name.letter for n in passage.notes if n.voice == number) for number in (1, 2, 3)
    }
    assert by_voice == {1: "GABC", 2: "CGCG", 3: "EDDE"}
    assert [(str(n.pitch), n.voice) for n in again(tmp_path, passage).notes] == [
        (str(n.pitch), n.voice) for n in passage.notes
    ]
    assert check_musicxml(musicxml(score_of(passage), "x")) == []
    assert r"\voiceFour" in engraved(passage)


def test_a_third_voice_that_never_sounds_with_both_others_joins_one(tmp_path):
    """Two are printed where no bar has three."""
    first = [Written(n.midi, n.name, n.onset, n.duration, 1) for n in line("G4 A4 B4 C5")]
    second = [Written(n.midi, n.name, n.onset + 4, n.duration, 2) for n in line("E4 D4 D4 E4")]
    bass = [Written(48, "C", Fraction(4 * bar), Fraction(4), 3) for bar in (0, 1)]
    passage = composed(tmp_path, score_xml([*first, *second, *bass]))
    assert {(note.voice, str(note.pitch)) for note in passage.notes if note.voice != 1} == {(2, "C3")}


def test_a_middle_voice_is_written_in_the_book(tmp_path):
    """Between upper and lower."""
    passage = composed(tmp_path, notes={"upper": "G4 w", "middle": "r q D4 E4 D4", "lower": "C3 w"})
    assert [(str(n.pitch), n.voice) for n in passage.notes] == [("C3", 2), ("G4", 1), ("D4", 3), ("E4", 3), ("D4", 3)]


def touches(passage: Passage) -> set[tuple[Fraction, int, Articulation]]:
    """The signs of touch of each chord of a voice; a file has them on one of its notes."""
    return {(note.onset_quarters, note.voice, touch) for note in passage.notes for touch in note.articulations}


@pytest.mark.parametrize("notation", list(Notation))
def test_the_sample_with_every_sign_comes_back_as_it_was(tmp_path, notation):
    """Repeats, words, hairpins, touches, voices and notes, through our own MusicXML."""
    spec = ExcerptSpec.model_validate({"id": "x", "kind": "excerpt", "file": BARCAROLE.name}).located(BARCAROLE.parent)
    first = compose(spec, GUITAR)
    second = again(tmp_path, first, notation)
    assert signs(first) == ["", "|:", "", "", "1:|", "2", "", "", ""]
    assert [(str(n.pitch), n.onset_quarters, n.voice, n.dynamic) for n in second.notes] == [
        (str(n.pitch), n.onset_quarters, n.voice, n.dynamic) for n in first.notes
    ]
    assert touches(second) == touches(first)
    assert (second.hairpins, second.directions) == (first.hairpins, first.directions)
    assert [(signs, bar.ways, bar.key_fifths) for signs, bar in zip(signs(second), second.bars, strict=True)] == [
        (signs, bar.ways, bar.key_fifths) for signs, bar in zip(signs(first), first.bars, strict=True)
    ]
