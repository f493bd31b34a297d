"""Equilibrium of the slices: ordinary, simplified Bishop, and full force and moment, compiled.

With g = 1/F, t = tan phi, a = cos + g t sin, b = sin - g t cos of a base, and X = lambda f E on the
sides, the forces across and along the base give the sides one after the other,

    E' (a + b lambda f') = E (a + b lambda f) + a P_x + b P_y + g (c l - u l t)

and the moments of all slices about the middles of their bases, in which the base's forces vanish,

    sum M + sum E (dy - lambda f dx) = 0

over the sides, dx and dy from base to base. Once forces close, moments close about any point. Both
residuals and their derivatives come of one pass over the slices.
"""

from __future__ import annotations

from math import sqrt

from backstay.compiled import compiled
from backstay.stability.slip.arrays import (
    BASE_X,
    BASE_Y,
    COS,
    EDGE_F,
    EDGE_X,
    HOLD,
    LOAD_M,
    LOAD_X,
    LOAD_Y,
    PASSIVE_M,
    PASSIVE_X,
    PASSIVE_Y,
    SIN,
    TAN,
)

CONVERGED = 0
NOT_CONVERGED = 1
DOES_NOT_DRIVE = 5


@compiled
def sweep(S, n, g, lam):
    """Return (E, M, dE/dg, dE/dlam, dM/dg, dM/dlam, least divisor) of one pass over the slices."""
    e, eg, el = 0.0, 0.0, 0.0
    moment, mg, ml = 0.0, 0.0, 0.0
    least = 1e30
    f = S[EDGE_F, 0]
    x, y = 0.0, 0.0
    for i in range(n):
        s, c, t, hold = S[SIN, i], S[COS, i], S[TAN, i], S[HOLD, i]
        bx, by = S[BASE_X, i], S[BASE_Y, i]
        if i > 0:
            dx, dy = bx - x, by - y
            arm = dy - lam * f * dx
            moment += e * arm
            mg += eg * arm
            ml += el * arm - e * f * dx
        x, y = bx, by
        gt = g * t
        a, b = c + gt * s, s - gt * c
        ag, bg = t * s, -t * c
        qx, qy = S[PASSIVE_X, i], S[PASSIVE_Y, i]
        load_x, load_y = S[LOAD_X, i] + g * qx, S[LOAD_Y, i] + g * qy
        moment += S[LOAD_M, i] + g * S[PASSIVE_M, i]
        mg += S[PASSIVE_M, i]
        lf = lam * f
        near = a + b * lf
        f_next = S[EDGE_F, i + 1]
        ln = lam * f_next
        far = a + b * ln
        least = min(least, near, far)
        divide = 1.0 / far
        right = (e * near + a * load_x + b * load_y + g * hold) * divide
        right_g = (
            eg * near + e * (ag + bg * lf) + ag * load_x + bg * load_y + a * qx + b * qy + hold
            - right * (ag + bg * ln)
        ) * divide  # fmt: skip
        right_l = (el * near + b * (e * f - right * f_next)) * divide
        e, eg, el = right, right_g, right_l
        f = f_next
    return e, moment, eg, el, mg, ml, least


@compiled
def size_of(S, n):
    """Return the sum of the loads on the slices, against which residuals are judged."""
    size = 0.0
    for i in range(n):
        size += abs(S[LOAD_X, i]) + abs(S[LOAD_Y, i]) + abs(S[PASSIVE_X, i]) + abs(S[PASSIVE_Y, i])
    return size


@compiled
def centre_of(S, n):
    """Return a centre for the moments of a surface that is no circle: that of the nearest circle.

    Least squares; of a plane, a point far out on its normal.
    """
    mx, my = 0.0, 0.0
    for i in range(n):
        mx, my = mx + S[BASE_X, i], my + S[BASE_Y, i]
    mx, my = mx / n, my / n
    xx = xy = yy = xr = yr = 0.0
    for i in range(n):
        x, y = S[BASE_X, i] - mx, S[BASE_Y, i] - my
        r = x * x + y * y
        xx, xy, yy, xr, yr = xx + x * x, xy + x * y, yy + y * y, xr + x * r, yr + y * r
    det = xx * yy - xy * xy
    width = S[EDGE_X, n] - S[EDGE_X, 0]
    if det > 1e-9 * (xx + yy) ** 2:
        x, y = 0.5 * (xr * yy - yr * xy) / det, 0.5 * (yr * xx - xr * xy) / det
        if y > 0.0 and x * x + y * y < (1e3 * width) ** 2:
            return mx + x, my + y
    slope = xy / xx if xx > 0.0 else 0.0
    q = sqrt(1.0 + slope * slope)
    return mx - 1e3 * width * slope / q, my + 1e3 * width / q


@compiled
def by_moments(S, n, x0, y0, bishop, start, tolerance):
    """Return (status, F, passes) of ordinary slices or simplified Bishop, moments about (x0, y0).

    Ordinary: bases carry the loads across them. Bishop: vertical forces of each slice balance.
    """
    F, before, last = start, 0.0, 0.0
    for count in range(1, 200):
        g = 1.0 / F
        hold, drive, driven = 0.0, 0.0, 0.0
        for i in range(n):
            s, c, t = S[SIN, i], S[COS, i], S[TAN, i]
            rx, ry = S[BASE_X, i] - x0, S[BASE_Y, i] - y0
            load_x, load_y = S[LOAD_X, i], S[LOAD_Y, i]
            all_x, all_y = load_x + g * S[PASSIVE_X, i], load_y + g * S[PASSIVE_Y, i]
            if bishop:
                normal = -(all_y + g * S[HOLD, i] * s) / (c + g * t * s)
            else:
                normal = s * all_x - c * all_y
            hold += (S[HOLD, i] + t * normal) * (rx * s - ry * c)
            hold += S[PASSIVE_M, i] + rx * S[PASSIVE_Y, i] - ry * S[PASSIVE_X, i]
            moment = S[LOAD_M, i] + rx * load_y - ry * load_x
            drive -= moment + normal * (rx * c + ry * s)
            driven += abs(moment)
        if drive <= 1e-12 * driven:
            return DOES_NOT_DRIVE, 0.0, count
        found = hold / drive
        if not found > 0.0:
            return NOT_CONVERGED, 0.0, count
        change = found - F
        if abs(change) <= tolerance * found:
            return CONVERGED, found, count
        # two steps of a sequence that closes in evenly point to where it ends
        if count > 1 and last != change and before != F:
            slope = (change - last) / (F - before)
            jump = -change / slope if slope < 0.0 else change
            jump = min(max(jump, -0.5 * F), F)
        else:
            jump = change
        before, last = F, change
        F += jump
    return NOT_CONVERGED, 0.0, 200
