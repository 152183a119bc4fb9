"""The last step of a PDF: the drawings go where the typesetter kept their places, and the bytes are made repeatable.

The typesetter sets a one-pixel image of the right size wherever a drawing belongs; the pixel's colour is the drawing's
number. Each of these images is exchanged for the drawing itself, as a form that fills the same unit square, so that
layout, tags and alternative text stay as they were set. Every glyph outline is stored once.

Source: ISO 32000-1:2008, 8.9.5 (an image fills the unit square), 8.10 (form objects), 14.4 (file identifiers).
"""

from collections.abc import Iterator, Sequence
from typing import Any

from engraver.errors import OutputError
from engraver.outputs.drawing import Drawing

_BYTE = 256


def place_holder(number: int) -> tuple[int, int, int]:
    """The colour (red, green, blue) of the pixel that keeps the place of a drawing, numbered from 0."""
    return number // _BYTE**2, number // _BYTE % _BYTE, number % _BYTE


def finish(typeset: bytes, drawings: Sequence[Drawing]) -> bytes:
    """The finished PDF: drawings in their places, the same bytes for the same input.

    Raises OutputError when a drawing found no place or a place no drawing.
    """
    from io import BytesIO

    import pikepdf

    with pikepdf.open(BytesIO(typeset)) as pdf:
        _exchange(pdf, drawings)
        out = BytesIO()
        pdf.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()


def _exchange(pdf: Any, drawings: Sequence[Drawing]) -> None:
    """Exchanges every place holder for its drawing."""
    places = [(pictures, name, number) for pictures in _pictures(pdf) for name, number in _numbered(pictures)]
    numbers = {number for _, _, number in places}
    if numbers and max(numbers) >= len(drawings):
        raise OutputError(f"the page keeps a place for drawing {max(numbers)}, of {len(drawings)} drawings")
    if len(numbers) < len(drawings):
        raise OutputError(f"{len(drawings) - len(numbers)} drawings found no place on the pages")
    glyphs = _glyphs(pdf, drawings)
    forms = [_form(pdf, drawing, glyphs) for drawing in drawings]
    for pictures, name, number in places:
        pictures[name] = forms[number]


def _pictures(pdf: Any) -> Iterator[Any]:
    """The dictionaries of pictures of all pages."""
    for page in pdf.pages:
        yield page.get("/Resources", {}).get("/XObject", {})


def _numbered(pictures: Any) -> list[tuple[str, int]]:
    """The place holders among the pictures of a page, by name, with the number of their drawing."""
    found = ((name, _number(picture)) for name, picture in pictures.items())
    return [(name, number) for name, number in found if number is not None]


def _number(picture: Any) -> int | None:
    """The number of the drawing whose place this object keeps; None for any other object."""
    if picture.get("/Subtype") != "/Image" or (picture.Width, picture.Height) != (1, 1):
        return None
    red, green, blue = picture.read_bytes()
    return int((red * _BYTE + green) * _BYTE + blue)


def _glyphs(pdf: Any, drawings: Sequence[Drawing]) -> Any:
    """One dictionary of resources for all drawings: every outline of the book by its name, stored once."""
    import pikepdf

    outlines = {outline.name: outline for drawing in drawings for outline in drawing.outlines}
    forms = {f"/{name}": _stream(pdf, outline.operators, outline.box) for name, outline in sorted(outlines.items())}
    return pdf.make_indirect(pikepdf.Dictionary({"/XObject": pikepdf.Dictionary(forms)}))


def _form(pdf: Any, drawing: Drawing, glyphs: Any) -> Any:
    """The drawing as a form object that fills the unit square, y upwards."""
    form = _stream(
        pdf,
        drawing.operators,
        (0, 0, drawing.width_bp, drawing.height_bp),
        f"/Matrix {_array((1 / drawing.width_bp, 0, 0, -1 / drawing.height_bp, 0, 1))}",
    )
    form["/Resources"] = glyphs
    return form


def _stream(pdf: Any, operators: bytes, box: Sequence[float], further: str = "") -> Any:
    """A form object from deflated operators; `further` are entries of its dictionary as a PDF writes them."""
    import pikepdf

    form = pdf.make_stream(operators)
    entries = f"<< /Type /XObject /Subtype /Form /Filter /FlateDecode /BBox {_array(box)} {further} >>"
    form.stream_dict = pikepdf.Object.parse(entries.encode())
    return form


def _array(numbers: Sequence[float]) -> str:
    """Numbers with eight decimals, enough for a millionth of a page."""
    return f"[{' '.join(f'{number:.8f}' for number in numbers)}]"
