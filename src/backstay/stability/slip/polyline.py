"""Polylines of a search: laid through the ground from a few numbers, and which of them can move, compiled.

All of this is in the frame of the search, which slides to the left.
"""

from __future__ import annotations

from math import atan2, hypot, inf

from backstay.compiled import compiled, compiled_entry
from backstay.stability.slip.arrays import (
    APART,
    LEVEL,
    MOST_SHIFT,
    MOVES,
    NEAR,
    NEAREST,
    OUTWARD,
    STAYS,
    STEEPEST,
    THIN,
)


@compiled
def _line(px, py, first, end, x):
    """Return the level at x of the points [first, end) of a line whose x rises; held beyond its ends."""
    if x <= px[first]:
        return py[first]
    for i in range(first + 1, end):
        if x <= px[i]:
            return py[i - 1] + (py[i] - py[i - 1]) * (x - px[i - 1]) / (px[i] - px[i - 1])
    return py[end - 1]


@compiled
def _ground(b, x):
    return _line(b.x, b.y, 0, b.x.shape[0], x)


@compiled
def _above_rock(b, x, y):
    """Return a level at x, raised to the lines of rock where it lies below them."""
    first = 0
    for i in range(b.rock_ends.shape[0]):
        y = max(y, _line(b.rock_x, b.rock_y, first, b.rock_ends[i], x))
        first = b.rock_ends[i]
    return y


@compiled
def _free(place, t, p):
    """Fill shares of the chord (m) and depths, in p, of corners that stand where their place says."""
    k = t.shape[0] - 2
    for i in range(k):
        share = min(max(place[2 + i], NEAREST), 1.0 - NEAREST)
        j = i
        while j > 0 and t[j] > share:
            t[j + 1], p[j + 1, 1] = t[j], p[j, 1]
            j -= 1
        t[j + 1], p[j + 1, 1] = share, place[2 + k + i]
    for i in range(k):
        t[i + 1] += APART * i


@compiled
def _shifted(place, shares, t, p):
    """Fill shares of the chord (m) and depths, in p, of vertices that share one shift along it."""
    shift = min(max(place[2], -MOST_SHIFT), MOST_SHIFT)
    for i in range(1, t.shape[0] - 1):
        t[i] = shares[i] + 4.0 * shift * shares[i] * (1.0 - shares[i])
        p[i, 1] = place[2 + i]


@compiled
def _pinned(t, at):
    """Move the vertex nearest to a share of the chord there; return it, or nil where others are nearer."""
    k = 1
    for i in range(2, t.shape[0] - 1):
        if abs(t[i] - at) < abs(t[k] - at):
            k = i
    if t[k - 1] + APART < at < t[k + 1] - APART:
        t[k] = at
        return k
    return 0


@compiled
def _made_convex(p):
    """Lower the levels of a polyline (m, 2) to the greatest one that bends upward only."""
    i, last = 0, p.shape[0] - 1
    while i < last:
        least, k = inf, i + 1
        for j in range(i + 1, last + 1):
            slope = (p[j, 1] - p[i, 1]) / (p[j, 0] - p[i, 0])
            if slope <= least:
                least, k = slope, j
        for j in range(i + 1, k):
            p[j, 1] = p[i, 1] + least * (p[j, 0] - p[i, 0])
        i = k


@compiled_entry
def lay(places, shares, pins, b, t, points):
    """Fill points (n, m, 2) with the convex surfaces at places (n, d).

    Places hold the positions of both ends along the ground; then, where shares (n, m) are given, one shift of
    the vertices along the chord, else the share of each inner vertex (shares of no columns); then the depth of
    each inner vertex below the chord over the height of the slope. pins (k, 2): x where a vertex stands, and the
    greatest level there. Workspace: t (m).
    """
    m = t.shape[0]
    for r in range(places.shape[0]):
        place, p = places[r], points[r]
        low_s, high_s = min(max(place[0], 0.0), b.s[-1]), min(max(place[1], 0.0), b.s[-1])
        ground, last = b.s.shape[0], m - 1
        x0, y0 = _line(b.s, b.x, 0, ground, low_s), _line(b.s, b.y, 0, ground, low_s)
        x1, y1 = _line(b.s, b.x, 0, ground, high_s), _line(b.s, b.y, 0, ground, high_s)
        t[0], t[last] = 0.0, 1.0
        if shares.shape[1] > 0:
            _shifted(place, shares[r], t, p)
        else:
            _free(place, t, p)
        p[0, 0], p[0, 1], p[last, 0], p[last, 1] = x0, y0, x1, y1
        for i in range(1, last):
            p[i, 0] = x0 + (x1 - x0) * t[i]
        for k in range(pins.shape[0]):
            at = _pinned(t, (pins[k, 0] - x0) / max(x1 - x0, 1e-9))
            if at > 0:
                p[at, 0] = x0 + (x1 - x0) * t[at]
        for i in range(1, last):
            level = y0 + (y1 - y0) * t[i] - b.height * p[i, 1]
            p[i, 1] = min(level, _ground(b, p[i, 0]))
            for k in range(pins.shape[0]):
                if abs(p[i, 0] - pins[k, 0]) <= 1e-9 * b.height:
                    p[i, 1] = min(p[i, 1], pins[k, 1])
        _made_convex(p)


