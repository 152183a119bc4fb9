"""Fingers for music files: what is missing is filled in, what is printed is obeyed, the rest of the file stays."""

from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

from engraver.editing.fingers import finger_file
from engraver.editing.guitars import PlayerWishes
from engraver.errors import EngraverError, OutOfRange
from engraver.outputs.musicxml import musicxml
from tests.outputs.musicxml_schema import schema_problems
from tests.outputs.scores import line_score
from tests.reading.music_xml import Written, line, notes_back, score_xml

USUAL = PlayerWishes()
OPEN = {1: 64, 2: 59, 3: 55, 4: 50, 5: 45, 6: 40}
TAB = '<clef number="1"><sign>G</sign></clef><clef number="2"><sign>TAB</sign></clef>'


def edit(tmp_path: Path, data: bytes, wishes: PlayerWishes = USUAL, name: str = "x.musicxml"):
    path = tmp_path / name
    path.write_bytes(data)
    return finger_file(path, wishes)


def marked(name: str, onset: int, marks: dict[str, str], midi: int = 64) -> Written:
    return Written(midi, name, Fraction(onset), Fraction(1), 1, tuple(marks.items()))


def test_every_note_gets_a_place_that_sounds_it(tmp_path):
    """Finger, string, fret and letter, and string plus fret give the written pitch."""
    edited = edit(tmp_path, score_xml(line("E2 F#2 G2 A2 B2 C3+E3+G3 D4 E5")))
    back = notes_back(edited.data)
    assert len(back) == 10
    assert edited.changed == 10
    for note in back:
        assert OPEN[int(note.mark("string"))] + int(note.mark("fret")) == note.midi
        assert (note.mark("fingering") == "0") == (note.mark("fret") == "0")
        assert note.mark("pluck") in ("p", "i", "m", "a")


def test_only_the_marks_of_the_hands_are_added(tmp_path):
    """With them taken out again, the file is what it was."""
    data = score_xml(line("E4 F4 G4 A4"), head="<!-- kept --><movement-title>Kept &amp; whole</movement-title>")
    root = etree.fromstring(edit(tmp_path, data).data)
    for notations in root.findall(".//notations"):
        notations.getparent().remove(notations)
    assert etree.tostring(root, method="c14n2") == etree.tostring(etree.fromstring(data), method="c14n2")


def test_the_head_and_the_line_ends_of_the_file_are_kept(tmp_path):
    """Declaration, document type and carriage returns."""
    data = score_xml(line("E4 F4")).replace(b"<score", b"<!DOCTYPE score-partwise>\n<!-- head -->\n<score", 1)
    data = data.replace(b"\n", b"\r\n")
    edited = edit(tmp_path, data).data
    assert edited.startswith(data[: data.index(b"<score")])
    assert edited.count(b"\n") == edited.count(b"\r\n") > 0


def test_a_file_with_all_marks_is_given_back_byte_by_byte(tmp_path):
    """Our own MusicXML needs nothing."""
    data = musicxml(line_score(["E2 6.0 0 i", "F2 6.1 1 m", "G2 6.3 3 i", "A2 5.0 0 m"] * 2), "Line")
    edited = edit(tmp_path, data)
    assert (edited.data, edited.changed) == (data, 0)


def test_printed_marks_are_obeyed_and_kept(tmp_path):
    """A string and a finger that the engine would not choose by itself."""
    notes = [marked("E", 0, {"fingering": "4", "string": "3"}), *line("- F4 G4 A4")]
    first = notes_back(edit(tmp_path, score_xml(notes)).data)[0]
    assert [first.mark(name) for name in ("fingering", "string", "fret")] == ["4", "3", "9"]


def test_a_printed_letter_is_kept(tmp_path):
    """And the other hand's marks are added beside it."""
    notes = [marked("E", 0, {"pluck": "a"}), *line("- F4 G4 A4")]
    first = notes_back(edit(tmp_path, score_xml(notes)).data)[0]
    assert first.mark("pluck") == "a"
    assert first.mark("string") is not None


