"""Forces of beam, ground and supports at given deflections, and their stiffness, compiled.

Beam: cubic (Hermite) elements; unknowns per node deflection w (toward the cut, m) and rotation.
Ground: total pressure at two Gauss points of every element, on either side,

    behind:    p = clamp(p_ref - k_r (w - w_ref), active, passive)
    in front:  p = clamp(p_ref + k_c (w - w_ref), active, passive)

The reference (w_ref, p_ref) is the state at the end of the stage before: plastic movement is
remembered, and unloading follows the subgrade modulus.
"""

from __future__ import annotations

from math import sqrt

from numba import njit

GAMMA_W = 9.81

ABSENT = 0
STRESSING = 1
HOLDING = 2

GAUSS = 0.5 / sqrt(3.0)


@njit(cache=True)
def shapes(h, N):
    """Fill N[e, g, 0..3] with the cubic shape functions at the two Gauss points of each element."""
    for e in range(h.shape[0]):
        L = h[e]
        for g in range(2):
            x = 0.5 + (2 * g - 1) * GAUSS
            N[e, g, 0] = 1.0 - 3.0 * x * x + 2.0 * x * x * x
            N[e, g, 1] = L * (x - 2.0 * x * x + x * x * x)
            N[e, g, 2] = 3.0 * x * x - 2.0 * x * x * x
            N[e, g, 3] = L * (x * x * x - x * x)


@njit(cache=True)
def beam_band(h, EI, scale, K):
    """Fill K (2n x 4) with the stiffness of the beam alone; EI per element."""
    K[:, :] = 0.0
    for e in range(h.shape[0]):
        L = h[e]
        a = scale * EI[e] / (L * L * L)
        i = 2 * e
        K[i, 0] += 12 * a
        K[i + 1, 1] += 6 * a * L
        K[i + 1, 0] += 4 * a * L * L
        K[i + 2, 2] += -12 * a
        K[i + 2, 1] += -6 * a * L
        K[i + 2, 0] += 12 * a
        K[i + 3, 3] += 6 * a * L
        K[i + 3, 2] += 2 * a * L * L
        K[i + 3, 1] += -6 * a * L
        K[i + 3, 0] += 4 * a * L * L


@njit(cache=True)
def add_beam(u, h, Kb, sign, out):
    """Add `sign` times the forces that bend the beam into the shape u; Kb from `beam_band`.

    Worked from the rotations of each element out of its chord: in a fine mesh the products of band
    and deflections would cancel to less than the load's last digits.
    """
    for e in range(h.shape[0]):
        i = 2 * e
        L = h[e]
        c = -sign * Kb[i + 2, 2] * L * L / 6.0  # 2 EI / L
        chord = (u[i + 2] - u[i]) / L
        t0, t1 = u[i + 1] - chord, u[i + 3] - chord
        m0, m1 = c * (2.0 * t0 + t1), c * (t0 + 2.0 * t1)
        shear = (m0 + m1) / L
        out[i] += shear
        out[i + 1] += m0
        out[i + 2] -= shear
        out[i + 3] += m1


@njit(cache=True)
def vertical_stress(z, h, layer, gamma, gamma_sat, start, water, load, out):
    """Fill out[e, g] with the total vertical stress below a surface at depth `start` (kPa).

    Water above the surface counts as load. Elements above the surface get nil.
    """
    stress = load
    if water < start:
        stress += GAMMA_W * (start - water)
    for e in range(h.shape[0]):
        top = z[e]
        lay = layer[e]
        if top < start - 1e-9:
            out[e, 0] = 0.0
            out[e, 1] = 0.0
            continue
        for g in range(2):
            depth = top + h[e] * (0.5 + (2 * g - 1) * GAUSS)
            wet = depth - (water if water > top else top)
            if wet < 0.0:
                wet = 0.0
            out[e, g] = stress + gamma[lay] * (depth - top - wet) + gamma_sat[lay] * wet
        wet = z[e + 1] - (water if water > top else top)
        if wet < 0.0:
            wet = 0.0
        stress += gamma[lay] * (h[e] - wet) + gamma_sat[lay] * wet


