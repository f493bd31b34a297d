"""Figures of the calculation: pressures, shears, moments and settlement, to scale, with units.

Every panel of one figure shares the depth axis, so that a reader can look across.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from backstay.design import SectionDesign
from backstay.pressure import Diagram
from backstay.quantity import QUANTITIES, Quantity, UnitSystem, significant
from backstay.report.svg import ACCENT, FAINT, FILL, INK, Canvas, Point, spread

_TOP, _LEFT, _FOOT = 34.0, 56.0, 20.0
_WIDTH, _HEIGHT = 500.0, 330.0
_SMALL = 7.5


@dataclass(frozen=True, slots=True)
class _Curve:
    """One curve of a panel: values against depth; dash "" is solid."""

    z: Sequence[float]
    value: Sequence[float]
    dash: str = ""
    fill: bool = False


@dataclass(frozen=True, slots=True)
class _Panel:
    title: str
    quantity: Quantity
    curves: tuple[_Curve, ...]


def pressure_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return the design envelope, each increment and their sum, with row loads and reaction."""
    stress = QUANTITIES["stress"]
    pressures = done.pressures
    parts: list[Diagram] = [pressures.envelope.diagram]
    parts += [d for d in (pressures.water, *pressures.surcharges, pressures.earthquake) if d]
    named = {part.name: part for part in parts}
    panels = [_Panel(name, stress, (_curve(d, fill=True),)) for name, d in named.items()]
    if len(parts) > 1:
        panels.append(_Panel("Sum: design diagram", stress, (_curve(pressures.design, fill=True),)))
    panels = _at_most(panels, 5)
    canvas, y = _frame(done, units)
    _draw_panels(canvas, panels, y, units, common_scale=True)
    _row_arrows(canvas, done, y, units)
    return canvas.document("Pressure diagrams")


def actions_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return shear and moment per length of wall by both methods, with their extremes."""
    a, b = done.wall.closed_form, done.wall.continuous
    panels = [
        _Panel(
            title,
            QUANTITIES[name],
            (_Curve(a.z, getattr(a, field), "", True), _Curve(b.z, getattr(b, field), "4 2")),
        )
        for title, name, field in (
            ("Shear", "force per length", "shear"),
            ("Moment", "moment per length", "moment"),
        )
    ]
    canvas, y = _frame(done, units)
    _draw_panels(canvas, panels, y, units, common_scale=False)
    _row_arrows(canvas, done, y, units)
    foot = _HEIGHT - 5
    canvas.line([(_LEFT, foot - 3), (_LEFT + 22, foot - 3)], width=1.1)
    canvas.text((_LEFT + 26, foot), a.title, size=_SMALL)
    canvas.line([(_LEFT + 220, foot - 3), (_LEFT + 242, foot - 3)], width=1.1, dash="4 2")
    canvas.text((_LEFT + 246, foot), b.title, size=_SMALL)
    return canvas.document("Shear and moment diagrams")


def settlement_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return the settlement trough behind the wall, with the buildings that stand in it."""
    trough = done.movement.trough
    length, small = QUANTITIES["length"], QUANTITIES["small length"]
    buildings = done.section.buildings
    reach = max([x for x, _ in trough] + [b.far for b in buildings]) or 1.0
    deepest = max(s for _, s in trough) or 1e-3
    width, height = _WIDTH, 190.0
    canvas = Canvas(width, height)

    def at(x: float, s: float) -> Point:
        return _LEFT + x / reach * (width - _LEFT - 20), 66 + s / deepest * (height - 66 - 30)

    canvas.line([at(0, 0), at(reach, 0)], colour=FAINT, width=0.5)
    canvas.area([at(0, 0), *(at(x, s) for x, s in trough), at(trough[-1][0], 0)])
    canvas.line([at(x, s) for x, s in trough], width=1.2)
    for tick in _ticks(0, length.shown(reach, units), 8):
        x, y = at(length.internal(tick, units), 0)
        canvas.line([(x, y), (x, y - 3)], width=0.5)
        canvas.text((x, height - 8), significant(tick, 3), size=_SMALL, anchor="middle")
    for tick in _ticks(0, small.shown(deepest, units), 5):
        x, y = at(0, small.internal(tick, units))
        canvas.line([(x - 3, y), (x, y)], width=0.5)
        canvas.text((x - 5, y + 2.5), significant(tick, 3), size=_SMALL, anchor="end")
    canvas.text((4, 14), f"Settlement ({small.unit(units).label})", size=8, bold=True)
    canvas.text(
        (width - 4, 14),
        f"distance behind the wall ({length.unit(units).label})", size=8, anchor="end",
    )  # fmt: skip
    for building in buildings:
        x1, y0 = at(building.near, 0)
        x2, _ = at(building.far, 0)
        canvas.line([(x1, y0), (x1, y0 - 26), (x2, y0 - 26), (x2, y0)], width=1.0)
        canvas.text(
            ((x1 + x2) / 2, y0 - 30), building.name[:46], size=_SMALL, anchor="middle", halo=True
        )
    return canvas.document("Ground settlement behind the wall")


