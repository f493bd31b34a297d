"""The ground on either side of the wall at one stage: stresses, limits, modulus, reference. Compiled.

Elements in one layer, and on one side of the dig, follow one another: each such run is filled by a loop
without a branch, several elements at once.
"""

from __future__ import annotations

from math import sqrt
from typing import Any, NamedTuple

from backstay.compiled import compiled, compiled_apart, compiled_inside
from backstay.wall.staged.forces import LOWER, UPPER

GAMMA_W = 9.81


class Side(NamedTuple):
    """What the ground on one side keeps from stage to stage, at both Gauss points (n-1).

    ref: reference pressure; rest: pressure at rest; k: modulus; width: that bears; stress: total
    vertical stress at the upper node of each element.
    """

    ref0: Any
    ref1: Any
    rest0: Any
    rest1: Any
    k0: Any
    k1: Any
    width: Any
    stress: Any


class Strength(NamedTuple):
    """One layer of ground on one side: weights, strength, pressure at rest, modulus (scalars).

    undrained: whether su governs; multiplier: on what exceeds the water pressure on the passive side
    (arching about a pile); top: of the layer; surface: of the ground on this side, from which the
    modulus grows; narrow: width it holds for over the width that bears.
    """

    gamma: float
    gamma_sat: float
    Ka: float
    Kp: float
    c: float
    su: float
    su_gradient: float
    undrained: bool
    K0: float
    kh: float
    kh_gradient: float
    top: float
    surface: float
    narrow: float
    multiplier: float


class Water(NamedTuple):
    """Water on one side: its level, its share of hydrostatic pressure, and what seepage adds in ground."""

    level: float
    share: float
    rise: float
    ground: float


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
def vertical_stress(z, h, layer, gamma, gamma_sat, start, water, load, stress):
    """Fill the total vertical stress at the upper node of each element below a surface (kPa).

    start: depth of the surface. Water above it counts as load. Elements above it get nil.
    """
    at = load
    if water < start:
        at += GAMMA_W * (start - water)
    for e in range(h.shape[0]):
        top = z[e]
        if top < start - 1e-9:
            stress[e] = 0.0
            continue
        stress[e] = at
        wet = max(z[e + 1] - max(water, top), 0.0)
        at += gamma[layer[e]] * (h[e] - wet) + gamma_sat[layer[e]] * wet


@compiled_inside
def pore_pressure(depth, water):
    """Return the pressure of the water at a depth (kPa); head is lost in the ground alone."""
    below = max(depth - water.level, 0.0)
    return GAMMA_W * (water.share * below + water.rise * max(depth - water.ground, 0.0))


@compiled_inside
def limits(total, pore, strength, ground):
    """Return the least and greatest total pressure of the ground at a point (kPa).

    strength: undrained, at the point.
    """
    effective = max(total - pore, 0.0)
    low = pore + max(ground.Ka * effective - 2.0 * ground.c * sqrt(ground.Ka), 0.0)
    high = ground.Kp * effective + 2.0 * ground.c * sqrt(ground.Kp)
    high = pore + ground.multiplier * high
    if ground.undrained and strength > 0.0:
        low = max(total - 2.0 * strength, 0.0)
        high = total + 2.0 * strength
        high = pore + ground.multiplier * (high - pore) if high > pore else high
    return low, high


@compiled_inside
def _point(top, h, at, stress, ground, water, ref, rest, before):
    """Return reference, pressure at rest, modulus and limits of a point; at: its place in the element."""
    depth = top + h * at
    wet = max(depth - max(water.level, top), 0.0)
    total = stress + ground.gamma * (depth - top - wet) + ground.gamma_sat * wet
    pore = pore_pressure(depth, water)
    k = (ground.kh + ground.kh_gradient * max(depth - ground.surface, 0.0)) * ground.narrow
    # what the wall has pressed or let go, over the pressure at rest, goes with the modulus
    stays = k / before if before > 0.0 else 0.0
    stays = stays if k != before else 1.0
    at_rest = ground.K0 * max(total - pore, 0.0) + pore
    strength = ground.su + ground.su_gradient * (depth - ground.top) if ground.su > 0.0 else 0.0
    low, high = limits(total, pore, strength, ground)
    return at_rest + stays * (ref - rest), at_rest, k, low, high


@compiled_apart
def in_ground(z, h, ground, water, width, side, low, high):
    """Fill a run of elements on one side; low, high (flat, two points to an element): the limits."""
    for e in range(h.shape[0]):
        side.ref0[e], side.rest0[e], side.k0[e], low[2 * e], high[2 * e] = _point(
            z[e],
            h[e],
            UPPER,
            side.stress[e],
            ground,
            water,
            side.ref0[e],
            side.rest0[e],
            side.k0[e],
        )
        side.ref1[e], side.rest1[e], side.k1[e], low[2 * e + 1], high[2 * e + 1] = _point(
            z[e],
            h[e],
            LOWER,
            side.stress[e],
            ground,
            water,
            side.ref1[e],
            side.rest1[e],
            side.k1[e],
        )
        side.width[e] = width


