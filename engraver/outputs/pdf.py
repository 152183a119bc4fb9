"""The last step of a PDF: the drawings go where the typesetter kept their places, and the bytes are made repeatable.

The typesetter sets a one-pixel image of the right size wherever a drawing belongs; the pixel's colour is the drawing's
number. Each of these images is exchanged for the drawing itself, as a form that fills the same unit square, so that
layout, tags and alternative text stay as they were set. Every glyph outline is stored once.

Source: ISO 32000-1:2008, 8.9.5 (an image fills the unit square), 8.10 (form objects), 14.4 (file identifiers).
"""

from collections.abc import Sequence
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
    outlines: dict[str, Any] = {}
    forms: dict[int, Any] = {}
    for page in pdf.pages:
        pictures = page.get("/Resources", {}).get("/XObject", {})
        for name, picture in pictures.items():
            number = _number(picture)
            if number is None:
                continue
            if number >= len(drawings):
                raise OutputError(f"the page keeps a place for drawing {number}, of {len(drawings)} drawings")
            if number not in forms:
                forms[number] = _form(pdf, drawings[number], outlines)
            pictures[name] = forms[number]
    missing = set(range(len(drawings))) - set(forms)
    if missing:
        raise OutputError(f"{len(missing)} drawings found no place on the pages")


def _number(picture: Any) -> int | None:
    """The number of the drawing whose place this object keeps; None for any other object."""
    if picture.get("/Subtype") != "/Image" or (picture.Width, picture.Height) != (1, 1):
        return None
    red, green, blue = picture.read_bytes()
    return int((red * _BYTE + green) * _BYTE + blue)


def _form(pdf: Any, drawing: Drawing, outlines: dict[str, Any]) -> Any:
    """The drawing as a form object that fills the unit square, y upwards."""
    for outline in drawing.outlines:
        if outline.name not in outlines:
            outlines[outline.name] = _stream(pdf, outline.operators, outline.box)
    form = _stream(pdf, drawing.operators, (0, 0, drawing.width_bp, drawing.height_bp))
    form["/Matrix"] = [_real(number) for number in (1 / drawing.width_bp, 0, 0, -1 / drawing.height_bp, 0, 1)]
    form["/Resources"] = {"/XObject": {f"/{outline.name}": outlines[outline.name] for outline in drawing.outlines}}
    return form


def _stream(pdf: Any, operators: bytes, box: Sequence[float]) -> Any:
    """A form object from deflated operators."""
    import pikepdf

    form = pdf.make_stream(operators, {"/Type": pikepdf.Name.XObject, "/Subtype": pikepdf.Name.Form})
    form["/BBox"] = [_real(number) for number in box]
    form["/Filter"] = pikepdf.Name.FlateDecode
    return form


def _real(number: float) -> Any:
    """A number with eight decimals, enough for a millionth of a page."""
    from decimal import Decimal

    return Decimal(f"{number:.8f}")
