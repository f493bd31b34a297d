"""Cutting a polyline at the edges of a window."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from backstay.drawing.marks import Point

Window = tuple[Point, Point]
"""Lower left and upper right corner."""


def clipped(points: Sequence[Point], window: Window) -> list[list[Point]]:
    """Return what of a polyline lies within a window, as runs in its order.

    Each segment by Liang and Barsky's clipping; a run ends on the edge where the line leaves.
    """
    runs: list[list[Point]] = []
    for a, b in pairwise(points):
        part = _segment(a, b, window)
        if part is None:
            continue
        if runs and runs[-1][-1] == part[0]:
            runs[-1].append(part[1])
        else:
            runs.append([*part])
    return runs


def _segment(a: Point, b: Point, window: Window) -> tuple[Point, Point] | None:
    (left, low), (right, high) = window
    start, end = 0.0, 1.0
    for p, q, least, most in ((a[0], b[0], left, right), (a[1], b[1], low, high)):
        d = q - p
        if d == 0.0:
            if p < least or p > most:
                return None
            continue
        t1, t2 = (least - p) / d, (most - p) / d
        start, end = max(start, min(t1, t2)), min(end, max(t1, t2))
        if start >= end:
            return None

    def at(t: float) -> Point:
        if t == 0.0:
            return a
        if t == 1.0:
            return b
        x, y = a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])
        return min(max(x, left), right), min(max(y, low), high)

    return at(start), at(end)
