"""Where forces and moments of all slices close together: Newton's method, and a scan behind it, compiled.

For each inclination lambda of the side forces there is at most one g = 1/F, below the first pole, at
which forces close; along this branch the moment is a function of lambda alone. The scan follows the
branch outward from level side forces until the moment changes sign, so that a surface without a
solution costs some seventy passes and not thousands.
"""

from __future__ import annotations

from math import tan

from backstay.compiled import compiled
from backstay.stability.slip.arrays import COS, EDGE_F, EDGE_X, LOAD_X, LOAD_Y, SIN, TAN
from backstay.stability.slip.methods import (
    CONVERGED,
    DOES_NOT_DRIVE,
    NOT_CONVERGED,
    size_of,
    sweep,
)

TOLERANCE = 1e-11
"""Residuals over the sum of loads (and width) at which the equilibrium has been found."""
GOOD_ENOUGH = 1e-9
"""Residuals that rounding may leave."""
CLOSE = 1e-6
"""Residual of forces that is close enough to tell the sign of the moment."""
LEAST_G, MOST_G = 1e-3, 1e3
"""1/F beyond which a root says nothing: a mass a thousand times safer is not driven at all."""
STEPS = 14
"""Values of lambda tried either side of nil where Newton's method does not lead there."""
MOST_LAMBDA = tan(1.4)
"""Steepest side force that is tried (80 degrees)."""


@compiled
def _badness(e, moment, size, width):
    return abs(e) / size + abs(moment) / (size * width)


@compiled
def newton(S, n, g, lam, size, width, steps):
    """Return (found, g, lam, passes): both residuals nil by Newton's method, in steps that lead down."""
    e, moment, eg, el, mg, ml, least = sweep(S, n, g, lam)
    bad = _badness(e, moment, size, width)
    count = 1
    for _ in range(steps):
        if bad <= TOLERANCE:
            break
        det = eg * ml - el * mg
        if abs(el) <= 1e-9 * size and abs(ml) <= 1e-9 * size * width and eg != 0.0:
            dg, dl = -e / eg, 0.0  # sides that carry nothing may be inclined as they like
        elif det == 0.0 or not abs(det) < 1e300:
            break
        else:
            dg, dl = -(e * ml - el * moment) / det, -(eg * moment - e * mg) / det
        step = min(1.0, 0.5 * g / max(abs(dg), 1e-300), 0.5 / max(abs(dl), 1e-300))
        better = False
        for _half in range(5):
            e1, m1, eg1, el1, mg1, ml1, least1 = sweep(S, n, g + step * dg, lam + step * dl)
            count += 1
            bad1 = _badness(e1, m1, size, width)
            if least1 > 0.0 and bad1 < bad:
                better = True
                break
            step *= 0.5
        if not better:
            break
        g, lam = g + step * dg, lam + step * dl
        e, moment, eg, el, mg, ml, least, bad = e1, m1, eg1, el1, mg1, ml1, least1, bad1
    return bad <= GOOD_ENOUGH and least > 0.0 and g > LEAST_G, g, lam, count


@compiled
def first_pole(S, n, lam):
    """Return the g up to which no divisor of a slice vanishes; nil where one does at once."""
    most = MOST_G
    for i in range(n):
        s, c, t = S[SIN, i], S[COS, i], S[TAN, i]
        for side in range(2):
            lf = lam * S[EDGE_F, i + side]
            free, falls = c + s * lf, t * (c * lf - s)  # the divisor is free - g falls
            if free <= 0.0:
                return 0.0
            if falls * most > free:
                most = free / falls
    return most


@compiled
def force_root(S, n, lam, start, size, tolerance):
    """Return (found, g, dg/dlam, M, dM/dlam, passes) where forces close at one lambda."""
    end = first_pole(S, n, lam) * (1.0 - 1e-9)
    low, high, count = LEAST_G, end, 1
    below, above = False, False
    g = min(max(start, 2.0 * low), 0.9 * high)
    for _ in range(40):
        if high <= low or high - low < 1e-9 * high:
            break
        e, moment, eg, el, mg, ml, _least = sweep(S, n, g, lam)
        count += 1
        if abs(e) <= tolerance * size:
            slope = -el / eg if eg != 0.0 else 0.0
            return True, g, slope, moment, ml + mg * slope, count
        if e < 0.0:
            if g >= end:
                break  # strength does not suffice before the pole
            low, below = g, True
        else:
            if g <= LEAST_G:
                break  # loads hold each other without strength
            high, above = g, True
        trial = g - e / eg if eg > 0.0 else (2.0 * MOST_G if e < 0.0 else 0.0)
        if low < trial < high:
            g = trial
        elif trial >= high and not above:
            g = end
        elif trial <= low and not below:
            g = LEAST_G
        else:
            g = 0.5 * (low + high)
    return False, 0.0, 0.0, 0.0, 0.0, count