@compiled
def _crossed(p, x):
    """Return the level of a polyline (m, 2) at x, which lies between its ends."""
    k = 0
    while k < p.shape[0] - 2 and p[k + 1, 0] <= x:
        k += 1
    return p[k, 1] + (p[k + 1, 1] - p[k, 1]) * (x - p[k, 0]) / (p[k + 1, 0] - p[k, 0])


@compiled
def _bends(p, b, convex, turn):
    """Return (may bend so, sharpest upward bend) of a polyline; see `weigh`."""
    last = p.shape[0] - 1
    rising, sharpest, steepest = True, 0.0, -9.0
    first = before = 0.0
    for i in range(last):
        dx = p[i + 1, 0] - p[i, 0]
        angle = atan2(p[i + 1, 1] - p[i, 1], max(dx, 1e-12))
        rising &= dx > 1e-9
        if i == 0:
            first = angle
        else:
            bend = angle - before
            sharpest = max(sharpest, bend)
            if convex:
                rising &= bend >= -1e-6
                pinned = False
                for k in range(b.beneath.shape[0]):
                    pinned |= abs(p[i, 0] - b.beneath[k, 0]) < 1e-6
                rising &= bend <= turn or pinned
            if i < last - 1:
                steepest = max(steepest, angle)
        before = angle
    rising &= before <= STEEPEST + 1e-9 and first >= -OUTWARD - 1e-9
    return rising and (convex or first <= steepest + LEVEL), sharpest


@compiled
def _within(p, b):
    """Say whether a polyline rises between ends that keep to the limits, and keeps above the deepest level."""
    last, ground = p.shape[0] - 1, b.x.shape[0] - 1
    low, high = p[0, 0], p[last, 0]
    inside = b.x[0] + NEAR < low and high < b.x[ground] - NEAR
    kept = inside and p[last, 1] > p[0, 1]
    kept &= b.out[0] <= low <= b.out[1] and b.start[0] <= high <= b.start[1]
    for i in range(last + 1):
        kept &= p[i, 1] >= b.deepest - 1e-9
    return kept


@compiled
def _covered(p, b):
    """Return (lies below the ground and what it must pass below, greatest height of the mass above rock)."""
    last, slack = p.shape[0] - 1, 1e-6 * b.height
    kept, deep = True, 0.0
    for i in range(last + 1):
        level = _ground(b, p[i, 0])
        kept &= i == 0 or i == last or level - p[i, 1] >= -slack
        deep = max(deep, level - _above_rock(b, p[i, 0], p[i, 1]))
    for i in range(1, b.x.shape[0] - 1):
        x = b.x[i]
        if p[0, 0] + 1e-9 < x < p[last, 0] - 1e-9:
            base = _crossed(p, x)
            kept &= b.y[i] >= base - slack
            deep = max(deep, b.y[i] - _above_rock(b, x, base))
    for k in range(b.beneath.shape[0]):
        x = b.beneath[k, 0]
        if p[0, 0] <= x <= p[last, 0]:
            kept &= _crossed(p, x) <= b.beneath[k, 1] + 1e-9
    return kept, deep


@compiled_entry
def weigh(points, b, convex, turn, state, found):
    """Fill state (n) of polylines (n, m, 2), and thickness (m) and sharpest upward bend (radians), found (n, 2).

    MOVES: below the ground and what surfaces pass below, within the limits, neither steeper at the start nor
    rising more toward the end than is passed, thick enough; THIN: but for that; STAYS: everything else. convex:
    whether bending downward is refused; a block follows its layer as it lies. turn (n): sharpest bends allowed,
    except under points that surfaces must pass below.
    """
    for r in range(points.shape[0]):
        p = points[r]
        last = p.shape[0] - 1
        bent, found[r, 1] = _bends(p, b, convex, turn[r])
        covered, deep = _covered(p, b)
        width, rise = abs(p[last, 0] - p[0, 0]), p[last, 1] - p[0, 1]
        found[r, 0] = deep * width / max(hypot(width, rise), 1e-12)
        state[r] = STAYS
        if bent and covered and _within(p, b):
            state[r] = THIN if found[r, 0] < b.least_depth else MOVES
