"""Where a slip surface enters and leaves the ground, compiled.

A surface is a circle (its lower half: centre cx, cy and radius R) or, where R is nil, a polyline (px, py).
It runs along the rock where it would enter it.
"""

from __future__ import annotations

from math import sqrt

from backstay.compiled import compiled

CUTS = 0
MISSES = 2
OVERHANGS = 3
IN_CRACK = 4
LEAVES = 6
NEAR = 1e-6
"""Lengths below which two points are the same (m)."""


@compiled
def column_of(x, g):
    """Return the column that holds x; the first or last where x lies outside."""
    low, high = 0, g.x.shape[0] - 2
    while low < high:
        middle = (low + high + 1) // 2
        if g.x[middle] <= x:
            low = middle
        else:
            high = middle - 1
    return low


@compiled
def straight(ends, sides, j, x):
    """Return the level of a line at x, from its ends (m, 2) in column j between sides (m + 1)."""
    return ends[j, 0] + (ends[j, 1] - ends[j, 0]) * (x - sides[j]) / (sides[j + 1] - sides[j])


@compiled
def level(ends, j, x, g):
    """Return the level of a line at x, from its ends (m, 2) in column j."""
    return straight(ends, g.x, j, x)


@compiled
def rock_at(j, x, g):
    """Return the level of the rock's top at x in column j; far below where there is none."""
    if g.rock >= g.gamma.shape[0]:
        return -1e30
    top = g.tops[j, g.rock]
    return top[0] + (top[1] - top[0]) * (x - g.x[j]) / (g.x[j + 1] - g.x[j])


@compiled
def raw_base(cx, cy, R, px, py, x):
    """Return the level of the surface at x, rock or not."""
    if R > 0.0:
        return cy - sqrt(max(R * R - (x - cx) * (x - cx), 0.0))
    k = 0
    while k < px.shape[0] - 2 and px[k + 1] < x:
        k += 1
    return py[k] + (py[k + 1] - py[k]) * (x - px[k]) / (px[k + 1] - px[k])


@compiled
def base_at(cx, cy, R, px, py, j, x, g):
    """Return the level of the base at x in column j: of the surface, or of the rock above it."""
    return max(raw_base(cx, cy, R, px, py, x), rock_at(j, x, g))


@compiled
def arc_crossings(cx, cy, R, a, ya, b, yb):
    """Return where the line through (a, ya) and (b, yb) crosses the circle, left first, or (1, 0)."""
    s = (yb - ya) / (b - a)
    t = ya - cy + s * (cx - a)  # the line above the centre, at the centre's x
    q = 1.0 + s * s
    root = R * R * q - t * t
    if root <= 0.0:
        return 1.0, 0.0
    root = sqrt(root)
    return cx + (-s * t - root) / q, cx + (-s * t + root) / q


@compiled
def _above(cx, cy, R, px, py, a, ya, b, yb):
    """Return the part of [a, b] in which a straight ground lies above the surface; (1, 0) if none.

    The surface is a single arc or segment there.
    """
    da = ya - raw_base(cx, cy, R, px, py, a)
    db = yb - raw_base(cx, cy, R, px, py, b)
    if da > 0.0 and db > 0.0:
        return a, b
    if R <= 0.0:
        if da <= 0.0 and db <= 0.0:
            return 1.0, 0.0
        x = a + (b - a) * da / (da - db)
        return (x, b) if db > 0.0 else (a, x)
    x1, x2 = arc_crossings(cx, cy, R, a, ya, b, yb)
    if x1 > x2:
        return 1.0, 0.0
    if da <= 0.0 and db <= 0.0:
        lower = ya + (yb - ya) * (x1 - a) / (b - a) <= cy
        if lower and x1 > a and x2 < b:
            return x1, x2
        return 1.0, 0.0
    if db > 0.0:
        return min(max(x1, a), b), b
    return a, min(max(x2, a), b)


@compiled
def stretch(cx, cy, R, px, py, g, sink, left, right, last):
    """Return the widest stretch of [left, right] where the ground, lowered by `sink`, covers the surface.

    last: the one farthest to the right instead. (1, 0) where there is none.
    """
    best_a, best_b = 1.0, 0.0
    run_a, run_b = 1.0, 0.0
    k = 0
    for j in range(column_of(left, g), g.x.shape[0] - 1):
        if g.x[j] >= right:
            break
        a, end = max(g.x[j], left), min(g.x[j + 1], right)
        while a < end:
            b = end
            if R <= 0.0:
                while k < px.shape[0] - 2 and px[k + 1] <= a:
                    k += 1
                if px[k + 1] > a:
                    b = min(end, px[k + 1])
            ya, yb = level(g.surface, j, a, g) - sink, level(g.surface, j, b, g) - sink
            lo, hi = _above(cx, cy, R, px, py, a, ya, b, yb)
            if lo < hi:
                if run_a < run_b and lo == run_b:
                    run_b = hi
                else:
                    run_a, run_b = lo, hi
                if last or run_b - run_a > best_b - best_a:
                    best_a, best_b = run_a, run_b
            a = b
    return best_a, best_b


