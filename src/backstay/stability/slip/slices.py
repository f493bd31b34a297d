"""Cutting the mass into slices: weights, pressures and strengths of each, compiled.

Weight, load and water's pressure on the ground are integrated over every slice (two Gauss points
between kinks of the ground); strength and pore pressure are those at the middle of its base.

Standing water is in equilibrium by itself: its pressure is taken out of pore pressures, of the weight
(buoyancy below its level) and of the load on the ground (Bishop 1955). What stands at another level is
load.
"""

from __future__ import annotations

from math import asin, pi, sin, sqrt

from backstay.compiled import compiled, compiled_inside
from backstay.stability.slip.arrays import (
    BASE_X,
    BASE_Y,
    COHESION,
    COS,
    EDGE_TOP,
    EDGE_X,
    EDGE_Y,
    HOLD,
    LAYER,
    LENGTH,
    LOAD_M,
    LOAD_X,
    LOAD_Y,
    PASSIVE_M,
    PASSIVE_X,
    PASSIVE_Y,
    PORE,
    SIN,
    STANDING,
    TAN,
    WEIGHT,
)
from backstay.stability.slip.surface import base_at, column_of

GAUSS = 0.5 / sqrt(3.0)


@compiled
def between_breaks(cx, cy, R, px, py, g, left, right, x, breaks, lengthwise, S):
    """Fill S[EDGE_Y] with the extents (m) of the base between breaks; return their sum.

    lengthwise: along the base, straight between breaks; otherwise along the level.
    """
    total, a, ya = 0.0, left, 0.0
    if lengthwise:
        ya = base_at(cx, cy, R, px, py, column_of(a, g), a, g)
    for k in range(breaks + 1):
        b = x[k] if k < breaks else right
        rise = 0.0
        if lengthwise:
            yb = base_at(cx, cy, R, px, py, column_of(b, g), b, g)
            rise, ya = yb - ya, yb
        S[EDGE_Y, k] = sqrt((b - a) * (b - a) + rise * rise)
        total, a = total + S[EDGE_Y, k], b
    return total


@compiled
def edges(S, left, right, slices, x, breaks, total):
    """Fill the sides of the slices, equally apart between breaks; return the number of slices.

    S[EDGE_Y]: extents between breaks, as of `between_breaks`; total: their sum.
    """
    n, most = 0, S.shape[1] - 1
    S[EDGE_X, 0] = a = left
    for k in range(breaks + 1):
        b = x[k] if k < breaks else right
        parts = max(1, int(slices * S[EDGE_Y, k] / total + 0.5))
        parts = min(parts, most - n - (breaks - k))
        for i in range(parts):
            S[EDGE_X, n + i + 1] = a + (b - a) * (i + 1) / parts
        n += parts
        S[EDGE_X, n] = b
        a = b
    return n


@compiled_inside
def between(ends, j, k, share):
    """Return the level of line k of lines (m, lines, 2) at a share of the width of column j."""
    return ends[j, k, 0] + (ends[j, k, 1] - ends[j, k, 0]) * share


@compiled_inside
def column_weight(j, share, top, bottom, table, tops, gamma, gamma_sat):
    """Return weight of the ground between two levels per area, and its moment about y = 0.

    At a share of the width of column j; table: level of the water; tops ... gamma_sat: as of `Ground`.
    """
    weight, moment = 0.0, 0.0
    layers = gamma.shape[0]
    for k in range(layers):
        below = bottom
        if k + 1 < layers:
            below = max(bottom, between(tops, j, k + 1, share))
        if top > below:
            wet = min(max(table, below), top)
            dry_part, wet_part = gamma[k] * (top - wet), gamma_sat[k] * (wet - below)
            weight += dry_part + wet_part
            moment += 0.5 * (dry_part * (top + wet) + wet_part * (wet + below))
            top = below
        if top <= bottom:
            break
    return weight, moment


@compiled_inside
def layer_at(j, share, y, tops, layers):
    """Return which of the first layers holds a point; on the border of two, the upper one."""
    k = 0
    while k + 1 < layers and y < between(tops, j, k + 1, share) - 1e-9:
        k += 1
    return k


