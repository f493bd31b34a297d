"""The figure of slip surfaces stage by stage: small sections to one scale, the critical one in each."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, isfinite

from backstay.drawing.clip import clipped
from backstay.drawing.lettering import CAP_HEIGHT, wrapped
from backstay.report.slip_scene import Setting, level_of
from backstay.report.svg import FILL, Canvas, Point
from backstay.slip_tables import KIND_WORDS, lettered
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.overall_comparison import whole_surface
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.search_result import SearchResult

_WIDTH, _ACROSS, _GAP = 500.0, 3, 12.0
_TITLE, _HEAD = 7.2, 24.0
_TALLEST = 130.0

Shown = tuple[str, SlipModel, SearchResult]
"""Title of a stage, its model, and what was found."""


def stages_slip_figure(stages: Sequence[Shown], *, title: str, setting: Setting) -> str:
    """Return the critical surface of every stage with its factor of safety, all to one scale."""
    across = min(_ACROSS, len(stages))
    width = (_WIDTH - _GAP * (across - 1)) / across
    (x1, y1), (x2, y2) = _extent(stages, setting)
    scale = min(width / (x2 - x1), _TALLEST / (y2 - y1))
    height = (y2 - y1) * scale + _HEAD
    rows = ceil(len(stages) / across)
    canvas = Canvas(_WIDTH, rows * height + (rows - 1) * _GAP)
    for k, stage in enumerate(stages):
        left, top = (k % across) * (width + _GAP), (k // across) * (height + _GAP)
        window = ((x1, y1), (x1 + width / scale, y2))
        _panel(canvas, stage, setting, window, (left, top, scale))
    return canvas.document(title)


def _extent(stages: Sequence[Shown], setting: Setting) -> tuple[Point, Point]:
    xs, ys = [0.0], [0.0]
    for _, model, found in stages:
        if found.critical is not None:
            line = whole_surface(found.critical)
            xs += [float(v) for v in line[:, 0]]
            ys += [float(v) for v in line[:, 1]]
        for a in model.anchors:
            length = a.free + a.bond if isfinite(a.free) else 3.0
            xs.append(a.x + length * a.dx)
            ys.append(a.y + length * a.dy)
    if setting.wall is not None:
        xs.append(setting.wall[0])
        ys += [setting.wall[1], setting.wall[2]]
    margin = 0.04 * (max(xs) - min(xs))
    first, last = min(xs) - margin, max(xs) + margin
    ys += [level_of(model.surface, x) for _, model, _ in stages for x in (first, last)]
    return (first, min(ys) - margin), (last, max(ys) + margin)


def _panel(
    canvas: Canvas, stage: Shown, setting: Setting, window: tuple[Point, Point],
    place: tuple[float, float, float],
) -> None:  # fmt: skip
    """Draw one stage; place: left, top and points per metre."""
    title, model, found = stage
    left, top, scale = place
    (x1, y1), (x2, y2) = window

    def at(x: float, y: float) -> Point:
        return left + (x - x1) * scale, top + _HEAD + (y2 - y) * scale

    def draw(points: Sequence[Point], width: float) -> None:
        for run in clipped(points, window):
            canvas.line([at(*p) for p in run], width=width)

    least = found.critical
    words = "nothing slides" if least is None else (
        f"F = {lettered(least.F)}, {KIND_WORDS[least.kind]}, {METHOD_NAMES[least.result.method]}"
    )  # fmt: skip
    canvas.text((left, top + 8), title[:1].upper() + title[1:], size=_TITLE, bold=True)
    room = (x2 - x1) * scale
    canvas.text((left, top + 17), wrapped(words, _TITLE * CAP_HEIGHT, room)[0], size=_TITLE)
    surface = model.surface
    inner = [(float(x), float(y)) for x, y in surface if x1 < x < x2]
    ground = [(x1, level_of(surface, x1)), *inner, (x2, level_of(surface, x2))]
    canvas.area([at(x1, y1), *(at(x, max(y, y1)) for x, y in ground), at(x2, y1)], fill=FILL)
    draw(ground, 0.8)
    if setting.wall is not None:
        x, head, toe = setting.wall
        draw([(x, head), (x, toe)], 1.8)
    for a in model.anchors:
        if not isfinite(a.free):
            draw([(a.x, a.y), (a.x + 3.0 * a.dx, a.y + 3.0 * a.dy)], 0.7)
            continue
        free = (a.x + a.free * a.dx, a.y + a.free * a.dy)
        draw([(a.x, a.y), free], 0.6)
        draw([free, (free[0] + a.bond * a.dx, free[1] + a.bond * a.dy)], 2.0)
    if least is not None:
        draw([(float(x), float(y)) for x, y in whole_surface(least)], 1.3)
