"""Where an anchor leaves the mass above a slip surface, and what it lacks beyond."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

from backstay.stability.slip.model import AnchorForce, Floats


def missing(anchor: AnchorForce, points: Floats) -> float:
    """Return how much longer (m) a row has to be to give all it can on a surface."""
    s = crossing(anchor, points)
    if s is None:
        return 0.0
    ends = anchor.free + anchor.bond - max(s, anchor.free)
    wanted = min(anchor.bond, anchor.total / anchor.pullout)
    return max(0.0, wanted - ends)


def crossing(anchor: AnchorForce, points: Floats) -> float | None:
    """Return the length from the head at which an anchor leaves the mass above a surface, or None."""
    last: float | None = None
    for (x1, y1), (x2, y2) in pairwise(points):
        dx, dy = x2 - x1, y2 - y1
        determinant = anchor.dy * dx - anchor.dx * dy
        if abs(determinant) < 1e-12 * hypot(dx, dy):
            continue
        s = ((y1 - anchor.y) * dx - (x1 - anchor.x) * dy) / determinant
        t = (anchor.dx * (y1 - anchor.y) - anchor.dy * (x1 - anchor.x)) / determinant
        if s >= 0.0 and -1e-9 <= t <= 1.0 + 1e-9:
            last = max(s, last or 0.0)
    return last
