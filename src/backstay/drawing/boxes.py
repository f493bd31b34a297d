"""Geometry of text boxes and strokes, and whether they meet."""

from __future__ import annotations

from collections.abc import Sequence

from backstay.drawing.marks import Point, Quad

Segment = tuple[Point, Point]
Box = tuple[float, float, float, float]
"""x1, y1, x2, y2 with x1 < x2 and y1 < y2."""


def bounds(points: Sequence[Point]) -> Box:
    """Return the upright box around points."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys), max(xs), max(ys))


def quads_meet(a: Quad, b: Quad, gap: float = 0.0) -> bool:
    """Return whether two convex quadrilaterals overlap, or come nearer than about `gap`.

    By the separating-axis theorem: convex shapes are apart if and only if a side of one of them
    separates them.
    """
    ax1, ay1, ax2, ay2 = bounds(a)
    bx1, by1, bx2, by2 = bounds(b)
    if ax2 + gap <= bx1 or bx2 + gap <= ax1 or ay2 + gap <= by1 or by2 + gap <= ay1:
        return False
    for shape in (a, b):
        for i in range(4):
            (x1, y1), (x2, y2) = shape[i], shape[(i + 1) % 4]
            nx, ny = y2 - y1, x1 - x2
            reach = gap * (nx * nx + ny * ny) ** 0.5
            pa = [nx * x + ny * y for x, y in a]
            pb = [nx * x + ny * y for x, y in b]
            if max(pa) + reach <= min(pb) or max(pb) + reach <= min(pa):
                return False
    return True


def segment_meets_box(segment: Segment, box: Box) -> bool:
    """Return whether a segment passes through an upright box (Liang and Barsky's clipping)."""
    (x1, y1), (x2, y2) = segment
    low, high = 0.0, 1.0
    for start, delta, least, most in (
        (x1, x2 - x1, box[0], box[2]),
        (y1, y2 - y1, box[1], box[3]),
    ):
        if delta == 0.0:
            if start <= least or start >= most:
                return False
            continue
        t1, t2 = (least - start) / delta, (most - start) / delta
        low, high = max(low, min(t1, t2)), min(high, max(t1, t2))
        if low >= high:
            return False
    return True


def segments_meet(a: Segment, b: Segment) -> bool:
    """Return whether two segments cross (not merely touch)."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(*a, b[0]) * side(*a, b[1]) < -1e-12 and side(*b, a[0]) * side(*b, a[1]) < -1e-12


def stacked(
    wanted: Sequence[float], heights: Sequence[float], low: float, high: float
) -> list[float] | None:
    """Return centres near the wanted ones (falling), so that blocks do not overlap within low..high.

    wanted: centres, from the top down; heights: of the blocks. None if they do not fit. Blocks
    that would overlap are gathered into clusters, each centred on the mean of what its members
    want: the least-squares answer (pooling of adjacent violators).
    """
    if sum(heights) > high - low + 1e-9:
        return None
    clusters: list[tuple[float, list[int]]] = []
    for i in range(len(wanted)):
        members = [i]
        top = _cluster_top(members, wanted, heights, low, high)
        while clusters:
            upper_top, upper = clusters[-1]
            if top <= upper_top - sum(heights[j] for j in upper) + 1e-9:
                break
            clusters.pop()
            members = upper + members
            top = _cluster_top(members, wanted, heights, low, high)
        clusters.append((top, members))
    centres = [0.0] * len(wanted)
    for top, members in clusters:
        for j in members:
            centres[j] = top - heights[j] / 2
            top -= heights[j]
    return centres


def _cluster_top(
    members: Sequence[int],
    wanted: Sequence[float],
    heights: Sequence[float],
    low: float,
    high: float,
) -> float:
    used, tops = 0.0, 0.0
    for j in members:
        tops += wanted[j] + heights[j] / 2 + used
        used += heights[j]
    return max(min(tops / len(members), high), low + used)
