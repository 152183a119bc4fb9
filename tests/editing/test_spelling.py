"""Names for music files: what changes is told with its reason, and nothing else in the file moves."""

from fractions import Fraction
from pathlib import Path

import pytest
from lxml import etree

from engraver.editing.spelling import respell_file
from engraver.theory.spelling import respell
from tests.outputs.musicxml_schema import schema_problems
from tests.reading.music_xml import Written, line, notes_back, score_xml

A_MINOR = "A3 B3 C4 D4 E4 F4 Ab4 A4 E4 C4 A3 E3"


def edit(tmp_path: Path, data: bytes, name: str = "x.musicxml"):
    path = tmp_path / name
    path.write_bytes(data)
    return respell_file(path)


def test_a_wrong_leading_note_is_named_and_told(tmp_path):
    """A flat before A in A minor is G sharp; file, line and bar are said."""
    edited = edit(tmp_path, score_xml(line(A_MINOR)))
    assert [note.name for note in notes_back(edited.data)][6] == "G#"
    (remark,) = edited.remarks
    assert remark.startswith(f"{tmp_path / 'x.musicxml'}:4: bar 2: G#4, not Ab4: ")
    assert len(remark.split("not Ab4: ")[1]) > 10


def test_the_sound_never_changes(tmp_path):
    """Every note keeps its MIDI number; B sharp takes the lower octave number."""
    data = score_xml(line("C#4 E4 G#4 C4 C#4 G#3 C3 C#3"), fifths=4)
    before = notes_back(data)
    after = notes_back(edit(tmp_path, data).data)
    assert [note.midi for note in before] == [note.midi for note in after]
    assert [note.name for note in after].count("B#") == 2


def test_only_the_changed_notes_are_touched(tmp_path):
    """All other notes are the same, element by element."""
    data = score_xml(line(A_MINOR))
    before = [etree.tostring(note.element) for note in notes_back(data)]
    after = [etree.tostring(note.element) for note in notes_back(edit(tmp_path, data).data)]
    assert [i for i, pair in enumerate(zip(before, after, strict=True)) if pair[0] != pair[1]] == [6]


def test_a_well_spelled_file_is_given_back_byte_by_byte(tmp_path):
    """Nothing to tell."""
    data = score_xml(line(A_MINOR.replace("Ab", "G#")))
    edited = edit(tmp_path, data)
    assert (edited.data, edited.changed, edited.remarks) == (data, 0, ())


def test_printed_signs_follow_the_names(tmp_path):
    """The new sharp is printed, its flat is not; a later note of the same line in the bar gets its natural."""
    data = score_xml(line("A3 E4 Ab4 A4 Ab4 A4 E4 G4 A3 C4 E4 A4")).decode()
    data = data.replace(
        "<step>A</step><alter>-1</alter><octave>4</octave></pitch><duration>1</duration><voice>1</voice>",
        "<step>A</step><alter>-1</alter><octave>4</octave></pitch><duration>1</duration><voice>1</voice><accidental>flat</accidental>",
    )
    edited = edit(tmp_path, data.encode())
    signs = [(note.name, note.element.findtext("accidental")) for note in notes_back(edited.data)]
    assert signs[2] == ("G#", "sharp")
    assert signs[4] == ("G#", "sharp")
    assert signs[7] == ("G", "natural")


def test_a_file_without_printed_signs_gets_none(tmp_path):
    """Programs that leave them out work them out themselves."""
    edited = edit(tmp_path, score_xml(line(A_MINOR)))
    assert b"<accidental>" not in edited.data


def test_tied_heads_are_named_alike(tmp_path):
    """A name holds through its ties."""
    notes = [*line("A3 C4 E4"), Written(68, "Ab", Fraction(3), Fraction(3)), *(n for n in line("- - - - - - A4 A3"))]
    names = [note.name for note in notes_back(edit(tmp_path, score_xml(notes)).data) if note.midi == 68]
    assert names == ["G#", "G#"]


def test_a_transposing_part_is_named_as_it_sounds(tmp_path):
    """An octave's transposition changes no name; a written note keeps its written octave."""
    attributes = "<transpose><diatonic>0</diatonic><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    up = " ".join(f"{name[:-1]}{int(name[-1]) + 1}" for name in A_MINOR.split())
    back = notes_back(edit(tmp_path, score_xml(line(up), attributes=attributes)).data)
    assert (back[6].name, back[6].midi) == ("G#", 80)


def test_a_signature_that_the_notes_contradict_is_not_believed(tmp_path):
    """Without a signature, or with an empty one over E major, the names are the same."""
    text = "E3 Ab3 B3 E4 Gb4 Ab4 A4 B4 Db5 Eb5 E5 B4 Ab4 E4 Eb4 E4"
    empty = [note.name for note in notes_back(edit(tmp_path, score_xml(line(text), fifths=0)).data)]
    none = [note.name for note in notes_back(edit(tmp_path, score_xml(line(text), fifths=None)).data)]
    assert empty == none
    assert {"G#", "F#", "C#", "D#"} <= set(empty)
    assert not any("b" in name for name in empty)


def test_the_command_names_as_the_python_interface_does(tmp_path):
    """From MIDI numbers alone."""
    notes = line("D4 Db4 D4 E4 F4 Db4 D4 A3+D4+Gb4 G4 Gb4 G4 Bb4 A4 Ab4 A4 D4")
    data = score_xml(notes, fifths=None)
    after = {(note.onset, note.midi): note.name for note in notes_back(edit(tmp_path, data).data)}
    spelled = respell([(n.onset, n.duration, n.midi) for n in notes])
    assert [after[n.onset, n.midi] for n in notes] == [str(pitch.name) for pitch in spelled]


def test_a_midi_file_is_named_and_written_as_musicxml(tmp_path):
    """The names that the file lacks are ours."""
    import mido

    track = mido.MidiTrack()
    for midi in (57, 64, 68, 69, 64, 60, 57, 57):
        track.append(mido.Message("note_on", note=midi, velocity=64, time=0))
        track.append(mido.Message("note_off", note=midi, velocity=0, time=480))
    file = mido.MidiFile(ticks_per_beat=480, tracks=[track])
    path = tmp_path / "x.mid"
    file.save(path)
    assert [note.name for note in notes_back(respell_file(path).data)] == ["A", "E", "G#", "A", "E", "C", "A", "A"]


def test_the_result_keeps_to_the_schema(tmp_path):
    """Signs stand where MusicXML wants them."""
    data = score_xml(line(A_MINOR)).replace(b"<voice>1</voice></note>", b"<voice>1</voice><type>quarter</type><stem>up</stem></note>")
    data = data.replace(b"<type>quarter</type>", b"<type>quarter</type><accidental>natural</accidental>", 1)
    assert schema_problems(edit(tmp_path, data).data) == []


@pytest.mark.parametrize("name", ["x.musicxml", "x.mxl"])
def test_files_without_notes_are_told(tmp_path, name):
    """Rather than written again."""
    from engraver.errors import EngraverError

    with pytest.raises(EngraverError, match=r"no notes|damaged"):
        edit(tmp_path, score_xml([]), name)
