"""The ground of a section: surface, strata with their signs, water, and the column of strata."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from itertools import pairwise
from math import degrees, inf, tan
from typing import TYPE_CHECKING

from backstay.drawing.board import Board, block_height
from backstay.drawing.boxes import stacked
from backstay.drawing.figures import short
from backstay.drawing.frame import Frame
from backstay.drawing.labels import NoRoomError, label
from backstay.drawing.lettering import shortened, wrapped
from backstay.drawing.marks import Point
from backstay.ground.profile import Layer, Profile
from backstay.quantity import UnitSystem

if TYPE_CHECKING:
    from backstay.design import SectionDesign

LOG = 7.0
"""Width (mm) of the strip that shows the signs of the strata."""


def surface_depth(ground: Profile, x: float) -> float:
    """Return the depth of the retained ground surface at x behind the wall (m; negative: above)."""
    points = ground.surface
    if len(points) == 1:
        return points[0][1] - x * tan(ground.slope)
    for (x1, z1), (x2, z2) in itertools.pairwise(points):
        if x1 <= x <= x2:
            return z1 if x2 == x1 else z1 + (z2 - z1) * (x - x1) / (x2 - x1)
    return points[-1][1]


def surface_line(ground: Profile, x1: float, x2: float) -> list[Point]:
    """Return the ground surface between two distances, as (x, z)."""
    inner = [p for p in ground.surface if x1 < p[0] < x2]
    return [(x1, surface_depth(ground, x1)), *inner, (x2, surface_depth(ground, x2))]


def draw_ground(board: Board, frame: Frame, done: SectionDesign) -> None:
    """Draw surfaces, boundaries of strata, subgrade and water levels."""
    view, ground = frame.view, done.ground
    (left, _), (right, _) = frame.window
    log = right - LOG
    wall = view.origin[0]
    surface = [view.at(x, z) for x, z in visible_surface(frame, ground)]
    board.line("GROUND-SURFACE", *surface)
    subgrade = view.at(0, ground.H)[1]
    board.line("CUT-SUBGRADE", (left, subgrade), (wall, subgrade))
    for start, end in ((left, wall), (wall, log)):
        y = subgrade if start == left else surface[-1][1] if ground.slope == 0 else None
        if y is not None and (start == left or len(surface) == 2):
            earth_ticks(board, start, end, y)
    for layer in ground.layers[1:]:
        if layer.top >= frame.deepest:
            continue
        y = view.at(0, layer.top)[1]
        if layer.top > surface_depth(ground, 0.0):
            board.line("GROUND-STRATA", (wall, y), (log, y))
        if layer.top > ground.H + 1e-6:
            board.line("GROUND-STRATA", (left, y), (wall, y))


def earth_ticks(board: Board, start: float, end: float, y: float) -> None:
    """Draw the sign of natural ground, three short strokes, at a few places under a surface."""
    count = max(1, int((end - start) // 60))
    for i in range(count):
        x = start + (end - start) * (i + 0.5) / count
        for k in range(3):
            board.sign("LEVEL", (x + 1.3 * k, y - 0.3), (x + 1.3 * k - 1.2, y - 1.5))


def draw_water(board: Board, frame: Frame, done: SectionDesign) -> list[tuple[float, str]]:
    """Draw the water levels; return (depth, name) of those drawn."""
    view, ground = frame.view, done.ground
    (left, _), (right, _) = frame.window
    wall, log = view.origin[0], right - LOG
    drawn: list[tuple[float, str]] = []
    if ground.water < frame.deepest:
        drawn.append((ground.water, "Water"))
        _water(board, (wall, view.at(0, ground.water)[1]), (log, view.at(0, ground.water)[1]), 0.90)
    if ground.water_cut < frame.deepest and ground.water_cut != inf:
        drawn.append((ground.water_cut, "Water in cut"))
        y = view.at(0, ground.water_cut)[1]
        _water(board, (left, y), (wall, y), 0.5)
    for level, base in ground.perched:
        if level < frame.deepest:
            drawn.append((level, "Perched water"))
            y, foot = view.at(0, level)[1], view.at(0, base)[1]
            _water(board, (wall, y), (log, y), 0.75)
            board.line("WATER", (log - 2.0, y), (log - 2.0, foot))
    return drawn


def _water(board: Board, start: Point, end: Point, share: float) -> None:
    board.line("WATER", start, end)
    x = start[0] + share * (end[0] - start[0])
    water_sign(board, (x, start[1]))


def water_sign(board: Board, at: Point) -> None:
    """Draw the sign of a water level: a triangle on it, and short lines under it."""
    x, y = at
    board.line("WATER", (x, y), (x - 1.3, y + 2.1), (x + 1.3, y + 2.1), closed=True, fill="paper")
    for k, half in ((0.8, 1.1), (1.5, 0.6)):
        board.line("WATER", (x - half, y - k), (x + half, y - k))


def visible_surface(frame: Frame, ground: Profile) -> list[Point]:
    """Return the retained surface as (x, z), up to where it leaves the window."""
    far = (frame.window[1][0] - LOG - frame.view.origin[0]) / frame.view.mm
    line = surface_line(ground, 0.0, far)
    kept = [line[0]]
    for (x1, z1), (x2, z2) in pairwise(line):
        if z2 < frame.highest:
            t = (frame.highest - z1) / (z2 - z1)
            return [*kept, (x1 + t * (x2 - x1), frame.highest)]
        kept.append((x2, z2))
    return kept


def draw_strata_column(
    board: Board, frame: Frame, done: SectionDesign, units: UnitSystem, top: float
) -> None:
    """Draw the strip of signs and, beside it, each stratum's name and parameters, none colliding.

    top: depth at which the strip begins (m).
    """
    draw_layers_column(board, frame, done.ground.layers, units, top)


def draw_layers_column(
    board: Board, frame: Frame, layers: Sequence[Layer], units: UnitSystem, top: float
) -> None:
    """Draw the strip of signs of layers, from the top down, with name and parameters beside it.

    top: depth at which the strip begins (m).
    """
    view = frame.view
    (_, foot), (right, _) = frame.window
    log, edge = right - LOG, frame.sheet.right
    seen: list[tuple[int, Layer, float, float]] = []
    for i, layer in enumerate(layers):
        a = top if i == 0 else max(layer.top, top)
        b = min(layer.bottom, frame.deepest)
        if b - a > 1e-6 and layer.top < frame.deepest:
            seen.append((i + 1, layer, view.at(0, a)[1], view.at(0, b)[1]))
    for _, layer, y1, y2 in seen:
        corners = ((log, y1), (right, y1), (right, y2), (log, y2))
        board.hatch(corners, layer.kind)
        board.line("LEVEL", *corners, closed=True)
    width = edge - right - 5.0
    for size, detail in ((board.text, 2), (board.text, 1), (board.text, 0), (board.text * 0.75, 0),
                         (board.text * 0.6, 0)):  # fmt: skip
        blocks = [_block(i, layer, units, size, width, detail) for i, layer, _, _ in seen]
        heights = [block_height(len(lines), size) + 0.6 * size for lines, _ in blocks]
        wanted = [(y1 + y2) / 2 for _, _, y1, y2 in seen]
        places = stacked(wanted, heights, foot, frame.title_y)
        if places is not None:
            break
    else:
        raise NoRoomError("the strata do not fit beside the section")
    for (lines, named), middle, place in zip(blocks, wanted, places, strict=True):
        board.line("LEADER", (right, middle), (right + 1.5, middle), (right + 3.5, place))
        high = place + block_height(len(lines), size) / 2
        board.paragraph((right + 4.4, high), lines, size=size, bold=named)


def _block(
    number: int, layer: Layer, units: UnitSystem, size: float, width: float, detail: int
) -> tuple[list[str], int]:
    """Return the lines of a layer, and how many of them are its name."""
    name = f"{number}. {layer.name}"
    short_name = [shortened(name, size, width, bold=True)]
    if detail == 0:
        return short_name, 1
    values = ", ".join(_values(layer, units))
    if detail == 1:
        return [*short_name, shortened(values, size, width)], 1
    whole = wrapped(name, size, width, bold=True)
    said = wrapped(layer.stratum.description, size, width) if layer.stratum.description else []
    return [*whole, *said, *wrapped(values, size, width)], len(whole)


def _values(layer: Layer, units: UnitSystem) -> Sequence[str]:
    values = [
        f"γ = {short(layer.gamma, 'unit weight', units)}",
        f"γsat = {short(layer.gamma_sat, 'unit weight', units)}",
    ]
    if layer.phi is not None:
        values.append(f"φ′ = {degrees(layer.phi):.4g}°")
    if layer.c > 0:
        values.append(f"c′ = {short(layer.c, 'stress', units)}")
    if layer.su is not None:
        words = f"su = {short(layer.su, 'stress', units)}"
        if layer.su_gradient:
            words += f" + {short(layer.su_gradient, 'stress gradient', units)}"
        values.append(words)
    return [value.replace(" ", "\u00a0") for value in values]


def label_water(board: Board, frame: Frame, levels: Sequence[tuple[float, str]]) -> None:
    """Name each water level beside its line."""
    for z, name in levels:
        (left, _), (right, _) = frame.window
        y = frame.view.at(0, z)[1]
        if name == "Water in cut":
            x = left + 0.5 * (frame.view.origin[0] - left)
            label(board, [name], [(x, y - 1.9), (x + 1.5, y - 1.0)], frame.window, upward=-40)
        else:
            share = 0.9 if name == "Water" else 0.75
            x = frame.view.origin[0] + share * (right - LOG - frame.view.origin[0])
            label(board, [name], [(x + 1.6, y + 1.0), (x - 1.6, y + 1.0)], frame.window, upward=3)