@compiled
def sides_of(x, g):
    """Return the level of the ground just left and just right of x."""
    j = column_of(x, g)
    if x - g.x[j] < NEAR and j > 0:
        return g.surface[j - 1, 1], level(g.surface, j, x, g)
    if g.x[j + 1] - x < NEAR and j + 2 < g.x.shape[0]:
        return level(g.surface, j, x, g), g.surface[j + 1, 0]
    y = level(g.surface, j, x, g)
    return y, y


@compiled
def find_mass(cx, cy, R, px, py, g):
    """Return (status, left, right, height of the crack at the right end) of the mass that slides."""
    first, final = g.x[0], g.x[-1]
    left, right = first, final
    if R > 0.0:
        left, right = max(left, cx - R), min(right, cx + R)
    else:
        left, right = max(left, px[0]), min(right, px[-1])
    if not left < right:
        return MISSES, 0.0, 0.0, 0.0
    a, b = stretch(cx, cy, R, px, py, g, 0.0, left, right, False)
    if b - a < NEAR:
        return MISSES, 0.0, 0.0, 0.0
    outside, _ = sides_of(a, g)
    if outside > raw_base(cx, cy, R, px, py, a) + NEAR:
        if a < first + NEAR:
            return LEAVES, a, b, 0.0
        return (OVERHANGS if R > 0.0 else MISSES), a, b, 0.0
    open_end = False
    inside, outside = sides_of(b, g)
    if min(inside, outside) > raw_base(cx, cy, R, px, py, b) + NEAR:
        if b > final - NEAR:
            return LEAVES, a, b, 0.0
        open_end = True
    if g.crack > 0.0:
        begin, end = stretch(cx, cy, R, px, py, g, g.crack, a, b, True)
        if end < begin or end - a < NEAR:
            return IN_CRACK, a, b, 0.0
        if end < b:
            b, open_end = end, True
        elif open_end and R > 0.0:
            return OVERHANGS, a, b, 0.0
    elif open_end and R > 0.0:
        return OVERHANGS, a, b, 0.0
    height = 0.0
    if open_end:
        inside, outside = sides_of(b, g)
        j = column_of(b - NEAR, g)
        height = min(inside, outside) - base_at(cx, cy, R, px, py, j, b, g)
    return CUTS, a, b, max(height, 0.0)


@compiled
def _in_order(x, n, value, left, right):
    """Put a value into x[:n], kept in order, unless it is near one of them or an end; return n."""
    if value < left + NEAR or value > right - NEAR or n >= x.shape[0]:
        return n
    i = n
    while i > 0 and x[i - 1] > value:
        i -= 1
    if (i > 0 and value - x[i - 1] < NEAR) or (i < n and x[i] - value < NEAR):
        return n
    for k in range(n, i, -1):
        x[k] = x[k - 1]
    x[i] = value
    return n + 1


@compiled
def breaks(cx, cy, R, px, py, g, left, right, at_kinks, x):
    """Fill x with the places where a slice must end, in order; return their number.

    Always: corners of a polyline, and where a surface meets the rock. at_kinks: also corners of the
    ground and wherever the base crosses the top of a layer or the water table.
    """
    n, layers = 0, g.gamma.shape[0]
    if R <= 0.0:
        for k in range(px.shape[0]):
            n = _in_order(x, n, px[k], left, right)
    if not at_kinks and g.rock >= layers:
        return n
    for j in range(column_of(left, g), g.x.shape[0] - 1):
        if g.x[j] >= right:
            break
        if at_kinks:
            n = _in_order(x, n, g.x[j], left, right)
        for k in range(1 if at_kinks else g.rock, layers + (1 if at_kinks else 0)):
            ends = g.tops[j, k] if k < layers else g.water[j]
            if ends[0] < -1e29:
                continue
            if R > 0.0:
                x1, x2 = arc_crossings(cx, cy, R, g.x[j], ends[0], g.x[j + 1], ends[1])
                for value in (x1, x2):
                    if x1 <= x2 and g.x[j] <= value <= g.x[j + 1]:
                        n = _in_order(x, n, value, left, right)
            else:
                slope = (ends[1] - ends[0]) / (g.x[j + 1] - g.x[j])
                for i in range(px.shape[0] - 1):
                    steep = (py[i + 1] - py[i]) / (px[i + 1] - px[i])
                    if abs(steep - slope) > 1e-12:
                        gap = ends[0] + slope * (px[i] - g.x[j]) - py[i]
                        value = px[i] + gap / (steep - slope)
                        within = max(g.x[j], px[i]) <= value <= min(g.x[j + 1], px[i + 1])
                        if within:
                            n = _in_order(x, n, value, left, right)
    return n
