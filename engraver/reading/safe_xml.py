"""XML from strangers: parsed without entities, document types or the network, and within bounds."""

import re
from typing import TYPE_CHECKING

from engraver.errors import EngraverError, Place

if TYPE_CHECKING:
    from lxml.etree import _Element, _ElementTree

MOST_XML_BYTES = 64_000_000
MOST_NOTES = 100_000
"""The largest file that is read (chosen by us; a long opera in full score has some 100,000 notes to a part group)."""
_ENTITY = "<!ENTITY"


def parse_xml(data: bytes, file: str, layout: bool = True) -> "_ElementTree":
    """The tree of an XML file. Nothing named in it is opened, nothing in it is expanded.

    Without its `layout` (line breaks, indents, comments) a tree takes half the memory.

    Raises EngraverError with the line and column for a damaged file, and for one too large or with entities.
    """
    from lxml import etree

    check_size(len(data), MOST_XML_BYTES, file)
    if any(_ENTITY.encode(encoding) in data for encoding in ("ascii", "utf-16-le", "utf-16-be")):
        raise EngraverError("the file declares entities, which music does not need", Place(file), "save it anew")
    if data.count(b"<note") > MOST_NOTES:
        raise EngraverError(f"the file holds more than {MOST_NOTES:,} notes", Place(file), "split the music")
    parser = etree.XMLParser(
        resolve_entities=False,
        load_dtd=False,
        dtd_validation=False,
        no_network=True,
        huge_tree=False,
        remove_blank_text=not layout,
        remove_comments=not layout,
    )
    try:
        root = etree.fromstring(data, parser)
    except etree.XMLSyntaxError as error:
        line, column = error.position if error.position else (1, 1)
        place = Place(file, max(1, line), max(1, column))
        raise EngraverError(
            f"this is not readable XML ({_plain(error.msg)})", place, "save or fetch it anew"
        ) from error
    except (ValueError, LookupError) as error:
        raise EngraverError(
            f"this is not readable XML ({_plain(str(error))})", Place(file), "save it as UTF-8"
        ) from error
    return root.getroottree()


def check_size(size: int, most: int, file: str) -> None:
    """Raises EngraverError for a file of more than `most` bytes."""
    if size > most:
        raise EngraverError(
            f"the file is larger than {most // 1_000_000} MB",
            Place(file),
            "split the music into smaller files",
        )


def line_of(element: "_Element") -> int:
    """The line of an element in its file, from 1."""
    line = element.sourceline
    return line if isinstance(line, int) else 1


def _plain(message: str) -> str:
    """A library's message on one line, of a bearable length, without the place that we tell ourselves."""
    return re.sub(r", line \d+, column \d+.*", "", " ".join(message.split()))[:160]
