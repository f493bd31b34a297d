"""Forces on the mass at single places: water in cracks and on faces, anchors, piles, given forces."""

from __future__ import annotations

from backstay.compiled import compiled
from backstay.stability.slip.arrays import (
    BASE_X,
    BASE_Y,
    COS,
    EDGE_X,
    EDGE_Y,
    FAR,
    LOAD_M,
    LOAD_X,
    LOAD_Y,
    PASSIVE_M,
    PASSIVE_X,
    PASSIVE_Y,
    SIN,
)
from backstay.stability.slip.surface import NEAR, base_at, column_of, level


@compiled
def add_force(S, i, x, y, fx, fy, passive):
    """Add a force at (x, y) to slice i; passive: divided by F later."""
    moment = (x - S[BASE_X, i]) * fy - (y - S[BASE_Y, i]) * fx
    if passive > 0.0:
        S[PASSIVE_X, i] += fx
        S[PASSIVE_Y, i] += fy
        S[PASSIVE_M, i] += moment
    else:
        S[LOAD_X, i] += fx
        S[LOAD_Y, i] += fy
        S[LOAD_M, i] += moment


@compiled
def carry_below(S, i, moment):
    """Move the base point of a slice along its straight base, so far as loads of a moment about it ask.

    A block on a plane needs no side forces then, whatever pulls at its base.
    """
    s, c = S[SIN, i], S[COS, i]
    across = c * S[LOAD_Y, i] - s * S[LOAD_X, i]
    if across >= 0.0 or moment == 0.0:
        return
    room = (S[EDGE_X, i + 1] - S[EDGE_X, i]) / c
    middle = (0.5 * (S[EDGE_X, i] + S[EDGE_X, i + 1]) - S[BASE_X, i]) / c
    along = min(max(moment / across, middle - 0.5 * room), middle + 0.5 * room)
    S[BASE_X, i], S[BASE_Y, i] = S[BASE_X, i] + c * along, S[BASE_Y, i] + s * along
    S[LOAD_M, i] -= along * across
    S[PASSIVE_M, i] -= along * (c * S[PASSIVE_Y, i] - s * S[PASSIVE_X, i])


@compiled
def slice_of(S, n, x):
    """Return the slice that holds x."""
    i = 0
    while i < n - 1 and S[EDGE_X, i + 1] < x:
        i += 1
    return i


@compiled
def water_force(surface, low, high, gamma_w):
    """Return force and moment about y = 0 of water up to `surface`, on a face from low to high."""
    top = min(surface, high)
    if top <= low:
        return 0.0, 0.0
    p1, p2, h = gamma_w * (surface - low), gamma_w * (surface - top), top - low
    force = 0.5 * (p1 + p2) * h
    return force, force * low + h * h * (p1 + 2.0 * p2) / 6.0


@compiled
def _add_water(S, i, surface, low, high, sign, g):
    """Add the water up to `surface` on a vertical face, less that of the standing water."""
    f1, m1 = water_force(surface, low, high, g.gamma_w)
    f0, m0 = water_force(g.standing, low, high, g.gamma_w)
    force = sign * (f1 - f0)
    if force != 0.0 or m1 != m0:
        S[LOAD_X, i] += force
        S[LOAD_M, i] += S[BASE_Y, i] * force - sign * (m1 - m0)


@compiled
def add_faces(cx, cy, R, px, py, g, S, n, crack):
    """Add the water on vertical faces of the ground, and in the crack at the right end."""
    left, right = S[EDGE_X, 0], S[EDGE_X, n]
    for j in range(1, g.x.shape[0] - 1):
        x = g.x[j]
        if x > right + NEAR:
            break
        one, two = g.surface[j - 1, 1], g.surface[j, 0]
        if x < left - NEAR or abs(one - two) < NEAR:
            continue
        low = max(min(one, two), base_at(cx, cy, R, px, py, j, min(max(x, left), right), g))
        high = max(one, two)
        if low < high:
            i = slice_of(S, n, x + NEAR if one < two else x - NEAR)
            if one < two:
                _add_water(S, i, g.water[j - 1, 1], low, high, 1.0, g)
            else:
                _add_water(S, i, g.water[j, 0], low, high, -1.0, g)
    if crack > 0.0:
        low = S[EDGE_Y, n]
        table = level(g.water, column_of(right - NEAR, g), right, g)
        water = low + g.crack_water * crack
        if table > low + crack:  # standing water above the ground fills it
            water = table
        _add_water(S, n - 1, water, low, low + crack, -1.0, g)


