"""Cuts the engraver's pictures to the staff, so that they stand flush in a column of text.

A picture is cut at the left end of the staff and at its right end; its whole points of height stay as they are.
Source: the shapes of the input were looked at, not documented.
"""

import re
from dataclasses import dataclass

_MM_PER_POINT = 25.4 / 72
_TOLERANCE_MM = 0.1
_LONE_GLYPH = re.compile(rb'<g style="fill:rgb\(0%,0%,0%\);fill-opacity:1;">\n  (<use [^>]*/>)\n</g>')
_COUNTED = re.compile(rb' id="surface\d+"')  # grows with every picture of a run, so it would differ between runs
_SIZE = re.compile(rb'width="([\d.]+)pt" height="([\d.]+)pt" viewBox="0 0 [\d.]+ [\d.]+"')
_FRAME = re.compile(rb'width="[\d.]+pt" height="[\d.]+pt"')
_STAFF_LINE = re.compile(
    rb'stroke-width:([\d.]+);stroke-linecap:round;stroke-linejoin:miter;[^"]*" '
    rb'd="M ([-\d.]+) ([-\d.]+) L ([-\d.]+) \3 " transform="matrix\(([-\d.]+),0,0,[-\d.]+,([-\d.]+),'
)


@dataclass(frozen=True, slots=True)
class System:
    """One system of engraved music as SVG, with its size in mm."""

    svg: bytes
    width_mm: float
    height_mm: float


def tidy(svg: bytes) -> System:
    """The picture cut to its staff; one without a staff keeps its width.

    Raises ValueError when it is no picture of the engraver's.
    """
    svg = _LONE_GLYPH.sub(rb"\1", svg)
    svg = _COUNTED.sub(b"", svg, count=1)
    size = _SIZE.search(svg)
    if size is None:
        raise ValueError("not a picture of the music engraver")
    height = float(size[2])
    left, right = _staff_ends(svg) or (0.0, float(size[1]))
    width = right - left
    frame = f'width="{width:.3f}pt" height="{height:.3f}pt" viewBox="{left:.3f} 0 {width:.3f} {height:.3f}"'
    svg = svg[: size.start()] + frame.encode() + svg[size.end() :]
    return System(svg, round(width * _MM_PER_POINT, 3), round(height * _MM_PER_POINT, 3))


def narrowed(systems: tuple[System, ...], line_width_mm: float) -> tuple[System, ...]:
    """The systems as they are, or all made smaller alike when one measure is too wide for the line.

    Source: chosen by us; a whole exercise in a slightly smaller size reads better than music beyond the margin.
    """
    widest = max(system.width_mm for system in systems)
    if widest <= line_width_mm + _TOLERANCE_MM:
        return systems
    return tuple(_scaled(system, line_width_mm / widest) for system in systems)


def _scaled(system: System, factor: float) -> System:
    width, height = system.width_mm * factor, system.height_mm * factor
    size = f'width="{width / _MM_PER_POINT:.3f}pt" height="{height / _MM_PER_POINT:.3f}pt"'.encode()
    return System(_FRAME.sub(size, system.svg, count=1), round(width, 3), round(height, 3))


def _staff_ends(svg: bytes) -> tuple[float, float] | None:
    """The left and right end of the staff in points of the picture."""
    line = _STAFF_LINE.search(svg)
    if line is None:
        return None
    thickness, start, end, scale, shift = (float(line[group]) for group in (1, 2, 4, 5, 6))
    return (start - thickness / 2) * scale + shift, (end + thickness / 2) * scale + shift
