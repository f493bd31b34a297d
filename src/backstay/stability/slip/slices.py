"""Cutting the mass into slices: weights, pressures and strengths of each, compiled.

Weight, load and water's pressure on the ground are integrated over every slice (two Gauss points
between kinks of the ground); strength and pore pressure are those at the middle of its base.

Standing water is in equilibrium by itself: its pressure is taken out of pore pressures, of the weight
(buoyancy below its level) and of the load on the ground (Bishop 1955). What stands at another level is
load.
"""

from __future__ import annotations

from math import asin, pi, sin, sqrt

from numba import njit

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
from backstay.stability.slip.surface import column_of, level, raw_base, rock_at, straight

GAUSS = 0.5 / sqrt(3.0)


@njit(cache=True, error_model="numpy")
def edges(S, left, right, slices, x, breaks):
    """Fill the sides of the slices, equally wide between breaks; return the number of slices."""
    n, most = 0, S.shape[1] - 1
    S[EDGE_X, 0] = a = left
    for k in range(breaks + 1):
        b = x[k] if k < breaks else right
        parts = max(1, int(slices * (b - a) / (right - left) + 0.5))
        parts = min(parts, most - n - (breaks - k))
        for i in range(parts):
            S[EDGE_X, n + i + 1] = a + (b - a) * (i + 1) / parts
        n += parts
        S[EDGE_X, n] = b
        a = b
    return n


@njit(cache=True, error_model="numpy")
def column_weight(j, share, bottom, tops, water, gamma, gamma_sat):
    """Return weight of the ground above a level per area, and its moment about y = 0.

    At a share of the width of column j; tops ... gamma_sat: as of `Ground`.
    """
    table = water[j, 0] + (water[j, 1] - water[j, 0]) * share
    top = tops[j, 0, 0] + (tops[j, 0, 1] - tops[j, 0, 0]) * share
    weight, moment = 0.0, 0.0
    layers = gamma.shape[0]
    for k in range(layers):
        below = bottom
        if k + 1 < layers:
            below = max(bottom, tops[j, k + 1, 0] + (tops[j, k + 1, 1] - tops[j, k + 1, 0]) * share)
        if top > below:
            wet = min(max(table, below), top)
            dry_part, wet_part = gamma[k] * (top - wet), gamma_sat[k] * (wet - below)
            weight += dry_part + wet_part
            moment += 0.5 * (dry_part * (top + wet) + wet_part * (wet + below))
            top = below
        if top <= bottom:
            break
    return weight, moment


@njit(cache=True, error_model="numpy")
def layer_at(j, x, y, g):
    """Return the layer that holds a point; on the border of two, the upper one."""
    share = (x - g.x[j]) / (g.x[j + 1] - g.x[j])
    k = 0
    while k + 1 < min(g.gamma.shape[0], g.rock):
        if y >= g.tops[j, k + 1, 0] + (g.tops[j, k + 1, 1] - g.tops[j, k + 1, 0]) * share - 1e-9:
            break
        k += 1
    return k


@njit(cache=True, error_model="numpy")
def grid_pressure(x, y, g):
    """Return the pressure on the grid: linear between, held outside."""
    i, k = 0, 0
    while i < g.grid_x.shape[0] - 2 and g.grid_x[i + 1] < x:
        i += 1
    while k < g.grid_y.shape[0] - 2 and g.grid_y[k + 1] < y:
        k += 1
    s = min(max((x - g.grid_x[i]) / (g.grid_x[i + 1] - g.grid_x[i]), 0.0), 1.0)
    t = min(max((y - g.grid_y[k]) / (g.grid_y[k + 1] - g.grid_y[k]), 0.0), 1.0)
    low = g.grid_u[k, i] * (1.0 - s) + g.grid_u[k, i + 1] * s
    high = g.grid_u[k + 1, i] * (1.0 - s) + g.grid_u[k + 1, i + 1] * s
    return low * (1.0 - t) + high * t


@njit(cache=True, error_model="numpy")
def undrained_strength(k, y, s, c, g):
    """Return su of layer k at level y, on a base inclined by the angle of sine s and cosine c."""
    su = g.strength[k, 2] + g.strength[k, 3] * (g.strength[k, 4] - y)
    active, direct, passive = g.anisotropy[k]
    twice = 2.0 * s * c  # the sine of twice the inclination
    su *= direct + twice * (0.5 * (active - passive) + twice * (0.5 * (active + passive) - direct))
    return max(su, 0.0)


