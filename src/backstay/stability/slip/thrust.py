"""Forces of base and sides of every slice, thrust line, and whether the ground could hold them."""

from __future__ import annotations

import numpy as np
from numba import njit

from backstay.stability.slip.arrays import (
    BASE_X,
    BASE_Y,
    COS,
    EDGE_E,
    EDGE_F,
    EDGE_S,
    EDGE_TOP,
    EDGE_X,
    EDGE_Y,
    HOLD,
    LENGTH,
    LOAD_M,
    LOAD_X,
    LOAD_Y,
    M_ALPHA,
    NORMAL,
    PASSIVE_M,
    PASSIVE_X,
    PASSIVE_Y,
    PORE,
    SHEAR,
    SIN,
    STANDING,
    TAN,
    THRUST,
)
from backstay.stability.slip.forces import water_force
from backstay.stability.slip.surface import column_of

ORDINARY = 0
BISHOP = 1
FULL = 2

TENSION = 1
OUTSIDE = 2
M_ALPHA_SMALL = 4
BASE_TENSION = 8
SIDE_SHEAR = 16

LEAST_M_ALPHA = 0.2
"""Whitman and Bailey 1967: below this, bases carry forces out of all proportion."""
TENSION_SHARE = 0.1
"""Pull between slices, over the greatest push, that is put down to cohesion near the surface."""
COUNTS = 0.1
"""Share of the greatest push below which a side's thrust and shear say nothing."""
OUTSIDE_SHARE = 0.1
"""Share of the sides that count whose thrust may lie outside the mass or shear beyond strength."""


@njit(cache=True)
def fill_forces(S, n, g, lam, kind):
    """Fill the forces of bases and sides from the solution (g = 1/F). Returns what is left of E."""
    e = 0.0
    S[EDGE_E, 0] = S[EDGE_S, 0] = 0.0
    for i in range(n):
        s, c, t = S[SIN, i], S[COS, i], S[TAN, i]
        a, b = c + g * t * s, s - g * t * c
        load_x, load_y = S[LOAD_X, i] + g * S[PASSIVE_X, i], S[LOAD_Y, i] + g * S[PASSIVE_Y, i]
        if kind == FULL:
            f, f_next = lam * S[EDGE_F, i], lam * S[EDGE_F, i + 1]
            S[M_ALPHA, i] = min(a + b * f, a + b * f_next)
            e_next = e * (a + b * f) + a * load_x + b * load_y + g * S[HOLD, i]
            e_next /= a + b * f_next
            dx, dy = e - e_next + load_x, f * e - f_next * e_next + load_y
            S[NORMAL, i], S[SHEAR, i] = s * dx - c * dy, -(c * dx + s * dy)
            S[EDGE_S, i + 1] = f_next * e_next
        else:
            S[M_ALPHA, i] = a if kind == BISHOP else 1.0
            if kind == BISHOP:
                S[NORMAL, i] = -(load_y + g * S[HOLD, i] * s) / a
            else:
                S[NORMAL, i] = s * load_x - c * load_y
            S[SHEAR, i] = g * (S[HOLD, i] + t * S[NORMAL, i])
            e_next = e + load_x - S[NORMAL, i] * s + S[SHEAR, i] * c
            S[EDGE_S, i + 1] = 0.0
        S[EDGE_E, i + 1] = e = e_next
    return e


@njit(cache=True)
def thrust_line(S, n, g):
    """Fill the levels of E on the sides, by the moments of each slice about its base point."""
    S[THRUST, 0] = S[THRUST, n] = np.nan
    lever, before = 0.0, 0.0  # E times its level over the base point of the slice
    for i in range(n - 1):
        x, y = S[BASE_X, i], S[BASE_Y, i]
        if i > 0:
            lever += S[EDGE_E, i] * (before - y)
        lever -= (S[EDGE_X, i] - x) * S[EDGE_S, i] - (S[EDGE_X, i + 1] - x) * S[EDGE_S, i + 1]
        lever -= S[LOAD_M, i] + g * S[PASSIVE_M, i]
        e = S[EDGE_E, i + 1]
        S[THRUST, i + 1] = y + lever / e if e != 0.0 else np.nan
        before = y


@njit(cache=True)
def side_strength(S, i, ground):
    """Return the greatest shear that the ground can carry on side i (kN/m)."""
    x, low = S[EDGE_X, i], S[EDGE_Y, i]
    j = column_of(x, ground)
    share = (x - ground.x[j]) / (ground.x[j + 1] - ground.x[j])
    layers = ground.gamma.shape[0]
    cohesion, friction, height = 0.0, 0.0, 0.0
    for k in range(layers):
        top = ground.tops[j, k, 0] + (ground.tops[j, k, 1] - ground.tops[j, k, 0]) * share
        below = low
        if k + 1 < layers:
            next_top = ground.tops[j, k + 1, 0]
            below = max(low, next_top + (ground.tops[j, k + 1, 1] - next_top) * share)
        h = top - below
        if h > 0.0:
            height += h
            if ground.strength[k, 2] > 0.0:
                middle = ground.strength[k, 4] - 0.5 * (top + below)
                cohesion += h * max(ground.strength[k, 2] + ground.strength[k, 3] * middle, 0.0)
            else:
                cohesion += h * ground.strength[k, 0]
                friction += h * ground.strength[k, 1]
    if height <= 0.0:
        return 0.0
    table = ground.water[j, 0] + (ground.water[j, 1] - ground.water[j, 0]) * share
    water, _ = water_force(table, low, S[EDGE_TOP, i], ground.gamma_w)
    still, _ = water_force(ground.standing, low, S[EDGE_TOP, i], ground.gamma_w)
    return cohesion + friction / height * max(S[EDGE_E, i] - water + still, 0.0)


@njit(cache=True)
def judge(S, n, ground, kind):
    """Return (flags, greatest pull over greatest push between slices)."""
    flags = 0
    if kind == ORDINARY:
        return 0, 0.0
    for i in range(n):
        if S[M_ALPHA, i] < LEAST_M_ALPHA:
            flags |= M_ALPHA_SMALL
    pulled, pressed = 0.0, 0.0
    for i in range(n):
        effective = S[NORMAL, i] - (S[PORE, i] - S[STANDING, i]) * S[LENGTH, i] * (S[TAN, i] > 0.0)
        pulled, pressed = pulled + max(-effective, 0.0), pressed + max(effective, 0.0)
    if pulled > TENSION_SHARE * pressed:
        flags |= BASE_TENSION
    if kind != FULL:
        return flags, 0.0
    push, pull = 0.0, 0.0
    for i in range(1, n):
        push, pull = max(push, S[EDGE_E, i]), max(pull, -S[EDGE_E, i])
    tension = pull / push if push > 0.0 else (1.0 if pull > 0.0 else 0.0)
    if tension > TENSION_SHARE:
        flags |= TENSION
    counted, outside, beyond = 0, 0, 0
    for i in range(1, n):
        if S[EDGE_E, i] > COUNTS * push:
            counted += 1
            if not S[EDGE_Y, i] <= S[THRUST, i] <= S[EDGE_TOP, i]:
                outside += 1
            if abs(S[EDGE_S, i]) > side_strength(S, i, ground):
                beyond += 1
    if outside > OUTSIDE_SHARE * counted:
        flags |= OUTSIDE
    if beyond > OUTSIDE_SHARE * counted:
        flags |= SIDE_SHEAR
    return flags, tension
