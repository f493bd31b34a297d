"""Search of slip circles: a grid of ends, starts and curvatures, then descent from its minima."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from backstay.stability.slip.analysis import analyse_circle
from backstay.stability.slip.arcs import above_rock, arc_points, arc_y
from backstay.stability.slip.descent import Descent, descend, grid_minima, separate, spacing
from backstay.stability.slip.ground_frame import Frame, frame
from backstay.stability.slip.model import Circle, Floats, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import Minimum, SearchResult

ENDS, STARTS, CURVATURES = 24, 24, 10
FEWEST = 3000
"""Circles in the first grid below which it is made finer: a deep foot of a wall leaves few of them."""
ROUNDS = 9
"""Rounds with few slices before starts that ran together are dropped."""
FINISH = 14
"""Rounds with all slices."""
FINEST = 2e-4
"""Step, as a share of the height (and of the range of curvature), below which a start is done."""


@dataclass(frozen=True, slots=True, eq=False)
class CircleSearch:
    """Minima of circles as places (k, 3), and all circles (n, 3) with their safety (n)."""

    minima: Descent
    circles: Floats
    safety: Floats
    exits: Floats
    entries: Floats


def search_circles(model: SlipModel, *, options: SearchOptions | None = None) -> SearchResult:
    """Search the least safe circles of a section, cut by rock where there is any.

    Raises DesignError where the ground has no slope. An empty list of minima says that no circle
    counts; the reasons are counted in the result.
    """
    seen = frame(model, options or SearchOptions())
    found = look(seen)
    return result_of(seen, found, circle_minima(seen, found))


def look(seen: Frame) -> CircleSearch:
    """Return the minima of circles in a frame."""
    given, ground = seen.options, seen.ground
    exits, entries, shares, grid = _grid(seen, given.density)
    usable = int(seen.arcs(grid.reshape(-1, 3)).usable.sum())
    if 0 < usable < FEWEST * given.density**3:
        finer = min(2.0, (FEWEST * given.density**3 / usable) ** (1.0 / 3.0))
        exits, entries, shares, grid = _grid(seen, given.density * finer)
    n = len(shares)
    all_circles: list[Floats] = []
    all_safety: list[Floats] = []

    def safety(places: Floats, slices: int) -> Floats:
        F, circles = seen.circle_safety(places, slices=slices)
        counts = np.isfinite(F)
        all_circles.append(circles[counts])
        all_safety.append(F[counts])
        return F

    value = safety(grid.reshape(-1, 3), given.grid_slices).reshape(grid.shape[:3])
    at = grid_minima(value, 3 * given.minima)
    starts = grid[tuple(at.T)]
    steps = np.column_stack(
        (spacing(exits)[at[:, 0]], spacing(entries)[at[:, 1]], np.full(len(at), 1.0 / n))
    )
    least = np.array([FINEST * ground.height, FINEST * ground.height, 2e-3])
    keep = separate(_features(seen, starts), value[tuple(at.T)], given.apart)[: 2 * given.minima]
    rough = descend(
        lambda p: safety(p, given.grid_slices), starts[keep], value[tuple(at[keep].T)],
        0.5 * steps[keep], rounds=ROUNDS, least=least,
    )  # fmt: skip
    keep2 = separate(_features(seen, rough.places), rough.values, given.apart)[: given.minima]
    again = safety(rough.places[keep2], given.slices) if len(keep2) else np.empty(0)
    fine = descend(
        lambda p: safety(p, given.slices), rough.places[keep2], again,
        0.06 * steps[keep][keep2], rounds=FINISH, least=least,
    )  # fmt: skip
    return CircleSearch(
        fine, np.concatenate(all_circles), np.concatenate(all_safety), exits, entries
    )


def _grid(seen: Frame, density: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Return ends, starts, shares of the angle, and the grid of all of them (e, s, n, 3)."""
    exits = _limited(seen, seen.ground.exits(round(ENDS * density)), 0)
    entries = _limited(seen, seen.ground.entries(round(STARTS * density)), 1)
    n = max(4, round(CURVATURES * density))
    shares = (np.arange(n) + 0.5) / n
    grid = np.stack(np.meshgrid(exits, entries, shares, indexing="ij"), axis=-1)
    return exits, entries, shares, grid


