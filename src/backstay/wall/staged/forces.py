"""Forces of beam, ground and supports at given deflections, and their stiffness, compiled.

Beam: cubic (Hermite) elements; unknowns per node deflection w (toward the cut, m) and rotation.
Ground: total pressure at two Gauss points of every element, on either side,

    behind:    p = clamp(p_ref - k_r (w - w_ref), active, passive)
    in front:  p = clamp(p_ref + k_c (w - w_ref), active, passive)

The reference (w_ref, p_ref) is the state at the end of the stage before: plastic movement is
remembered, and unloading follows the subgrade modulus. Where a stage changes the vertical stress, the
pressure at rest in p_ref changes with it; where it changes the modulus (a cut leaves less ground above),
what p_ref has over the pressure at rest changes in proportion. The ground so remembers its plastic
movement alone, and a cut made in two lifts leads to the same state as one.
"""

from __future__ import annotations

from math import sqrt

from backstay.wall.staged.compiled import compiled

GAMMA_W = 9.81

ABSENT = 0
STRESSING = 1
HOLDING = 2

GAUSS = 0.5 / sqrt(3.0)


@compiled
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


@compiled
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


@compiled
def add_beam(u, h, Kb, sign, out):
    """Add `sign` times the forces that bend the beam into the shape u; Kb from `beam_band`."""
    for e in range(h.shape[0]):
        i = 2 * e
        m0, m1, shear = beam_moments(h[e], Kb[i + 2, 2], u[i], u[i + 1], u[i + 2], u[i + 3])
        out[i] += sign * shear
        out[i + 1] += sign * m0
        out[i + 2] -= sign * shear
        out[i + 3] += sign * m1


@compiled
def beam_moments(L, coupling, u0, u1, u2, u3):
    """Return the end moments and the shear of one element; coupling: -12 EI / L^3.

    Worked from the rotations out of the element's chord: in a fine mesh the products of band and
    deflections would cancel to less than the load's last digits.
    """
    c = -coupling * L * L / 6.0  # 2 EI / L
    chord = (u2 - u0) / L
    t0, t1 = u1 - chord, u3 - chord
    m0, m1 = c * (2.0 * t0 + t1), c * (t0 + 2.0 * t1)
    return m0, m1, (m0 + m1) / L


@compiled
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


@compiled
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
    low, high = Ka * effective, Kp * effective
    if c > 0.0:
        low -= 2.0 * c * sqrt(Ka)
        high += 2.0 * c * sqrt(Kp)
        if low < 0.0:
            low = 0.0
    return pore + low, pore + multiplier * high


@compiled
def assemble(
    u, B, Kb, N, h, width_r, width_c, ref_r, ref_c, w_ref, low_r, high_r, low_c, high_c, k_r, k_c,
    external, p_r, p_c, node, T, a_state, a_k, a_lock, a_ref, a_cap, R, A, soft, tangent,
):  # fmt: skip
    """Fill R with the unbalanced force at deflections u, and A (if `tangent`) with its stiffness.

    B: force in the beam at no deflection, as earlier stages left it: the beam gives B + Kb u.

    soft: share of the elastic stiffness that plastic points keep in A (never in R). Returns the
    sum of the absolute forces, against which the residual is judged.
    """
    size = 0.0
    n2 = u.shape[0]
    # what an element gives to its lower node waits here for the next one, so that every entry of R
    # and A is written once
    r0, r1, a00, a10, a11 = 0.0, 0.0, 0.0, 0.0, 0.0
    for e in range(h.shape[0]):
        i = 2 * e
        L = h[e]
        u0, u1, u2, u3 = u[i], u[i + 1], u[i + 2], u[i + 3]
        m0, m1, shear = beam_moments(L, Kb[i + 2, 2], u0, u1, u2, u3)
        r0, r1, r2, r3 = r0 + shear, r1 + m0, -shear, m1
        a20, a21, a22, a30, a31, a32, a33 = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
        weight = 0.5 * L
        wide_r, wide_c = width_r[e] * weight, width_c[e] * weight
        for g in range(2):
            n0, n1, n2_, n3 = N[e, g, 0], N[e, g, 1], N[e, g, 2], N[e, g, 3]
            moved = n0 * u0 + n1 * u1 + n2_ * u2 + n3 * u3 - w_ref[e, g]
            k = k_r[e, g]
            p = ref_r[e, g] - k * moved
            low, high = low_r[e, g], high_r[e, g]
            share = 1.0
            if p < low:
                p, share = low, soft
            elif p > high:
                p, share = high, soft
            p_r[e, g] = p
            f = p * wide_r
            size += abs(f)
            stiff = share * k * wide_r
            p = 0.0
            if wide_c > 0.0:
                k = k_c[e, g]
                p = ref_c[e, g] + k * moved
                low, high = low_c[e, g], high_c[e, g]
                share = 1.0
                if p < low:
                    p, share = low, soft
                elif p > high:
                    p, share = high, soft
                f -= p * wide_c
                size += abs(p * wide_c)
                stiff += share * k * wide_c
            p_c[e, g] = p
            f_e = external[e, g] * weight
            f += f_e
            size += abs(f_e)
            r0 -= n0 * f
            r1 -= n1 * f
            r2 -= n2_ * f
            r3 -= n3 * f
            s0, s1, s2, s3 = stiff * n0, stiff * n1, stiff * n2_, stiff * n3
            a00 += s0 * n0
            a10 += s1 * n0
            a11 += s1 * n1
            a20 += s2 * n0
            a21 += s2 * n1
            a22 += s2 * n2_
            a30 += s3 * n0
            a31 += s3 * n1
            a32 += s3 * n2_
            a33 += s3 * n3
        R[i], R[i + 1] = B[i] + r0, B[i + 1] + r1
        r0, r1 = r2, r3
        if tangent:
            A[i, 0] = Kb[i, 0] + a00
            A[i + 1, 0] = Kb[i + 1, 0] + a11
            A[i + 1, 1] = Kb[i + 1, 1] + a10
            A[i + 2, 1] = Kb[i + 2, 1] + a21
            A[i + 2, 2] = Kb[i + 2, 2] + a20
            A[i + 3, 2] = Kb[i + 3, 2] + a31
            A[i + 3, 3] = Kb[i + 3, 3] + a30
        a00, a10, a11 = a22, a32, a33
    R[n2 - 2], R[n2 - 1] = B[n2 - 2] + r0, B[n2 - 1] + r1
    if tangent:
        A[n2 - 2, 0] = Kb[n2 - 2, 0] + a00
        A[n2 - 1, 0] = Kb[n2 - 1, 0] + a11
        A[n2 - 1, 1] = Kb[n2 - 1, 1] + a10
        for i in range(0, n2, 2):
            A[i, 3] = 0.0  # a deflection meets nothing three unknowns back
        A[0, 1] = A[0, 2] = A[1, 2] = A[1, 3] = 0.0  # nothing is above the head
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