@compiled
def crossing(x, y, dx, dy, cx, cy, R, px, py, g, S, n, crack):
    """Return (slice, length) at which a line from (x, y) in the mass leaves it; (-1, 0) if it does not.

    It leaves through the base, or through the crack.
    """
    left, right = S[EDGE_X, 0], S[EDGE_X, n]
    if x < left - NEAR or x > right + NEAR:
        return -1, 0.0
    j = column_of(x, g)
    over = y - base_at(cx, cy, R, px, py, j, min(max(x, left), right), g)
    if over < -NEAR:
        return -1, 0.0
    i = slice_of(S, n, x)
    if abs(dx) < 1e-9:
        return (i, over) if dy < 0.0 else (-1, 0.0)
    step = 1 if dx > 0.0 else -1
    a, over_a = x, over
    while 0 <= i < n:
        b = S[EDGE_X, i + 1] if step > 0 else S[EDGE_X, i]
        over_b = y + dy * (b - x) / dx - (S[EDGE_Y, i + 1] if step > 0 else S[EDGE_Y, i])
        if over_b < 0.0:
            low, high, over_low, over_high = a, b, over_a, over_b
            side, at = 0, a
            for _ in range(60):
                at = high - over_high * (high - low) / (over_high - over_low)
                j = column_of(at, g)
                over = y + dy * (at - x) / dx - base_at(cx, cy, R, px, py, j, at, g)
                if abs(over) < 1e-12:
                    break
                if over > 0.0:
                    low, over_low = at, over
                    over_high *= 0.5 if side == 1 else 1.0
                    side = 1
                else:
                    high, over_high = at, over
                    over_low *= 0.5 if side == 2 else 1.0
                    side = 2
            return i, (at - x) / dx
        a, over_a = b, over_b
        i += step
    if step > 0 and over_a <= crack:
        return n - 1, (right - x) / dx
    return -1, 0.0


@compiled
def anchor_force(anchor, cut):
    """Return the force that a row of anchors gives where a surface cuts it at a length from its head."""
    total, free, bond, pullout, plate = anchor[4], anchor[5], anchor[6], anchor[7], anchor[8]
    if free >= FAR:
        return min(total, plate)
    beyond = free + bond - max(cut, free)
    if beyond <= 0.0:
        return 0.0
    return min(total, plate + pullout * max(cut - free, 0.0), pullout * beyond)


@compiled
def add_single(cx, cy, R, px, py, g, S, n, crack, used):
    """Add given forces, anchors and piles; fill used with the force of each row of anchors."""
    left, right = S[EDGE_X, 0], S[EDGE_X, n]
    for k in range(g.forces.shape[0]):
        x, y, fx, fy = g.forces[k]
        if left - NEAR <= x <= right + NEAR:
            j = column_of(x, g)
            if y >= base_at(cx, cy, R, px, py, j, min(max(x, left), right), g) - NEAR:
                add_force(S, slice_of(S, n, x), x, y, fx, fy, 0.0)
    for k in range(g.anchors.shape[0]):
        anchor = g.anchors[k]
        used[k] = 0.0
        i, cut = crossing(
            anchor[0], anchor[1], anchor[2], anchor[3], cx, cy, R, px, py, g, S, n, crack
        )
        if i >= 0:
            used[k] = anchor_force(anchor, cut)
            x, y = anchor[0] + cut * anchor[2], anchor[1] + cut * anchor[3]
            at_head = anchor[10] > 0.0
            if at_head:
                x, y = anchor[0], anchor[1]
                i = slice_of(S, n, x)
            before = S[LOAD_M, i]
            add_force(S, i, x, y, used[k] * anchor[2], used[k] * anchor[3], anchor[9])
            if R <= 0.0 and not at_head:
                carry_below(S, i, S[LOAD_M, i] - before)
    for k in range(g.piles.shape[0]):
        x, top, bottom, capacity, passive = g.piles[k]
        if left <= x <= right:
            y = base_at(cx, cy, R, px, py, column_of(x, g), x, g)
            if bottom <= y <= top:
                add_force(S, slice_of(S, n, x), x, y, capacity, 0.0, passive)
