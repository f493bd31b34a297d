"""The ground of a slope on a drawing: surface, strata, water, the known surface, loads, piles."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from backstay.drawing.board import Board
from backstay.drawing.clip import Window, clipped
from backstay.drawing.figures import short
from backstay.drawing.frame import Frame
from backstay.drawing.ground import LOG, earth_ticks, water_sign
from backstay.drawing.marks import Point
from backstay.ground.profile import Layer
from backstay.model.ground import Stratum, UndrainedStrength
from backstay.model.slope import SlopeStratum
from backstay.model.slope_loads import SlopeLine, SlopeLoad, SlopeStrip
from backstay.quantity import UnitSystem

if TYPE_CHECKING:
    from backstay.stability.slip.model import Floats, SlipModel
    from backstay.stability.slope_design import SlopeDesign

_ARROW = 5.0
_WATER_SHARES = (0.86, 0.7, 0.5)


def ground_window(frame: Frame) -> Window:
    """Return the part of the window in which the ground stands: without the strip of strata."""
    (left, low), (right, high) = frame.window
    return (left, low), (right - LOG, high)


def runs(frame: Frame, line: Floats | Sequence[Point]) -> list[list[Point]]:
    """Return what of a line of the section (x, elevation) the window shows, on paper."""
    top = frame.view.top
    return clipped([frame.view.at(float(x), top - float(y)) for x, y in line], ground_window(frame))


def level_at(line: Floats, x: float) -> float:
    """Return the level of a line at x."""
    return float(np.interp(x, line[:, 0], line[:, 1]))


def draw_slope_ground(board: Board, frame: Frame, done: SlopeDesign) -> None:
    """Draw the surface, and the tops of strata where they lie below it and below one another."""
    model = done.ground
    for run in runs(frame, model.surface):
        board.line("GROUND-SURFACE", *run)
    for a, b in pairwise(model.surface):
        if abs(b[1] - a[1]) < 0.03 * abs(b[0] - a[0]):
            for run in runs(frame, [a, b]):
                earth_ticks(board, run[0][0], run[-1][0], min(p[1] for p in run))
    above = model.surface
    for top in model.tops:
        for run in runs(frame, _lower(top, above, model)):
            board.line("GROUND-STRATA", *run)
        above = top


def _lower(line: Floats, above: Floats, model: SlipModel) -> Floats:
    """Return a line where it lies below another and below the surface, else that of the two."""
    x = np.unique(np.concatenate([line[:, 0], above[:, 0], model.surface[:, 0]]))
    levels = [np.interp(x, one[:, 0], one[:, 1]) for one in (line, above, model.surface)]
    return np.column_stack((x, np.minimum.reduce(levels)))


def draw_slope_water(
    board: Board, frame: Frame, done: SlopeDesign
) -> list[tuple[list[str], list[Point]]]:
    """Draw the water lines; return the label of each with what it may point at."""
    found = []
    moved = done.slope.water
    lines = [("Water to design for" if done.slope.design_water else "Water", done.ground.water)]
    if done.slope.design_water and moved:
        lines.append(("Water when it moved", np.array([(p.x, p.elevation) for p in moved])))
    for k, (name, line) in enumerate(lines):
        if line is None:
            continue
        shown = runs(frame, _whole(line, done.ground.surface))
        for run in shown:
            board.line("WATER", *run)
        if not shown:
            continue
        longest = max(shown, key=len)
        (x1, _), (x2, _) = longest[0], longest[-1]
        at = [_on(longest, x1 + share * (x2 - x1)) for share in _WATER_SHARES]
        water_sign(board, at[k])
        found.append(([name], [(p[0] + 1.6, p[1] + 0.4) for p in (at[k], *at)]))
    return found


def _whole(line: Floats, surface: Floats) -> Floats:
    """Return a line held level beyond its ends, as far as the ground reaches."""
    x = np.unique(np.concatenate((line[:, 0], surface[[0, -1], 0])))
    return np.column_stack((x, np.interp(x, line[:, 0], line[:, 1])))


def _on(run: Sequence[Point], x: float) -> Point:
    for (x1, y1), (x2, y2) in pairwise(run):
        if x1 <= x <= x2:
            return x, y1 if x2 == x1 else y1 + (y2 - y1) * (x - x1) / (x2 - x1)
    return run[-1]


def draw_known_surface(board: Board, frame: Frame, done: SlopeDesign) -> list[Point]:
    """Draw the known slip surface with its open crack; return the places its label may point at."""
    tied = done.cases[0].tied
    line = tied.surface
    if tied.crack > 0.0:
        foot = line[-1] if done.ground.to_left else line[0]
        head = foot + np.array([0.0, tied.crack])
        line = np.vstack((line, head) if done.ground.to_left else (head, line))
    places: list[Point] = []
    for run in runs(frame, line):
        board.line("SURFACE-FAILURE", *run)
        places += run
    return places


def draw_piles(
    board: Board, frame: Frame, done: SlopeDesign
) -> list[tuple[list[str], list[Point]]]:
    """Draw rows of piles; return their labels."""
    found = []
    for pile in done.slope.piles:
        for run in runs(frame, [(pile.x, pile.bottom), (pile.x, pile.top)]):
            board.line("WALL-PILE", *run)
            found.append(([pile.name], [run[-1], run[0]]))
    return found


def draw_slope_loads(
    board: Board, frame: Frame, done: SlopeDesign, units: UnitSystem
) -> list[tuple[list[str], list[Point]]]:
    """Draw surcharges as arrows on the surface; return their labels."""
    (left, _), (right, _) = frame.window
    view, surface = frame.view, done.ground.surface
    near, far = ((x - view.origin[0]) / view.mm for x in (left, right - LOG))
    found = []
    for load in done.slope.surcharges:
        if isinstance(load, SlopeLine):
            if not near <= load.x <= far:
                continue
            x, y = view.at(load.x, view.top - level_at(surface, load.x))
            board.arrow("LOAD-SURCHARGE", (x, y + 8.0), (x, y + 0.4), head=2.2)
            words = f"{load.name}: {short(load.load, 'force per length', units)}"
            found.append(([words], [(x, y + 8.0)]))
            continue
        a, b = (load.from_x, load.to_x) if isinstance(load, SlopeStrip) else (near, far)
        a, b = max(a, near), min(b, far)
        if a >= b:
            continue
        tails = _spread(board, frame, surface, a, b)
        words = f"{load.name}: {short(load.pressure, 'stress', units)}"
        found.append(([words], [tails[len(tails) // 2], *tails]))
    return found


def _spread(board: Board, frame: Frame, surface: Floats, a: float, b: float) -> list[Point]:
    view = frame.view
    count = max(2, round((b - a) * view.mm / 9.0) + 1)
    tails = []
    for i in range(count):
        x = a + (b - a) * i / (count - 1)
        px, py = view.at(x, view.top - level_at(surface, x))
        tails.append((px, py + _ARROW + 0.6))
        board.arrow("LOAD-SURCHARGE", tails[-1], (px, py + 0.6), head=1.4)
    inner = [float(x) for x in surface[:, 0] if a < x < b]
    line = [view.at(x, view.top - level_at(surface, x)) for x in (a, *inner, b)]
    board.line("LOAD-SURCHARGE", *((px, py + _ARROW + 0.6) for px, py in line))
    return tails


def nearest(load: SlopeLoad) -> float | None:
    """Return where a load stands or begins (m); None where it is everywhere."""
    if isinstance(load, SlopeStrip):
        return load.from_x
    return load.x if isinstance(load, SlopeLine) else None


def load_places(done: SlopeDesign) -> list[float]:
    """Return the places (m) that the loads on the surface take."""
    found: list[float] = []
    for load in done.slope.surcharges:
        if isinstance(load, SlopeStrip):
            found += [load.from_x, load.to_x]
        elif isinstance(load, SlopeLine):
            found.append(load.x)
    return found


def layers_at(done: SlopeDesign, x: float, top: float) -> tuple[Layer, ...]:
    """Return the strata as they lie one below the other at x, by depth below an elevation."""
    model = done.ground
    level = level_at(model.surface, x)
    found: list[tuple[SlopeStratum, float]] = []
    for stratum, line in zip(done.slope.strata, (model.surface, *model.tops), strict=True):
        level = min(level, level_at(line, x))
        found.append((stratum, top - level))
    ends = [*(z for _, z in found[1:]), inf]
    return tuple(
        _layer(stratum, z, end)
        for (stratum, z), end in zip(found, ends, strict=True)
        if end - z > 1e-6
    )


def _layer(stratum: SlopeStratum, top: float, bottom: float) -> Layer:
    su = stratum.undrained_strength
    varies = isinstance(su, UndrainedStrength)
    told = Stratum.model_construct(
        name=stratum.name, kind=stratum.kind, description=stratum.description
    )
    return Layer(
        stratum.name, stratum.kind, top, bottom, stratum.moist_unit_weight,
        stratum.saturated_unit_weight, stratum.friction_angle, stratum.cohesion,
        su.at_top if isinstance(su, UndrainedStrength) else su,
        su.gradient if varies and isinstance(su, UndrainedStrength) else 0.0, 0.0, told,
    )  # fmt: skip
