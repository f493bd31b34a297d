"""The ground on either side of the wall at one stage: stresses, limits, modulus, reference. Compiled."""

from __future__ import annotations

from backstay.wall.staged.compiled import compiled
from backstay.wall.staged.forces import GAMMA_W, GAUSS, limits, vertical_stress


@compiled
def same_ground(s, dig, water_r, water_c, load, seepage, undrained):
    """Return whether a stage leaves the ground, its water and its load as they were."""
    if dig[s] != dig[s - 1] or water_r[s] != water_r[s - 1] or water_c[s] != water_c[s - 1]:
        return False
    if load[s] != load[s - 1] or seepage[s] != seepage[s - 1]:
        return False
    for lay in range(undrained.shape[1]):  # noqa: SIM110 - compiled: a plain loop
        if undrained[s, lay] != undrained[s - 1, lay]:
            return False
    return True


@compiled
def ground_of_stage(
    s, z, h, layer, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient,
    layer_top, dig, water_r, water_c, load, seepage, undrained, spacing, pile_width,
    arching, total_r, total_c, rest_r, rest_c, ref_r, ref_c, k_r, k_c, width_r, width_c,
    low_r, high_r, low_c, high_c,
):  # fmt: skip
    """Fill stresses, pressure at rest, modulus, widths and limits of stage s, and move the references.

    Arrays as of `kernel.run`; those at Gauss points are (n-1, 2). The references (ref_r, ref_c) come in as
    the stage before left them.
    """
    vertical_stress(z, h, layer, gamma, gamma_sat, 0.0, water_r[s], load[s], total_r)
    vertical_stress(z, h, layer, gamma, gamma_sat, dig[s], water_c[s], 0.0, total_c)
    for e in range(h.shape[0]):
        lay = layer[e]
        open_face = z[e] < dig[s] - 1e-9
        width_r[e] = spacing if open_face else pile_width
        width_c[e] = 0.0 if open_face else pile_width
        multiplier = 1.0 if open_face else arching[lay]
        narrow = pile_width / width_r[e]
        for g in range(2):
            depth = z[e] + h[e] * (0.5 + (2 * g - 1) * GAUSS)
            before_r, before_c = k_r[e, g], k_c[e, g]
            k_r[e, g] = (kh[lay] + kh_gradient[lay] * depth) * narrow
            k_c[e, g] = kh[lay] + kh_gradient[lay] * max(depth - dig[s], 0.0)
            strength = 0.0
            if su[lay] > 0.0:
                strength = su[lay] + su_gradient[lay] * (depth - layer_top[lay])
            ur, uc = 0.0, 0.0
            if depth > water_r[s]:
                ur = GAMMA_W * (depth - water_r[s]) * (1.0 - seepage[s])
            if depth > water_c[s]:  # head is lost in the ground alone, not in the open cut
                in_ground = max(depth - max(dig[s], water_c[s]), 0.0)
                uc = GAMMA_W * (depth - water_c[s] + seepage[s] * in_ground)
            er, ec = max(total_r[e, g] - ur, 0.0), max(total_c[e, g] - uc, 0.0)
            # what the wall has pressed or let go, over the pressure at rest, goes with the modulus
            stays_r, stays_c = 1.0, 1.0
            if k_r[e, g] != before_r:
                stays_r = k_r[e, g] / before_r if before_r > 0.0 else 0.0
            if k_c[e, g] != before_c:
                stays_c = k_c[e, g] / before_c if before_c > 0.0 else 0.0
            at_rest_r, at_rest_c = K0[lay] * er + ur, K0[lay] * ec + uc
            ref_r[e, g] = at_rest_r + stays_r * (ref_r[e, g] - rest_r[e, g])
            ref_c[e, g] = at_rest_c + stays_c * (ref_c[e, g] - rest_c[e, g])
            rest_r[e, g], rest_c[e, g] = at_rest_r, at_rest_c
            low_r[e, g], high_r[e, g] = limits(
                total_r[e, g], ur, undrained[s, lay], Ka[lay], Kp[lay], c[lay], strength, multiplier
            )  # fmt: skip
            if open_face:
                ref_c[e, g] = low_c[e, g] = high_c[e, g] = 0.0
                if depth > water_c[s]:  # water standing in the open cut
                    ref_c[e, g] = low_c[e, g] = high_c[e, g] = uc
                    width_c[e] = spacing
                rest_c[e, g] = ref_c[e, g]
            else:
                low_c[e, g], high_c[e, g] = limits(
                    total_c[e, g], uc, undrained[s, lay], Ka[lay], Kp[lay], c[lay], strength, multiplier
                )  # fmt: skip
