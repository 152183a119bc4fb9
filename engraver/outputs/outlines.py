"""Outlines on an engraved system: polygons in staff spaces, and whether two of them meet."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]
Polygon = tuple[Point, ...]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Shape:
    """An outline of one kind, as closed polygons; `box` is left, top, right, bottom; `foot` a glyph's own zero."""

    kind: str
    polygons: tuple[Polygon, ...]
    box: Box
    stroked: bool = False
    foot: Point = (0.0, 0.0)

    @property
    def middle(self) -> Point:
        """The middle of the box."""
        return (self.box[0] + self.box[2]) / 2, (self.box[1] + self.box[3]) / 2


def box_of(polygons: Sequence[Sequence[Point]]) -> Box:
    """Left, top, right, bottom of some polygons."""
    across = [x for polygon in polygons for x, _ in polygon]
    down = [y for polygon in polygons for _, y in polygon]
    return min(across), min(down), max(across), max(down)


def touching(one: Shape, two: Shape, air: float = 0.0) -> bool:
    """True when the outlines meet, or come nearer to each other across or along than `air` staff spaces."""
    a, b = one.box, two.box
    if a[0] > b[2] + air or b[0] > a[2] + air or a[1] > b[3] + air or b[1] > a[3] + air:
        return False
    return any(_polygons_meet(p, q, air) for p in one.polygons for q in two.polygons)


def _polygons_meet(p: Sequence[Point], q: Sequence[Point], air: float) -> bool:
    if _inside(p[0], q) or _inside(q[0], p):
        return True
    reach = air * air
    for a, b in pairwise(p):
        for c, d in pairwise(q):
            if _cross(a, b, c, d):
                return True
            if air and min(_away(a, c, d), _away(b, c, d), _away(c, a, b), _away(d, a, b)) < reach:
                return True
    return False


def _inside(point: Point, polygon: Sequence[Point]) -> bool:
    x, y = point
    odd = False
    for (x1, y1), (x2, y2) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < (x2 - x1) * (y - y1) / (y2 - y1) + x1:
            odd = not odd
    return odd


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


def _away(p: Point, a: Point, b: Point) -> float:
    """The square of the distance from a point to a stretch."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = dx * dx + dy * dy
    t = 0.0 if not length else max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length))
    return (p[0] - a[0] - t * dx) ** 2 + (p[1] - a[1] - t * dy) ** 2