def test_replace_plans_every_mark_anew(tmp_path):
    """The printed finger may go."""
    data = score_xml([marked("E", 0, {"fingering": "4", "string": "4"}), *line("- F4 G4 A4")])
    first = notes_back(edit(tmp_path, data, PlayerWishes(replace=True)).data)[0]
    assert (first.mark("fingering"), first.mark("string")) != ("4", "4")
    assert len(first.element.findall("notations/technical/fingering")) == 1


@pytest.mark.parametrize("marks", [{"string": "6", "fingering": "1"}, {"fingering": "0", "string": "2"}, {"string": "9"}])
def test_an_impossible_mark_is_let_go_and_said(tmp_path, marks):
    """The note is fingered without it; the bar is named."""
    edited = edit(tmp_path, score_xml([marked("B", 4, marks, 83), *line("E4 F4 G4 A4")]))
    (remark,) = edited.remarks
    assert "bar 2: B5 cannot be taken with" in remark


def test_a_mark_that_no_hand_joins_to_its_chord_is_let_go(tmp_path):
    """Fret 3 and fret 12 under neighbouring fingers: the one that leaves the other a place keeps its marks."""
    notes = [
        Written(53, "F", Fraction(0), Fraction(4), 1, (("string", "4"), ("fingering", "1"))),
        Written(76, "E", Fraction(0), Fraction(4), 1, (("string", "1"), ("fingering", "2"))),
    ]
    edited = edit(tmp_path, score_xml(notes))
    _, high = notes_back(edited.data)
    assert (high.mark("string"), high.mark("fingering")) == ("1", "2")
    (remark,) = edited.remarks
    assert "F3 cannot be taken with finger 1 on string 4" in remark


def test_a_tied_note_repeats_its_place_but_is_not_plucked_again(tmp_path):
    """The continuation bears string, fret and finger."""
    tied = [Written(67, "G", Fraction(3), Fraction(3)), *line("E4 F4 E4")]
    back = [note for note in notes_back(edit(tmp_path, score_xml(tied)).data) if note.midi == 67]
    assert [note.tied for note in back] == [False, True]
    assert back[0].mark("string") == back[1].mark("string")
    assert (back[0].mark("pluck") is None, back[1].mark("pluck")) == (False, None)


def test_a_note_shared_by_two_voices_has_one_place(tmp_path):
    """Both heads say the same."""
    notes = [Written(60, "C", Fraction(0), Fraction(1), 1), Written(60, "C", Fraction(0), Fraction(4), 2)]
    one, two = notes_back(edit(tmp_path, score_xml(notes)).data)
    assert [one.mark(m) for m in ("string", "fret", "fingering")] == [two.mark(m) for m in ("string", "fret", "fingering")]


def test_a_note_beyond_the_guitar_is_told_with_line_bar_and_remedy(tmp_path):
    """C2 in the second bar."""
    with pytest.raises(OutOfRange) as caught:
        edit(tmp_path, score_xml(line("E2 E2 E2 E2 D2 C2")))
    assert "x.musicxml:4:1: part 'Guitar': the note D2 in bar 2 lies below the lowest string, E2 (and 1 more note)" in str(caught.value)
    assert "tune the lowest string down to D2" in str(caught.value)


@pytest.mark.parametrize("tuning", ["drop d", "D2 A2 D3 G3 B3 E4", "[D2, A2, D3, G3, B3, E4]"])
def test_a_tuning_is_named_or_written_out(tmp_path, tuning):
    """D2 is then the open sixth string."""
    first = notes_back(edit(tmp_path, score_xml(line("D2 A2 D3")), PlayerWishes(tuning=tuning)).data)[0]
    assert (first.mark("string"), first.mark("fret")) == ("6", "0")


