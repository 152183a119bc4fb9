"""The last step of a PDF: the drawings go where the typesetter kept their places, and the bytes are made repeatable.

The typesetter sets a one-pixel image of the right size wherever a drawing belongs; the pixel's colour is the drawing's
number. Each of these images is exchanged for the drawing itself, as a form that fills the same unit square, so that
layout, tags and alternative text stay as they were set. Every glyph outline is stored once.

Source: ISO 32000-1:2008, 8.9.5 (an image fills the unit square), 8.10 (form objects).
"""

import re
import zlib
from collections.abc import Sequence
from dataclasses import dataclass

from engraver.errors import OutputError
from engraver.outputs.drawing import Drawing
from engraver.outputs.pdf_file import PdfFile, is_stream, put_together, stream, stream_parts, take_apart

_BYTE = 256
_PIXEL = re.compile(rb"/Subtype/Image\b.*/Width 1/Height 1\b")


@dataclass(frozen=True, slots=True)
class Finished:
    """A finished PDF and how many pages it has."""

    pdf: bytes
    pages: int


def place_holder(number: int) -> tuple[int, int, int]:
    """The colour (red, green, blue) of the pixel that keeps the place of a drawing, numbered from 0."""
    return number // _BYTE**2, number // _BYTE % _BYTE, number % _BYTE


def finish(typeset: bytes, drawings: Sequence[Drawing]) -> Finished:
    """The finished PDF: drawings in their places, the same bytes for the same input.

    Raises OutputError when a drawing found no place or a place no drawing.
    """
    file = take_apart(typeset)
    places = {object_number: drawing for object_number, drawing in _places(file)}
    _check(set(places.values()), len(drawings))
    glyphs, added = _glyphs(drawings, max(file.objects) + 1)
    forms = {place: _form(drawings[number], glyphs) for place, number in places.items()}
    return Finished(put_together(PdfFile({**file.objects, **forms, **added}, file.trailer)), file.page_count())


def _places(file: PdfFile) -> list[tuple[int, int]]:
    """The objects that keep the place of a drawing, each with the drawing's number."""
    found = ((number, _drawing_number(body)) for number, body in file.objects.items() if is_stream(body))
    return [(place, number) for place, number in found if number is not None]


def _drawing_number(body: bytes) -> int | None:
    """The number of the drawing whose place this stream keeps; None for any other."""
    entries, data = stream_parts(body)
    if not _PIXEL.search(entries):
        return None
    red, green, blue = zlib.decompress(data) if b"/FlateDecode" in entries else data
    return (red * _BYTE + green) * _BYTE + blue


def _check(placed: set[int], drawings: int) -> None:
    """Raises OutputError unless every drawing has its place and every place its drawing."""
    if placed and max(placed) >= drawings:
        raise OutputError(f"the page keeps a place for drawing {max(placed)}, of {drawings} drawings")
    if len(placed) < drawings:
        raise OutputError(f"{drawings - len(placed)} drawings found no place on the pages")


def _glyphs(drawings: Sequence[Drawing], first: int) -> tuple[int, dict[int, bytes]]:
    """Every outline of the book, numbered from `first`, and the dictionary by which all drawings find them.

    Gives the number of that dictionary and the new objects.
    """
    outlines = {outline.name: outline for drawing in drawings for outline in drawing.outlines}
    numbers = {name: number for number, name in enumerate(sorted(outlines), start=first + 1)}
    forms = {numbers[name]: _form_object(outline.operators, outline.box) for name, outline in outlines.items()}
    names = "".join(f"/{name} {number} 0 R" for name, number in numbers.items())
    return first, {first: f"<</XObject<<{names}>>>>".encode(), **{number: forms[number] for number in sorted(forms)}}


def _form(drawing: Drawing, glyphs: int) -> bytes:
    """The drawing as a form object that fills the unit square, y upwards."""
    matrix = _array((1 / drawing.width_bp, 0, 0, -1 / drawing.height_bp, 0, 1))
    box = (0, 0, drawing.width_bp, drawing.height_bp)
    return _form_object(drawing.operators, box, f"/Matrix{matrix}/Resources {glyphs} 0 R")


def _form_object(operators: bytes, box: Sequence[float], further: str = "") -> bytes:
    """A form object from deflated operators; `further` are entries of its dictionary."""
    return stream(f"/Type/XObject/Subtype/Form/BBox{_array(box)}{further}/Filter/FlateDecode", operators)


def _array(numbers: Sequence[float]) -> str:
    """Numbers with up to eight decimals, enough for a millionth of a page."""
    return f"[{' '.join(f'{number:.8f}'.rstrip('0').rstrip('.') for number in numbers)}]"
