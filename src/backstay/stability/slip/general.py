"""General convex polylines: their ends, where their vertices stand, and how deep.

A place (d) holds the positions of both ends along the ground, a shift of the vertices along the
chord, and the depth of each vertex below the chord over the height of the slope. Where vertices stand
without a shift is given beside it, so that a surface keeps the sharp corners that it started from.
"""

from __future__ import annotations

from functools import cache
from math import radians

import numpy as np
from numpy.typing import NDArray

from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Floats

VERTICES = 10
"""Inner vertices."""
EVEN = np.linspace(0.0, 1.0, VERTICES + 2)
"""Shares of the chord at which vertices stand that are spread evenly."""
CORNER = radians(10.0)
"""Bend from which a corner of a start gets a vertex of its own."""
MOST_SHIFT = 0.2
"""Greatest shift of the vertices in the middle, as a share of the chord."""


def general_points(seen: Frame, places: Floats, shares: Floats) -> Floats:
    """Return the surfaces (n, m, 2) at places (n, d) with vertices at shares (n, m) of the chord.

    The nearest vertex stands under each point that surfaces must pass below.
    """
    low, high = seen.ground.at(places[:, 0]), seen.ground.at(places[:, 1])
    shift = np.clip(places[:, 2:3], -MOST_SHIFT, MOST_SHIFT)
    t = shares + 4.0 * shift * shares * (1.0 - shares)
    limit = np.full(t.shape, np.inf)
    every = np.arange(len(places))
    for x, y in seen.options.beneath:
        at = (seen.sign * x - low[:, 0]) / np.maximum(high[:, 0] - low[:, 0], 1e-9)
        nearest = np.clip(abs(t - at[:, None]).argmin(axis=1), 1, VERTICES)
        inside = (at > t[every, nearest - 1] + 1e-6) & (at < t[every, nearest + 1] - 1e-6)
        t[every, nearest] = np.where(inside, at, t[every, nearest])
        limit[every, nearest] = np.where(inside, y, limit[every, nearest])
    points = low[:, None, :] + (high - low)[:, None, :] * t[:, :, None]
    points[:, 1:-1, 1] -= seen.ground.height * places[:, 3:]
    points[:, 1:-1, 1] = np.minimum(points[:, 1:-1, 1], seen.ground.y(points[:, 1:-1, 0]))
    points[..., 1] = convex_below(t, np.minimum(points[..., 1], limit))
    return points


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


def sharpest(points: Floats) -> Floats:
    """Return the sharpest upward bend (n) of surfaces (n, m, 2)."""
    step = np.diff(points, axis=1)
    bend = np.diff(np.arctan2(step[..., 1], step[..., 0]), axis=1)
    found: Floats = bend.max(axis=1, initial=0.0)
    return found


def convex_below(t: Floats, y: Floats) -> Floats:
    """Return the greatest convex polylines not above y (n, m) at t (n, m): they bend upward only."""
    i, j, k, first = _between(y.shape[1])
    share = (t[:, j] - t[:, i]) / (t[:, k] - t[:, i])
    chords = y[:, i] + (y[:, k] - y[:, i]) * share
    found = y.copy()
    np.minimum(found[:, 1:-1], np.minimum.reduceat(chords, first, axis=1), out=found[:, 1:-1])
    return found


@cache
def _between(m: int) -> tuple[NDArray[np.intp], ...]:
    """Return all i < j < k below m, in order of j, and where each j begins."""
    of_m = [(i, j, k) for j in range(1, m - 1) for i in range(j) for k in range(j + 1, m)]
    i, j, k = np.array(of_m, dtype=np.intp).T
    return i, j, k, np.flatnonzero(np.diff(j, prepend=0))
