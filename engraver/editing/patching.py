"""Changes to a MusicXML tree, element by element; what is not changed stays as the file has it.

Source: MusicXML 4.0 schema, for the order of elements inside note and technical.
"""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from engraver.errors import OutputError
from engraver.reading.files import MusicFile
from engraver.reading.marks import is_second_choice
from engraver.reading.music import Handle

if TYPE_CHECKING:
    from lxml.etree import _Element

BEFORE_ACCIDENTAL = (
    *("grace", "chord", "pitch", "rest", "unpitched", "cue", "duration", "tie", "instrument", "footnote", "level"),
    *("voice", "type", "dot"),
)
BEFORE_NOTATIONS = (
    *BEFORE_ACCIDENTAL,
    *("accidental", "time-modification", "stem", "notehead", "notehead-text", "staff", "beam"),
)
HAND_MARKS = ("fingering", "string", "fret", "pluck")
_SIGNS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}


class Sheet:
    """A file's tree, whose notes are found by their handles."""

    def __init__(self, file: MusicFile) -> None:
        self.tree, self._source = file.tree, file.data
        self._parts = [part.findall("measure") for part in file.tree.getroot().findall("part")]
        self._items: dict[tuple[int, int], list[_Element]] = {}

    def note(self, handle: Handle) -> "_Element":
        """The element of a note; handles stay true because no item is added to a measure."""
        key = (handle.part, handle.measure)
        if key not in self._items:
            self._items[key] = list(self._parts[handle.part][handle.measure])
        return self._items[key][handle.item]

    def data(self) -> bytes:
        """The file with its changes; what stands before the music, the encoding and the line ends are the source's.

        Raises OutputError for an encoding that cannot be written.
        """
        from lxml import etree

        root, encoding = self.tree.getroot(), self.tree.docinfo.encoding or "UTF-8"
        head, found, _ = self._source.partition(f"<{root.tag}".encode())
        try:
            whole = etree.tostring(root, encoding=encoding, xml_declaration=not found, with_tail=False)
        except (LookupError, ValueError) as error:
            hint = "save it as UTF-8"
            raise OutputError(f"the file cannot be written in its encoding, {encoding}", hint=hint) from error
        assert isinstance(whole, bytes)
        if b"\r\n" in self._source:
            whole = whole.replace(b"\n", b"\r\n")
        return (head if found else b"") + whole + (b"\r\n" if b"\r\n" in self._source else b"\n")


def put_marks(note: "_Element", marks: Mapping[str, str], replace: bool) -> bool:
    """Writes marks of the hands into a note's `technical`: only what is missing, or with `replace` all anew.

    True when anything changed.
    """
    technical = note.find("notations/technical")
    changed = _renewed(technical, marks) if replace and technical is not None else False
    present = {mark.tag for mark in technical if not is_second_choice(mark)} if technical is not None else set()
    missing = [(name, text) for name, text in marks.items() if name not in present]
    if missing and technical is None:
        technical = _add(_notations(note), "technical")
    for name, text in missing:
        assert technical is not None
        _add(technical, name).text = text
    return changed or bool(missing)


def _renewed(technical: "_Element", marks: Mapping[str, str]) -> bool:
    """Gives the marks that are there their new text and takes away those that no longer hold; True if any changed."""
    changed, seen = False, set()
    for mark in list(technical):
        name = str(mark.tag)
        if name in marks and name not in seen and not is_second_choice(mark):
            changed = changed or (mark.text or "").strip() != marks[name]
            mark.text = marks[name]
            seen.add(name)
        elif name in HAND_MARKS or (name == "open-string" and marks["fret"] != "0"):
            technical.remove(mark)
            changed = True
    return changed


def _notations(note: "_Element") -> "_Element":
    found = note.find("notations")
    return found if found is not None else _insert(note, "notations", BEFORE_NOTATIONS)


def _add(parent: "_Element", name: str) -> "_Element":
    """A new last child, indented as its siblings or its parent are."""
    from lxml import etree

    indent = _inner_indent(parent)
    if len(parent):
        closing, parent[-1].tail = parent[-1].tail, indent
    else:
        closing, parent.text = _outer_indent(parent), indent
    child = etree.SubElement(parent, name)
    child.tail = closing
    return child


def _insert(note: "_Element", name: str, before: Iterable[str]) -> "_Element":
    """A new child of a note behind those whose names stand `before` it in the schema."""
    from lxml import etree

    child = etree.Element(name)
    at = max((index + 1 for index, other in enumerate(note) if other.tag in before), default=0)
    previous = note[at - 1] if at else None
    child.tail = previous.tail if previous is not None else _inner_indent(note)
    if previous is not None:
        previous.tail = _inner_indent(note)
    note.insert(at, child)
    return child


def _inner_indent(parent: "_Element") -> str | None:
    """The white space before a child: as the parent's first child has it, else one step beyond the parent's own."""
    if len(parent) and parent.text and not parent.text.strip():
        return parent.text
    outer = _outer_indent(parent)
    return None if outer is None else outer + _step(outer)


def _outer_indent(element: "_Element") -> str | None:
    """The white space before an element's own tag, or None where the file has no line breaks."""
    previous = element.getprevious()
    parent = element.getparent()
    text = previous.tail if previous is not None else parent.text if parent is not None else None
    return text if text and "\n" in text and not text.strip() else None


def _step(outer: str) -> str:
    return "\t" if "\t" in outer else "  "


def put_pitch(note: "_Element", letter: str, alter: int, octave: int) -> None:
    """Writes another name for a note's pitch; an alteration of 0 needs no element."""
    pitch = note.find("pitch")
    assert pitch is not None
    step, old_alter, old_octave = (pitch.find(name) for name in ("step", "alter", "octave"))
    assert step is not None
    assert old_octave is not None
    step.text, old_octave.text = letter, str(octave)
    if old_alter is not None and not alter:
        pitch.remove(old_alter)
    elif alter:
        (old_alter if old_alter is not None else _insert(pitch, "alter", ("step",))).text = str(alter)


def put_sign(note: "_Element", alter: int | None) -> None:
    """Writes the printed sign before a note, or takes it away (None)."""
    sign = note.find("accidental")
    if alter is None:
        if sign is not None:
            note.remove(sign)
        return
    if sign is None:
        sign = _insert(note, "accidental", BEFORE_ACCIDENTAL)
    sign.text = _SIGNS[alter]