@compiled
def change_of_sign(S, n, sign, last, size, start):
    """Return (found, lam1, M1, lam2, M2, g, passes): the first change of sign of the moment, one way.

    last: |lambda| that is not passed. Where the moment dips between two steps, and where the branch
    ends, it is looked at more closely.
    """
    total, known = 0, False
    g, slope, m0, d0, lam0 = start, 0.0, 0.0, 0.0, 0.0
    for k in range(STEPS + 1):
        lam = sign * tan(1.4 * k / STEPS)
        guess = min(max(g + slope * (lam - lam0), 0.4 * g), 2.5 * g)
        ok, g1, slope1, m1, d1, count = force_root(S, n, lam, guess, size, CLOSE)
        total += count
        if ok and known:
            if (m1 > 0.0) != (m0 > 0.0):
                return True, lam0, m0, lam, m1, g1, total
            toward = sign if m0 > 0.0 else -sign
            if toward * d0 < 0.0 < toward * d1:
                at = lam0 + (lam - lam0) * d0 / (d0 - d1)
                found, g2, _s, m2, _d, count = force_root(S, n, at, g1, size, CLOSE)
                total += count
                if found and (m2 > 0.0) != (m0 > 0.0):
                    return True, lam0, m0, at, m2, g2, total
        if known and not ok:
            beyond = lam
            for _ in range(5 if sign * d0 * m0 < 0.0 else 0):
                at = 0.5 * (lam0 + beyond)
                guess = min(max(g + slope * (at - lam0), 0.1 * g), 2.5 * g)
                found, g2, slope2, m2, _d, count = force_root(S, n, at, guess, size, CLOSE)
                total += count
                if not found:
                    beyond = at
                    continue
                if (m2 > 0.0) != (m0 > 0.0):
                    return True, lam0, m0, at, m2, g2, total
                lam0, m0, g, slope = at, m2, g2, slope2
            break
        if abs(lam) >= last:
            break
        if ok:
            known, g, slope, m0, d0, lam0 = True, g1, slope1, m1, d1, lam
    return False, 0.0, 0.0, 0.0, 0.0, 0.0, total


@compiled
def close_in(S, n, low, low_m, high, high_m, g, size, width):
    """Return (found, g, lam, passes): the root between two lambdas whose moments differ in sign."""
    total, side = 0, 0
    for _ in range(60):
        at = high - high_m * (high - low) / (high_m - low_m)
        ok, g_at, _s, m_at, _d, count = force_root(S, n, at, g, size, 1e-9)
        total += count
        if not ok or abs(high - low) < 1e-13:
            break
        g = g_at
        if abs(m_at) <= 1e-2 * size * width:
            found, g_end, lam, count = newton(S, n, g, at, size, width, 8)
            total += count
            if found and min(low, high) - 1e-9 <= lam <= max(low, high) + 1e-9:
                return True, g_end, lam, total
        if (m_at > 0.0) == (high_m > 0.0):
            high, high_m = at, m_at
            low_m *= 0.5 if side == 1 else 1.0
            side = 1
        else:
            low, low_m = at, m_at
            high_m *= 0.5 if side == 2 else 1.0
            side = 2
    return False, 0.0, 0.0, total


@compiled
def by_scan(S, n, size, width, start):
    """Return (found, g, lam, passes): the solution with the least |lambda|."""
    right = change_of_sign(S, n, 1.0, 1e9, size, start)
    reach = max(abs(right[1]), abs(right[3])) if right[0] else 1e9
    left = change_of_sign(S, n, -1.0, reach, size, start)
    total = right[6] + left[6]
    left_first = left[0] and max(abs(left[1]), abs(left[3])) < reach
    for turn in range(2):
        one = left if left_first == (turn == 0) else right
        if one[0]:
            ok, g, lam, count = close_in(S, n, one[1], one[2], one[3], one[4], one[5], size, width)
            total += count
            if ok:
                return True, g, lam, total
    return False, 0.0, 0.0, total


@compiled
def full_equilibrium(S, n, start):
    """Return (status, F, lambda, passes) where forces and moments both close.

    start: a factor of safety to begin with. Where Newton's method stops short, or ends beyond a pole,
    lambda is scanned; what neither finds is reported as not converged.
    """
    size, width = size_of(S, n), S[EDGE_X, n] - S[EDGE_X, 0]
    found, g, lam, count = newton(S, n, 1.0 / start, 0.25, size, width, 15)
    if not found or abs(lam) > MOST_LAMBDA:
        found, g, lam, more = by_scan(S, n, size, width, 1.0 / start)
        count += more
    if found:
        return CONVERGED, 1.0 / g, lam, count
    push = 0.0
    for i in range(n):
        push += S[LOAD_X, i] + S[LOAD_Y, i] * S[SIN, i] / S[COS, i]
    return (DOES_NOT_DRIVE if push >= 0.0 else NOT_CONVERGED), 0.0, 0.0, count
