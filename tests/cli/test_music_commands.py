"""The commands for music files: what they hand over, where they write, how they end."""

import pytest
from typer.testing import CliRunner

import engraver.editing.fingers
import engraver.editing.spelling
from engraver.cli import app
from engraver.editing.edited import Edited
from engraver.editing.guitars import PlayerWishes
from engraver.errors import EngraverError, Place
from tests.reading.music_xml import line, notes_back, score_xml

RUN = CliRunner()


@pytest.fixture
def handed(monkeypatch):
    """What reaches the editing; a file named `bad` cannot be edited."""
    seen = []

    def edit(path, *wishes):
        seen.append((path.name, *wishes))
        if path.stem == "bad":
            raise EngraverError("no good", Place(str(path), 3))
        return Edited(b"<x/>", 2, ("a remark",))

    monkeypatch.setattr(engraver.editing.fingers, "finger_file", edit)
    monkeypatch.setattr(engraver.editing.spelling, "respell_file", edit)
    return seen


def test_finger_hands_over_guitar_and_hand(handed, tmp_path):
    """Every option has its place."""
    options = ["--tuning", "drop d", "--scale-length", "630", "--reach", "90", "--capo", "2", "--replace"]
    done = RUN.invoke(app, ["finger", "a.mxl", "--out", str(tmp_path), *options])
    assert (done.exit_code, handed) == (0, [("a.mxl", PlayerWishes("drop d", 630.0, 90.0, 2, True))])


def test_files_are_written_under_their_own_names_and_remarks_are_printed(handed, tmp_path):
    """As MusicXML, whatever they were."""
    done = RUN.invoke(app, ["respell", "a.mid", "b.abc", "--out", str(tmp_path)])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.musicxml", "b.musicxml"]
    assert done.stdout.count("a remark") == 2
    assert f"{tmp_path / 'a.musicxml'}: 2 notes changed" in done.stdout


def test_a_bad_file_does_not_keep_the_others(handed, tmp_path):
    """It is told with its place, and the exit code says so."""
    done = RUN.invoke(app, ["finger", "bad.xml", "good.xml", "--out", str(tmp_path)])
    assert done.exit_code == 1
    assert "bad.xml:3:1: no good" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["good.musicxml"]


def test_a_file_is_never_written_over_itself(tmp_path):
    """Nor over another result of the same run."""
    path = tmp_path / "x.musicxml"
    data = score_xml(line("E4 F4"))
    path.write_bytes(data)
    done = RUN.invoke(app, ["finger", str(path), "--out", str(tmp_path)])
    assert (done.exit_code, path.read_bytes()) == (1, data)
    assert "would overwrite this file" in done.stderr
    other = tmp_path / "x.xml"
    other.write_bytes(data)
    done = RUN.invoke(app, ["finger", str(path), str(other), "--out", str(tmp_path / "out")])
    assert "has the same name" in done.stderr


def test_a_missing_file_is_told_without_a_traceback(tmp_path):
    """Exit 1."""
    done = RUN.invoke(app, ["respell", str(tmp_path / "none.musicxml"), "--out", str(tmp_path / "out")])
    assert done.exit_code == 1
    assert "none.musicxml:1:1: there is no such file" in done.stderr
    assert "Traceback" not in done.output


def test_both_commands_work_on_a_real_file(tmp_path):
    """One after the other: names first, then fingers."""
    path = tmp_path / "tune.musicxml"
    path.write_bytes(score_xml(line("A3 B3 C4 D4 E4 F4 Ab4 A4 E4 C4 A3 E3")))
    one = RUN.invoke(app, ["respell", str(path), "--out", str(tmp_path / "named")])
    two = RUN.invoke(app, ["finger", str(tmp_path / "named" / "tune.musicxml"), "--out", str(tmp_path / "fingered")])
    assert (one.exit_code, two.exit_code) == (0, 0)
    assert "G#4, not Ab4" in one.stdout
    back = notes_back((tmp_path / "fingered" / "tune.musicxml").read_bytes())
    assert all(note.mark("fingering") for note in back)
    assert back[6].name == "G#"