@njit(cache=True)
def limits(total, pore, undrained, Ka, Kp, c, su, multiplier):
    """Return the least and greatest total pressure of the ground at a point (kPa).

    multiplier: on what exceeds the water pressure on the passive side (arching about a pile).
    """
    if undrained and su > 0.0:
        low = total - 2.0 * su
        high = total + 2.0 * su
        if low < 0.0:
            low = 0.0
        return low, pore + multiplier * (high - pore) if high > pore else high
    effective = total - pore
    if effective < 0.0:
        effective = 0.0
    low = Ka * effective - 2.0 * c * sqrt(Ka)
    if low < 0.0:
        low = 0.0
    return pore + low, pore + multiplier * (Kp * effective + 2.0 * c * sqrt(Kp))


@njit(cache=True)
def assemble(
    u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r, low_c, high_c, k_r, k_c,
    external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref, a_cap, R, A, soft, tangent,
):  # fmt: skip
    """Fill R with the unbalanced force at deflections u, and A (if `tangent`) with its stiffness.

    B: force in the beam at no deflection, as earlier stages left it: the beam gives B + Kb u.

    soft: share of the elastic stiffness that plastic points keep in A (never in R). Returns the
    sum of the absolute forces, against which the residual is judged.
    """
    n2 = u.shape[0]
    size = 0.0
    for i in range(n2):
        R[i] = B[i]
    add_beam(u, h, Kb, 1.0, R)
    if tangent:
        for i in range(n2):
            for j in range(4):
                A[i, j] = Kb[i, j]
    for e in range(h.shape[0]):
        i = 2 * e
        u0, u1, u2, u3 = u[i], u[i + 1], u[i + 2], u[i + 3]
        weight = 0.5 * h[e]
        for g in range(2):
            n0, n1, n2_, n3 = N[e, g, 0], N[e, g, 1], N[e, g, 2], N[e, g, 3]
            w = n0 * u0 + n1 * u1 + n2_ * u2 + n3 * u3
            stiff = 0.0
            p = ref_r[e, g] - k_r[e, g] * (w - w_ref[e, g])
            share = 1.0
            if p < low_r[e, g]:
                p = low_r[e, g]
                share = soft
            elif p > high_r[e, g]:
                p = high_r[e, g]
                share = soft
            p_r[e, g] = p
            f = p * width_r[e]
            size += abs(f) * weight
            stiff += share * k_r[e, g] * width_r[e]
            if width_c[e] > 0.0:
                p = ref_c[e, g] + k_c[e, g] * (w - w_ref[e, g])
                share = 1.0
                if p < low_c[e, g]:
                    p = low_c[e, g]
                    share = soft
                elif p > high_c[e, g]:
                    p = high_c[e, g]
                    share = soft
                p_c[e, g] = p
                f -= p * width_c[e]
                size += abs(p * width_c[e]) * weight
                stiff += share * k_c[e, g] * width_c[e]
            else:
                p_c[e, g] = 0.0
            f = (f + external[e, g]) * weight
            size += abs(external[e, g]) * weight
            R[i] -= n0 * f
            R[i + 1] -= n1 * f
            R[i + 2] -= n2_ * f
            R[i + 3] -= n3 * f
            if tangent and stiff > 0.0:
                s = stiff * weight
                A[i, 0] += s * n0 * n0
                A[i + 1, 1] += s * n1 * n0
                A[i + 1, 0] += s * n1 * n1
                A[i + 2, 2] += s * n2_ * n0
                A[i + 2, 1] += s * n2_ * n1
                A[i + 2, 0] += s * n2_ * n2_
                A[i + 3, 3] += s * n3 * n0
                A[i + 3, 2] += s * n3 * n1
                A[i + 3, 1] += s * n3 * n2_
                A[i + 3, 0] += s * n3 * n3
    for a in range(node.shape[0]):
        if a_state[a] == ABSENT:
            T[a] = 0.0
            continue
        i = 2 * node[a]
        force = a_lock[a]
        if a_state[a] == HOLDING:
            force = a_lock[a] + a_k[a] * (u[i] - a_ref[a])
            share = 1.0
            if force < 0.0:
                force = 0.0
                share = soft
            elif force > a_cap[a]:
                force = a_cap[a]
                share = soft
            if tangent:
                A[i, 0] += share * a_k[a]
        T[a] = force
        R[i] += force
        size += abs(force)
    return size