@njit(cache=True, error_model="numpy")
def cut(cx, cy, R, px, py, g, S, n):
    """Fill the table of slices between the sides that stand in it. Returns the weight of the mass."""
    total = 0.0
    j = column_of(S[EDGE_X, 0], g)
    gx, surface, tops, water, gamma, gamma_sat = (
        g.x,
        g.surface,
        g.tops,
        g.water,
        g.gamma,
        g.gamma_sat,
    )
    load, kh, kv, gamma_w, standing = g.load, g.kh, g.kv, g.gamma_w, g.standing
    last, rock = gx.shape[0] - 2, g.rock < gamma.shape[0]
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
        ya, yb = raw_base(cx, cy, R, px, py, a), raw_base(cx, cy, R, px, py, b)
        on_arc = R > 0.0
        if rock:
            ya, yb = max(ya, rock_at(j, a, g)), max(yb, rock_at(e, b, g))
            on_arc = on_arc and raw_base(cx, cy, R, px, py, middle) >= rock_at(m, middle, g)
        S[EDGE_Y, i], S[EDGE_TOP, i] = ya, straight(surface, gx, j, a)
        S[EDGE_Y, i + 1], S[EDGE_TOP, i + 1] = yb, straight(surface, gx, e, b)
        if on_arc:
            chord = sqrt((b - a) ** 2 + (yb - ya) ** 2)
            s, c = (yb - ya) / chord, (b - a) / chord
            x, y = cx + R * s, cy - R * c
            length = 2.0 * R * asin(min(0.5 * chord / R, 1.0))
        else:
            x, y = middle, 0.5 * (ya + yb)
            length = sqrt((b - a) ** 2 + (yb - ya) ** 2)
            s, c = (yb - ya) / length, (b - a) / length
        S[BASE_X, i], S[BASE_Y, i], S[SIN, i], S[COS, i], S[LENGTH, i] = x, y, s, c, length
        weight, fx, fy, moment, moment_y = 0.0, 0.0, 0.0, 0.0, 0.0
        start, col = a, j
        while start < b:
            end = min(b, gx[col + 1]) if col < last else b
            scale = 1.0 / (gx[col + 1] - gx[col])
            left = surface[col, 0]
            slope = (surface[col, 1] - left) * scale
            width = 0.5 * (end - start)
            for side in range(2):
                at = start + (end - start) * (0.5 + (2 * side - 1) * GAUSS)
                share = (at - gx[col]) * scale
                bottom = raw_base(cx, cy, R, px, py, at)
                if rock:
                    bottom = max(bottom, rock_at(col, at, g))
                ground = left + slope * (at - gx[col])
                w, first = column_weight(col, share, bottom, tops, water, gamma, gamma_sat)
                down = w * (1.0 - kv) + load[col]
                if standing > bottom:
                    down -= gamma_w * (min(ground, standing) - bottom)
                table = water[col, 0] + (water[col, 1] - water[col, 0]) * share
                if table > ground or standing > ground:
                    p = gamma_w * (max(table - ground, 0.0) - max(standing - ground, 0.0))
                    down += p
                    fx += p * slope * width
                    moment -= (ground - y) * p * slope * width
                weight += w * width
                fy -= down * width
                moment -= (at - x) * down * width
                moment_y -= (at - x) * down * width
                fx -= kh * w * width
                moment += kh * (first - y * w) * width
            start = end
            col = min(col + 1, last)
        S[WEIGHT, i], S[LOAD_X, i], S[LOAD_Y, i], S[LOAD_M, i] = weight, fx, fy, moment
        S[PASSIVE_X, i] = S[PASSIVE_Y, i] = S[PASSIVE_M, i] = 0.0
        if not on_arc and fy < 0.0:
            # straight bases carry their load below it, so that a block on a plane needs no side forces
            off = min(max(moment_y / fy, -0.5 * (b - a)), 0.5 * (b - a))
            S[BASE_X, i], S[BASE_Y, i] = x + off, y + off * (yb - ya) / (b - a)
            S[LOAD_M, i] = moment - off * fy + off * (yb - ya) / (b - a) * fx
        total += weight
        _strength(g, S, i, m, x, y, weight / (b - a))
    return total


@njit(cache=True, error_model="numpy")
def _strength(g, S, i, j, x, y, stress):
    """Fill pore pressure and strength of one base; stress: of the ground above it (kPa)."""
    k = layer_at(j, x, y, g)
    u = 0.0
    if g.ru[k] > 0.0:
        u = g.ru[k] * stress
    elif g.grid_x.shape[0] > 0:
        u = grid_pressure(x, y, g)
    else:
        depth = level(g.water, j, x, g) - y
        if depth > 0.0:
            u = g.gamma_w * depth * g.flow[j]
    standing = g.gamma_w * max(g.standing - y, 0.0)
    length = S[LENGTH, i]
    S[LAYER, i], S[PORE, i], S[STANDING, i] = k, u, standing
    if g.strength[k, 2] > 0.0:
        S[COHESION, i], S[TAN, i] = undrained_strength(k, y, S[SIN, i], S[COS, i], g), 0.0
        S[HOLD, i] = S[COHESION, i] * length
    else:
        S[COHESION, i], S[TAN, i] = g.strength[k, 0], g.strength[k, 1]
        S[HOLD, i] = (g.strength[k, 0] - (u - standing) * g.strength[k, 1]) * length


CONSTANT = 0
HALF_SINE = 1
TABLE = 2


@njit(cache=True, error_model="numpy")
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
