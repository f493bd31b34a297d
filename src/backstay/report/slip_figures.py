"""Figures of slip surfaces: the critical one with slices and thrust line, and every stage small."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

import numpy as np

from backstay.drawing.clip import Window
from backstay.quantity import QUANTITIES, UnitSystem, significant
from backstay.report.slip_map import map_figure
from backstay.report.slip_polygon import polygon_figure
from backstay.report.slip_scene import (
    Scene,
    Setting,
    along,
    draw_anchors,
    draw_ground,
    level_of,
)
from backstay.report.svg import Anchor, Point
from backstay.slip_tables import THRUST_COUNTS, lettered
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.overall_comparison import whole_surface
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.result import SliceTable
from backstay.stability.slip.search_result import Minimum, SearchResult

__all__ = ["Setting", "map_figure", "polygon_figure", "slip_figure"]

_REACH = 1.3
"""Minima farther out than this many widths of the critical one are cut at the edge."""


def slip_figure(
    model: SlipModel,
    found: SearchResult,
    units: UnitSystem,
    *,
    title: str,
    setting: Setting | None = None,
    chosen: int | None = None,
) -> str:
    """Return the section with the minima of a search, the critical one bold with its slices.

    chosen: the slice (from 0) that another figure takes apart, toned here.
    """
    given = setting or Setting()
    least = found.critical
    scene = Scene(_window(model, found, given), units, given.datum)
    draw_ground(scene, model, given)
    table = None if least is None else least.result.slices
    if table is not None:
        _slices(scene, table, chosen)
    for other in found.minima[1:]:
        scene.line(whole_surface(other), width=0.7)
    draw_anchors(scene, model.anchors)
    if least is not None:
        scene.line(whole_surface(least), width=2.0)
        if table is not None:
            _thrust(scene, table)
        _safety(scene, least, bold=True)
        _rows(scene, model, least)
        for other in found.minima[1:]:
            _safety(scene, other, bold=False)
        if table is not None:
            _numbers(scene, table)
    return scene.document(title)


def _window(model: SlipModel, found: SearchResult, setting: Setting) -> Window:
    """Return what the figure shows: the critical surface, wall and anchors whole, with a margin."""
    xs: list[float] = []
    ys: list[float] = []
    least = found.critical
    if least is not None:
        xs += [float(v) for v in least.points[:, 0]]
        ys += [float(v) for v in least.points[:, 1]]
        reach = (_REACH - 1.0) * (max(xs) - min(xs))
        near, far = min(xs) - reach, max(xs) + reach
        for other in found.minima[1:]:
            x = np.clip(other.points[:, 0], near, far)
            xs += [float(x.min()), float(x.max())]
            ys += [float(v) for v in other.points[:, 1] if v > min(ys) - reach]
    for a in model.anchors:
        length = a.free + a.bond if isfinite(a.free) else 3.0
        xs += [a.x, a.x + length * a.dx]
        ys += [a.y, a.y + length * a.dy]
    if setting.wall is not None:
        xs.append(setting.wall[0])
        ys += [setting.wall[1], setting.wall[2]]
    if not xs or max(xs) == min(
        xs
    ):  # nothing but the wall to show: its height of ground to either side
        middle = xs[0] if xs else float(model.surface[:, 0].mean())
        height = float(np.ptp(model.surface[:, 1])) or float(np.ptp(model.surface[:, 0]))
        xs += [middle - height, middle + height]
    spread = max(xs) - min(xs)
    first, last = min(xs) - 0.06 * spread, max(xs) + 0.06 * spread
    inner = [float(y) for x, y in model.surface if first <= x <= last]
    ys += [*inner, level_of(model.surface, first), level_of(model.surface, last)]
    tall = max(ys) - min(ys)
    return (first, min(ys) - 0.08 * max(tall, 0.3 * spread)), (last, max(ys) + 0.12 * tall + 1.0)


def _slices(scene: Scene, table: SliceTable, chosen: int | None) -> None:
    """Draw the sides of the slices; the chosen one toned."""
    feet = zip(table.side_x.tolist(), table.side_y.tolist(), table.side_top.tolist(), strict=True)
    sides = list(feet)
    if chosen is not None:
        (x1, y1, top1), (x2, y2, top2) = sides[chosen], sides[chosen + 1]
        corners = [scene.at(*p) for p in ((x1, y1), (x1, top1), (x2, top2), (x2, y2))]
        scene.canvas.area(corners, fill="#bdb7ab")
    for x, y, top in sides:
        scene.line([(x, y), (x, top)], width=0.25, colour="#6a6a6a")


def _thrust(scene: Scene, table: SliceTable) -> None:
    """Draw the thrust line where the push counts, and name it."""
    push = float(table.E.max())
    runs: list[list[Point]] = [[]]
    for x, y, e in zip(table.side_x, table.thrust_y, table.E, strict=True):
        if np.isfinite(y) and push * THRUST_COUNTS < e:
            runs[-1].append((float(x), float(y)))
        elif runs[-1]:
            runs.append([])
    drawn = [part for run in runs if len(run) > 1 for part in scene.inside(run)]
    for part in drawn:
        scene.canvas.line(part, width=1.1, dash="7 2 1.5 2")
    if drawn:
        longest = max(drawn, key=len)
        _name(scene, [along(longest, t) for t in (0.5, 0.35, 0.65, 0.2, 0.8)], "thrust line")


def _safety(scene: Scene, one: Minimum, *, bold: bool) -> None:
    """Letter a surface with its factor of safety."""
    runs = scene.inside(whole_surface(one))
    if not runs:
        return
    words = f"F = {lettered(one.F)}"
    if bold:
        words += f", {METHOD_NAMES[one.result.method]}"
    longest = max(runs, key=len)
    if bold:
        spots = [along(longest, t) for t in (0.35, 0.25, 0.45, 0.55, 0.15)]
        _name(scene, spots, words, below=True, bold=True, size=8.5)
        return
    places: list[tuple[Point, Anchor]] = []
    for t in (0.92, 0.84, 0.76, 0.68, 0.6, 0.08, 0.16, 0.24):
        x, y = along(longest, t)
        places += [((x + 4.0, y + 4.5), "start"), ((x - 4.0, y + 1.0), "end")]
    scene.canvas.label(places, words, size=6.5, backed=True)


def _name(
    scene: Scene, spots: Sequence[Point], words: str, *, below: bool = False, bold: bool = False,
    size: float = 6.5,
) -> None:  # fmt: skip
    """Write words close to one of some places, clear of other words.

    What lies behind is blanked: a line between two words reads as a minus sign.
    """
    ups = (size + 2.5, size + 8.0, -3.5) if below else (-3.5, size + 2.5, -9.0)
    places: list[tuple[Point, Anchor]] = [
        ((x, y + up), side) for up in ups for x, y in spots for side in ("middle", "start", "end")
    ]
    scene.canvas.label(places, words, size=size, bold=bold, backed=True)


def _rows(scene: Scene, model: SlipModel, least: Minimum) -> None:
    """Write beside each row the force that the critical surface leaves it."""
    load = QUANTITIES["force per length"]
    label = load.unit(scene.units).label
    for anchor, used in zip(model.anchors, least.result.anchors, strict=True):
        acts, whole = (
            significant(load.shown(float(v), scene.units), 3) for v in (used, anchor.total)
        )
        words = f"{anchor.name}: {acts} {label}"
        if acts != whole:
            words += f" of {whole}"
        length = anchor.free + anchor.bond if isfinite(anchor.free) else 3.0
        falls = anchor.dx * anchor.dy < 0.0  # on the page, from left to right
        over, under = ("start", "end") if falls else ("end", "start")
        places: list[tuple[Point, Anchor]] = []
        for t in (0.85, 0.75, 0.95, 0.65, 0.55, 0.45):
            x, y = scene.at(anchor.x + t * length * anchor.dx, anchor.y + t * length * anchor.dy)
            places += [((x, y - 3.5), _side(over)), ((x, y + 9.0), _side(under))]
        scene.canvas.label(places, words, size=6.5, backed=True)


def _side(name: str) -> Anchor:
    return "start" if name == "start" else "end"


def _numbers(scene: Scene, table: SliceTable) -> None:
    """Write the number of every tenth slice, so that the table finds its way into the figure."""
    count = len(table.x)
    last = {count - 1} if count % 10 > 3 else set()
    for i in sorted({0, *last, *range(9, count, 10)}):
        middle = 0.5 * float(table.side_top[i] + table.side_top[i + 1])
        x, y = scene.at(float(table.x[i]), middle)
        scene.canvas.label(
            [((x, y + down), "middle") for down in (8.0, 14.0, 20.0)], str(i + 1), size=5.5,
            colour="#444444", backed=True,
        )  # fmt: skip
