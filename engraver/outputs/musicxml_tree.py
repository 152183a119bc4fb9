"""A small frozen tree of XML elements, built in the order of the schema and made into bytes once."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from engraver.errors import OutputError

if TYPE_CHECKING:
    from lxml.etree import _Element

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)


@dataclass(frozen=True, slots=True)
class Xml:
    """One element: its name, its text or its children, and its attributes in order."""

    name: str
    text: str = ""
    children: tuple["Xml", ...] = ()
    attributes: tuple[tuple[str, str], ...] = ()


def tag(name: str, *content: "Xml | str | int | None", **attributes: str | int | None) -> Xml:
    """The element `name`; None among content or attributes stands for nothing; `print_object` gives `print-object`."""
    given = [part for part in content if part is not None]
    children = tuple(part for part in given if isinstance(part, Xml))
    text = "".join(str(part) for part in given if not isinstance(part, Xml))
    named = tuple((key.replace("_", "-"), str(value)) for key, value in attributes.items() if value is not None)
    return Xml(name, text, children, named)


def file_bytes(root: Xml) -> bytes:
    """The whole file with its declaration and document type. Raises OutputError for text that XML cannot hold."""
    from lxml import etree

    def grow(parent: "_Element", xml: Xml) -> None:
        element = etree.SubElement(parent, xml.name, dict(xml.attributes))
        element.text = xml.text or None
        for child in xml.children:
            grow(element, child)

    top = etree.Element(root.name, dict(root.attributes))
    try:
        for child in root.children:
            grow(top, child)
    except ValueError as error:
        raise OutputError(
            "the MusicXML file cannot hold a control character",
            hint="take control characters out of the exercise's title",
        ) from error
    return _HEAD.encode() + etree.tostring(top, encoding="UTF-8", xml_declaration=False, pretty_print=True)