@compiled
def grid_pressure(x, y, grid_x, grid_y, grid_u):
    """Return the pressure on the grid: linear between, held outside."""
    i, k = 0, 0
    while i < grid_x.shape[0] - 2 and grid_x[i + 1] < x:
        i += 1
    while k < grid_y.shape[0] - 2 and grid_y[k + 1] < y:
        k += 1
    s = min(max((x - grid_x[i]) / (grid_x[i + 1] - grid_x[i]), 0.0), 1.0)
    t = min(max((y - grid_y[k]) / (grid_y[k + 1] - grid_y[k]), 0.0), 1.0)
    low = grid_u[k, i] * (1.0 - s) + grid_u[k, i + 1] * s
    high = grid_u[k + 1, i] * (1.0 - s) + grid_u[k + 1, i + 1] * s
    return low * (1.0 - t) + high * t


@compiled_inside
def undrained_strength(k, y, s, c, strength, anisotropy):
    """Return su of layer k at level y, on a base inclined by the angle of sine s and cosine c."""
    su = strength[k, 2] + strength[k, 3] * (strength[k, 4] - y)
    active, direct, passive = anisotropy[k, 0], anisotropy[k, 1], anisotropy[k, 2]
    twice = 2.0 * s * c  # the sine of twice the inclination
    su *= direct + twice * (0.5 * (active - passive) + twice * (0.5 * (active + passive) - direct))
    return max(su, 0.0)


