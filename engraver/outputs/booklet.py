"""A booklet: the pages of a book on sheets twice as wide, so that the printed sheets fold into it."""

from decimal import Decimal
from typing import Any

PAGES_A_SHEET = 4


def booklet_sides(pages: int) -> tuple[tuple[int | None, int | None], ...]:
    """The pages (from 1) at the left and right of each printed side, front and back in turn; None is an empty page.

    For one fold through the middle of all sheets (saddle stitch). Source: common practice, no source.

    >>> booklet_sides(4)
    ((4, 1), (2, 3))
    """
    filled = -(-pages // PAGES_A_SHEET) * PAGES_A_SHEET
    sides = []
    for side in range(filled // 2):
        outer, inner = filled - side, side + 1
        left, right = (outer, inner) if side % 2 == 0 else (inner, outer)
        sides.append((left if left <= pages else None, right if right <= pages else None))
    return tuple(sides)


def booklet(book: bytes) -> bytes:
    """The sheets of a book's PDF, two pages a side, to be printed on both sides, turned over the short edge.

    A sheet for the printer only: its pictures and letters are those of the book, its tags are not. Equal books give
    equal bytes.
    """
    from io import BytesIO

    import pikepdf

    with pikepdf.open(BytesIO(book)) as pages, pikepdf.new() as sheets:
        forms = [sheets.copy_foreign(page.as_form_xobject()) for page in pages.pages]
        width, height = (float(number) for number in pages.pages[0].mediabox[2:])
        for left, right in booklet_sides(len(forms)):
            _add_side(sheets, [(left, 0.0), (right, width)], forms, (2 * width, height))
        sheets.docinfo["/Title"] = str(pages.docinfo.get("/Title", ""))
        if "/Lang" in pages.Root:
            sheets.Root["/Lang"] = pikepdf.String(str(pages.Root.Lang))
        out = BytesIO()
        sheets.save(out, deterministic_id=True, object_stream_mode=pikepdf.ObjectStreamMode.generate)
    return out.getvalue()


def _add_side(sheets: Any, halves: list[tuple[int | None, float]], forms: list[Any], size: tuple[float, float]) -> None:
    """One side of a sheet: each page at its distance from the left edge, in big points."""
    import pikepdf

    page = sheets.add_blank_page(page_size=size)
    xobjects = pikepdf.Dictionary()
    operators = []
    for number, left in halves:
        if number is not None:
            xobjects[f"/P{number}"] = forms[number - 1]
            operators.append(f"q 1 0 0 1 {Decimal(f'{left:.4f}')} 0 cm /P{number} Do Q")
    page.obj["/Resources"] = pikepdf.Dictionary({"/XObject": xobjects})
    page.obj["/Contents"] = sheets.make_stream("\n".join(operators).encode())
