"""Files from strangers: a clear error with file and place, in bounded time and memory, and nothing fetched."""

import socket
import zipfile
from io import BytesIO

import pytest

from engraver.errors import EngraverError
from engraver.reading import converting
from engraver.reading.files import read_music
from tests.reading.music_xml import line, score_xml

GOOD = score_xml(line("E4 F#4 G4 A4 B3 C4 D4 E4"))
BOMB = (
    b'<!DOCTYPE score-partwise [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + i, b"&%c;" % (97 + i) * 10) for i in range(10))
    + b"]><score-partwise><movement-title>&k;</movement-title></score-partwise>"
)
EXTERNAL = b'<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/hostname">]><score-partwise><movement-title>&x;</movement-title></score-partwise>'


@pytest.fixture(autouse=True)
def _no_network(monkeypatch):
    def refuse(*_):
        raise AssertionError("the network was asked")

    monkeypatch.setattr(socket.socket, "connect", refuse)


def packed(**members: bytes) -> bytes:
    buffer = BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in members.items():
            package.writestr(name.replace("__", "/").replace("_", "."), data)
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("x.musicxml", GOOD[:400], r"x\.musicxml:3:\d+: this is not readable XML"),
        ("x.musicxml", BOMB, "declares entities"),
        ("x.musicxml", BOMB.decode().encode("utf-16"), "declares entities"),
        ("x.musicxml", EXTERNAL, "declares entities"),
        ("x.musicxml", b"", "the file is empty"),
        ("x.musicxml", bytes(range(256)) * 50, "not readable XML"),
        ("x.musicxml", b"<a>" * 50_000, "not readable XML"),
        ("x.musicxml", GOOD.replace(b"Guitar", b"Gu\xedtar"), r"x\.musicxml:2:\d+: this is not readable XML"),
        ("x.musicxml", GOOD.replace(b"UTF-8", b"KLINGON"), "Unsupported encoding"),
        ("x.xml", b"<html><body/></html>", "not MusicXML"),
        ("x.musicxml", b"<score-partwise/>", "no part"),
        ("x.mxl", GOOD, "damaged"),
        ("x.mxl", packed(readme_txt=b"no music"), "holds no MusicXML"),
        ("x.mxl", packed(s_xml=GOOD)[:150], "damaged"),
        ("x.mid", b"not midi at all", "not a MIDI file"),
        ("x.mid", b"MThd\0\0\0\6\0\0\0\1\1\xe0MTrk\0\0\xff\xff\0", "cut off"),
        ("x.abc", b"X:1\nT:a\nK:C\nCDEF|\nX:2\nT:b\nK:C\nCDEF|\n", "collection of 2 tunes"),
        ("x.krn", b"**kern\n4c\t4d\n*-\n", "cannot be read as humdrum"),
        ("x.pdf", b"%PDF", "not an ending we read"),
    ],
)
def test_a_damaged_file_is_told(tmp_path, name, data, said):
    """With what was found, as one of our own errors."""
    path = tmp_path / name
    path.write_bytes(data)
    with pytest.raises(EngraverError, match=said):
        read_music(path)


def test_a_missing_file_and_a_folder_are_told(tmp_path):
    """By their names."""
    with pytest.raises(EngraverError, match="no such file"):
        read_music(tmp_path / "none.musicxml")
    (tmp_path / "f.musicxml").mkdir()
    with pytest.raises(EngraverError, match="a folder"):
        read_music(tmp_path / "f.musicxml")


def test_a_gigantic_file_is_refused_unread(tmp_path):
    """By its size alone: the file has a hundred megabytes of nothing."""
    path = tmp_path / "x.musicxml"
    with path.open("wb") as file:
        file.truncate(105_000_000)
    with pytest.raises(EngraverError, match="larger than 64 MB"):
        read_music(path)


def test_a_package_that_unpacks_to_more_than_the_limit_is_refused(tmp_path):
    """Seventy megabytes of blanks pack into a few kilobytes."""
    path = tmp_path / "x.mxl"
    path.write_bytes(packed(s_xml=b" " * 70_000_000))
    with pytest.raises(EngraverError, match="larger than"):
        read_music(path)


def test_too_many_notes_are_counted_before_they_are_read(tmp_path, monkeypatch):
    """A million notes cost no more than their bytes."""
    path = tmp_path / "x.musicxml"
    path.write_bytes(b"<score-partwise>" + b"<note/>" * 1_000_000)
    monkeypatch.setattr("lxml.etree.fromstring", lambda *_: pytest.fail("parsed"))
    with pytest.raises(EngraverError, match="more than 100,000 notes"):
        read_music(path)


def test_a_document_type_elsewhere_is_not_fetched(tmp_path):
    """The music is read; its document type stays unopened."""
    path = tmp_path / "x.musicxml"
    path.write_bytes(GOOD.replace(b"<score", b'<!DOCTYPE score-partwise SYSTEM "http://127.0.0.1:9/x.dtd"><score', 1))
    assert len(read_music(path).music.parts[0].notes) == 8


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "iso-8859-1"])
def test_declared_encodings_are_obeyed(tmp_path, encoding):
    """The part's name comes out right in each."""
    path = tmp_path / "x.musicxml"
    path.write_bytes(GOOD.decode().replace("UTF-8", encoding).replace("Guitar", "Guitarra española").encode(encoding))
    assert read_music(path).music.parts[0].name == "Guitarra española"


def test_a_packed_file_is_read_by_its_container(tmp_path):
    """Not by the first file that happens to lie in it."""
    container = b'<container><rootfiles><rootfile full-path="b.xml"/></rootfiles></container>'
    path = tmp_path / "x.mxl"
    path.write_bytes(packed(a_xml=b"<no/>", b_xml=GOOD, **{"META-INF__container_xml": container}))
    assert len(read_music(path).music.parts[0].notes) == 8


def test_other_formats_are_converted(tmp_path):
    """A tune in letters becomes bars and notes."""
    path = tmp_path / "x.abc"
    path.write_text("X:1\nT:Little Tune\nM:3/4\nL:1/4\nK:D\nDFA|d2A|\n")
    file = read_music(path)
    assert [str(note.pitch) for note in file.music.parts[0].notes] == ["D4", "F#4", "A4", "D5", "A4"]
    assert (file.converted, file.music.title, len(file.music.parts[0].bars)) == (True, "Little Tune", 2)


def test_a_conversion_that_takes_too_long_is_stopped(tmp_path, monkeypatch):
    """After its time, with a clear word."""
    monkeypatch.setattr(converting, "SECONDS", 0.01)
    path = tmp_path / "x.abc"
    path.write_text("X:1\nK:C\nCDEF|\n")
    with pytest.raises(EngraverError, match=r"more than 0\.01 seconds"):
        read_music(path)


def test_zero_durations_do_not_stop_the_reading(tmp_path):
    """They are read as ornaments before the next note."""
    path = tmp_path / "x.musicxml"
    path.write_bytes(GOOD.replace(b"<duration>1<", b"<duration>0<", 3))
    notes = read_music(path).music.parts[0].notes
    assert [note.grace for note in notes] == [True] * 3 + [False] * 5
