"""Forces of beam, ground and supports at given movements, and their stiffness, compiled.

Beam: cubic (Hermite) elements; unknowns per node deflection w (toward the cut, m) and rotation t, both
counted from the start of the stage. Ground: total pressure at two Gauss points of every element, on
either side,

    behind:    p = clamp(p_ref - k_r w, active, passive)
    in front:  p = clamp(p_ref + k_c w, active, passive)

The reference p_ref is the pressure at the end of the stage before: plastic movement is remembered, and
unloading follows the subgrade modulus. Where a stage changes the vertical stress, the pressure at
rest in p_ref changes with it; where it changes the modulus (a cut leaves less ground above), what p_ref
has over the pressure at rest changes in proportion. The ground so remembers its plastic movement alone,
and a cut made in two lifts leads to the same state as one.

In here pressures are forces already: times the width that bears and half the element's length. The
loops run over contiguous arrays without a branch, so that the processor works on several elements
at once.
"""

from __future__ import annotations

from math import sqrt
from typing import Any, NamedTuple

from backstay.compiled import compiled_apart, compiled_inside
from backstay.wall.staged.sums import balance, in_any_order

ABSENT = 0
STRESSING = 1
HOLDING = 2

GAUSS = 0.5 / sqrt(3.0)
"""Distance of the two Gauss points from the middle of an element, over its length."""
UPPER, LOWER = 0.5 - GAUSS, 0.5 + GAUSS
A = UPPER * UPPER * (3.0 - 2.0 * UPPER)
"""Shape function of the lower node's deflection at the upper point; the points mirror each other."""
P, Q = UPPER * LOWER * LOWER, UPPER * UPPER * LOWER
"""Those of the near node's rotation and (its sign changed) the far one's, over the length."""


class Beam(NamedTuple):
    """Elements of the beam: length, its inverse, 2 EI / length, moments on the ends at the start."""

    h: Any
    per: Any
    c: Any
    m0: Any
    m1: Any


class Springs(NamedTuple):
    """One side of the ground at one Gauss point of every element: forces, and stiffness."""

    start: Any
    k: Any
    low: Any
    high: Any


class Ground(NamedTuple):
    """Springs behind and in front, at the upper and the lower point; further load, toward the cut."""

    behind0: Springs
    behind1: Springs
    front0: Springs
    front1: Springs
    load0: Any
    load1: Any


class Movement(NamedTuple):
    """Deflection and rotation of the nodes."""

    w: Any
    t: Any


class Below(NamedTuple):
    """What each element gives to its lower node (rows as long as there are nodes, nil at the head).

    Force and moment; of the matrix ww, wt, tt.
    """

    force: Any
    moment: Any
    ww: Any
    wt: Any
    tt: Any


class Supports(NamedTuple):
    """Supports: node, state, stiffness, force at the start of the stage, capacity, force now."""

    node: Any
    state: Any
    k: Any
    start: Any
    cap: Any
    T: Any


@compiled_inside
def end_moments(c, per, m0, m1, rise, t0, t1):
    """Return the end moments of an element; rise: of the lower node's deflection over the upper's.

    Worked from the rotations out of the element's chord: in a fine mesh the products of matrix and
    deflections would cancel to less than the load's last digits.
    """
    chord = rise * per
    t0, t1 = t0 - chord, t1 - chord
    return m0 + c * (2.0 * t0 + t1), m1 + c * (t0 + 2.0 * t1)


@compiled_inside
def at_points(w0, rise, turn0, turn1):
    """Return the deflection at the upper and the lower point; turn: rotation times length."""
    far = A * rise
    return w0 + far + (P * turn0 - Q * turn1), w0 + rise - far + (Q * turn0 - P * turn1)


@compiled_inside
def clamped(p, low, high):
    """Return p, or the limit that it is beyond."""
    p = low if p < low else p
    return high if p > high else p


@compiled_inside
def spring(p, k, low, high, soft):
    """Return the force of a spring that would bear p if it were elastic, and its stiffness."""
    force = clamped(p, low, high)
    return force, (k if force == p else soft * k)