def test_the_tuning_of_the_file_is_used(tmp_path):
    """Unless another is asked for."""
    names = ("D2", "A2", "D3", "G3", "B3", "E4")
    lines = "".join(f'<staff-tuning line="{i}"><tuning-step>{n[0]}</tuning-step><tuning-octave>{n[1]}</tuning-octave></staff-tuning>' for i, n in enumerate(names, 1))
    data = score_xml(line("D2 A2"), attributes=f"<staff-details>{lines}</staff-details>")
    assert notes_back(edit(tmp_path, data).data)[0].mark("fret") == "0"
    with pytest.raises(OutOfRange):
        edit(tmp_path, data, PlayerWishes(tuning="standard"))


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        (PlayerWishes(tuning="nonsense"), "'nonsense' is not a tuning we know"),
        (PlayerWishes(reach_mm=5), "reach_mm"),
        (PlayerWishes(scale_length_mm=5000), "scale_length_mm"),
        (PlayerWishes(capo=40), "capo"),
    ],
)
def test_an_impossible_wish_is_told(tmp_path, wishes, said):
    """By the field and its bounds."""
    with pytest.raises(EngraverError, match=said):
        edit(tmp_path, score_xml(line("E4")), wishes)


def test_a_small_hand_is_fingered_within_its_reach(tmp_path):
    """A chord that the usual hand holds is rolled or taken elsewhere; nothing is refused."""
    data = score_xml(line("F2+A4 E4"))
    edited = edit(tmp_path, data, PlayerWishes(reach_mm=70))
    assert any("rolled" in remark for remark in edited.remarks)
    assert all(note.mark("string") for note in notes_back(edited.data))


def test_harmonics_are_left_to_the_editor(tmp_path):
    """They sound elsewhere than their fret says."""
    data = score_xml(line("E4 E6 G4")).replace(
        b"<octave>6</octave></pitch><duration>1</duration><voice>1</voice>",
        b"<octave>6</octave></pitch><duration>1</duration><voice>1</voice><notations><technical><harmonic/></technical></notations>",
    )
    edited = edit(tmp_path, data)
    assert "1 harmonics are left as they are" in edited.remarks[0]
    assert notes_back(edited.data)[1].mark("string") is None


def test_a_tablature_staff_gets_string_and_fret_alone(tmp_path):
    """Its copies agree with the notation staff."""
    body = "<note><pitch><step>E</step><octave>4</octave></pitch><duration>4</duration>{}<staff>{}</staff></note>"
    data = score_xml([], attributes=f"<staves>2</staves>{TAB}").decode()
    two = body.format("<voice>1</voice>", 1) + "<backup><duration>4</duration></backup>" + body.format("<voice>5</voice>", 2)
    edited = edit(tmp_path, data.replace("<forward><duration>4</duration></forward>", two).encode())
    staff, tab = notes_back(edited.data)
    assert staff.mark("fingering") is not None
    assert tab.mark("fingering") is None
    assert (tab.mark("string"), tab.mark("fret")) == (staff.mark("string"), staff.mark("fret"))


def test_the_result_keeps_to_the_schema(tmp_path):
    """Elements are added where MusicXML wants them, after beams and before lyrics."""
    data = score_xml(line("E4 F4 G4+B4 A4")).replace(
        b"<voice>1</voice></note>", b"<voice>1</voice><type>quarter</type><stem>up</stem><lyric><text>la</text></lyric></note>"
    )
    assert schema_problems(edit(tmp_path, data).data) == []


def test_the_same_file_gives_the_same_bytes(tmp_path):
    """Twice."""
    data = score_xml(line("E2 G2 B2 E3+G3+B3 F#3 A3 C4 E4"))
    assert edit(tmp_path, data).data == edit(tmp_path, data).data


def test_a_grace_note_may_lie_on_the_string_of_the_note_before(tmp_path):
    """C and D one after the other on string 2, and E open: the first position, as without the grace note."""
    notes = [*line("C4 E4"), Written(62, "D", Fraction(1), Fraction(0), grace=True)]
    (tmp_path / "x.musicxml").write_bytes(score_xml(notes))
    done = notes_back(finger_file(tmp_path / "x.musicxml", PlayerWishes()).data)
    assert {(back.midi, back.mark("string"), back.mark("fret")) for back in done} == {
        (60, "2", "1"), (62, "2", "3"), (64, "1", "0"),
    }  # fmt: skip