@compiled_apart
def in_the_open(z, h, ground, water, width, side, low, high):
    """Fill a run of elements that face the open cut: water may stand in it, and then bears on all."""
    for e in range(h.shape[0]):
        u0 = pore_pressure(z[e] + h[e] * UPPER, water)
        u1 = pore_pressure(z[e] + h[e] * LOWER, water)
        side.ref0[e] = side.rest0[e] = low[2 * e] = high[2 * e] = u0
        side.ref1[e] = side.rest1[e] = low[2 * e + 1] = high[2 * e + 1] = u1
        side.k0[e] = side.k1[e] = ground.kh
        side.width[e] = width if u1 > 0.0 else 0.0


@compiled_inside
def _part(side, first, last):
    """Return the elements of a side from one to before another."""
    return Side(
        side.ref0[first:last], side.ref1[first:last], side.rest0[first:last], side.rest1[first:last],
        side.k0[first:last], side.k1[first:last], side.width[first:last], side.stress[first:last],
    )  # fmt: skip


@compiled
def ground_of_stage(
    s, z, h, layer, gamma, gamma_sat, Ka, Kp, c, su, su_gradient, K0, kh, kh_gradient,
    layer_top, dig, water_r, water_c, load, seepage, undrained, spacing, pile_width,
    arching, behind, front, low_r, high_r, low_c, high_c,
):  # fmt: skip
    """Fill stresses, pressure at rest, modulus, widths and limits of stage s, and move the references.

    Arrays as of `kernel.run`; behind, front (`Side`) come in as the stage before left them. Limits are
    flat, with two points to an element.
    """
    vertical_stress(z, h, layer, gamma, gamma_sat, 0.0, water_r[s], load[s], behind.stress)
    vertical_stress(z, h, layer, gamma, gamma_sat, dig[s], water_c[s], 0.0, front.stress)
    water_behind = Water(water_r[s], 1.0 - seepage[s], 0.0, 0.0)
    water_before = Water(water_c[s], 1.0, seepage[s], max(dig[s], water_c[s]))
    first, elements = 0, h.shape[0]
    while first < elements:
        lay, open_face = layer[first], z[first] < dig[s] - 1e-9
        last = first + 1
        while last < elements and layer[last] == lay and (z[last] < dig[s] - 1e-9) == open_face:
            last += 1
        wide = spacing if open_face else pile_width
        multiplier = 1.0 if open_face else arching[lay]
        there = Strength(
            gamma[lay], gamma_sat[lay], Ka[lay], Kp[lay], max(c[lay], 0.0), su[lay], su_gradient[lay],
            undrained[s, lay], K0[lay], kh[lay], kh_gradient[lay], layer_top[lay], 0.0,
            pile_width / wide, multiplier,
        )  # fmt: skip
        here = Strength(
            gamma[lay], gamma_sat[lay], Ka[lay], Kp[lay], max(c[lay], 0.0), su[lay], su_gradient[lay],
            undrained[s, lay], K0[lay], kh[lay], kh_gradient[lay], layer_top[lay], dig[s], 1.0,
            multiplier,
        )  # fmt: skip
        a, b = 2 * first, 2 * last
        in_ground(
            z[first:last], h[first:last], there, water_behind, wide, _part(behind, first, last),
            low_r[a:b], high_r[a:b],
        )  # fmt: skip
        if open_face:
            in_the_open(
                z[first:last], h[first:last], here, water_before, wide, _part(front, first, last),
                low_c[a:b], high_c[a:b],
            )  # fmt: skip
        else:
            in_ground(
                z[first:last], h[first:last], here, water_before, wide, _part(front, first, last),
                low_c[a:b], high_c[a:b],
            )  # fmt: skip
        first = last


@compiled_apart
def side_springs(h, side, low, high, at0, at1):
    """Fill the springs of one side (`at0`, `at1`) with the forces that pressures make."""
    for e in range(h.shape[0]):
        wide = 0.5 * h[e] * side.width[e]
        at0.start[e], at1.start[e] = side.ref0[e] * wide, side.ref1[e] * wide
        at0.k[e], at1.k[e] = side.k0[e] * wide, side.k1[e] * wide
        at0.low[e], at1.low[e] = low[2 * e] * wide, low[2 * e + 1] * wide
        at0.high[e], at1.high[e] = high[2 * e] * wide, high[2 * e + 1] * wide


@compiled_apart
def further_load(h, external, load0, load1):
    """Fill the forces of the load on the wall that is not the ground's (n-1, 2; kN/m)."""
    for e in range(h.shape[0]):
        load0[e], load1[e] = 0.5 * h[e] * external[e, 0], 0.5 * h[e] * external[e, 1]
