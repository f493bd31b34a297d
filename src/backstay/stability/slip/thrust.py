"""Forces of base and sides of every slice, thrust line, and whether the ground could hold them."""

from __future__ import annotations

from math import radians, sin, sqrt

import numpy as np

from backstay.compiled import compiled, compiled_inside
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
    LOAD_M,
    LOAD_X,
    LOAD_Y,
    M_ALPHA,
    NORMAL,
    PASSIVE_M,
    PASSIVE_X,
    PASSIVE_Y,
    SHEAR,
    SIN,
    TAN,
    THRUST,
)
from backstay.stability.slip.forces import water_force
from backstay.stability.slip.slices import between

ORDINARY = 0
BISHOP = 1
FULL = 2

TENSION = 1
OUTSIDE = 2
M_ALPHA_SMALL = 4
BASE_TENSION = 8
SIDE_SHEAR = 16
REVERSED = 32

LEAST_M_ALPHA = 0.2
"""Whitman and Bailey 1967: below this, bases carry forces out of all proportion."""
SLACK = 0.02
"""Share of the greatest push, or of the strength of the base, by which slices may miss their limits."""
COUNTS = 0.1
"""Share of the greatest push below which a side's thrust and shear say nothing."""
AGAINST = 0.1
"""Share of the pushes on the sides by which their shear may act against the movement, in sum."""
SHARP = sin(radians(12.0))
"""Sine of the bend of the base beyond which the mass must shear through on the side above it."""
NO_BEND = 1e9
"""Stands for the shear above sharp bends where there are none."""
OUTSIDE_SHARE = 0.1
"""Share of the sides that count whose thrust may lie outside the mass."""
BEYOND = 0.1
"""Share of the shear on the sides that may go beyond the strength of its own side, in sum."""


@compiled
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


@compiled
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


@compiled_inside
def side_ground(S, i, j, share, tops, strength, gamma):
    """Return height of side i, and the means over it of cohesion (or su), tan phi and unit weight.

    The side stands at a share of the width of column j.
    """
    low, layers = S[EDGE_Y, i], strength.shape[0]
    cohesion, friction, weight, height = 0.0, 0.0, 0.0, 0.0
    top = between(tops, j, 0, share)
    for k in range(layers):
        below = low
        if k + 1 < layers:
            below = max(low, between(tops, j, k + 1, share))
        h = top - below
        if h > 0.0:
            height += h
            weight += h * gamma[k]
            if strength[k, 2] > 0.0:
                middle = strength[k, 4] - 0.5 * (top + below)
                cohesion += h * max(strength[k, 2] + strength[k, 3] * middle, 0.0)
            else:
                cohesion += h * strength[k, 0]
                friction += h * strength[k, 1]
            top = below
    if height > 0.0:
        cohesion, friction, weight = cohesion / height, friction / height, weight / height
    return height, cohesion, friction, weight


@compiled_inside
def pull_of(h, c, t, weight):
    """Return the greatest pull on a side and its moment about the foot (kN/m).

    Rankine's active force with cohesion, where it is negative.
    """
    root = sqrt(1.0 + t * t) - t  # the root of Rankine's coefficient
    grows, most = root * root * weight, 2.0 * c * root  # stress at a depth: grows z - most
    z = min(h, most / grows) if grows > 0.0 else h
    pull = most * z - 0.5 * grows * z * z
    return pull, most * z * (h - 0.5 * z) - grows * z * z * (0.5 * h - z / 3.0)


@compiled
def judge(S, n, g, ground, kind):
    """Return (flags, greatest pull over greatest push between slices, shear at sharp bends).

    Of ground that fails (g = 1/F above one), the sides have the strength that the base is given: the
    lesser of the two shears is cohesion and friction of the side under the effective part of E. The last
    is the least share of its strength, as mobilised, that a side above a sharp bend carries in the
    sense of the movement; without sharp bends a large number.
    """
    flags = 0
    if kind == ORDINARY:
        return 0, 0.0, NO_BEND
    negative, positive = 0.0, 0.0  # strength of the bases, c l + N' tan phi
    for i in range(n):
        if S[M_ALPHA, i] < LEAST_M_ALPHA:
            flags |= M_ALPHA_SMALL
        strength = S[HOLD, i] + S[TAN, i] * S[NORMAL, i]
        negative, positive = negative + max(-strength, 0.0), positive + max(strength, 0.0)
    if negative > SLACK * positive:
        flags |= BASE_TENSION
    if kind != FULL:
        return flags, 0.0, NO_BEND
    push, pull = 0.0, 0.0
    for i in range(1, n):
        push, pull = max(push, S[EDGE_E, i]), max(pull, -S[EDGE_E, i])
    tension = pull / push if push > 0.0 else (1.0 if pull > 0.0 else 0.0)
    gx, tops, strengths, gamma, water = (
        ground.x,
        ground.tops,
        ground.strength,
        ground.gamma,
        ground.water,
    )
    gamma_w, standing, last = ground.gamma_w, ground.standing, ground.x.shape[0] - 2
    j, counted, outside = 0, 0, 0
    beyond, sheared, pushes, lifts, bends = 0.0, 0.0, 0.0, 0.0, NO_BEND
    for i in range(1, n):
        e = S[EDGE_E, i]
        pushes, lifts = pushes + max(e, 0.0), lifts + max(-S[EDGE_S, i], 0.0)
        sharp = S[SIN, i] * S[COS, i - 1] - S[COS, i] * S[SIN, i - 1] > SHARP
        if not sharp and -SLACK * push <= e <= COUNTS * push:
            continue
        x, low = S[EDGE_X, i], S[EDGE_Y, i]
        while j < last and gx[j + 1] <= x:
            j += 1
        share = (x - gx[j]) / (gx[j + 1] - gx[j])
        h, c, t, weight = side_ground(S, i, j, share, tops, strengths, gamma)
        most, turning = pull_of(h, c, t, weight)
        if -e > SLACK * push and -e > most * max(g, 1.0):
            flags |= TENSION
        if not sharp and e <= COUNTS * push:
            continue
        table = water[j, 0] + (water[j, 1] - water[j, 0]) * share
        under, _ = water_force(table, low, low + h, gamma_w)
        still, _ = water_force(standing, low, low + h, gamma_w)
        shear = c * h + t * max(e - under + still, 0.0)
        if sharp and shear > 0.0:
            bends = min(bends, S[EDGE_S, i] / (shear * g))
        if e > COUNTS * push:
            counted += 1
            # cohesion may pull at the head: the thrust may then lie below the foot
            above = e * (S[THRUST, i] - low)
            if above < -turning * max(g, 1.0) or S[THRUST, i] > S[EDGE_TOP, i]:
                outside += 1
            beyond += max(abs(S[EDGE_S, i]) - shear * max(g, 1.0), 0.0)
            sheared += abs(S[EDGE_S, i])
    if outside > OUTSIDE_SHARE * counted:
        flags |= OUTSIDE
    if beyond > BEYOND * sheared:
        flags |= SIDE_SHEAR
    if lifts > AGAINST * pushes:
        flags |= REVERSED
    return flags, tension, bends
