"""Every shape of an engraved system with what it is, so that clearance can be measured.

The score is engraved once more with a colour of its own for every kind of sign; nothing else changes, so the picture
is the printed one. Shapes are outlines in staff spaces from the left end of the system's staff and from its top line,
y downwards.
"""

import re
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise
from typing import TYPE_CHECKING

from engraver.outputs.outlines import Point, Shape, box_of

if TYPE_CHECKING:
    from lxml.etree import _Element

Matrix = tuple[float, float, float, float, float, float]

GROBS = {
    "Staff": {
        "head": ["NoteHead"], "accidental": ["Accidental", "AccidentalCautionary"], "stem": ["Stem"], "beam": ["Beam"],
        "flag": ["Flag"], "dot": ["Dots"], "digit": ["Fingering"], "slur": ["Slur"], "tie": ["Tie"], "rest": ["Rest"],
        "clef": ["Clef", "ClefModifier"], "key": ["KeySignature", "KeyCancellation"], "metre": ["TimeSignature"],
        "accent": ["Script"], "tuplet": ["TupletNumber", "TupletBracket"], "ledger": ["LedgerLineSpanner"],
        "staff": ["StaffSymbol"], "roll": ["Arpeggio"],
    },
    "TabStaff": {
        "fret": ["TabNoteHead"], "tab slur": ["Slur"], "tab staff": ["StaffSymbol"],
        "tab stem": ["Stem", "Beam", "Flag"], "tab clef": ["Clef"],
        "tab metre": ["TimeSignature"], "tab tuplet": ["TupletNumber", "TupletBracket"], "tab rest": ["Rest"],
        "tab tie": ["Tie"], "tab accent": ["Script"], "tab roll": ["Arpeggio"],
    },
    "RowAbove": {"line": ["TextSpanner"], "hairpin": ["Hairpin"]},
}  # fmt: skip
COMMANDS = {
    "ring": ("ring",), "node": ("node",), "numeral": ("numeral", "barre"), "letter": ("letter", "letterStack"),
    "direction": ("direction", "way", "place", "beside"), "loudness": ("loudness", "loudnessAndWord", "word"),
    "over digit": ("digit", "guidedDigit"), "planted": ("planted",),
}  # fmt: skip
KINDS = (*(kind for grobs in GROBS.values() for kind in grobs), *COMMANDS, "barline", "bracket")
_STEP = re.compile(r"([MLCZz])([^MLCZz]*)")
_NUMBER = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_SVG = "{http://www.w3.org/2000/svg}"
_LINK = "{http://www.w3.org/1999/xlink}href"
_CURVE_STEPS = 6


def coloured(source: str) -> str:
    """A score block as the engraver's input, with a colour for each kind of sign."""
    contexts = []
    for context, kinds in GROBS.items():
        rows = " ".join(rf"\override {grob}.color = {_colour(kind)}" for kind, grobs in kinds.items() for grob in grobs)
        contexts.append(rf"\context {{ \{context} {rows} }}")
    bar, bracket = (
        rf"\override {grob}.color = {_colour(kind)}"
        for grob, kind in (("BarLine", "barline"), ("VoltaBracket", "bracket"))
    )
    contexts += [
        rf"\context {{ \Staff {bar} }}",
        contexts[2].replace("RowAbove", "RowBelow"),
        rf"\context {{ \Score {bracket} {bar} }}",
    ]
    source = source.replace(r"\layout {", r"\layout { " + " ".join(contexts))
    for kind, names in COMMANDS.items():
        for name in names:
            source = re.sub(
                rf"\\markup \\{name}(?![A-Za-z])", rf"\\markup \\with-color {_colour(kind)} \\{name}", source
            )
    source = re.sub(r"(\{ [^{}]*)\\planted", lambda m: rf"{m[1]}\with-color {_colour('planted')} \planted", source)
    return re.sub(
        r"\\markup \\stack \{ \\(\w+)",
        lambda m: rf"\markup \with-color {_colour(_kind_of(m[1]))} \stack {{ \{m[1]}",
        source,
    )


def _kind_of(command: str) -> str:
    return next(kind for kind, names in COMMANDS.items() if command in names)


def _colour(kind: str) -> str:
    return f"#(rgb-color {(KINDS.index(kind) + 1) / 100} 0 0)"


def shapes(svg: bytes) -> list[Shape]:
    """Every coloured shape of a system, in staff spaces."""
    from lxml import etree

    root = etree.fromstring(svg)
    symbols = {symbol.get("id", ""): symbol[0].get("d", "") for symbol in root.iter(_SVG + "symbol")}
    found = list(_walk(root, symbols, (1, 0, 0, 1, 0, 0), ""))
    lines = sorted({round(shape.middle[1], 2) for shape in found if shape.kind == "staff"})
    frets = sorted({round(shape.middle[1], 2) for shape in found if shape.kind == "tab staff"})
    space = lines[1] - lines[0] if lines else (frets[1] - frets[0]) / 1.5
    top, left = (lines or frets)[0], min(shape.box[0] for shape in found if shape.kind in ("staff", "tab staff"))
    return [_moved(shape, (1 / space, 0, 0, 1 / space, -left / space, -top / space)) for shape in found]