def _curve(diagram: Diagram, *, fill: bool) -> _Curve:
    return _Curve(diagram.z, diagram.p, "", fill)


def _at_most(panels: list[_Panel], most: int) -> list[_Panel]:
    """Keep the first and last panels and merge the smaller increments between, if too many."""
    if len(panels) <= most:
        return panels
    keep = panels[: most - 2]
    merged = tuple(c for p in panels[most - 2 : -1] for c in p.curves)
    names = f"{len(panels) - most + 1} further surcharges"
    return [*keep, _Panel(names, panels[0].quantity, merged), panels[-1]]


def _frame(done: SectionDesign, units: UnitSystem) -> tuple[Canvas, Callable[[float], float]]:
    """Draw the depth axis, rows and subgrade; return the canvas and depth -> y."""
    canvas = Canvas(_WIDTH, _HEIGHT)
    H = done.ground.H
    scale = (_HEIGHT - _TOP - _FOOT - 14) / H

    def y(z: float) -> float:
        return _TOP + z * scale

    length = QUANTITIES["length"]
    canvas.text((4, 12), f"depth ({length.unit(units).label})", size=_SMALL)
    for tick in _ticks(0, length.shown(H, units), 8):
        level = y(length.internal(tick, units))
        canvas.line([(_LEFT - 4, level), (_LEFT, level)], width=0.5)
        canvas.text((_LEFT - 6, level + 2.5), significant(tick, 3), size=_SMALL, anchor="end")
    canvas.line([(_LEFT, y(0)), (_LEFT, y(H))], width=0.6)
    for row in done.loads.rows:
        canvas.line(
            [(_LEFT, y(row.z)), (_WIDTH - 84, y(row.z))], colour=FAINT, width=0.4, dash="2 3"
        )
    canvas.line([(_LEFT, y(H)), (_WIDTH - 84, y(H))], width=0.6)
    return canvas, y


def _draw_panels(
    canvas: Canvas,
    panels: Sequence[_Panel],
    y: Callable[[float], float],
    units: UnitSystem,
    *,
    common_scale: bool,
) -> None:
    pitch = (_WIDTH - _LEFT - 92) / len(panels)
    reach = max((abs(v) for p in panels for c in p.curves for v in c.value), default=1.0) or 1.0
    for i, panel in enumerate(panels):
        values = [v for c in panel.curves for v in c.value]
        low, high = min(0.0, *values), max(0.0, *values)
        span = (high - low) or 1.0
        if common_scale:
            low, span = min(low, 0.0), max(reach + max(0.0, -low), 1e-9)
        left = _LEFT + 8 + i * pitch
        width = pitch - 30

        def x(
            v: float, left: float = left, low: float = low, span: float = span, width: float = width
        ) -> float:
            return left + (v - low) / span * width

        _draw_panel(canvas, panel, x, y, units, pitch)