@compiled
def cut(cx, cy, R, px, py, g, S, n):
    """Fill the table of slices between the sides that stand in it. Returns the weight of the mass.

    Nothing that is called for each slice is handed the whole ground: that costs more than its work.
    """
    total, segment = 0.0, 0
    j = column_of(S[EDGE_X, 0], g)
    gx, surface, tops, water = g.x, g.surface, g.tops, g.water
    gamma, gamma_sat, strength, anisotropy = g.gamma, g.gamma_sat, g.strength, g.anisotropy
    ru, flow, grid_x, grid_y, grid_u = g.ru, g.flow, g.grid_x, g.grid_y, g.grid_u
    load, kh, kv, gamma_w, standing = g.load, g.kh, g.kv, g.gamma_w, g.standing
    last, rock = gx.shape[0] - 2, g.rock
    hard, soft, gridded = rock < gamma.shape[0], min(rock, gamma.shape[0]), grid_x.shape[0] > 0
    for i in range(n):
        a, b = S[EDGE_X, i], S[EDGE_X, i + 1]
        middle = 0.5 * (a + b)
        while j < last and gx[j + 1] <= a:
            j += 1
        m = j
        while m < last and gx[m + 1] <= middle:
            m += 1
        e = m
        while e < last and gx[e + 1] < b:
            e += 1
        share_a, share_b = (a - gx[j]) / (gx[j + 1] - gx[j]), (b - gx[e]) / (gx[e + 1] - gx[e])
        incline, foot, on_arc = 0.0, 0.0, R > 0.0
        if on_arc:
            ya = cy - sqrt(max(R * R - (a - cx) * (a - cx), 0.0))
            yb = cy - sqrt(max(R * R - (b - cx) * (b - cx), 0.0))
        else:
            while segment < px.shape[0] - 2 and px[segment + 1] < middle:
                segment += 1
            incline = (py[segment + 1] - py[segment]) / (px[segment + 1] - px[segment])
            foot = py[segment] - incline * px[segment]
            ya, yb = foot + incline * a, foot + incline * b
        if hard:
            ya, yb = (
                max(ya, between(tops, j, rock, share_a)),
                max(yb, between(tops, e, rock, share_b)),
            )
            if on_arc:
                arc = cy - sqrt(max(R * R - (middle - cx) * (middle - cx), 0.0))
                on_arc = arc >= between(tops, m, rock, (middle - gx[m]) / (gx[m + 1] - gx[m]))
        S[EDGE_Y, i], S[EDGE_TOP, i] = ya, surface[j, 0] + (surface[j, 1] - surface[j, 0]) * share_a
        S[EDGE_Y, i + 1] = yb
        S[EDGE_TOP, i + 1] = surface[e, 0] + (surface[e, 1] - surface[e, 0]) * share_b
        chord = sqrt((b - a) ** 2 + (yb - ya) ** 2)
        s, c = (yb - ya) / chord, (b - a) / chord
        if on_arc:
            x, y = cx + R * s, cy - R * c
            length = 2.0 * R * asin(min(0.5 * chord / R, 1.0))
        else:
            x, y, length = middle, 0.5 * (ya + yb), chord
        S[BASE_X, i], S[BASE_Y, i], S[SIN, i], S[COS, i], S[LENGTH, i] = x, y, s, c, length
        weight, fx, fy, moment, moment_y = 0.0, 0.0, 0.0, 0.0, 0.0
        start, col = a, j
        while start < b:
            end = min(b, gx[col + 1]) if col < last else b
            scale = 1.0 / (gx[col + 1] - gx[col])
            rise = surface[col, 1] - surface[col, 0]
            width = 0.5 * (end - start)
            for side in range(2):
                at = start + (end - start) * (0.5 + (2 * side - 1) * GAUSS)
                share = (at - gx[col]) * scale
                if R > 0.0:
                    bottom = cy - sqrt(max(R * R - (at - cx) * (at - cx), 0.0))
                else:
                    bottom = foot + incline * at
                if hard:
                    bottom = max(bottom, between(tops, col, rock, share))
                ground = surface[col, 0] + rise * share
                table = water[col, 0] + (water[col, 1] - water[col, 0]) * share
                w, first = column_weight(col, share, ground, bottom, table, tops, gamma, gamma_sat)
                down = w * (1.0 - kv) + load[col]
                if standing > bottom:
                    down -= gamma_w * (min(ground, standing) - bottom)
                if table > ground or standing > ground:
                    p = gamma_w * (max(table - ground, 0.0) - max(standing - ground, 0.0))
                    down += p
                    fx += p * rise * scale * width
                    moment -= (ground - y) * p * rise * scale * width
                weight += w * width
                fy -= down * width
                moment_y -= (at - x) * down * width
                fx -= kh * w * width
                moment += kh * (first - y * w) * width
            start = end
            col = min(col + 1, last)
        moment += moment_y
        S[WEIGHT, i], S[LOAD_X, i], S[LOAD_Y, i], S[LOAD_M, i] = weight, fx, fy, moment
        S[PASSIVE_X, i] = S[PASSIVE_Y, i] = S[PASSIVE_M, i] = 0.0
        if not on_arc and fy < 0.0:
            # straight bases carry their load below it, so that a block on a plane needs no side forces
            off = min(max(moment_y / fy, -0.5 * (b - a)), 0.5 * (b - a))
            S[BASE_X, i], S[BASE_Y, i] = x + off, y + off * (yb - ya) / (b - a)
            S[LOAD_M, i] = moment - off * fy + off * (yb - ya) / (b - a) * fx
        total += weight
        share = (x - gx[m]) / (gx[m + 1] - gx[m])
        k = layer_at(m, share, y, tops, soft)
        u = 0.0
        if ru[k] > 0.0:
            u = ru[k] * weight / (b - a)
        elif gridded:
            u = grid_pressure(x, y, grid_x, grid_y, grid_u)
        else:
            u = gamma_w * flow[m] * max(water[m, 0] + (water[m, 1] - water[m, 0]) * share - y, 0.0)
        still = gamma_w * max(standing - y, 0.0)
        S[LAYER, i], S[PORE, i], S[STANDING, i] = k, u, still
        if strength[k, 2] > 0.0:
            S[COHESION, i], S[TAN, i] = undrained_strength(k, y, s, c, strength, anisotropy), 0.0
            S[HOLD, i] = S[COHESION, i] * length
        else:
            S[COHESION, i], S[TAN, i] = strength[k, 0], strength[k, 1]
            S[HOLD, i] = (strength[k, 0] - (u - still) * strength[k, 1]) * length
    return total


CONSTANT = 0
HALF_SINE = 1
TABLE = 2


@compiled
def side_force(kind, table, t):
    """Return the side-force function at the share t of the width, from left to right."""
    if kind == CONSTANT:
        return 1.0
    if kind == HALF_SINE:
        return sin(pi * t) if 0.0 < t < 1.0 else 0.0
    i = 0
    while i < table.shape[0] - 2 and table[i + 1, 0] < t:
        i += 1
    width = table[i + 1, 0] - table[i, 0]
    share = (t - table[i, 0]) / width if width > 0.0 else 0.0
    return table[i, 1] + (table[i + 1, 1] - table[i, 1]) * share
