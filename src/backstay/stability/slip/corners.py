"""Polylines of few corners that stand where they like, for slides that move as a few wedges.

A place (d) holds the positions of both ends along the ground, then where each corner lies as a share of
the chord, then how deep below it, over the height of the slope. Under a vertical face the nearest corner
stands at its foot, for that is where wedges in front and behind part.
"""

from __future__ import annotations

import numpy as np

from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Floats
from backstay.stability.slip.shapes import laid


def corner_points(seen: Frame, places: Floats, feet: Floats) -> Floats:
    """Return the convex surfaces (n, k + 2, 2) of k corners at places (n, 2 k + 2).

    feet (k, 2): points under vertical faces.
    """
    pins = np.column_stack((feet[:, 0], np.full(len(feet), np.inf)))
    return laid(seen, places, np.empty((len(places), 0)), pins)


def corner_place(seen: Frame, points: Floats, ends: Floats, k: int) -> Floats:
    """Return the place (d) of the surface of k corners nearest to one (m, 2): its sharpest stay.

    ends (2): positions of its ends along the ground.
    """
    while len(points) > k + 2:
        step = np.diff(points, axis=0)
        bend = np.diff(np.arctan2(step[:, 1], step[:, 0]))
        points = np.delete(points, int(bend.argmin()) + 1, axis=0)
    while len(points) < k + 2:
        step = np.diff(points, axis=0)
        longest = int(np.hypot(step[:, 0], step[:, 1]).argmax())
        middle = 0.5 * (points[longest] + points[longest + 1])
        points = np.insert(points, longest + 1, middle, axis=0)
    low, high = points[0], points[-1]
    share = (points[1:-1, 0] - low[0]) / (high[0] - low[0])
    depth = low[1] + (high[1] - low[1]) * share - points[1:-1, 1]
    return np.concatenate((ends, share, depth / seen.ground.height))


def corner_spread(seen: Frame, thick: float, k: int) -> Floats:
    """Return the standard deviation (d) of first trials about a surface of a thickness, m."""
    deep = np.full(k, 0.12 * thick / seen.ground.height)
    return np.concatenate((np.full(2, 0.15 * thick), np.full(k, 0.06), deep))
