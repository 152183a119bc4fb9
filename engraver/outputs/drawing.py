"""Drawings: an engraved system as strokes and glyph outlines, in the operators of a PDF page.

The engraver hands over one SVG a system, with every glyph spelled out again. Read once, a system becomes a
short list of drawing operators plus outlines that carry their own digest as name, so that a whole book keeps one
copy of each glyph. A drawing is what is worth keeping between two builds: it is a tenth of its SVG.

Source: operators of ISO 32000-1:2008, 8.4.4 (graphics state), 8.5.2 and 8.5.3 (paths); the SVG subset is the one
written by the cairo library, SVG 1.1 chapters 5 and 8.
"""

import json
from dataclasses import dataclass
from typing import Any

from engraver.errors import OutputError

MM_PER_BIG_POINT = 25.4 / 72

DEFLATING = 4  # half the time of the usual 6 for a twentieth more bytes (measured)


@dataclass(frozen=True, slots=True)
class Outline:
    """A glyph's outline: its digest as name, its operators deflated, and the box it lies in (SVG axes)."""

    name: str
    operators: bytes
    box: tuple[float, float, float, float]


_shared: dict[str, Outline] = {}  # one copy of each outline, however many drawings are read back


@dataclass(frozen=True, slots=True)
class Drawing:
    """One system or picture; sizes in big points (1/72 inch), y downwards; operators are deflated."""

    width_bp: float
    height_bp: float
    outlines: tuple[Outline, ...]
    operators: bytes

    @property
    def width_mm(self) -> float:
        """The printed width."""
        return self.width_bp * MM_PER_BIG_POINT

    @property
    def height_mm(self) -> float:
        """The printed height."""
        return self.height_bp * MM_PER_BIG_POINT

    def to_bytes(self) -> bytes:
        """The drawing as it is kept between builds: a line of sizes, then the deflated operators."""
        head = {
            "size": [self.width_bp, self.height_bp],
            "outlines": [[outline.name, outline.box, len(outline.operators)] for outline in self.outlines],
        }
        parts = [json.dumps(head).encode(), b"\n", *(outline.operators for outline in self.outlines), self.operators]
        return b"".join(parts)

    @classmethod
    def from_bytes(cls, kept: bytes) -> "Drawing":
        """The drawing read back. Raises OutputError when the bytes are not a kept drawing."""
        try:
            start = kept.index(b"\n") + 1
            head: Any = json.loads(kept[:start])
            outlines = []
            for name, box, length in head["outlines"]:
                if name not in _shared:
                    _shared[name] = Outline(name, kept[start : start + length], tuple(box))
                outlines.append(_shared[name])
                start += length
            width, height = head["size"]
        except (ValueError, KeyError, TypeError) as error:
            raise OutputError("a kept drawing is damaged", hint="empty the build folder and build again") from error
        return cls(width, height, tuple(outlines), kept[start:])
