"""The diagrams beside a section: pressure, shear, moment and deflection to its own vertical scale.

They are drawn in the mm of the section's picture, so that a level lies as high in both.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from backstay.drawing.lettering import CAP_HEIGHT, wrapped
from backstay.quantity import QUANTITIES, Quantity, UnitSystem, significant
from backstay.report.panels import ticks
from backstay.report.svg import FAINT, FILL, INK, Anchor, Canvas, Point, around
from backstay.workbench.section.picture import Picture

POINTS = 2.8
"""Points of the canvas for a mm of the picture: letters are then as large as the section's."""
SIZE, _SMALL = 7.3, 6.8
_GAP, _PAD = 20.0, 4.0
HEAD = 14.0
"""Height (mm) that titles and units take above the top of wall."""
_QUIET = "#595959"
Down = Callable[[float], float]
"""Place down the canvas of a depth (m)."""


@dataclass(frozen=True, slots=True)
class Curve:
    """Values (internal units) by depth (m); name: in readings; behind: of other stages, drawn faint."""

    z: Sequence[float]
    value: Sequence[float]
    name: str = ""
    dash: bool = False
    faint: bool = False
    fill: bool = False
    mirrored: bool = False


@dataclass(frozen=True, slots=True)
class Panel:
    """One diagram. Curves that are mirrored are drawn to the left, with positive numbers.

    extent: least and greatest value shown, nil included; remark: behind the unit.
    """

    title: str
    quantity: Quantity
    curves: tuple[Curve, ...]
    extent: tuple[float, float]
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """What is read at a depth: y on the picture (mm), its level, and a line for each diagram."""

    y: float
    level: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Profile:
    """Diagrams drawn: above: how far (mm) they reach over the picture's top; and their readings."""

    svg: str
    width: float
    above: float
    readings: tuple[Reading, ...] = field(repr=False)


def extent_of(*curves: Curve) -> tuple[float, float]:
    """Return the range of values of curves as drawn, nil included."""
    values = [0.0]
    for curve in curves:
        values += [-v for v in curve.value] if curve.mirrored else list(curve.value)
    return min(values), max(values)


def profile(
    picture: Picture,
    panels: Sequence[Panel],
    width: float,
    units: UnitSystem,
    *,
    depth: float,
    dig: float,
    rows: Sequence[float],
    legend: Sequence[str] = (),
    read: bool = True,
) -> Profile:
    """Draw panels beside a picture in a width (mm), down to a depth; a line at the dig level.

    legend: lines below them, as many as have room; read: whether readings are made.
    """
    drawing = picture.drawing
    start, mm = picture.at(0, 0)[1], picture.frame.view.mm
    above = max(0.0, HEAD - start)
    height = drawing.height + above
    canvas = Canvas(width * POINTS, height * POINTS)

    def y(z: float) -> float:
        return (start + z * mm + above) * POINTS

    each = canvas.width / len(panels)
    for k, panel in enumerate(panels):
        area = _Area(canvas, panel, k * each + _PAD, each - _GAP, y, depth, units)
        area.draw(dig, rows)
    foot = y(depth) + 19.0
    for line in (
        w for words in legend for w in wrapped(words, _SMALL * CAP_HEIGHT, canvas.width - 8)
    ):
        canvas.label([((_PAD, foot), "start")], line, size=_SMALL, colour=_QUIET)
        foot += 8.6
    inner = canvas.document("Diagrams beside the section").replace(
        f'width="{canvas.width:g}pt" height="{canvas.height:g}pt"',
        f'x="{drawing.width:g}" y="{-above:g}" width="{width:g}" height="{height:g}"', 1,
    )  # fmt: skip
    found = readings(picture, panels, depth, units) if read else ()
    return Profile(inner, width, above, found)


