"""An engraved system read from its SVG into the operators of a drawing, once, before anything is kept.

Source: operators of ISO 32000-1:2008, 8.4.4 (graphics state), 8.5.2 and 8.5.3 (paths); the SVG subset is the one
written by the cairo library, SVG 1.1 chapters 5 and 8.
"""

import hashlib
import re
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any
from xml.parsers.expat import ExpatError, ParserCreate

from engraver.errors import OutputError
from engraver.outputs.drawing import DEFLATING, Drawing, Outline

_STEP = re.compile(r"([A-DF-Za-df-z])")  # any letter but the exponent's
_OPERATORS = {"M": ("m", 2), "L": ("l", 2), "C": ("c", 6), "Z": ("h", 0), "z": ("h", 0)}  # operator, numbers before it
_NUMBERS = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_CAPS = {"butt": "0 J", "round": "1 J", "square": "2 J"}
_JOINS = {"miter": "0 j", "round": "1 j", "bevel": "2 j"}
_NAMED_GREYS = {"black": 0.0, "white": 1.0, "currentColor": 0.0}
_LUMINANCE = (0.2126, 0.7152, 0.0722)  # ITU-R BT.709: how light a colour looks in grey


@dataclass(frozen=True, slots=True, eq=False)
class _Pen:
    """The paint in force: greys 0 (black) to 1, None = not painted; line width and dashes in the current units.

    A book needs few pens and asks for them at every shape, so each is made once and known by its identity.
    """

    fill: float | None = 0.0
    stroke: float | None = None
    width: str = "1"
    cap: str = "butt"
    join: str = "miter"
    dashes: str = ""
    even_odd: bool = False


_BLACK = _Pen()


def read_svg(svg: bytes, name: str = "picture") -> Drawing:
    """The drawing of an SVG system; its colours become greys.

    Raises OutputError, naming the picture, when the SVG is broken or holds something other than paths, glyphs
    and rectangles.
    """
    picture = _Picture()
    parser = ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler = picture.begin, picture.end
    parser.EntityDeclHandler = picture.refuse
    try:
        parser.Parse(svg, True)
    except (ExpatError, ValueError, KeyError, TypeError) as error:
        raise OutputError(f"the picture '{name}' cannot be drawn: {error}") from error
    outlines = tuple(picture.used[key] for key in sorted(picture.used))
    return Drawing(*picture.size, outlines, zlib.compress("\n".join(picture.lines).encode(), DEFLATING))


class _Picture:
    """What has been drawn of an SVG so far; the parser calls it at the begin and the end of every element.

    `used` are the glyphs drawn, `lines` the operators.
    """

    def __init__(self) -> None:
        self.size = (0.0, 0.0)
        self.lines: list[str] = []
        self.used: dict[str, Outline] = {}
        self._glyphs: dict[str, Outline] = {}
        self._open: list[tuple[_Pen, bool]] = []  # the pen of each open element, and whether it moved the axes
        self._silent = 0  # open elements that draw nothing, glyphs for later among them
        self._glyph: str | None = None

    def begin(self, kind: str, attributes: dict[str, str]) -> None:
        """Draws an element, its children excepted. Raises ValueError for one that is not known."""
        if self._silent or kind in _SILENT:
            self._silent += 1
            self._learn(kind, attributes)
        elif not self._open:
            self.size = (_big_points(attributes.get("width")), _big_points(attributes.get("height")))
            self.lines += _view(attributes.get("viewBox", ""), *self.size)
            self._open.append((_BLACK, False))
        else:
            pen = _taken_up(attributes, self._open[-1][0])
            matrix = attributes.get("transform")
            if matrix:
                self.lines.append(f"q {_matrix(matrix)} cm")
            self._open.append((pen, bool(matrix)))
            self._draw(kind, attributes, pen)

    def end(self, kind: str) -> None:
        """Closes an element."""
        if self._silent:
            self._silent -= 1
        elif self._open.pop()[1]:
            self.lines.append("Q")

    def refuse(self, *declaration: object) -> None:
        """Pictures of the engraver declare nothing. Raises ValueError."""
        raise ValueError("it declares an entity")

    def _learn(self, kind: str, attributes: dict[str, str]) -> None:
        """Keeps the outline of a glyph: the first path inside a symbol."""
        if kind == "symbol":
            self._glyph = attributes["id"]
        elif self._glyph is not None:
            self._glyphs[self._glyph] = _outline(attributes["d"])
            self._glyph = None

    def _draw(self, kind: str, attributes: dict[str, str], pen: _Pen) -> None:
        if kind == "path":
            self.lines.append(_painted(_path(attributes.get("d", "")), pen))
        elif kind == "use":
            outline = self._glyphs[attributes["xlink:href"].removeprefix("#")]
            if outline.operators:
                self.used[outline.name] = outline
                place = f"{attributes.get('x', 0)} {attributes.get('y', 0)}"
                self.lines.append(f"q {_setting(pen)} 1 0 0 1 {place} cm /{outline.name} Do Q")
        elif kind == "rect":
            self.lines.append(_painted(_rectangle(attributes), pen))
        elif kind != "g":
            raise ValueError(f"it holds <{kind}>")


