"""Axes of the plots of a load test: load, movement, or the logarithm of time, with units and ticks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10

from backstay.quantity import Quantity, UnitSystem
from backstay.report.panels import ticks
from backstay.report.svg import FAINT, Box, Canvas, Point, words_width

SMALL = 6.3
_GRID = "#d4d4d4"


@dataclass(frozen=True, slots=True)
class Axes:
    """A canvas with its field (left, top, right, bottom) and the places of values in it."""

    canvas: Canvas
    field: Box
    x: Callable[[float], float]
    y: Callable[[float], float]

    def at(self, x: float, y: float) -> Point:
        """Return the place of a pair of values."""
        return self.x(x), self.y(y)

    def path(
        self,
        points: Sequence[Point],
        *,
        width: float = 0.8,
        dash: str = "",
        colour: str = "#111111",
    ) -> None:
        """Draw a line through pairs of values, as far as it lies in the field."""
        run: list[Point] = []
        for a, b in pairwise([self.at(*p) for p in points]):
            piece = _clipped(a, b, self.field)
            if run and (not piece or piece[0] != run[-1]):
                self.canvas.line(run, width=width, dash=dash, colour=colour)
                run = []
            run += piece[1:] if run else piece
        if run:
            self.canvas.line(run, width=width, dash=dash, colour=colour)

    def upright(self, x: float, words: str, *, dash: str = "1 2") -> None:
        """Draw an upright line at a value, and write what it is above the field."""
        left, top, right, bottom = self.field
        place = self.x(x)
        if not left - 0.1 <= place <= right + 0.1:
            return
        self.canvas.line([(place, top), (place, bottom)], width=0.5, dash=dash, colour="#555555")
        half = words_width(words, SMALL) / 2
        middle = min(max(place, left + half), right - half)
        places = [((middle, top - 2.5), "middle"), ((middle, top - 10.5), "middle")]
        self.canvas.label(places, words, size=SMALL)  # type: ignore[arg-type]


def axes(
    canvas: Canvas,
    field: Box,
    x_range: tuple[float, float],
    y_range: tuple[float, float],
    x_axis: tuple[str, Quantity | None],
    y_axis: tuple[str, Quantity],
    units: UnitSystem,
) -> Axes:
    """Draw the axes of a plot. Ranges in internal units.

    x_axis, y_axis: words and quantity; an x axis without quantity is minutes, on a logarithmic scale
    from a range in minutes above nought.
    """
    left, top, right, bottom = field
    words, quantity = x_axis
    low, high = (log10(v) for v in x_range) if quantity is None else x_range
    bottom_y, top_y = y_range

    def along(value: float) -> float:
        v = log10(max(value, 1e-9)) if quantity is None else value
        return left + (v - low) / (high - low) * (right - left)

    def upward(value: float) -> float:
        return bottom - (value - bottom_y) / (top_y - bottom_y) * (bottom - top)

    made = Axes(canvas, field, along, upward)
    if quantity is None:
        _minutes(made, x_range, words)
    else:
        label = f"{words} ({quantity.unit(units).label})"
        marks = ticks(quantity.shown(low, units), quantity.shown(high, units), 7)
        for tick in marks:
            _x_tick(made, along(quantity.internal(tick, units)), f"{tick:g}")
        canvas.text(((left + right) / 2, bottom + 18), label, size=SMALL + 0.4, anchor="middle")
    _y_axis(made, y_range, y_axis, units)
    canvas.line([(left, top), (left, bottom), (right, bottom)], width=0.8)
    return made


def _x_tick(made: Axes, place: float, words: str) -> None:
    left, top, right, bottom = made.field
    if not left - 0.5 <= place <= right + 0.5:
        return
    made.canvas.line([(place, top), (place, bottom)], width=0.3, colour=_GRID)
    made.canvas.line([(place, bottom), (place, bottom + 2.5)], width=0.6)
    half = words_width(words, SMALL) / 2
    middle = min(place, made.canvas.width - 1.5 - half)
    made.canvas.label([((middle, bottom + 9), "middle")], words, size=SMALL)


def _minutes(made: Axes, minutes: tuple[float, float], words: str) -> None:
    left, top, right, bottom = made.field
    first, last = minutes
    decades = range(floor(log10(first) + 1e-9), ceil(log10(last) - 1e-9) + 1)
    for power in decades:
        for lead in range(1, 10):
            minute = lead * 10.0**power
            if not first * (1 - 1e-9) <= minute <= last * (1 + 1e-9):
                continue
            place = made.x(minute)
            made.canvas.line([(place, top), (place, bottom)], width=0.3, colour=_GRID)
            if lead in (1, 2, 3, 6):
                _x_tick(made, place, f"{minute:g}")
            else:
                made.canvas.line([(place, bottom), (place, bottom + 1.5)], width=0.4)
    middle = (left + right) / 2
    made.canvas.text((middle, bottom + 18), words, size=SMALL + 0.4, anchor="middle")


def _y_axis(
    made: Axes, y_range: tuple[float, float], axis: tuple[str, Quantity], units: UnitSystem
) -> None:
    left, _, right, _ = made.field
    words, quantity = axis
    low, high = (quantity.shown(v, units) for v in y_range)
    for tick in _ticks(low, high, 6):
        place = made.y(quantity.internal(tick, units))
        made.canvas.line([(left, place), (right, place)], width=0.3, colour=_GRID)
        made.canvas.line([(left - 2.5, place), (left, place)], width=0.6)
        made.canvas.label([((left - 4, place + 2.2), "end")], f"{tick:g}", size=SMALL)
    label = quantity.unit(units).label
    made.canvas.text((1.5, 7), f"{words} ({label})", size=SMALL + 0.4)


def _ticks(low: float, high: float, most: int) -> list[float]:
    """Return round ticks between two values, below nought as well."""
    if low >= 0.0:
        return ticks(low, high, most)
    above = ticks(0.0, max(high, -low), most)
    every = [*(-t for t in reversed(above) if t), *above]
    return [t for t in every if low - 1e-12 <= t <= high + 1e-12]


def _clipped(a: Point, b: Point, field: Box) -> list[Point]:
    """Return the part of a segment inside the field, empty where there is none."""
    left, top, right, bottom = field
    (x, y), (dx, dy) = a, (b[0] - a[0], b[1] - a[1])
    start, end = 0.0, 1.0
    for at, delta, low, high in ((x, dx, left, right), (y, dy, top, bottom)):
        if abs(delta) < 1e-12:
            if not low - 0.6 <= at <= high + 0.6:
                return []
            continue
        one, two = (low - at) / delta, (high - at) / delta
        start, end = max(start, min(one, two)), min(end, max(one, two))
    if start > end:
        return []
    return [(x + dx * start, y + dy * start), (x + dx * end, y + dy * end)]


def legend(
    canvas: Canvas, at: Point, entries: Sequence[tuple[Callable[[Canvas, Point], None], str]],
    *, columns: int, width: float, pitch: float = 9.0,
) -> None:  # fmt: skip
    """Write a legend: the sample of each entry and its words, row by row in columns."""
    for i, (sample, words) in enumerate(entries):
        x = at[0] + (i % columns) * width / columns
        y = at[1] + (i // columns) * pitch
        sample(canvas, (x, y - 2.2))
        canvas.text((x + 19, y), words, size=SMALL)


def line_sample(dash: str = "", width: float = 0.9) -> Callable[[Canvas, Point], None]:
    """Return the sample of a line."""

    def draw(canvas: Canvas, at: Point) -> None:
        canvas.line([at, (at[0] + 16, at[1])], width=width, dash=dash)

    return draw


def dot(canvas: Canvas, at: Point, *, size: float = 1.5) -> None:
    """Draw a full dot (a small octagon)."""
    x, y = at
    k = 0.41 * size
    canvas.area(
        [(x - size, y - k), (x - k, y - size), (x + k, y - size), (x + size, y - k),
         (x + size, y + k), (x + k, y + size), (x - k, y + size), (x - size, y + k)],
        fill="#111111",
    )  # fmt: skip


def triangle(canvas: Canvas, at: Point, *, size: float = 2.6) -> None:
    """Draw an open triangle."""
    x, y = at
    corners = [(x, y - size), (x + 0.9 * size, y + 0.7 * size), (x - 0.9 * size, y + 0.7 * size)]
    canvas.area(corners, fill="#ffffff")
    canvas.line([*corners, corners[0]], width=0.8)


def square(canvas: Canvas, at: Point, *, size: float = 2.0) -> None:
    """Draw an open square."""
    x, y = at
    corners = [
        (x - size, y - size),
        (x + size, y - size),
        (x + size, y + size),
        (x - size, y + size),
    ]
    canvas.area(corners, fill="#ffffff")
    canvas.line([*corners, corners[0]], width=0.8)


def marked_sample(
    mark: Callable[[Canvas, Point], None], dash: str = "", width: float = 0.9
) -> Callable[[Canvas, Point], None]:
    """Return the sample of a line with a mark on it."""

    def draw(canvas: Canvas, at: Point) -> None:
        line_sample(dash, width)(canvas, at)
        mark(canvas, (at[0] + 8, at[1]))

    return draw


__all__ = [
    "FAINT", "SMALL", "Axes", "axes", "dot", "legend", "line_sample", "marked_sample", "square",
    "triangle",
]  # fmt: skip
