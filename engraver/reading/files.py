"""Music files by their ending: MusicXML plain or packed is taken as it is, every other format is converted to it."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from engraver.errors import EngraverError, Place
from engraver.reading.safe_xml import MOST_XML_BYTES, check_size, parse_xml

if TYPE_CHECKING:
    from zipfile import ZipFile

    from lxml.etree import _ElementTree

    from engraver.reading.music import ReadMusic

PLAIN = (".musicxml", ".xml")
PACKED = ".mxl"
MIDI = (".mid", ".midi")
CONVERTED = {
    ".abc": "abc", ".krn": "humdrum", ".rntxt": "romantext", ".mei": "mei",
}  # fmt: skip
"""Formats that are converted, by the ending of the file."""
ENDINGS = (*PLAIN, PACKED, *MIDI, *CONVERTED)
MOST_CONVERTED_BYTES = 2_000_000
_CONTAINER = "META-INF/container.xml"


@dataclass(frozen=True, slots=True)
class MusicFile:
    """A file that has been read: its MusicXML, and the music in it. `converted` is False where `data` is the file's."""

    path: Path
    data: bytes
    tree: "_ElementTree"
    music: "ReadMusic"
    converted: bool


def read_music(path: Path) -> MusicFile:
    """The music in a file. Raises EngraverError, with file and place, for whatever cannot be read."""
    from engraver.reading.musicxml import music_of
    from engraver.reading.partwise import as_partwise

    data, converted = musicxml_bytes(path)
    tree = as_partwise(parse_xml(data, str(path)), str(path))
    return MusicFile(path, data, tree, music_of(tree, str(path)), converted)


def music_in(path: Path) -> "ReadMusic":
    """The music in a file alone, read in less memory. Raises EngraverError, with file and place."""
    from engraver.reading.musicxml import music_of
    from engraver.reading.partwise import as_partwise

    data, _ = musicxml_bytes(path)
    return music_of(as_partwise(parse_xml(data, str(path), layout=False), str(path)), str(path))


def musicxml_bytes(path: Path) -> tuple[bytes, bool]:
    """The MusicXML of a file, and whether it had to be converted. Raises EngraverError."""
    ending = path.suffix.lower()
    if ending in PLAIN:
        return file_bytes(path, MOST_XML_BYTES), False
    if ending == PACKED:
        return unpacked(file_bytes(path, MOST_XML_BYTES), str(path)), False
    if ending in MIDI:
        from engraver.reading.midi_as_musicxml import musicxml_of_midi

        return musicxml_of_midi(file_bytes(path, MOST_CONVERTED_BYTES), str(path)), True
    if ending in CONVERTED:
        from engraver.reading.converting import convert

        return convert(file_bytes(path, MOST_CONVERTED_BYTES), CONVERTED[ending], str(path)), True
    known = ", ".join(ENDINGS)
    raise EngraverError(f"'{ending or path.name}' is not an ending we read", Place(str(path)), f"give one of {known}")


def file_bytes(path: Path, most: int) -> bytes:
    """The content of a file of at most `most` bytes. Raises EngraverError for a missing, unreadable or larger one."""
    place = Place(str(path))
    try:
        if path.is_dir():
            raise EngraverError("this is a folder, not a music file", place, "name a file")
        if not path.is_file():
            raise EngraverError("there is no such file", place, "check the name and the folder")
        check_size(path.stat().st_size, most, str(path))
        data = path.read_bytes()
    except OSError as error:
        raise EngraverError(f"the file cannot be read ({error.strerror})", place) from error
    if not data.strip():
        raise EngraverError("the file is empty", place, "save or fetch it anew")
    return data


def unpacked(data: bytes, file: str) -> bytes:
    """The MusicXML inside a packed file; never more than its limit, whatever the packing promises.

    Raises EngraverError for a damaged or oversized package.
    """
    import zipfile
    import zlib
    from io import BytesIO

    hint = "save or fetch it anew"
    try:
        with zipfile.ZipFile(BytesIO(data)) as package:
            member = _root_file(package, file)
            check_size(package.getinfo(member).file_size, MOST_XML_BYTES, file)
            with package.open(member) as opened:
                content = opened.read(MOST_XML_BYTES + 1)
    except (zipfile.BadZipFile, zlib.error, KeyError, EOFError, NotImplementedError, RuntimeError, OSError) as error:
        raise EngraverError("this packed file is damaged", Place(file), hint) from error
    check_size(len(content), MOST_XML_BYTES, file)
    return content


def _root_file(package: "ZipFile", file: str) -> str:
    """The name of the music inside the package: as its container says, else its first MusicXML file."""
    names = package.namelist()
    if _CONTAINER in names:
        with package.open(_CONTAINER) as opened:
            tree = parse_xml(opened.read(1_000_000), file)
        for element in tree.getroot().iter("{*}rootfile"):
            kind = element.get("media-type", "")
            if element.get("full-path") in names and (not kind or "musicxml" in kind):
                return str(element.get("full-path"))
    for name in names:
        if name.lower().endswith(PLAIN) and not name.startswith("META-INF"):
            return name
    raise EngraverError("this packed file holds no MusicXML", Place(file), "save or fetch it anew")