def circle_minima(seen: Frame, found: CircleSearch) -> tuple[Minimum, ...]:
    """Return the minima of a search with their slices, the lowest first, only separate ones."""
    given, descent = seen.options, found.minima
    order = separate(_features(seen, descent.places), descent.values, given.apart)
    order = order[descent.values[order] <= given.listed * descent.values.min(initial=np.inf)]
    return tuple(_minimum(seen, descent, int(i)) for i in order)


def result_of(seen: Frame, found: CircleSearch, least: tuple[Minimum, ...]) -> SearchResult:
    """Return the result of a search."""

    def across(s: Floats) -> tuple[float, float]:
        x = seen.sign * seen.ground.at(s)[:, 0]
        return (float(x.min()), float(x.max())) if len(x) else (np.nan, np.nan)

    return SearchResult(
        minima=least,
        circles=found.circles,
        safety=found.safety,
        exits=across(found.exits),
        entries=across(found.entries),
        least_depth=seen.least_depth,
        analysed=seen.tally.analysed,
        set_aside=dict(seen.tally.aside),
        lowest_aside=None if np.isinf(seen.tally.lowest_aside) else seen.tally.lowest_aside,
        method=seen.options.method,
    )


def _minimum(seen: Frame, descent: Descent, i: int) -> Minimum:
    place = descent.places[i : i + 1]
    arc = seen.arcs(place)
    x, y, R = (float(v) for v in arc.circles[0] * np.array([seen.sign, 1.0, 1.0]))
    circle = Circle(x, y, R)
    given = seen.options
    result = analyse_circle(
        seen.model, circle, given.method, given.slices, side_force=given.side_force
    )
    if not result.converged:
        result = analyse_circle(seen.model, circle, "bishop", given.slices)
    low, high = (seen.ground.at(place[:, k])[0] for k in (0, 1))
    return Minimum(
        F=result.F,
        kind="composite" if _cut_by_rock(seen, arc.circles, arc.ends) else "circle",
        circle=circle,
        points=seen.turn(arc_points(arc.circles, arc.ends, 41)[0]),
        out=(seen.sign * float(low[0]), float(low[1])),
        start=(seen.sign * float(high[0]), float(high[1])),
        thickness=float(arc.thickness[0]),
        last_change=float(descent.change[i]),
        at_edge=seen.at_edge(seen.ground.at(place[0, :2])[:, 0]),
        result=result,
    )


def _cut_by_rock(seen: Frame, circles: Floats, ends: Floats) -> bool:
    """Say whether a circle (1, 3) of the searching frame runs below the top of rock."""
    x = np.linspace(ends[0, 0], ends[0, 1], 60)[None, 1:-1]
    y = arc_y(circles, x)
    return bool((above_rock(x, y, seen.rock) > y + 1e-6).any())


def _features(seen: Frame, places: Floats) -> Floats:
    """Return ends and thickness as shares of the height (k, 5): what tells slides apart."""
    if not len(places):
        return np.empty((0, 5))
    low, high = seen.ground.at(places[:, 0]), seen.ground.at(places[:, 1])
    thickness = seen.arcs(places).thickness
    return np.column_stack((low, high, thickness)) / seen.ground.height


def _limited(seen: Frame, s: Floats, column: int) -> Floats:
    """Return positions within the limits of the options, spread over them if too few remain."""
    limits = (seen.options.exits, seen.options.entries)[column]
    if limits is None:
        return s
    x = np.sort(seen.sign * np.array(limits))
    ground = seen.ground
    first, last = (float(v) for v in ground.positions(x))
    kept = s[(s >= first) & (s <= last)]
    return np.unique(np.concatenate((kept, np.linspace(first, last, max(2, len(s) // 2)))))
