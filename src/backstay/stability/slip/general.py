"""General convex polylines: their ends, where their vertices stand, and how deep.

A place (d) holds the positions of both ends along the ground, a shift of the vertices along the
chord, and the depth of each vertex below the chord over the height of the slope. Where vertices stand
without a shift is given beside it, so that a surface keeps the sharp corners that it started from.
"""

from __future__ import annotations

from math import radians

import numpy as np

from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Floats
from backstay.stability.slip.shapes import laid

VERTICES = 10
"""Inner vertices."""
EVEN = np.linspace(0.0, 1.0, VERTICES + 2)
"""Shares of the chord at which vertices stand that are spread evenly."""
CORNER = radians(10.0)
"""Bend from which a corner of a start gets a vertex of its own."""


def general_points(seen: Frame, places: Floats, shares: Floats) -> Floats:
    """Return the surfaces (n, m, 2) at places (n, d) with vertices at shares (n, m) of the chord.

    The nearest vertex stands under each point that surfaces must pass below.
    """
    return laid(seen, places, shares, seen.bounds.beneath)


def general_place(seen: Frame, points: Floats, ends: Floats) -> tuple[Floats, Floats]:
    """Return place (d) and shares (m) of the general surface nearest to a surface (k, 2).

    ends (2): positions of its ends along the ground.
    """
    low, high = points[0], points[-1]
    shares = EVEN.copy()
    step = np.diff(points, axis=0)
    bend = np.diff(np.arctan2(step[:, 1], step[:, 0]))
    for corner in np.flatnonzero(bend > CORNER) + 1:
        at = (points[corner, 0] - low[0]) / (high[0] - low[0])
        nearest = int(np.clip(np.rint(at * (VERTICES + 1)), 1, VERTICES))
        if shares[nearest - 1] + 1e-3 < at < shares[nearest + 1] - 1e-3:
            shares[nearest] = at
    x = low[0] + (high[0] - low[0]) * shares[1:-1]
    depth = low[1] + (high[1] - low[1]) * shares[1:-1] - np.interp(x, points[:, 0], points[:, 1])
    return np.concatenate((ends, [0.0], depth / seen.ground.height)), shares


def general_spread(seen: Frame, thick: float) -> Floats:
    """Return the standard deviation (d) of first trials about a surface of a thickness, m."""
    spread = np.full(VERTICES + 3, 0.12 * thick / seen.ground.height)
    spread[:2], spread[2] = 0.15 * thick, 0.03
    return spread