def _view(box: str, width: float, height: float) -> list[str]:
    """The transform from the view box to big points, where one is needed."""
    left, top, across, down = [float(number) for number in _NUMBERS.findall(box)] or [0.0, 0.0, width, height]
    matrix = (width / across, 0.0, 0.0, height / down, -left * width / across, -top * height / down)
    return [] if matrix == (1, 0, 0, 1, 0, 0) else [" ".join(map(_number, matrix)) + " cm"]


def _painted(shape: str, pen: _Pen) -> str:
    """The operators that fill or stroke a path."""
    drawn = f"{_setting(pen)} {shape} {_painting(pen)}"
    return f"q [{pen.dashes}] 0 d {drawn} Q" if pen.dashes else drawn


_SILENT = frozenset(("defs", "title", "desc", "metadata"))


@cache
def _setting(pen: _Pen) -> str:
    """The operators that take a pen up."""
    out = [] if pen.fill is None else [f"{_number(pen.fill)} g"]
    if pen.stroke is not None:
        out += [f"{_number(pen.stroke)} G", f"{pen.width} w", _CAPS[pen.cap], _JOINS[pen.join]]
    return " ".join(out)


@cache
def _painting(pen: _Pen) -> str:
    """The operator that paints the path just built."""
    if pen.fill is None:
        return "n" if pen.stroke is None else "S"
    return ("f" if pen.stroke is None else "B") + ("*" if pen.even_odd else "")


def _grey(colour: str) -> float | None:
    """The grey of a colour: 0 black, 1 white, None for no paint."""
    if colour == "none":
        return None
    if colour in _NAMED_GREYS:
        return _NAMED_GREYS[colour]
    if colour.startswith("#"):
        digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
        parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    else:
        parts = [float(number) / (100 if "%" in colour else 255) for number in _NUMBERS.findall(colour)[:3]]
    return sum(weight * part for weight, part in zip(_LUMINANCE, parts, strict=True))


_PEN_CHANGES: dict[str, tuple[str, Callable[[str], object]]] = {
    "fill": ("fill", _grey),
    "stroke": ("stroke", _grey),
    "stroke-width": ("width", lambda text: _number(float(text.removesuffix("px")))),
    "stroke-linecap": ("cap", str),
    "stroke-linejoin": ("join", str),
    "stroke-dasharray": ("dashes", lambda text: "" if text == "none" else " ".join(_NUMBERS.findall(text))),
    "fill-rule": ("even_odd", "evenodd".__eq__),
}


def _taken_up(attributes: Mapping[str, str], pen: _Pen) -> _Pen:
    """The pen after an element's own style."""
    style = attributes.get("style", "")
    if not _PEN_CHANGES.keys().isdisjoint(attributes):
        style = ";".join([*(f"{name}:{attributes[name]}" for name in _PEN_CHANGES if name in attributes), style])
    return _changed(pen, style) if style else pen


@cache
def _changed(pen: _Pen, style: str) -> _Pen:
    """The pen after a style text such as ``fill:none;stroke-width:0.1``; a book uses only a few."""
    changes: dict[str, Any] = {}
    for part in filter(None, map(str.strip, style.split(";"))):
        key, value = (text.strip() for text in part.split(":", 1))
        if key in _PEN_CHANGES:
            field, read = _PEN_CHANGES[key]
            changes[field] = read(value)
    return replace(pen, **changes)


@cache
def _outline(data: str) -> Outline:
    """A glyph's outline from its path; books share few glyphs, so each is read once."""
    operators = zlib.compress(f"{_path(data)} f".encode()) if data.strip() else b""
    numbers = [float(number) for number in _NUMBERS.findall(data)] or [0.0, 0.0]
    across, down = numbers[::2], numbers[1::2]
    name = "g" + hashlib.sha256(data.encode()).hexdigest()[:16]
    return Outline(name, operators, (min(across), min(down), max(across), max(down)))


def _path(data: str) -> str:
    """Path data (absolute moves, lines, curves) as path operators. Raises ValueError for any other step."""
    _, *steps = _STEP.split(data)
    out = []
    for letter, numbers in zip(steps[::2], steps[1::2], strict=True):
        operator, count = _OPERATORS.get(letter, ("", -1))
        if len(numbers.split()) != count:
            raise ValueError(f"it holds the path step '{letter}{numbers}'")
        out.append(numbers + operator)
    if steps[-2:-1] == ["M"]:  # the library closes a shape and moves once more, which paints nothing
        out.pop()
    return " ".join(out)


def _rectangle(attributes: Mapping[str, str]) -> str:
    sides = (attributes.get(name) or "0" for name in ("x", "y", "width", "height"))
    return " ".join(_number(float(side)) for side in sides) + " re"


def _matrix(transform: str) -> str:
    numbers = _NUMBERS.findall(transform)
    if transform.startswith("matrix(") and len(numbers) == 6:
        return " ".join(numbers)
    if transform.startswith("translate(") and len(numbers) == 2:
        return "1 0 0 1 " + " ".join(numbers)
    raise ValueError(f"it holds the transform '{transform[:40]}'")


_UNITS = {"mm": 72 / 25.4, "pt": 1.0, "px": 0.75, "": 0.75}


def _big_points(length: str | None) -> float:
    """A length of the SVG in big points; cairo's pt is 1/72 inch."""
    found = _NUMBERS.match(length or "")
    if not found:
        raise ValueError("it has no size")
    return float(found.group()) * _UNITS[(length or "")[found.end() :].strip()]


def _number(value: float) -> str:
    """A number as a PDF writes it: at most four decimals, no exponent."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