@compiled_apart
def forces(v, part, d, beam, ground, supports, pull, soft, R, below, stiff0, stiff1):
    """Fill R with the unbalanced force at the movement v + part d.

    stiff0, stiff1: of the springs at the Gauss points; soft: share of the elastic stiffness that plastic
    points keep in them (never in R); pull (n): room, nil but at supports. Returns the sum of the
    absolute forces of ground and supports, the greatest force in R, and the slope of the energy along d.
    """
    size = 0.0
    b0, b1, c0, c1 = ground.behind0, ground.behind1, ground.front0, ground.front1
    for e in range(beam.h.shape[0]):
        h, per = beam.h[e], beam.per[e]
        w0 = v.w[e] + part * d.w[e]
        rise = v.w[e + 1] + part * d.w[e + 1] - w0
        t0, t1 = v.t[e] + part * d.t[e], v.t[e + 1] + part * d.t[e + 1]
        w_0, w_1 = at_points(w0, rise, h * t0, h * t1)
        r, k_r = spring(b0.start[e] - b0.k[e] * w_0, b0.k[e], b0.low[e], b0.high[e], soft)
        c, k_c = spring(c0.start[e] + c0.k[e] * w_0, c0.k[e], c0.low[e], c0.high[e], soft)
        f0, stiff0[e], there = r - c + ground.load0[e], k_r + k_c, abs(r) + abs(c)
        r, k_r = spring(b1.start[e] - b1.k[e] * w_1, b1.k[e], b1.low[e], b1.high[e], soft)
        c, k_c = spring(c1.start[e] + c1.k[e] * w_1, c1.k[e], c1.low[e], c1.high[e], soft)
        f1, stiff1[e], there = r - c + ground.load1[e], k_r + k_c, there + (abs(r) + abs(c))
        size = in_any_order(size, there)
        m0, m1 = end_moments(beam.c[e], per, beam.m0[e], beam.m1[e], rise, t0, t1)
        shear = (m0 + m1) * per
        upper = f0 - A * (f0 - f1)
        R.w[e], R.t[e] = shear - upper, m0 - h * (P * f0 + Q * f1)
        below.force[e + 1] = upper - (f0 + f1) - shear
        below.moment[e + 1] = m1 + h * (Q * f0 + P * f1)
    size += _pull(v, part, d, supports, pull)
    toe = beam.h.shape[0]
    R.w[toe] = R.t[toe] = 0.0
    return size, *balance(below, pull, d, R)


@compiled_apart
def _pull(v, part, d, supports, pull):
    """Fill pull with the forces of the supports at v + part d; returns the sum of magnitudes."""
    size = 0.0
    for a in range(supports.node.shape[0]):
        pull[supports.node[a]] = 0.0
    for a in range(supports.node.shape[0]):
        i = supports.node[a]
        force = 0.0 if supports.state[a] == ABSENT else supports.start[a]
        if supports.state[a] == HOLDING:
            force += supports.k[a] * (v.w[i] + part * d.w[i])
            force = clamped(force, 0.0, supports.cap[a])
        supports.T[a] = force
        pull[i] += force
        size += abs(force)
    return size


@compiled_apart
def stiffness(v, beam, supports, soft, stiff0, stiff1, below, band):
    """Fill the band with the stiffness at the movement v, at which forces were worked out last."""
    for e in range(beam.h.shape[0]):
        h, per, c = beam.h[e], beam.per[e], beam.c[e]
        s0, s1 = stiff0[e], stiff1[e]
        both = s0 + s1
        bend = 3.0 * c * per
        push = 2.0 * bend * per
        square = h * h
        band.ww[e] = push + ((1.0 - A) * (1.0 - A) * s0 + A * A * s1)
        band.wt[e] = bend + h * ((1.0 - A) * P * s0 + A * Q * s1)
        band.tt[e] = 2.0 * c + square * (P * P * s0 + Q * Q * s1)
        below.ww[e + 1] = push + (A * A * s0 + (1.0 - A) * (1.0 - A) * s1)
        below.wt[e + 1] = -bend - h * (A * Q * s0 + (1.0 - A) * P * s1)
        below.tt[e + 1] = 2.0 * c + square * (Q * Q * s0 + P * P * s1)
        band.below_ww[e] = A * (1.0 - A) * both - push
        band.below_wt[e] = h * (A * P * s0 + (1.0 - A) * Q * s1) - bend
        band.below_tw[e] = bend - h * ((1.0 - A) * Q * s0 + A * P * s1)
        band.below_tt[e] = c - square * (P * Q) * both
    toe = beam.h.shape[0]
    band.ww[toe] = band.wt[toe] = band.tt[toe] = 0.0
    for i in range(toe + 1):
        band.ww[i] += below.ww[i]
        band.wt[i] += below.wt[i]
        band.tt[i] += below.tt[i]
    for a in range(supports.node.shape[0]):
        if supports.state[a] == HOLDING:
            i = supports.node[a]
            p = supports.start[a] + supports.k[a] * v.w[i]
            band.ww[i] += spring(p, supports.k[a], 0.0, supports.cap[a], soft)[1]
