"""What a finished figure shows, read back from its SVG: lines, words, and the scale of its axes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import hypot
from xml.etree import ElementTree

from backstay.quantity import QUANTITIES, UnitSystem
from tests.unit.report.test_figures import meet, text_boxes

Point = tuple[float, float]
_SVG = "{http://www.w3.org/2000/svg}"
_NUMBER = re.compile(r"−?\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Stroke:
    """A polyline as drawn: points, width, dash and colour."""

    points: tuple[Point, ...]
    width: float
    dash: str
    colour: str


def words(svg: str) -> list[str]:
    return [w for w, _ in text_boxes(svg)]


def number(text: str) -> float:
    return float(text.replace("−", "-"))


def canvas(svg: str) -> tuple[float, float]:
    size = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert size
    return float(size[1]), float(size[2])


def _nodes(svg: str, kind: str) -> Iterator[ElementTree.Element]:
    return ElementTree.fromstring(svg).iter(f"{_SVG}{kind}")  # noqa: S314 - our own


def _points(node: ElementTree.Element) -> tuple[Point, ...]:
    pairs = (pair.split(",") for pair in node.get("points", "").split())
    return tuple((float(x), float(y)) for x, y in pairs)


def strokes(svg: str, *, width: float | None = None) -> list[Stroke]:
    """Return the polylines, or those of one width."""
    found = [
        Stroke(
            _points(node), float(node.get("stroke-width", 0)), node.get("stroke-dasharray", ""),
            node.get("stroke", ""),
        )
        for node in _nodes(svg, "polyline")
    ]  # fmt: skip
    return [s for s in found if width is None or s.width == width]


def areas(svg: str, fill: str) -> list[tuple[Point, ...]]:
    return [_points(node) for node in _nodes(svg, "polygon") if node.get("fill") == fill]


def clear(svg: str) -> None:
    """Check that no word meets another nor leaves the canvas, and that no ink leaves it."""
    width, height = canvas(svg)
    boxes = text_boxes(svg)
    assert len(boxes) >= 3
    for text, box in boxes:
        assert 0 <= box[0] < box[2] <= width, text
        assert 0 <= box[1] < box[3] <= height, text
    assert not [(a, b) for (a, p), (b, q) in combinations(boxes, 2) if meet(p, q)]
    outlines = [p for node in _nodes(svg, "polygon") for p in _points(node)]
    for x, y in [*outlines, *(p for s in strokes(svg) for p in _edges(s))]:
        assert -0.01 <= x <= width + 0.01, (x, y)
        assert -0.01 <= y <= height + 0.01, (x, y)


def _edges(stroke: Stroke) -> Iterator[Point]:
    """Yield the corners of the ink of each piece of a line, which ends square."""
    for (x1, y1), (x2, y2) in pairwise(stroke.points):
        size = hypot(x2 - x1, y2 - y1)
        if size > 0.0:
            nx, ny = (0.5 * stroke.width * d / size for d in (y1 - y2, x2 - x1))
            for x, y in ((x1, y1), (x2, y2)):
                yield x + nx, y + ny
                yield x - nx, y - ny


@dataclass(frozen=True, slots=True)
class Axes:
    """Place and scale of a section, from the numbers at its edges: m for one point, both ways."""

    x0: float
    y0: float
    across: float
    up: float

    def at(self, point: Point) -> Point:
        """Return x and elevation (m) of a point on the canvas."""
        return self.x0 + point[0] * self.across, self.y0 + point[1] * self.up


def axes(svg: str, units: UnitSystem) -> Axes:
    """Return the scale that the ticks and the numbers beside them give, whatever drew the rest."""
    metre = QUANTITIES["length"].internal(1.0, units)
    across: list[Point] = []
    up: list[Point] = []
    ticks = [s.points for s in strokes(svg, width=0.5) if len(s.points) == 2]
    for node in _nodes(svg, "text"):
        text, x, y = node.text or "", float(node.get("x", 0)), float(node.get("y", 0))
        if node.get("font-size") != "7" or not _NUMBER.fullmatch(text):
            continue
        value = number(text) * metre
        if node.get("text-anchor") == "middle":  # below its tick
            across += [(a[0], value) for a, b in ticks if a[0] == b[0] and abs(a[0] - x) < 0.01 and 0 < y - b[1] < 10]  # fmt: skip
        else:
            up += [(a[1], value) for a, b in ticks if a[1] == b[1] and 0 < b[0] - x < 10 and abs(y - a[1]) < 3]  # fmt: skip
    assert len(across) >= 3
    assert len(up) >= 2
    (px, x), (qx, z) = across[0], across[-1]
    (py, e), (qy, f) = up[0], up[-1]
    sx, sy = (z - x) / (qx - px), (f - e) / (qy - py)
    return Axes(x - sx * px, e - sy * py, sx, sy)
