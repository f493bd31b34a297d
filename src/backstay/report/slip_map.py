"""The figure of safety over circle centres: numbered contours, the least safe centre and its circle."""

from __future__ import annotations

from math import ceil, log10

import numpy as np

from backstay.drawing.clip import Window
from backstay.quantity import UnitSystem
from backstay.report.contours import contour
from backstay.report.slip_scene import Scene, Setting, along, draw_ground, level_of
from backstay.report.svg import FAINT, Anchor, Point
from backstay.slip_tables import safety_words
from backstay.stability.overall_comparison import MappedCircles
from backstay.stability.slip.model import Floats, SlipModel

_LEVELS = 9
"""Contours drawn at most."""
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
    scene = Scene(_window(model, mapped, given), units, given.datum)
    draw_ground(scene, model, given)
    least, made = mapped.least, mapped.map
    circle = least.circle
    if circle is None:
        raise ValueError("the map needs a circle")
    _frame(scene, mapped)
    scene.line(least.points, width=1.8)
    centre = scene.at(circle.x, circle.y)
    for end in (least.points[0], least.points[-1]):
        scene.line([(circle.x, circle.y), (float(end[0]), float(end[1]))], width=0.6, dash="4 2")
    _centre(scene, centre)
    scene.canvas.label(
        _beside(centre), f"least F = {safety_words(least.F, 2)}", size=8.5, bold=True
    )
    for level in levels(made.F, least.F):
        _contour(scene, made.x, made.y, made.F, level)
    return scene.document(title)


def levels(F: Floats, least: float) -> list[float]:
    """Return round factors of safety for the contours, above the least."""
    known = F[np.isfinite(F)]
    if not len(known):
        return []
    most = min(float(known.max()), _MOST * least)
    rough = max((most - least) / _LEVELS, 1e-3)
    power = 10.0 ** np.floor(log10(rough))
    step = float(next(s for s in (1.0, 2.0, 5.0, 10.0) if s * power >= rough) * power)
    first = ceil(least / step + 1e-9) * step
    count = int((most - first) / step + 1e-9) + 1
    return [round(first + k * step, 6) for k in range(max(count, 0))]


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


def _contour(scene: Scene, x: Floats, y: Floats, F: Floats, level: float) -> None:
    lines = contour(x, y, F, level)
    drawn = [part for line in lines for part in scene.inside(line)]
    for part in drawn:
        scene.canvas.line(part, width=0.7)
    for part in sorted(drawn, key=len, reverse=True)[:2]:
        if len(part) < 3:
            continue
        shares = (0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6)
        places: list[tuple[Point, Anchor]] = [
            ((px, py + 2.3), "middle") for px, py in (along(part, t) for t in shares)
        ]
        scene.canvas.label(places, f"{level:.4g}", size=6.5)
