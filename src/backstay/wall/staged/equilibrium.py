"""The equilibrium of one stage: Newton's method with a line search on the energy, compiled.

The net load on the wall is monotone in its deflection, so that equilibrium is the minimum of a convex
function: Newton's method with a line search finds it wherever there is one. Where there is none the
deflection grows without bound, and the stage is reported as a mechanism.
"""

from __future__ import annotations

from backstay.compiled import compiled, compiled_apart, compiled_sum
from backstay.wall.staged.banded import solve_banded
from backstay.wall.staged.forces import forces, stiffness
from backstay.wall.staged.sums import larger, largest, work
from backstay.wall.staged.workspace import parts

CONVERGED = 0
MECHANISM = 1
NOT_CONVERGED = 2
MOST_ITERATIONS = 300
"""Few stages need more than ten; those at the very edge of standing may need many."""
PATIENCE, RHYTHM = 15, 5
"""Iterations after which, every so many, the way of the last ones is followed farther."""
ROUNDING = 4 * 2.2e-16
"""Last digits that the forces of a fine, stiff mesh lose, over stiffness times deflection."""
LEAST_ACCURATE = 1e-6
"""Residual above which rounding is no excuse."""
OVERSHOOT = 100.0
"""Bounds of deflection that an iteration may pass through and still come back from."""
LEAP = 0.05
"""Share of the bound beyond which a step must not pass the lowest point of energy along its way."""
CLOSING = 10.0
"""Tolerances within which force and moment of the whole wall close: rounding cancels in these."""


@compiled
def equilibrium(room, n, supports, load, tolerance, bound, count):
    """Find the movement v of one stage, starting from nil. Returns (status, residual).

    load: sum of the absolute forces that do not depend on v, of the loads other than the ground.
    residual: greatest unbalanced force over the sum of all forces, brought below `tolerance`, or to
    what rounding leaves of it where stiff elements are short; the forces and moments of the whole
    wall close within `CLOSING` tolerances in any case. bound: deflection beyond which the wall is
    held to have no equilibrium (m); count[0] rises with each banded solution, count[1] with each
    assembly.
    """
    wall = parts(room, n)
    v, d, mark, R = wall.v, wall.d, wall.mark, wall.R
    stiffest = _stiffest(wall.beam)
    fill(v, 0.0)
    fill(d, 0.0)
    fill(mark, 0.0)
    most = move(v, 0.0, d, wall.start)
    soft = 0.0
    size, greatest, _ = _unbalanced(0.0, room, n, supports, load, soft, count)
    residual = greatest / size if size > 0.0 else 0.0
    for iteration in range(MOST_ITERATIONS):
        rounding = min(ROUNDING * stiffest * most, LEAST_ACCURATE * size)
        settled = residual <= tolerance or residual * size <= rounding
        if settled and _closing(R, wall.beam.h) <= CLOSING * tolerance * size:
            return (CONVERGED if most <= bound else MECHANISM), residual
        onward = False
        if iteration % RHYTHM == 0:
            if iteration >= PATIENCE:  # a narrow valley: go on in the direction of the last steps
                difference(v, mark, d)
                onward = work(d, R) < 0.0
            copy(v, mark)
        singular = False
        if not onward:
            count[0] += 1
            singular = _step(room, n, supports, soft) >= 0
        reach = 0.0 if singular else largest(d.w)
        if singular or (soft == 0.0 and not onward and not reach <= OVERSHOOT * bound):
            # nothing elastic is left to hold the wall here: lend plastic points a little stiffness
            soft = 1e-5 if soft == 0.0 else soft * 10.0
            if soft > 1.0:
                return (NOT_CONVERGED if most <= bound else MECHANISM), residual
            fill(d, 0.0)
            size, _, _ = _unbalanced(0.0, room, n, supports, load, soft, count)
            continue
        slope0 = work(d, R)
        low, high, slope_low = 0.0, 1.0, slope0
        part = high
        size, greatest, slope = _unbalanced(part, room, n, supports, load, soft, count)
        while (soft > 0.0 or onward) and slope < 0.5 * slope0 and high * reach <= OVERSHOOT * bound:
            # as steep as at the start: lent stiffness alone (or the last steps) made this one short
            low, high, slope_low = high, 4.0 * high, slope
            part = high
            size, greatest, slope = _unbalanced(part, room, n, supports, load, soft, count)
        # slopes grow along the way; past the lowest point they may stay small for very long
        steepest = (0.5 if high * reach <= LEAP * bound else 1e-3) * abs(slope0)
        if slope > steepest:
            slope_high = slope
            for _ in range(10):
                part = low - slope_low * (high - low) / (slope_high - slope_low)
                part = min(max(part, low + 0.1 * (high - low)), high - 0.1 * (high - low))
                size, greatest, slope = _unbalanced(part, room, n, supports, load, soft, count)
                if -0.5 * abs(slope0) <= slope <= steepest:
                    break
                if slope > 0.0:
                    high, slope_high = part, slope
                else:
                    low, slope_low = part, slope
        most = move(v, part, d, wall.start)
        residual = greatest / size if size > 0.0 else 0.0
        if most > OVERSHOOT * bound:
            return MECHANISM, residual
    return (NOT_CONVERGED if most <= bound else MECHANISM), residual


@compiled
def _unbalanced(part, room, n, supports, load, soft, count):
    """Fill R at the movement v + part d.

    Returns the sum of all forces, the greatest force in R, and the slope of the energy along d.
    """
    count[1] += 1
    wall = parts(room, n)
    size, greatest, slope = forces(
        wall.v, part, wall.d, wall.beam, wall.ground, supports, wall.pull, soft, wall.R, wall.below,
        wall.stiff0, wall.stiff1,
    )  # fmt: skip
    return size + load, greatest, slope


@compiled
def _step(room, n, supports, soft):
    """Fill d with Newton's step from v, at which forces were worked out last."""
    wall = parts(room, n)
    stiffness(wall.v, wall.beam, supports, soft, wall.stiff0, wall.stiff1, wall.below, wall.band)
    return solve_banded(wall.band, wall.R.w, wall.R.t, wall.d.w, wall.d.t)


@compiled
def _closing(R, h):
    """Return what is left of the sum of forces, or of moments over the length, for the whole wall."""
    force, moment, length = R.w[0], R.t[0], 0.0
    for e in range(h.shape[0]):
        moment += R.t[e + 1] - force * h[e]
        force += R.w[e + 1]
        length += h[e]
    return max(abs(force), abs(moment) / length)


@compiled
def _stiffest(beam):
    """Return the greatest stiffness of the beam against the deflection of one node."""
    most, above = 0.0, 0.0
    for e in range(beam.h.shape[0]):
        push = 6.0 * beam.c[e] * beam.per[e] * beam.per[e]
        most = max(most, above + push)
        above = push
    return max(most, above)


@compiled
def fill(a, value):
    """Fill deflections and rotations with one number."""
    for i in range(a.w.shape[0]):
        a.w[i] = value
        a.t[i] = value


@compiled_apart
def difference(a, b, out):
    """Fill out with a - b."""
    for i in range(a.w.shape[0]):
        out.w[i] = a.w[i] - b.w[i]
        out.t[i] = a.t[i] - b.t[i]


@compiled_apart
def copy(a, out):
    """Fill out with a."""
    for i in range(a.w.shape[0]):
        out.w[i] = a.w[i]
        out.t[i] = a.t[i]


@compiled_sum
def move(v, part, d, start):
    """Add part d to v. Returns the greatest deflection since before the first stage."""
    most = 0.0
    for i in range(v.w.shape[0]):
        v.w[i] += part * d.w[i]
        v.t[i] += part * d.t[i]
        most = larger(most, abs(start.w[i] + v.w[i]))
    return most
