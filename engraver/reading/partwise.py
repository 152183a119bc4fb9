"""MusicXML in its two orders: measures inside parts, which is what we read, and parts inside measures."""

from typing import TYPE_CHECKING

from engraver.errors import EngraverError, Place
from engraver.reading.safe_xml import line_of

if TYPE_CHECKING:
    from lxml.etree import _Element, _ElementTree


def as_partwise(tree: "_ElementTree", file: str) -> "_ElementTree":
    """The tree with its measures inside parts. Raises EngraverError for XML that is no MusicXML score."""
    root = tree.getroot()
    if root.tag == "score-partwise":
        return tree
    if root.tag == "score-timewise":
        return _regrouped(root)
    name = str(root.tag).rsplit("}", 1)[-1]
    raise EngraverError(f"this is XML, but not MusicXML (it begins with '{name}')", Place(file, line_of(root)))


def _regrouped(root: "_Element") -> "_ElementTree":
    """A timewise score in partwise order; the measures keep their attributes and contents."""
    from lxml import etree

    out = etree.Element("score-partwise", _attributes(root))
    parts: dict[str, _Element] = {}
    for child in list(root):
        if child.tag != "measure":
            out.append(child)
            continue
        for cell in list(child):
            name = cell.get("id", "")
            if name not in parts:
                parts[name] = etree.Element("part", {"id": name})
            measure = etree.SubElement(parts[name], "measure", _attributes(child))
            measure.extend(list(cell))
    out.extend(parts.values())
    return out.getroottree()


def _attributes(element: "_Element") -> dict[str, str]:
    return {str(name): str(value) for name, value in element.items()}
