"""The map of safety over circle centres: at each centre the radius with the least safety."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from backstay.stability.slip.arcs import thickness
from backstay.stability.slip.ground_frame import Frame, frame
from backstay.stability.slip.model import Floats, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import SearchResult

RADII = 10
NEARER = 3
"""Rounds that halve the spacing of radii around the best one."""
SPAN = 0.6
"""Size of the map to each side of the critical centre, as a share of the critical radius."""


@dataclass(frozen=True, slots=True, eq=False)
class SafetyMap:
    """Least safety F (ny, nx) and its radius (ny, nx) at centres x (nx), y (ny), m.

    NaN where no circle about a centre counts.
    """

    x: Floats
    y: Floats
    F: Floats
    radius: Floats


def safety_map(
    model: SlipModel,
    found: SearchResult,
    *,
    options: SearchOptions | None = None,
    columns: int = 21,
    rows: int = 21,
) -> SafetyMap | None:
    """Return the map around the critical circle of a search, or None where there is none.

    The critical centre lies in the middle, so that an odd number of columns and rows shows it.
    """
    least = found.of("circle", "composite")
    if least is None or least.circle is None:
        return None
    seen = frame(model, options or SearchOptions(method=found.method))
    size = SPAN * min(least.circle.radius, 3.0 * seen.ground.height)
    x = least.circle.x + size * np.linspace(-1.0, 1.0, columns)
    y = least.circle.y + size * np.linspace(-1.0, 1.0, rows)
    centres = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    near, far = _radii(seen, centres)
    share = np.linspace(0.0, 1.0, RADII + 2)[None, 1:-1]
    R = near[:, None] + (far - near)[:, None] * share
    F = _safety(seen, centres, R)
    best, value = _best(R, F)
    gap = (far - near) / (RADII + 1)
    for _ in range(NEARER):
        gap = 0.5 * gap
        R = best[:, None] + gap[:, None] * np.array([[-1.0, 1.0]])
        R, F = np.column_stack((best, R)), np.column_stack((value, _safety(seen, centres, R)))
        best, value = _best(R, F)
    shown = np.where(np.isfinite(value), value, np.nan).reshape(rows, columns)
    radius = np.where(np.isfinite(value), best, np.nan).reshape(rows, columns)
    middle = abs(y - least.circle.y).argmin(), abs(x - least.circle.x).argmin()
    here = np.array([[least.circle.x, least.circle.y]])
    if np.allclose((x[middle[1]], y[middle[0]]), here[0]):
        R0 = np.array([[least.circle.radius]])
        F0 = _safety(seen, here, R0)[0, 0]
        if np.isfinite(F0) and not shown[middle] <= F0:
            shown[middle], radius[middle] = F0, R0[0, 0]
    return SafetyMap(x, y, shown, radius)


def _radii(seen: Frame, centres: Floats) -> tuple[Floats, Floats]:
    """Return the radii between which circles about each centre cut the ground of the search."""
    given, ground = seen.options, seen.ground
    s = np.concatenate((ground.exits(24), ground.entries(24)))
    points = ground.at(s) * np.array([seen.sign, 1.0])
    distance = np.hypot(*(centres[:, None, :] - points[None, :, :]).transpose(2, 0, 1))
    far = distance.max(axis=1)
    if given.deepest is not None:
        far = np.minimum(far, centres[:, 1] - given.deepest)
    near = distance.min(axis=1)
    return near, np.maximum(far, near)


def _safety(seen: Frame, centres: Floats, R: Floats) -> Floats:
    """Return the safety of circles about n centres with radii (n, k), infinite where none counts."""
    k = R.shape[1]
    circles = np.column_stack((np.repeat(centres, k, axis=0), R.ravel()))
    F, batch = seen.judged(circles, slices=seen.options.grid_slices)
    at = np.flatnonzero(np.isfinite(F))
    ends = np.sort(seen.sign * np.column_stack((batch.left, batch.right))[at], axis=1)
    turned = circles[at] * np.array([seen.sign, 1.0, 1.0])
    thick = thickness(seen.ground, turned, ends, seen.rock)
    kept = seen.within(ends) & (thick >= seen.least_depth)
    F[at[~kept]] = np.inf
    return F.reshape(R.shape)


def _best(R: Floats, F: Floats) -> tuple[Floats, Floats]:
    at = F.argmin(axis=1)[:, None]
    return np.take_along_axis(R, at, 1)[:, 0], np.take_along_axis(F, at, 1)[:, 0]