@dataclass(frozen=True, slots=True)
class _Area:
    """The part of a canvas that a panel has: from left (pt) over a width, down to a depth (m)."""

    canvas: Canvas
    panel: Panel
    left: float
    width: float
    y: Down
    depth: float
    units: UnitSystem

    @property
    def factor(self) -> float:
        """Return the points of one internal unit."""
        low, high = self.panel.extent
        return self.width / ((high - low) or 1.0)

    def x(self, value: float) -> float:
        """Return the place across of a value, kept within the panel."""
        low, high = self.panel.extent
        return self.left + (min(max(value, low), high) - low) * self.factor

    def draw(self, dig: float, rows: Sequence[float]) -> None:
        """Draw all of the panel."""
        canvas, (left, right) = self.canvas, (self.left, self.left + self.width)
        self._title()
        for row in rows:
            canvas.line(
                [(left, self.y(row)), (right, self.y(row))], colour=FAINT, width=0.4, dash="2 3"
            )
        canvas.line([(left, self.y(dig)), (right, self.y(dig))], width=0.5)
        for curve in sorted(self.panel.curves, key=lambda c: (not c.faint, not c.fill)):
            self._curve(curve)
        canvas.line([(self.x(0), self.y(0)), (self.x(0), self.y(self.depth))], width=0.5)
        self._scale()
        for curve in self.panel.curves:
            if not curve.faint and not curve.dash:
                self._extremes(curve)

    def _shown(self, curve: Curve) -> list[tuple[float, float]]:
        """Return (depth, value as drawn) of the points of a curve that are in the panel."""
        sign = -1.0 if curve.mirrored else 1.0
        pairs = zip(curve.z, curve.value, strict=True)
        return [(z, sign * v) for z, v in pairs if z <= self.depth + 1e-9]

    def _curve(self, curve: Curve) -> None:
        (low, high), factor, left, y = self.panel.extent, self.factor, self.left, self.y
        points = [
            (left + (min(max(v, low), high) - low) * factor, y(z)) for z, v in self._shown(curve)
        ]
        if not points:
            return
        if curve.fill:
            outline = [(self.x(0), points[0][1]), *points, (self.x(0), points[-1][1])]
            self.canvas.area(outline, fill=FILL)
        self.canvas.line(
            points, width=0.4 if curve.faint else 0.9, colour=FAINT if curve.faint else INK,
            dash="3 2" if curve.dash else "",
        )  # fmt: skip

    def _title(self) -> None:
        quantity, canvas = self.panel.quantity, self.canvas
        words = wrapped(self.panel.title, SIZE * CAP_HEIGHT, self.width + _GAP - 3, bold=True)[:2]
        unit = " ".join(filter(None, (quantity.unit(self.units).label, self.panel.remark)))
        line = self.y(0) - 9.0 - 8.6 * len(words)
        for k, text in enumerate(words):
            canvas.text((self.left, line + 8.6 * k), text, size=SIZE, bold=True)
        canvas.text((self.left, line + 8.6 * len(words)), unit, size=_SMALL, colour=_QUIET)

    def _scale(self) -> None:
        """Write round values of the axis below the panel: as many as have room."""
        quantity, foot = self.panel.quantity, self.y(self.depth)
        low, high = (quantity.shown(v, self.units) for v in self.panel.extent)
        self.canvas.line([(self.left, foot), (self.left + self.width, foot)], width=0.4)
        if high <= low:
            return
        mirrored = any(c.mirrored for c in self.panel.curves)
        for tick in ticks(low, high, 2):
            value = quantity.internal(tick, self.units)
            if not self.panel.extent[0] - 1e-9 <= value <= self.panel.extent[1] + 1e-9:
                continue
            x = self.x(value)
            self.canvas.line([(x, foot), (x, foot + 2.2)], width=0.4)
            words = f"{abs(tick) if mirrored else tick + 0.0:g}".replace("-", "−")
            places: list[tuple[Point, Anchor]] = [((x, foot + 9.0), "middle")]
            self.canvas.label(places, words, size=_SMALL)

    def _extremes(self, curve: Curve) -> None:
        """Write the greatest and the least value of a curve beside it."""
        shown = self._shown(curve)
        if not shown:
            return
        size = max(abs(v) for v in self.panel.extent)
        greatest, least = max(shown, key=lambda m: m[1]), min(shown, key=lambda m: m[1])
        for z, value in dict.fromkeys((greatest, least)):
            if abs(value) < 0.04 * size:
                continue
            number = self.panel.quantity.shown(abs(value) if curve.mirrored else value, self.units)
            words = significant(number, 3).replace("-", "−")
            at = (self.x(value), self.y(z))
            self.canvas.label(around(at, right=value >= 0.0), words, size=_SMALL)


def readings(
    picture: Picture, panels: Sequence[Panel], depth: float, units: UnitSystem, *, count: int = 96
) -> tuple[Reading, ...]:
    """Return what is read at even depths: level, and each named curve with its unit."""
    import numpy as np

    length = QUANTITIES["length"]
    top = picture.frame.view.top
    depths = [depth * k / (count - 1) for k in range(count)]
    lines: list[list[str]] = [[] for _ in depths]
    for panel in panels:
        named = [c for c in panel.curves if not c.faint and len(c.z)]
        if not named:
            continue
        values = [
            np.interp(depths, np.asarray(c.z, float), np.asarray(c.value, float)) for c in named
        ]
        for k in range(count):
            said = [
                f"{c.name} {panel.quantity.text(float(v[k]), units)}".strip()
                if named[0].z[0] - 1e-9 <= depths[k] <= c.z[-1] + 1e-9 else f"{c.name} –".strip()
                for c, v in zip(named, values, strict=True)
            ]  # fmt: skip
            lines[k].append(f"{panel.title}: {', '.join(said)}".replace("-", "−"))
    return tuple(
        Reading(
            picture.at(0, z)[1],
            f"Elevation {length.text(top - z, units)}, depth {length.text(z, units)}",
            tuple(said),
        )
        for z, said in zip(depths, lines, strict=True)
    )
