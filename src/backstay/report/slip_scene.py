"""The ground of a slip model on a canvas: to one scale, with strata, water, loads, wall and anchors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import degrees, hypot, isfinite

import numpy as np

from backstay.drawing.clip import Window, clipped
from backstay.drawing.figures import short
from backstay.drawing.lettering import CAP_HEIGHT, wrapped
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.panels import ticks
from backstay.report.svg import FAINT, Canvas, Point, spread
from backstay.stability.slip.model import AnchorForce, Floats, SlipModel

SMALL = 7.0
WIDTH = 500.0
_LEFT, _RIGHT, _TOP, _FOOT = 34.0, 104.0, 22.0, 26.0
_TALLEST = 430.0
_STEEL = 2.4
"""Width (points) of the wall."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What a slip model does not say about its section, for the eye.

    datum: elevation of y = 0 (m); wall: x, top and toe (m), or None; strata: names from the top.
    """

    datum: float = 0.0
    wall: tuple[float, float, float] | None = None
    strata: tuple[str, ...] = ()


class Scene:
    """A canvas on which one metre is the same length across and up."""

    def __init__(
        self, window: Window, units: UnitSystem, datum: float, *, tallest: float = _TALLEST
    ) -> None:
        (x1, y1), (x2, y2) = window
        across, up = WIDTH - _LEFT - _RIGHT, tallest - _TOP - _FOOT
        self.scale = min(across / (x2 - x1), up / (y2 - y1))
        spare = across / self.scale - (x2 - x1)  # a tall picture shows more ground beside it
        self.window: Window = ((x1 - 0.5 * spare, y1), (x2 + 0.5 * spare, y2))
        self.units = units
        self.datum = datum
        self.canvas = Canvas(WIDTH, (y2 - y1) * self.scale + _TOP + _FOOT)

    def at(self, x: float, y: float) -> Point:
        """Return the place on the canvas of a point (m)."""
        (x1, _), (_, y2) = self.window
        return _LEFT + (x - x1) * self.scale, _TOP + (y2 - y) * self.scale

    def line(
        self, points: Sequence[Point] | Floats, *, width: float = 0.8, dash: str = "",
        colour: str = "#111111",
    ) -> None:  # fmt: skip
        """Draw what of a polyline lies in the window."""
        for run in self.inside(points):
            self.canvas.line(run, width=width, dash=dash, colour=colour)

    def inside(self, points: Sequence[Point] | Floats) -> list[list[Point]]:
        """Return what of a polyline lies in the window, as runs on the canvas."""
        given = [(float(x), float(y)) for x, y in points]
        return [[self.at(*p) for p in run] for run in clipped(given, self.window)]

    @property
    def edges(self) -> tuple[float, float, float, float]:
        """Return left, top, right and bottom of the window on the canvas."""
        (x1, y1), (x2, y2) = self.window
        return (*self.at(x1, y2), *self.at(x2, y1))

    def document(self, title: str) -> str:
        """Return the SVG document."""
        return self.canvas.document(title)


def level_of(line: Floats, x: float) -> float:
    """Return the level of a line (n, 2) at x; at a vertical face the level to its right."""
    at = int(np.searchsorted(line[:, 0], x, side="right"))
    if at in (0, len(line)):
        return float(line[min(at, len(line) - 1), 1])
    (x1, y1), (x2, y2) = line[at - 1], line[at]
    return float(y1 + (y2 - y1) * (x - x1) / (x2 - x1))


def draw_ground(scene: Scene, model: SlipModel, setting: Setting, *, loads: bool = True) -> None:
    """Draw ground, strata with name and strength beside them, water, loads and the wall."""
    (x1, y1), (x2, _) = scene.window
    surface = model.surface
    inner = [(float(x), float(y)) for x, y in surface if x1 < x < x2]
    top = [(x1, level_of(surface, x1)), *inner, (x2, level_of(surface, x2))]
    held = [(x, max(y, y1)) for x, y in top]
    scene.canvas.area([scene.at(x1, y1), *(scene.at(*p) for p in held), scene.at(x2, y1)])
    _strata(scene, model)
    scene.line(top, width=1.1)
    _water(scene, model)
    if loads:
        _loads(scene, model)
    if setting.wall is not None:
        x, head, toe = setting.wall
        scene.line([(x, head), (x, toe)], width=_STEEL)
    _names(scene, model, setting)
    _axes(scene)


def _strata(scene: Scene, model: SlipModel) -> None:
    """Draw the tops of layers where they lie below the ground."""
    (x1, _), (x2, _) = scene.window
    for line in model.tops:
        marks = {x1, x2, *np.linspace(x1, x2, 161).tolist()}
        marks |= {float(x) for x in line[:, 0] if x1 < x < x2}
        marks |= {float(x) for x in model.surface[:, 0] if x1 < x < x2}
        run: list[Point] = []
        for x in sorted(marks):
            y = level_of(line, x)
            if y < level_of(model.surface, x) - 1e-9:
                run.append((x, y))
            else:
                scene.line(run, width=0.5, dash="6 2", colour=FAINT)
                run = []
        scene.line(run, width=0.5, dash="6 2", colour=FAINT)


def _water(scene: Scene, model: SlipModel) -> None:
    """Draw the water table with its sign."""
    if model.water is None:
        return
    (x1, y1), (x2, y2) = scene.window
    table = model.water
    inner = [(float(x), float(y)) for x, y in table if x1 < x < x2]
    scene.line(
        [(x1, level_of(table, x1)), *inner, (x2, level_of(table, x2))], width=0.6, dash="1 1.5"
    )
    for share in (0.86, 0.1):
        x = x1 + share * (x2 - x1)
        y = level_of(table, x)
        if y1 < y < y2:
            px, py = scene.at(x, y)
            sign = [(px, py), (px - 3.2, py - 5.4), (px + 3.2, py - 5.4), (px, py)]
            scene.canvas.area(sign, fill="#ffffff")
            scene.canvas.line(sign, width=0.6)
            scene.canvas.line([(px - 2.6, py + 1.8), (px + 2.6, py + 1.8)], width=0.5)
            scene.canvas.line([(px - 1.3, py + 3.4), (px + 1.3, py + 3.4)], width=0.5)


def _loads(scene: Scene, model: SlipModel) -> None:
    """Draw loads on the surface as arrows under a line, each with its size."""
    (x1, _), (x2, _) = scene.window
    canvas = scene.canvas
    for a, b, p in sorted(model.strips.tolist(), key=lambda strip: strip[0] - strip[1]):
        left, right = max(a, x1), min(b, x2)
        if right <= left:
            continue
        tier = 11.0 if (b - a) > 0.5 * (x2 - x1) else 19.0
        count = max(2, min(14, round((right - left) * scene.scale / 16.0)))
        places = [left + (right - left) * (k + 0.5) / count for k in range(count)]
        for x in places:
            px, py = scene.at(x, level_of(model.surface, x))
            canvas.arrow((px, py - tier), (px, py - 1.0), width=0.5)
        tops = [scene.at(x, level_of(model.surface, x)) for x in (left, right)]
        canvas.line([(px, py - tier) for px, py in tops], width=0.5)
        words = short(p, "stress", scene.units)
        px, py = tops[0][0] + 0.5 * (tops[1][0] - tops[0][0]), min(y for _, y in tops)
        spots = [px, px - 40, px + 40, px - 80, px + 80]
        canvas.label(
            [((x, py - tier - up), "middle") for up in (2.5, 10.5) for x in spots], words, size=6.5
        )


def _names(scene: Scene, model: SlipModel, setting: Setting) -> None:
    """Write name and strength of each layer in the column at the right."""
    _, top, right, bottom = scene.edges
    (_, y1), (x2, y2) = scene.window
    tops = [level_of(model.surface, x2), *(level_of(line, x2) for line in model.tops)]
    wanted, blocks = [], []
    for k in range(model.layers):
        high = min(tops[k], tops[0], y2)
        low = max([y1, *tops[k + 1 : k + 2]])
        if high <= y1 + 1e-9 or low >= high:
            continue
        name = setting.strata[k] if k < len(setting.strata) else f"Layer {k + 1}"
        words = wrapped(name, SMALL * CAP_HEIGHT, _RIGHT - 12, bold=True)[:2]
        blocks.append((words, _strength(model, k, scene.units)))
        wanted.append(scene.at(x2, 0.5 * (high + low))[1])
    if not blocks:
        return
    height = max(len(words) + len(values) for words, values in blocks) * 8.0 + 4.0
    places = spread(wanted, height, top + 0.5 * height, bottom - 0.5 * height)
    for (words, values), middle, place in zip(blocks, wanted, places, strict=True):
        scene.canvas.line(
            [(right, middle), (right + 4, middle), (right + 8, place)], width=0.4, colour=FAINT
        )
        y = place - 4.0 * (len(words) + len(values)) + 6.5
        for k, line in enumerate((*words, *values)):
            scene.canvas.text((right + 10, y + 8.0 * k), line, size=SMALL, bold=k < len(words))


def _strength(model: SlipModel, k: int, units: UnitSystem) -> list[str]:
    """Return the strength of a layer in words: what the analysis used."""
    if model.impenetrable is not None and model.impenetrable[k]:
        return ["no surface enters"]
    if model.su is not None and model.su[k] > 0.0:
        words = [f"su {short(float(model.su[k]), 'stress', units)}"]
        if model.su_gradient is not None and model.su_gradient[k]:
            words.append(f"+ {short(float(model.su_gradient[k]), 'stress gradient', units)}")
        return words
    words = [f"φ {degrees(float(model.phi[k])):.3g}°"]
    if model.c[k]:
        words[0] += f", c {short(float(model.c[k]), 'stress', units)}"
    return words


def _axes(scene: Scene) -> None:
    """Write elevations at the left and distances below."""
    canvas, length = scene.canvas, QUANTITIES["length"]
    (x1, y1), (x2, y2) = scene.window
    left, top, right, bottom = scene.edges
    units = scene.units
    low, high = (length.shown(v + scene.datum, units) for v in (y1, y2))
    canvas.line([(left, top), (left, bottom), (right, bottom)], width=0.5)
    for tick in ticks(low, high, 8):
        y = scene.at(x1, length.internal(tick, units) - scene.datum)[1]
        if top + 2 <= y <= bottom:
            canvas.line([(left - 3, y), (left, y)], width=0.5)
            canvas.text((left - 5, y + 2.5), _tick(tick), size=SMALL, anchor="end")
    for tick in ticks(length.shown(x1, units), length.shown(x2, units), 9):
        x = scene.at(length.internal(tick, units), y1)[0]
        if left <= x <= right:
            canvas.line([(x, bottom), (x, bottom + 3)], width=0.5)
            canvas.text((x, bottom + 11), _tick(tick), size=SMALL, anchor="middle")
    label = length.unit(units).label
    canvas.text((2, top - 6), f"Elev. ({label})", size=SMALL, colour=FAINT)
    canvas.text((right, bottom + 21), f"x ({label})", size=SMALL, anchor="end", colour=FAINT)


def _tick(value: float) -> str:
    return f"{value + 0.0:g}".replace("-", "−")


def draw_anchors(scene: Scene, anchors: Sequence[AnchorForce]) -> None:
    """Draw each row: head, free length as a line, bond as a bar."""
    for a in anchors:
        if not isfinite(a.free):
            end = (a.x + 3.0 * a.dx, a.y + 3.0 * a.dy)
            scene.line([(a.x, a.y), end], width=0.9)
            continue
        free = (a.x + a.free * a.dx, a.y + a.free * a.dy)
        end = (free[0] + a.bond * a.dx, free[1] + a.bond * a.dy)
        scene.line([(a.x, a.y), free], width=0.9)
        scene.line([free, end], width=3.4, colour="#8a8a8a")
        scene.line([free, end], width=0.5)
        px, py = scene.at(a.x, a.y)
        scene.canvas.line(
            [(px + 3.4 * a.dy, py + 3.4 * a.dx), (px - 3.4 * a.dy, py - 3.4 * a.dx)], width=2.0
        )


def along(points: Sequence[Point], share: float) -> Point:
    """Return the point at a share of the length of a polyline."""
    sizes = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(points)]
    left = share * sum(sizes)
    for (a, b), size in zip(pairwise(points), sizes, strict=True):
        if left <= size and size > 0.0:
            t = left / size
            return a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])
        left -= size
    return points[-1]
