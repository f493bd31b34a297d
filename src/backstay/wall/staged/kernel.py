"""Compiled kernel of the staged analysis: one wall carried through its stages, singly or in batch.

Everything works on flat arrays in one workspace. Compiled by numba and cached on disk.
"""

from __future__ import annotations

import numpy as np

from backstay.compiled import (
    compiled,
    compiled_apart,
    compiled_owner,
)
from backstay.wall.staged.equilibrium import CONVERGED, equilibrium
from backstay.wall.staged.forces import (
    HOLDING,
    LOWER,
    UPPER,
    Supports,
    at_points,
    clamped,
    end_moments,
)
from backstay.wall.staged.ground import further_load, ground_of_stage, same_ground, side_springs
from backstay.wall.staged.sums import magnitudes
from backstay.wall.staged.workspace import ROWS, parts


@compiled_owner
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
    Outputs have the stage first: w (s, n, 2: deflection and rotation), V (s, n, 2: above and below
    the node), M (s, n), pressures and their limits (s, 2 (n-1): both points of each element in turn),
    T (s, a), residual (s). Stages that are not reached stay as they are.
    """
    n = z.shape[0]
    # rows begin on a line of the cache, an odd number of lines apart: else many would share its places
    room = np.zeros((ROWS, 8 * ((n + 7) // 8 | 1)))
    own = np.zeros((2, node.shape[0]))
    return _carry(
        room, own, z, h, layer, EI, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient,
        layer_top, dig, water_r, water_c, load, seepage, undrained, stiffness, spacing, pile_width,
        arching, external, node, a_state, a_k, a_lock, a_cap, tolerance, bound,
        w_out, V_out, M_out, pr_out, pc_out, lr_out, hr_out, lc_out, hc_out, T_out, residual_out, count,
    )  # fmt: skip


@compiled
def _carry(
    room, own, z, h, layer, EI, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient,
    layer_top, dig, water_r, water_c, load, seepage, undrained, stiffness, spacing, pile_width,
    arching, external, node, a_state, a_k, a_lock, a_cap, tolerance, bound,
    w_out, V_out, M_out, pr_out, pc_out, lr_out, hr_out, lc_out, hc_out, T_out, residual_out, count,
):  # fmt: skip
    """As `run`, in a room that is nil; own (2, a): of the supports, nil too."""
    ne, n, supports, stages = h.shape[0], z.shape[0], node.shape[0], dig.shape[0]
    wall = parts(room, n)
    start, v, beam, ground, behind, front = (
        wall.start, wall.v, wall.beam, wall.ground, wall.behind, wall.front,
    )  # fmt: skip
    a_ref, at_start = own[0], own[1]
    for e in range(ne):
        beam.h[e], beam.per[e] = h[e], 1.0 / h[e]
    for s in range(stages):
        if s > 0 and same_ground(s, dig, water_r, water_c, load, seepage, undrained):
            for out in (lr_out, hr_out, lc_out, hc_out):
                _repeat(out[s - 1], out[s])
        else:
            ground_of_stage(
                s, z, h, layer, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient,
                layer_top, dig, water_r, water_c, load, seepage, undrained, spacing, pile_width,
                arching, behind, front, lr_out[s], hr_out[s], lc_out[s], hc_out[s],
            )  # fmt: skip
        side_springs(h, behind, lr_out[s], hr_out[s], ground.behind0, ground.behind1)
        side_springs(h, front, lc_out[s], hc_out[s], ground.front0, ground.front1)
        further_load(h, external[s], ground.load0, ground.load1)
        if s == 0 or stiffness[s] != stiffness[s - 1]:
            for e in range(ne):
                beam.c[e] = 2.0 * stiffness[s] * EI[e] / h[e]
        for a in range(supports):
            at_start[a] = a_lock[s, a]
            if a_state[s, a] == HOLDING:
                if s == 0 or a_state[s - 1, a] != HOLDING:
                    a_ref[a] = start.w[node[a]]
                at_start[a] += a_k[s, a] * (start.w[node[a]] - a_ref[a])
        held = Supports(node, a_state[s], a_k[s], at_start, a_cap[s], T_out[s])
        further = magnitudes(ground.load0) + magnitudes(ground.load1)
        status, residual = equilibrium(room, n, held, further, tolerance, bound, count)
        residual_out[s] = residual
        _settle_side(
            v, h, -1.0, behind, ground.behind0, ground.behind1, lr_out[s], hr_out[s], pr_out[s]
        )
        _settle_side(
            v, h, 1.0, front, ground.front0, ground.front1, lc_out[s], hc_out[s], pc_out[s]
        )
        _settle_beam(v, beam, behind, front, ground, wall.force, wall.lever)
        _moved(start, v, w_out[s])
        _statics(h, wall.force, wall.lever, wall.pull, V_out[s], M_out[s])
        if status != CONVERGED:
            return s, status
    return stages, CONVERGED


@compiled_apart
def _repeat(before, now):
    """Fill now with before."""
    for i in range(now.shape[0]):
        now[i] = before[i]


@compiled_apart
def _settle_side(v, h, sign, side, at0, at1, low, high, p):
    """Take the movement v of a stage as done by the ground on one side: its pressures remember it."""
    for e in range(h.shape[0]):
        w_0, w_1 = at_points(v.w[e], v.w[e + 1] - v.w[e], h[e] * v.t[e], h[e] * v.t[e + 1])
        wide = 0.5 * h[e] * side.width[e]
        p0 = clamped((at0.start[e] + sign * at0.k[e] * w_0) / wide, low[2 * e], high[2 * e])
        p1 = clamped((at1.start[e] + sign * at1.k[e] * w_1) / wide, low[2 * e + 1], high[2 * e + 1])
        p0, p1 = (p0 if wide > 0.0 else 0.0), (p1 if wide > 0.0 else 0.0)
        side.ref0[e] = p[2 * e] = p0
        side.ref1[e] = p[2 * e + 1] = p1


@compiled_apart
def _settle_beam(v, beam, behind, front, ground, force, lever):
    """Take the movement v of a stage as done by the beam, and sum the load on each element.

    force, lever: that load, and its moment about the lower node.
    """
    for e in range(beam.h.shape[0]):
        h = beam.h[e]
        r, c = 0.5 * h * behind.width[e], 0.5 * h * front.width[e]
        f0 = behind.ref0[e] * r - front.ref0[e] * c + ground.load0[e]
        f1 = behind.ref1[e] * r - front.ref1[e] * c + ground.load1[e]
        force[e], lever[e] = f0 + f1, h * (LOWER * f0 + UPPER * f1)
        beam.m0[e], beam.m1[e] = end_moments(
            beam.c[e], beam.per[e], beam.m0[e], beam.m1[e], v.w[e + 1] - v.w[e], v.t[e], v.t[e + 1]
        )


@compiled
def _moved(start, v, w):
    """Add the movement v of a stage to what was before, and write the sum to w (n, 2)."""
    for i in range(v.w.shape[0]):
        start.w[i] += v.w[i]
        start.t[i] += v.t[i]
        w[i, 0], w[i, 1] = start.w[i], start.t[i]


@compiled
def _statics(h, force, lever, pull, V, M):
    """Fill shear and moment at the nodes from the loads above, by equilibrium alone.

    pull (n): of the supports. Moment is positive where it sags toward the cut between supports. At the
    toe both vanish, but for the residual: that is the check of force and moment balance.
    """
    shear = 0.0
    moment = 0.0
    for i in range(h.shape[0]):
        V[i, 0] = shear
        shear -= pull[i]
        V[i, 1], M[i] = shear, moment
        moment -= shear * h[i] + lever[i]
        shear += force[i]
    toe = h.shape[0]
    V[toe, 0], V[toe, 1], M[toe] = shear, shear - pull[toe], moment


@compiled_owner
def run_batch(
    z, h, layer, EI, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient, layer_top,
    dig, water_r, water_c, load, seepage, undrained, stiffness, spacing, pile_width, arching, external,
    node, a_state, a_k, a_lock, a_cap, tolerance, bound,
    status, done, moment_high, moment_low, shear, deflection, T_out, toe_use,
):  # fmt: skip
    """Carry r realisations through the stages, one after the other.

    Inputs as of `run`; those of strength, weight and stiffness of the ground (r, m), water, load,
    seepage and stiffness (r, s), a_k and a_lock (r, s, a) have the realisation first. Outputs: status,
    done (r); moment_high, moment_low, shear, deflection, toe_use (r, s); T_out (r, s, a).
    """
    stages, ne, n, total = dig.shape[0], h.shape[0], z.shape[0], Ka.shape[0]
    w = np.empty((stages, n, 2))
    V, M = np.empty((stages, n, 2)), np.empty((stages, n))
    pr, pc = np.empty((stages, 2 * ne)), np.empty((stages, 2 * ne))
    lr, hr = np.empty((stages, 2 * ne)), np.empty((stages, 2 * ne))
    lc, hc = np.empty((stages, 2 * ne)), np.empty((stages, 2 * ne))
    residual, count = np.empty(stages), np.zeros(2, np.int64)
    T = np.zeros((stages, node.shape[0]))
    for r in range(total):
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
                high, low = max(high, M[s, i]), min(low, M[s, i])
                most = max(most, abs(V[s, i, 0]), abs(V[s, i, 1]))
                far = max(far, abs(w[s, i, 0]))
            moment_high[r, s], moment_low[r, s] = high, low
            shear[r, s], deflection[r, s] = most, far
            toe_use[r, s] = passive_share(z, h, dig[s], pc[s], hc[s])
            for a in range(node.shape[0]):
                T_out[r, s, a] = T[s, a]


@compiled_owner
def passive_share(z, h, dig, p_c, high_c):
    """Return the share of the passive resistance in front of the toe that is called upon."""
    called, there = 0.0, 0.0
    for e in range(h.shape[0]):
        if z[e] >= dig - 1e-9:
            called += (p_c[2 * e] + p_c[2 * e + 1]) * h[e]
            there += (high_c[2 * e] + high_c[2 * e + 1]) * h[e]
    return called / there if there > 0.0 else 0.0
