"""One slice and the polygon of its forces, with their numbers, so that it can be added up by hand."""

from __future__ import annotations

from math import atan2, hypot, pi

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.svg import FAINT, FILL, Canvas, Point
from backstay.slip_tables import FORCE_WORDS, safety_words
from backstay.stability.slip.result import SliceTable
from backstay.stability.slip_forces import PartOfSlice, SliceForces

_WIDTH, _HEIGHT = 500.0, 250.0
_SLICE, _POLYGON = 118.0, 178.0
_SMALL = 6.8
_LEAST = 1.5
"""Length (points) below which a force is no more than a point on the polygon."""


def polygon_figure(
    table: SliceTable, forces: SliceForces, units: UnitSystem, *, F: float, title: str
) -> str:  # fmt: skip
    """Return the slice with its base, the polygon of the forces on it, and their numbers.

    F: factor of safety, by which the shear on the base follows from its strength.
    """
    canvas = Canvas(_WIDTH, _HEIGHT)
    _slice(canvas, table, forces, units)
    _polygon(canvas, forces, units)
    _list(canvas, forces, F, units)
    return canvas.document(title)


def _words(part: PartOfSlice) -> str:
    return FORCE_WORDS.get(part.symbol, part.symbol)


def _slice(canvas: Canvas, table: SliceTable, forces: SliceForces, units: UnitSystem) -> None:
    """Draw the slice to scale, with its sizes."""
    i = forces.number - 1
    x1, x2 = (float(v) for v in table.side_x[i : i + 2])
    y1, y2 = (float(v) for v in table.side_y[i : i + 2])
    top1, top2 = (float(v) for v in table.side_top[i : i + 2])
    low, high = min(y1, y2), max(top1, top2)
    scale = min(150.0 / (high - low), 46.0 / (x2 - x1))
    middle = 0.5 * _SLICE

    def at(x: float, y: float) -> Point:
        return middle + (x - 0.5 * (x1 + x2)) * scale, 42.0 + (high - y) * scale

    corners = [at(x1, y1), at(x1, top1), at(x2, top2), at(x2, y2)]
    canvas.text((4, 12), f"Slice {forces.number}", size=8, bold=True)
    canvas.area(corners, fill=FILL)
    canvas.line([*corners, corners[0]], width=0.9)
    for x, side in ((x1, "left"), (x2, "right")):
        k = i if side == "left" else i + 1
        level = float(table.thrust_y[k])
        if level == level and min(y1, y2) - 1 < level < high + 1:
            px, py = at(x, level)
            sign = 1.0 if side == "left" else -1.0
            canvas.arrow((px - 20 * sign, py), (px - 1 * sign, py), width=0.8)
            words = "E left" if side == "left" else "E right"
            canvas.text(
                (px - 21 * sign, py + 2.5), words, size=_SMALL,
                anchor="end" if side == "left" else "start",
            )  # fmt: skip
    length, angle = QUANTITIES["length"], QUANTITIES["angle"]
    foot = max(at(x1, y1)[1], at(x2, y2)[1])
    lines = (
        f"width {length.text(float(table.width[i]), units)}",
        f"base {length.text(float(table.length[i]), units)} at {angle.text(float(table.alpha[i]), units)}",
        f"c {QUANTITIES['stress'].text(float(table.c[i]), units)}, "
        f"φ {angle.text(float(table.phi[i]), units)}",
        f"u {QUANTITIES['stress'].text(float(table.u[i]), units)}",
    )  # fmt: skip
    for k, words in enumerate(lines):
        canvas.text((4, foot + 13 + 9 * k), words, size=_SMALL)