def _walk(element: "_Element", symbols: dict[str, str], matrix: Matrix, style: str) -> Iterator[Shape]:
    tag, fill = str(element.tag).removeprefix(_SVG), element.get("fill")
    style = ";".join((style, element.get("style") or "", f"fill:{fill}" if fill else ""))
    if transform := element.get("transform"):
        matrix = _times(matrix, _matrix(transform))
    if tag == "defs":
        return
    if tag == "use":
        data = symbols[element.get(_LINK, "").removeprefix("#")]
        x, y = (float(element.get(name) or 0) for name in ("x", "y"))
        yield from _shape(data, _times(matrix, (1, 0, 0, 1, x, y)), style, True)
    elif tag == "path":
        yield from _shape(element.get("d", ""), matrix, style, False)
    elif tag == "rect":
        x, y, w, h = (float(element.get(name) or 0) for name in ("x", "y", "width", "height"))
        yield from _shape(f"M {x} {y} L {x + w} {y} L {x + w} {y + h} L {x} {y + h} Z", matrix, style, False)
    else:
        for child in element:
            yield from _walk(child, symbols, matrix, style)


@cache
def _paint(style: str) -> tuple[str, str, float]:
    """The colours of fill and stroke in force, and the stroke's width."""
    found = {"fill": "black", "stroke": "none", "stroke-width": "1"}
    for part in filter(None, style.split(";")):
        name, _, value = part.partition(":")
        if name.strip() in found:
            found[name.strip()] = value.strip()
    return found["fill"], found["stroke"], float(found["stroke-width"].removesuffix("px"))


def _shape(data: str, matrix: Matrix, style: str, glyph: bool) -> Iterator[Shape]:
    fill, stroke, width = _paint(style)
    paths = [path for path in _flat(data) if len(path) > 1]
    kind = _kind(fill) or _kind(stroke)
    if not kind or not paths:
        return
    stroked = fill == "none"
    if stroked and not _closed(paths[0]):
        paths = [_thick(one, two, width / 2) for path in paths for one, two in pairwise(path)]
    polygons = tuple(tuple(_applied(matrix, point) for point in path) for path in paths)
    yield Shape(kind, polygons, box_of(polygons), stroked and not glyph, _applied(matrix, (0, 0)))


def _kind(colour: str) -> str:
    found = re.fullmatch(r"rgb\(([\d.]+)%,\s*0%,\s*0%\)", colour)
    number = round(float(found[1])) if found else 0
    return KINDS[number - 1] if 0 < number <= len(KINDS) else ""


def _flat(data: str) -> Iterator[tuple[Point, ...]]:
    """The subpaths as points, curves in short steps."""
    points: list[Point] = []
    for letter, text in _STEP.findall(data):
        numbers = [float(number) for number in _NUMBER.findall(text)]
        pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
        if letter == "M":
            if points:
                yield tuple(points)
            points = pairs
        elif letter == "L":
            points += pairs
        elif letter == "C":
            start = points[-1]
            one, two, end = pairs
            points += [_bezier(start, one, two, end, step / _CURVE_STEPS) for step in range(1, _CURVE_STEPS + 1)]
        elif points:
            points.append(points[0])
    if points:
        yield tuple(points)


def _bezier(a: Point, b: Point, c: Point, d: Point, t: float) -> Point:
    weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    x, y = (sum(w * p[axis] for w, p in zip(weights, (a, b, c, d), strict=True)) for axis in (0, 1))
    return x, y


def _closed(path: Sequence[Point]) -> bool:
    return len(path) > 3 and abs(path[0][0] - path[-1][0]) + abs(path[0][1] - path[-1][1]) < 1e-6


def _thick(one: Point, two: Point, half: float) -> tuple[Point, ...]:
    dx, dy = two[0] - one[0], two[1] - one[1]
    length = max((dx * dx + dy * dy) ** 0.5, 1e-9)
    nx, ny = -dy / length * half, dx / length * half
    return (
        (one[0] + nx, one[1] + ny), (two[0] + nx, two[1] + ny), (two[0] - nx, two[1] - ny), (one[0] - nx, one[1] - ny),
        (one[0] + nx, one[1] + ny),
    )  # fmt: skip


def _matrix(text: str) -> Matrix:
    numbers = tuple(float(number) for number in _NUMBER.findall(text))
    if text.startswith("translate"):
        return (1, 0, 0, 1, numbers[0], numbers[1])
    a, b, c, d, x, y = numbers
    return (a, b, c, d, x, y)


def _times(a: Matrix, b: Matrix) -> Matrix:
    return (
        a[0] * b[0] + a[2] * b[1], a[1] * b[0] + a[3] * b[1], a[0] * b[2] + a[2] * b[3], a[1] * b[2] + a[3] * b[3],
        a[0] * b[4] + a[2] * b[5] + a[4], a[1] * b[4] + a[3] * b[5] + a[5],
    )  # fmt: skip


def _applied(m: Matrix, point: Point) -> Point:
    return m[0] * point[0] + m[2] * point[1] + m[4], m[1] * point[0] + m[3] * point[1] + m[5]


def _moved(shape: Shape, matrix: Matrix) -> Shape:
    polygons = tuple(tuple(_applied(matrix, point) for point in polygon) for polygon in shape.polygons)
    return Shape(shape.kind, polygons, box_of(polygons), shape.stroked, _applied(matrix, shape.foot))
