"""Safety of general surfaces by horizontal equilibrium alone: a second method for the optimiser.

Janbu's simplified method with his correction for the forces between slices (Janbu 1973, from
memory): F = f0 F0, f0 = 1 + 0.5 (d/L - 1.4 (d/L)^2) for soils with friction and cohesion, d the
greatest depth of the surface below its chord, L the length of the chord.
"""

from __future__ import annotations

from math import radians, tan
from typing import Any

import numpy as np

from backstay.stability.slip.evolution import Judged, Start, evolve
from backstay.stability.slip.general import EVEN, general_points
from backstay.stability.slip.ground_frame import frame
from backstay.stability.slip.model import Floats, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.shapes import movable

SLICES = 60


def by_forces(points: Floats, above: Floats, x: Floats, soil: tuple[float, float, float]) -> float:
    """Return F0 of one surface (m, 2); above: height of the ground over it at the middles x."""
    gamma, c, phi = soil
    b = (points[-1, 0] - points[0, 0]) / SLICES
    piece = np.clip(np.searchsorted(points[:, 0], x) - 1, 0, len(points) - 2)
    slope = (np.diff(points[:, 1]) / np.diff(points[:, 0]))[piece]
    W, t = gamma * above * b, tan(radians(phi))
    F = 1.3
    for _ in range(20):
        resisting = (c * b + W * t) * (1.0 + slope**2) / (1.0 + slope * t / F)
        F = float(resisting.sum() / (W * slope).sum())
    return F


def least_by_forces(model: SlipModel, *, soil: tuple[float, float, float]) -> float:
    """Return the corrected least safety of general surfaces of a slope of one soil."""
    seen = frame(model, SearchOptions())
    middles = (np.arange(SLICES) + 0.5) / SLICES

    def surfaces(places: Floats) -> Floats:
        return general_points(seen, places, np.tile(EVEN, (len(places), 1)))

    def objective(places: Floats) -> Floats:
        points = surfaces(places)
        usable = movable(seen, points, convex=True).usable
        F = np.full(len(places), np.inf)
        for i in np.flatnonzero(usable):
            p = points[i]
            x = p[0, 0] + (p[-1, 0] - p[0, 0]) * middles
            F[i] = by_forces(p, seen.ground.y(x) - np.interp(x, p[:, 0], p[:, 1]), x, soil)
        return F

    place = np.concatenate(([seen.ground.low, seen.ground.high + 8.0, 0.0], np.full(10, 0.25)))
    spread = np.concatenate(([1.5, 1.5, 0.02], np.full(10, 0.06)))
    start = Start(place, float(objective(place[None])[0]), spread)

    def judged(places: Floats, of: Any) -> Judged:
        return Judged.plain(objective(places))

    (found,) = evolve(judged, [start], generations=80, trials=32, seed=1, settled=2e-5)
    p = surfaces(found.place[None])[0]
    low, high = p[0], p[-1]
    L = float(np.hypot(*(high - low)))
    across = ((high[0] - low[0]) * (low[1] - p[:, 1]) + (high[1] - low[1]) * (p[:, 0] - low[0])) / L
    ratio = float(across.max()) / L
    return (1.0 + 0.5 * (ratio - 1.4 * ratio**2)) * found.value