def _draw_panel(
    canvas: Canvas,
    panel: _Panel,
    x: Callable[[float], float],
    y: Callable[[float], float],
    units: UnitSystem,
    pitch: float,
) -> None:
    label = panel.quantity.unit(units).label
    words = _wrapped(panel.title, max(10, int(pitch / 4.1)))
    for line, text in enumerate(words[:2]):
        canvas.text((x(0) - 2, 11 + 8.5 * line), text, size=7.5, bold=True)
    canvas.text((x(0) - 2, 11 + 8.5 * len(words[:2])), label, size=6.5, colour=FAINT)
    for curve in panel.curves:
        points = [(x(v), y(z)) for z, v in zip(curve.z, curve.value, strict=True)]
        if not points:
            continue
        if curve.fill:
            canvas.area([(x(0), points[0][1]), *points, (x(0), points[-1][1])], fill=FILL)
        canvas.line(
            [(x(0), points[0][1]), *points, (x(0), points[-1][1])], width=1.1, dash=curve.dash
        )
    canvas.line([(x(0), y(panel.curves[0].z[0])), (x(0), y(panel.curves[0].z[-1]))], width=0.6)
    _extremes(canvas, panel.curves[0], x, y, panel.quantity, units)


def _extremes(
    canvas: Canvas,
    curve: _Curve,
    x: Callable[[float], float],
    y: Callable[[float], float],
    quantity: Quantity,
    units: UnitSystem,
) -> None:
    """Label the greatest and least values and the corners of a diagram, apart from each other."""
    marks = _corners(curve)
    places = spread((y(z) for z, _ in marks), 8.5, y(curve.z[0]) + 3, y(curve.z[-1]) - 2)
    for (_, value), place in zip(marks, places, strict=True):
        text = significant(quantity.shown(value, units), 3)
        canvas.text((x(value) + (2 if value >= 0 else -2), place + 2.5), text, size=7, halo=True,
                    anchor="start" if value >= 0 else "end", colour=INK)  # fmt: skip


def _corners(curve: _Curve) -> list[tuple[float, float]]:
    """Return the points worth a number: local extremes and jumps, at most eight, largest first."""
    z, v = list(curve.z), list(curve.value)
    size = max(abs(a) for a in v) or 1.0
    found: list[tuple[float, float]] = []
    for i, value in enumerate(v):
        before = v[i - 1] if i else 0.0
        after = v[i + 1] if i + 1 < len(v) else 0.0
        peak = (value >= before and value > after) or (value > before and value >= after)
        trough = (value <= before and value < after) or (value < before and value <= after)
        if abs(value) > 0.04 * size and (peak or trough):
            found.append((z[i], value))
    found.sort(key=lambda m: -abs(m[1]))
    kept: list[tuple[float, float]] = []
    for mark in found:
        near = any(abs(mark[0] - k[0]) < 1e-6 and abs(mark[1] - k[1]) < 0.02 * size for k in kept)
        if not near and len(kept) < 8:
            kept.append(mark)
    return sorted(kept)


def _row_arrows(
    canvas: Canvas, done: SectionDesign, y: Callable[[float], float], units: UnitSystem
) -> None:
    """Write the horizontal load of each row, and the reaction, beside the diagrams."""
    force = QUANTITIES["force per length"]
    marks = [(r.z, f"Row {r.row}", r.horizontal) for r in done.loads.rows]
    marks.append((done.ground.H, "Subgrade", done.loads.reaction))
    canvas.text((_WIDTH - 78, 11), "Horizontal load", size=7.5, bold=True)
    canvas.text((_WIDTH - 78, 19.5), force.unit(units).label, size=6.5, colour=FAINT)
    places = spread((y(z) for z, _, _ in marks), 18, _TOP, _HEIGHT - _FOOT)
    for (z, name, load), place in zip(marks, places, strict=True):
        canvas.arrow((_WIDTH - 56, y(z)), (_WIDTH - 82, y(z)), colour=ACCENT)
        canvas.text((_WIDTH - 52, place - 1), name, size=7, colour=INK)
        canvas.text(
            (_WIDTH - 52, place + 7.5),
            significant(force.shown(load, units), 4),
            size=7.5,
            bold=True,
        )


def _ticks(low: float, high: float, most: int) -> list[float]:
    """Return round tick values in low..high, at most `most` intervals."""
    span = max(high - low, 1e-12)
    step = 10.0**-12
    for power in range(-6, 9):
        for lead in (1, 2, 5):
            step = lead * 10.0**power
            if span / step <= most:
                first = int(low / step)
                return [k * step for k in range(first, int(high / step + 1e-9) + 1)]
    return [low, high]


def _wrapped(text: str, most: int) -> list[str]:
    """Return text in lines of at most `most` characters, broken at spaces."""
    lines: list[str] = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > most:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines
