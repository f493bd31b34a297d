"""Compiled kernel of the staged analysis: one wall carried through its stages, singly or in batch.

The net load on the wall is monotone in its deflection, so that equilibrium is the minimum of a convex
function: Newton's method with a line search finds it wherever there is one. Where there is none the
deflection grows without bound, and the stage is reported as a mechanism.

Everything works on flat arrays; the batch runs over realisations in parallel and keeps one workspace
per realisation at work. Compiled by numba and cached on disk.
"""

from __future__ import annotations

import numpy as np
from numba import prange

from backstay.wall.staged.banded import BAND, solve_banded
from backstay.wall.staged.compiled import compiled, compiled_parallel
from backstay.wall.staged.forces import (
    GAUSS,
    HOLDING,
    add_beam,
    assemble,
    beam_band,
    shapes,
)
from backstay.wall.staged.ground import ground_of_stage, same_ground

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
BLOCK = 8
"""Realisations that share one workspace in a batch."""


@compiled
def equilibrium(
    u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r, low_c, high_c, k_r, k_c,
    external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref, a_cap, R, A, d, trial,
    tolerance, bound, count,
):  # fmt: skip
    """Find the deflections u of one stage, starting from u. Returns (status, residual).

    residual: greatest unbalanced force over the sum of all forces, brought below `tolerance`, or to
    what rounding leaves of it where stiff elements are short; the forces and moments of the whole
    wall close within `CLOSING` tolerances in any case. bound: deflection beyond which the wall is
    held to have no equilibrium (m); count[0] rises with each banded solution, count[1] with each
    assembly.
    """
    n2 = u.shape[0]
    stiffest, most = 0.0, 0.0
    for i in range(0, n2, 2):
        stiffest, most = max(stiffest, Kb[i, 0]), max(most, abs(u[i]))
    soft = 0.0
    mark = np.zeros(n2)
    size = assemble(
        u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r, low_c, high_c,
        k_r, k_c, external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref, a_cap, R, A, soft, True,
    )  # fmt: skip
    count[1] += 1
    residual = _largest(R) / size if size > 0.0 else 0.0
    for _iteration in range(MOST_ITERATIONS):
        rounding = min(ROUNDING * stiffest * most, LEAST_ACCURATE * size)
        settled = residual <= tolerance or residual * size <= rounding
        if settled and _closing(R, h) <= CLOSING * tolerance * size:
            return (CONVERGED if most <= bound else MECHANISM), residual
        onward = False
        if _iteration % RHYTHM == 0:
            if _iteration >= PATIENCE:  # a narrow valley: go on in the direction of the last steps
                slope0 = 0.0
                for i in range(n2):
                    d[i] = u[i] - mark[i]
                    slope0 += d[i] * R[i]
                onward = slope0 < 0.0
            for i in range(n2):
                mark[i] = u[i]
        singular = False
        if not onward:
            for i in range(n2):
                d[i] = -R[i]
            count[0] += 1
            singular = solve_banded(A, d) >= 0
        slope0 = 0.0
        reach = 0.0
        if not singular:
            for i in range(0, n2, 2):
                reach = max(reach, abs(d[i]))
        if singular or (soft == 0.0 and not onward and not reach <= OVERSHOOT * bound):
            # nothing elastic is left to hold the wall here: lend plastic points a little stiffness
            soft = 1e-5 if soft == 0.0 else soft * 10.0
            if soft > 1.0:
                return (NOT_CONVERGED if most <= bound else MECHANISM), residual
            size = assemble(
                u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r, low_c, high_c,
                k_r, k_c, external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref, a_cap, R, A, soft, True,
            )  # fmt: skip
            count[1] += 1
            continue
        for i in range(n2):
            slope0 += d[i] * R[i]
        low, high, slope_low = 0.0, 1.0, slope0
        size, slope = _along(
            high, d, trial, u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r,
            low_c, high_c, k_r, k_c, external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref, a_cap,
            R, A, soft, count,
        )  # fmt: skip
        while (soft > 0.0 or onward) and slope < 0.5 * slope0 and high * reach <= OVERSHOOT * bound:
            # as steep as at the start: lent stiffness alone (or the last steps) made this one short
            low, high, slope_low = high, 4.0 * high, slope
            size, slope = _along(
                high, d, trial, u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r,
                low_c, high_c, k_r, k_c, external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref,
                a_cap, R, A, soft, count,
            )  # fmt: skip
        # slopes grow along the way; past the lowest point they may stay small for very long
        steepest = (0.5 if high * reach <= LEAP * bound else 1e-3) * abs(slope0)
        if slope > steepest:
            slope_high = slope
            for _ in range(10):
                step = low - slope_low * (high - low) / (slope_high - slope_low)
                step = min(max(step, low + 0.1 * (high - low)), high - 0.1 * (high - low))
                size, slope = _along(
                    step, d, trial, u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r,
                    high_r, low_c, high_c, k_r, k_c, external, p_r, p_c, node, T, a_state, a_k, a_lock,
                    a_ref, a_cap, R, A, soft, count,
                )  # fmt: skip
                if -0.5 * abs(slope0) <= slope <= steepest:
                    break
                if slope > 0.0:
                    high, slope_high = step, slope
                else:
                    low, slope_low = step, slope
        most = 0.0
        for i in range(n2):
            u[i] = trial[i]
            if i % 2 == 0 and abs(u[i]) > most:
                most = abs(u[i])
        residual = _largest(R) / size if size > 0.0 else 0.0
        if most > OVERSHOOT * bound:
            return MECHANISM, residual
    return (NOT_CONVERGED if most <= bound else MECHANISM), residual


@compiled
def _along(
    step, d, trial, u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r, low_c, high_c,
    k_r, k_c, external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref, a_cap, R, A, soft, count,
):  # fmt: skip
    """Go `step` of the way d from u to trial. Returns the sum of forces and the slope of the energy."""
    for i in range(u.shape[0]):
        trial[i] = u[i] + step * d[i]
    size = assemble(
        trial, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r, low_c, high_c,
        k_r, k_c, external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref, a_cap, R, A, soft, True,
    )  # fmt: skip
    count[1] += 1
    slope = 0.0
    for i in range(u.shape[0]):
        slope += d[i] * R[i]
    return size, slope


@compiled
def _closing(R, h):
    """Return what is left of the sum of forces, or of moments over the length, for the whole wall."""
    force, moment, length = R[0], R[1], 0.0
    for e in range(h.shape[0]):
        moment += R[2 * e + 3] - force * h[e]
        force += R[2 * e + 2]
        length += h[e]
    return max(abs(force), abs(moment) / length)


@compiled
def _largest(R):
    most = 0.0
    for i in range(0, R.shape[0], 2):
        if abs(R[i]) > most:
            most = abs(R[i])
    return most


@compiled
def run(
    z, h, layer, EI, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient, layer_top,
    dig, water_r, water_c, load, seepage, undrained, stiffness, spacing, pile_width, arching, external,
    node, a_state, a_k, a_lock, a_cap, tolerance, bound,
    w_out, V_out, M_out, pr_out, pc_out, lr_out, hr_out, lc_out, hc_out, T_out, residual_out, count,
):  # fmt: skip
    """Carry one wall through all its stages. Returns (stages completed, status of the last).

    Shapes: n nodes, m layers, s stages, a supports. z (n); h, layer, EI (n-1; EI in kNm2 per pile or
    per metre); strengths, weights, K0, kh, kh_gradient, layer_top, arching (m); dig, water_r, water_c,
    load, seepage, stiffness (s: the last a factor on EI); undrained (s, m); external (s, n-1, 2: kN/m
    on the wall); node (a); a_state, a_k, a_lock, a_cap (s, a: horizontal, per pile or metre).
    Subgrade modulus on either side: kh + kh_gradient times the depth below the ground of that side,
    for the width pile_width; behind an open face it goes down as the width that bears goes up.
    Outputs have the stage first: w (s, n, 2: deflection and rotation), V, M (s, n, 2: above and below the
    node; M continuous), pressures and their limits (s, n-1, 2), T (s, a), residual (s).
    """
    ne, n2, supports = h.shape[0], 2 * z.shape[0], node.shape[0]
    stages = dig.shape[0]
    N = np.empty((ne, 2, 4))
    shapes(h, N)
    u, F, B = np.zeros(n2), np.zeros(n2), np.zeros(n2)
    R, d, trial = np.empty(n2), np.empty(n2), np.empty(n2)
    Kb, A = np.empty((n2, BAND)), np.empty((n2, BAND))
    total_r, total_c = np.zeros((ne, 2)), np.zeros((ne, 2))
    rest_r, rest_c = np.zeros((ne, 2)), np.zeros((ne, 2))
    ref_r, ref_c, w_ref = np.zeros((ne, 2)), np.zeros((ne, 2)), np.zeros((ne, 2))
    k_r, k_c = np.zeros((ne, 2)), np.zeros((ne, 2))
    width_r, width_c = np.empty(ne), np.empty(ne)
    a_ref, T = np.zeros(supports), np.zeros(supports)
    for s in range(stages):
        p_r, p_c = pr_out[s], pc_out[s]
        low_r, high_r, low_c, high_c = lr_out[s], hr_out[s], lc_out[s], hc_out[s]
        if s > 0 and same_ground(s, dig, water_r, water_c, load, seepage, undrained):
            low_r[:], high_r[:] = lr_out[s - 1], hr_out[s - 1]
            low_c[:], high_c[:] = lc_out[s - 1], hc_out[s - 1]
        else:
            ground_of_stage(
                s, z, h, layer, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient,
                layer_top, dig, water_r, water_c, load, seepage, undrained, spacing, pile_width,
                arching, total_r, total_c, rest_r, rest_c, ref_r, ref_c, k_r, k_c, width_r, width_c,
                low_r, high_r, low_c, high_c,
            )  # fmt: skip
        beam_band(h, EI, stiffness[s], Kb)
        B[:] = F
        add_beam(u, h, Kb, -1.0, B)
        for a in range(supports):
            if a_state[s, a] == HOLDING and (s == 0 or a_state[s - 1, a] != HOLDING):
                a_ref[a] = u[2 * node[a]]
        status, residual = equilibrium(
            u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r, low_c, high_c, k_r, k_c,
            external[s], p_r, p_c, node, T, a_state[s], a_k[s], a_lock[s], a_ref, a_cap[s],
            R, A, d, trial, tolerance, bound, count,
        )  # fmt: skip
        F[:] = B
        add_beam(u, h, Kb, 1.0, F)
        residual_out[s] = residual
        _statics(z, h, width_r, width_c, p_r, p_c, external[s], node, T, V_out[s], M_out[s])
        for i in range(z.shape[0]):
            w_out[s, i, 0], w_out[s, i, 1] = u[2 * i], u[2 * i + 1]
        for a in range(supports):
            T_out[s, a] = T[a]
        for e in range(ne):
            i = 2 * e
            for g in range(2):
                ref_r[e, g], ref_c[e, g] = p_r[e, g], p_c[e, g]
                w_ref[e, g] = (
                    N[e, g, 0] * u[i] + N[e, g, 1] * u[i + 1]
                    + N[e, g, 2] * u[i + 2] + N[e, g, 3] * u[i + 3]
                )  # fmt: skip
        if status != CONVERGED:
            return s, status
    return stages, CONVERGED


@compiled
def _statics(z, h, width_r, width_c, p_r, p_c, external, node, T, V, M):
    """Fill shear and moment at the nodes from the loads above, by equilibrium alone.

    Moment is positive where it sags toward the cut between supports. At the toe both vanish, but for
    the residual: that is the check of force and moment balance.
    """
    shear = 0.0
    moment = 0.0
    for i in range(z.shape[0]):
        V[i, 0] = shear
        for a in range(node.shape[0]):
            if node[a] == i:
                shear -= T[a]
        V[i, 1] = shear
        M[i, 0] = M[i, 1] = moment
        if i == z.shape[0] - 1:
            break
        moment -= shear * h[i]
        for g in range(2):
            x = 0.5 + (2 * g - 1) * GAUSS
            f = 0.5 * h[i] * (p_r[i, g] * width_r[i] - p_c[i, g] * width_c[i] + external[i, g])
            shear += f
            moment -= f * h[i] * (1.0 - x)


@compiled_parallel
def run_batch(
    z, h, layer, EI, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient, layer_top,
    dig, water_r, water_c, load, seepage, undrained, stiffness, spacing, pile_width, arching, external,
    node, a_state, a_k, a_lock, a_cap, tolerance, bound,
    status, done, moment_high, moment_low, shear, deflection, T_out, toe_use,
):  # fmt: skip
    """Carry r realisations through the stages, in parallel.

    Inputs as of `run`; those of strength, weight and stiffness of the ground (r, m), water, load,
    seepage and stiffness (r, s), a_k and a_lock (r, s, a) have the realisation first. Outputs: status,
    done (r); moment_high, moment_low, shear, deflection, toe_use (r, s); T_out (r, s, a).
    """
    stages, ne, n, total = dig.shape[0], h.shape[0], z.shape[0], Ka.shape[0]
    for block in prange((total + BLOCK - 1) // BLOCK):
        w = np.empty((stages, n, 2))
        V, M = np.empty((stages, n, 2)), np.empty((stages, n, 2))
        pr, pc = np.empty((stages, ne, 2)), np.empty((stages, ne, 2))
        lr, hr = np.empty((stages, ne, 2)), np.empty((stages, ne, 2))
        lc, hc = np.empty((stages, ne, 2)), np.empty((stages, ne, 2))
        residual, count = np.empty(stages), np.zeros(2, np.int64)
        T = np.zeros((stages, node.shape[0]))
        for r in range(block * BLOCK, min(total, (block + 1) * BLOCK)):
            finished, state = run(
                z, h, layer, EI, gamma[r], gamma_sat[r], Ka[r], Kp[r], c[r], su[r], su_gradient[r],
                K0[r], kh[r], kh_gradient[r], layer_top, dig, water_r[r], water_c[r], load[r],
                seepage[r], undrained, stiffness[r], spacing, pile_width, arching, external, node,
                a_state, a_k[r], a_lock[r], a_cap, tolerance, bound,
                w, V, M, pr, pc, lr, hr, lc, hc, T, residual, count,
            )  # fmt: skip
            status[r], done[r] = state, finished
            for s in range(stages):
                if s >= finished:
                    moment_high[r, s] = moment_low[r, s] = shear[r, s] = np.nan
                    deflection[r, s] = toe_use[r, s] = np.nan
                    T_out[r, s, :] = np.nan
                    continue
                high, low, most, far = 0.0, 0.0, 0.0, 0.0
                for i in range(n):
                    high, low = max(high, M[s, i, 0]), min(low, M[s, i, 0])
                    most = max(most, abs(V[s, i, 0]), abs(V[s, i, 1]))
                    far = max(far, abs(w[s, i, 0]))
                moment_high[r, s], moment_low[r, s] = high, low
                shear[r, s], deflection[r, s] = most, far
                toe_use[r, s] = passive_share(z, h, dig[s], pc[s], hc[s])
                for a in range(node.shape[0]):
                    T_out[r, s, a] = T[s, a]


@compiled
def passive_share(z, h, dig, p_c, high_c):
    """Return the share of the passive resistance in front of the toe that is called upon."""
    called, there = 0.0, 0.0
    for e in range(h.shape[0]):
        if z[e] >= dig - 1e-9:
            for g in range(2):
                called += p_c[e, g] * h[e]
                there += high_c[e, g] * h[e]
    return called / there if there > 0.0 else 0.0
