"""The figure of safety over circle centres: numbered contours, the least safe centre and its circle."""

from __future__ import annotations

from itertools import pairwise
from math import floor, hypot, log10

import numpy as np

from backstay.drawing.clip import Window
from backstay.quantity import UnitSystem
from backstay.report.contours import contour
from backstay.report.slip_scene import Scene, Setting, along, draw_ground, level_of
from backstay.report.svg import FAINT, Anchor, Point
from backstay.slip_tables import lettered
from backstay.stability.overall_comparison import MappedCircles, whole_surface
from backstay.stability.slip.model import Floats, SlipModel

_TALLEST = 350.0
"""Height (points) that leaves room for the polygon of forces on the same page."""
_LEVELS = 9
"""Contours drawn at most."""
_SHORTEST = 16.0
"""Length (points) of a contour below which it is not drawn."""
_MOST = 1.7
"""Centres whose safety is above this many times the least are of no interest: no contours there."""


def map_figure(
    model: SlipModel,
    mapped: MappedCircles,
    units: UnitSystem,
    *,
    title: str,
    setting: Setting | None = None,
) -> str:
    """Return the map of the least safety at each centre, over the section it belongs to."""
    given = setting or Setting()
    scene = Scene(_window(model, mapped, given), units, given.datum, tallest=_TALLEST)
    draw_ground(scene, model, given, loads=False)
    least, made = mapped.least, mapped.map
    circle = least.circle
    if circle is None:
        raise ValueError("the map needs a circle")
    _frame(scene, mapped)
    scene.line(whole_surface(least), width=1.8)
    centre = scene.at(circle.x, circle.y)
    for end in (least.points[0], least.points[-1]):
        scene.line([(circle.x, circle.y), (float(end[0]), float(end[1]))], width=0.6, dash="4 2")
    values = levels(made.F, least.F)
    places = _decimals(values)
    drawn = [(_contour(scene, made.x, made.y, made.F, level), level) for level in values]
    _centre(scene, centre)
    scene.canvas.label(
        _beside(centre), f"F = {lettered(least.F)}", size=8.5, bold=True, backed=True
    )
    for parts, level in drawn:
        _number(scene, parts, f"{level:.{places}f}")
    return scene.document(title)


def levels(F: Floats, least: float) -> list[float]:
    """Return round factors of safety for the contours, above the least."""
    known = F[np.isfinite(F)]
    if not len(known):
        return []
    low = min(least, float(known.min()))
    most = min(float(known.max()), _MOST * least)
    rough = max((most - low) / _LEVELS, 1e-3)
    power = 10.0 ** floor(log10(rough))
    step = next(s for s in (1.0, 2.0, 5.0, 10.0) if s * power >= rough - 1e-12) * power
    first = (floor(low / step + 1e-9) + 1) * step
    count = floor((most - first) / step + 1e-9) + 1
    return [round(first + k * step, 6) for k in range(max(count, 0))]


def _decimals(values: list[float]) -> int:
    """Return the decimals that tell all contours apart."""
    return next(n for n in range(1, 7) if all(abs(v - round(v, n)) < 1e-7 for v in values))


def _window(model: SlipModel, mapped: MappedCircles, setting: Setting) -> Window:
    made, least = mapped.map, mapped.least
    known = np.isfinite(made.F)
    xs = [float(v) for v in (*made.x[known.any(axis=0)], *least.points[:, 0])]
    ys = [float(v) for v in (*made.y[known.any(axis=1)], *least.points[:, 1])]
    if setting.wall is not None:
        xs.append(setting.wall[0])
        ys += [setting.wall[1], setting.wall[2]]
    margin = 0.06 * max(max(xs) - min(xs), max(ys) - min(ys))
    first, last = min(xs) - margin, max(xs) + margin
    ys += [level_of(model.surface, x) for x in (first, last)]
    return (first, min(ys) - margin), (last, max(ys) + margin)


def _frame(scene: Scene, mapped: MappedCircles) -> None:
    """Draw the outline of the map and its centres."""
    made = mapped.map
    known = np.isfinite(made.F)
    for i, y in enumerate(made.y):
        for j, x in enumerate(made.x):
            if known[i, j]:
                px, py = scene.at(float(x), float(y))
                scene.canvas.line([(px - 0.5, py), (px + 0.5, py)], width=0.8, colour=FAINT)


def _centre(scene: Scene, at: Point) -> None:
    """Draw the sign of the least safe centre: a cross, larger than any other mark."""
    x, y = at
    scene.canvas.line([(x - 5, y), (x + 5, y)], width=1.6)
    scene.canvas.line([(x, y - 5), (x, y + 5)], width=1.6)


def _beside(at: Point) -> list[tuple[Point, Anchor]]:
    x, y = at
    return [((x + 8, y - 4), "start"), ((x - 8, y - 4), "end"), ((x + 8, y + 9), "start"),
            ((x - 8, y + 9), "end"), ((x, y - 12), "middle")]  # fmt: skip


def _contour(scene: Scene, x: Floats, y: Floats, F: Floats, level: float) -> list[list[Point]]:
    """Draw the lines of one level; those too short are the grain of the radii tried, no shape."""
    drawn = []
    for line in contour(x, y, F, level):
        for part in scene.inside(line):
            if sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(part)) >= _SHORTEST:
                scene.canvas.line(part, width=0.7)
                drawn.append(part)
    return drawn


def _number(scene: Scene, parts: list[list[Point]], words: str) -> None:
    """Write the number of a level on each of its lines."""
    for part in parts:
        shares = (0.5, 0.3, 0.7, 0.4, 0.6, 0.2, 0.8, 0.1, 0.9)
        places: list[tuple[Point, Anchor]] = [
            ((px, py + 2.3), "middle") for px, py in (along(part, t) for t in shares)
        ]
        scene.canvas.label(places, words, size=6.5, backed=True)