def _polygon(canvas: Canvas, forces: SliceForces, units: UnitSystem) -> None:
    """Draw the forces head to tail to one scale, those of the two sides together.

    In the order of their directions from downward round, so that the polygon is convex.
    """
    parts = sorted(forces.net, key=lambda p: atan2(p.x, -p.y) % (2.0 * pi - 1e-9))
    points: list[Point] = [(0.0, 0.0)]
    for part in parts:
        x, y = points[-1]
        points.append((x + part.x, y + part.y))
    left, right = min(p[0] for p in points), max(p[0] for p in points)
    low, high = min(p[1] for p in points), max(p[1] for p in points)
    room, tall = _POLYGON - 50.0, _HEIGHT - 84.0
    scale = min(room / max(right - left, 1e-9), tall / max(high - low, 1e-9))
    x0 = _SLICE + 0.5 * (_POLYGON - (right - left) * scale)
    y0 = 42.0 + 0.5 * (tall - (high - low) * scale)

    def at(point: Point) -> Point:
        return x0 + (point[0] - left) * scale, y0 + (high - point[1]) * scale

    canvas.text((_SLICE + 6, 12), "Polygon of forces", size=8, bold=True)
    words = "ΔE, ΔX: those of left and right side together"
    canvas.text((_SLICE + 6, 21), words, size=_SMALL - 0.3, colour=FAINT)
    for part, a, b in zip(parts, points, points[1:], strict=False):
        if part.size * scale > _LEAST:
            canvas.arrow(at(a), at(b), width=1.0)
    for part, a, b in zip(parts, points, points[1:], strict=False):
        if part.size * scale <= _LEAST:
            continue
        (ax, ay), (bx, by) = at(a), at(b)
        size = hypot(bx - ax, by - ay)
        nx, ny = (by - ay) / size, -(bx - ax) / size
        places = []
        for share in (0.5, 0.35, 0.65):
            px, py = ax + share * (bx - ax), ay + share * (by - ay)
            for off in (5.0, -5.0, 9.0, -9.0, 13.0, -13.0):
                x = px + off * nx
                side = "middle" if abs(nx) < 0.5 else "start" if x > px else "end"
                places.append(((x, py + off * ny + 2.4), side))
        canvas.label(places, _words(part), size=7.5, bold=True)  # type: ignore[arg-type]
    load = QUANTITIES["force per length"]
    step = next(s for s in (1000, 500, 200, 100, 50, 20, 10, 5, 2, 1, 0.5, 0.2, 0.1, 0.01)
                if load.internal(s, units) * scale <= 60.0)  # fmt: skip
    size, foot = load.internal(step, units) * scale, _HEIGHT - 12.0
    start = _SLICE + 10.0
    canvas.line([(start, foot - 3), (start, foot), (start + size, foot), (start + size, foot - 3)],
                width=0.7)  # fmt: skip
    canvas.text((start + size + 5, foot + 1), f"{step:g} {load.unit(units).label}", size=_SMALL)


def _list(canvas: Canvas, forces: SliceForces, F: float, units: UnitSystem) -> None:
    """Write every force with its components, their sum and what is left."""
    load = QUANTITIES["force per length"]
    left, right = _SLICE + _POLYGON + 8.0, _WIDTH - 4.0
    columns = (left + 34.0, right - 46.0, right)
    canvas.text((left, 12), f"Forces ({load.unit(units).label})", size=8, bold=True)
    for x, words in zip(columns[1:], ("to the right", "upward"), strict=True):
        canvas.text((x, 24), words, size=_SMALL, anchor="end", colour=FAINT)
    y = 36.0
    for part in forces.parts:
        canvas.text((left, y), _words(part), size=7, bold=True)
        canvas.text((columns[0], y), part.name, size=_SMALL)
        for x, value in zip(columns[1:], (part.x, part.y), strict=True):
            canvas.text((x, y), _number(load.shown(value, units)), size=7, anchor="end")
        y += 15.0
    canvas.line([(left, y - 9), (right, y - 9)], width=0.6)
    canvas.text((left, y + 2), "Sum", size=7, bold=True)
    for x, value in zip(columns[1:], forces.closing, strict=True):
        canvas.text((x, y + 2), _number(load.shown(value, units)), size=7, anchor="end")
    shear = next(p.size for p in forces.parts if p.symbol == "S")
    lines = (
        f"Closing error {_power(forces.closing_share)} of the weight.",
        f"S = {_number(load.shown(shear, units))} = (c l + N′ tan φ) / F, with F = {safety_words(F)}.",
    )
    for k, line in enumerate(lines):
        canvas.text((left, y + 16 + 10 * k), line, size=_SMALL)


def _number(value: float) -> str:
    words = f"{value:.2f}"
    if not words.strip("-0."):
        return "0.00"
    return words.replace("-", "−")


def _power(value: float) -> str:
    """Return a small share as one digit times a power of ten."""
    if value < 1e-16:
        return "below 10⁻¹⁶"
    digit, power = f"{value:.0e}".split("e")
    raised = str(int(power)).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))
    return f"{digit} × 10{raised}"
