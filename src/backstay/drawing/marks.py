"""What a drawing is made of: strokes, circles, texts, dimensions and hatches, in mm on paper.

A drawing is composed once, as a list of marks; SVG, PDF and DXF are written from the same list.
Points are in mm from the lower left corner of the sheet, y upward. A mark belongs to the model
(it is written to DXF at true size) or to the paper (frame, title block).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, hypot, radians, sin
from typing import Literal

from backstay.drawing.lettering import ASCENT, DESCENT, text_width
from backstay.quantity import UnitSystem

Point = tuple[float, float]
Space = Literal["model", "paper"]
Align = Literal["left", "centre", "right"]
Quad = tuple[Point, Point, Point, Point]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A polyline; `fill` is a colour or "" for none; `outlined`: whether its edge is drawn."""

    layer: str
    points: tuple[Point, ...]
    closed: bool = False
    fill: str = ""
    outlined: bool = True
    space: Space = "model"


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle."""

    layer: str
    centre: Point
    radius: float
    fill: str = ""
    space: Space = "model"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text: baseline point, cap height, rotation (degrees, anticlockwise).

    masked: the ground behind it is blanked, so that it reads over lines.
    """

    at: Point
    words: str
    size: float
    align: Align = "left"
    rotation: float = 0.0
    bold: bool = False
    colour: str = ""
    masked: bool = False
    layer: str = "TEXT"
    space: Space = "model"

    @property
    def width(self) -> float:
        """Return its length along the baseline (mm)."""
        return text_width(self.words, self.size, bold=self.bold)

    @property
    def quad(self) -> Quad:
        """Return the corners of its box, ascenders and descenders included."""
        w = self.width
        start = {"left": 0.0, "centre": -w / 2, "right": -w}[self.align]
        low, high = -DESCENT * self.size, ASCENT * self.size
        c, s = cos(radians(self.rotation)), sin(radians(self.rotation))
        x, y = self.at

        def turned(u: float, v: float) -> Point:
            return (x + u * c - v * s, y + u * s + v * c)

        return (
            turned(start, low),
            turned(start + w, low),
            turned(start + w, high),
            turned(start, high),
        )


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension from `first` to `second`, its line `offset` to the left of that direction.

    text: where and how its figure stands (composed with the dimension); extended: whether
    extension lines are drawn.
    """

    first: Point
    second: Point
    offset: float
    text: Text
    extended: bool = True
    layer: str = "DIMENSION"
    space: Space = "model"

    @property
    def normal(self) -> Point:
        """Return the unit vector to the left of the direction."""
        dx, dy = self.second[0] - self.first[0], self.second[1] - self.first[1]
        length = hypot(dx, dy) or 1.0
        return (-dy / length, dx / length)

    @property
    def line(self) -> tuple[Point, Point]:
        """Return the ends of the dimension line."""
        nx, ny = self.normal
        d = self.offset
        return (
            (self.first[0] + nx * d, self.first[1] + ny * d),
            (self.second[0] + nx * d, self.second[1] + ny * d),
        )


@dataclass(frozen=True, slots=True)
class Hatch:
    """A region filled with the sign of a kind of ground (`backstay.drawing.patterns`)."""

    points: tuple[Point, ...]
    pattern: str
    layer: str = "GROUND-HATCH"
    space: Space = "model"


Mark = Stroke | Ring | Text | Dimension | Hatch


@dataclass(frozen=True, slots=True)
class View:
    """How the model lies on the paper.

    denominator: of the scale 1 : n; origin: paper point of the wall's top (x 0, depth 0);
    top: elevation there (m).
    """

    denominator: float
    origin: Point
    top: float

    @property
    def mm(self) -> float:
        """Return the mm on paper of one metre."""
        return 1000.0 / self.denominator

    def at(self, x: float, z: float) -> Point:
        """Return the paper point of a model point (x, depth z), m."""
        return (self.origin[0] + x * self.mm, self.origin[1] - z * self.mm)

    def model(self, point: Point, unit: float) -> Point:
        """Return (x, elevation) of a paper point, in units of `unit` metres."""
        return (
            (point[0] - self.origin[0]) / self.mm / unit,
            ((point[1] - self.origin[1]) / self.mm + self.top) / unit,
        )


@dataclass(frozen=True, slots=True)
class Drawing:
    """A composed drawing: its sheet (mm), its view and its marks, in the order of drawing."""

    title: str
    width: float
    height: float
    view: View
    units: UnitSystem
    window: tuple[Point, Point]
    marks: tuple[Mark, ...] = field(repr=False)

    @property
    def texts(self) -> list[Text]:
        """Return every text, those of dimensions included."""
        return [
            mark if isinstance(mark, Text) else mark.text
            for mark in self.marks
            if isinstance(mark, Text | Dimension)
        ]
