"""Plastic limits of the staged analysis: the wall stands as long as statics says that it can.

A stiff wall in ground of given active and passive pressures stands exactly as long as pressures
within their limits can be found that balance (the lower bound of plasticity; elastic stiffness plays
no part). The expected values are worked here from effective stresses in closed form or, for layers
and water, as a linear programme; nothing of the program is used for them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np
from scipy.optimize import brentq, linprog

from tests.unit.wall.staged.arrays import (
    HOLDING,
    STRESSING,
    Floats,
    Layer,
    Row,
    Stage,
    Wall,
    run,
)
from tests.verification.catalogue import Case

STATICS = "lower-bound theorem of plasticity; statics of active and passive pressure"
KA, KP, GAMMA, LENGTH = 0.3, 4.0, 18.0, 8.0
SAND = Layer(Ka=KA, Kp=KP, gamma=GAMMA, kh=3e5)
STIFF = Wall(LENGTH, (), (SAND,), EI=5e6, mesh=0.2, bound=20.0)
GIVEN = "wall of 8 m in sand, gamma 18 kN/m3, Ka 0.3, Kp 4.0"
WHY = "found by halving the interval of the cut; the wall is stiff, not rigid"


def greatest(stands: Callable[[float], bool], low: float, high: float, within: float) -> float:
    """Return the greatest value at which the wall stands, by halving."""
    assert stands(low), "it falls at once"
    assert not stands(high), "it never falls"
    while high - low > within:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if stands(middle) else (low, middle)
    return 0.5 * (low + high)


@cache
def deepest(depth: float | None = None) -> float:
    """Return the deepest cut (m) at which the wall stands, held at `depth` or not at all."""

    def stands(dig: float) -> bool:
        if depth is None:
            return run(replace(STIFF, stages=(Stage(dig),))).stands
        held = replace(STIFF, rows=(Row(depth, k=1e8),), stages=(Stage(dig, rows=(HOLDING,)),))
        return run(held).stands

    return greatest(stands, 2.0, 7.5, 0.001)


def wedge(K: float, top: float, bottom: float, surface: float = 0.0) -> tuple[float, float]:
    """Return force of K gamma (z - surface) between two depths, and its moment about the head."""
    a, b = top - surface, bottom - surface
    force = K * GAMMA * (b**2 - a**2) / 2
    return force, K * GAMMA * (b**3 - a**3) / 3 + surface * force


def cantilever_cut() -> float:
    """Return the cut at which active and passive, changing sides at a pivot, just balance.

    Above the pivot: active behind, passive in front. Below: passive behind, active in front.
    """

    def pivot(dig: float) -> float:
        def force(t: float) -> float:
            return (
                wedge(KA, 0, t)[0] - wedge(KP, dig, t, dig)[0]
                + wedge(KP, t, LENGTH)[0] - wedge(KA, t, LENGTH, dig)[0]
            )  # fmt: skip

        return float(brentq(force, dig, LENGTH))

    def moment(dig: float) -> float:
        t = pivot(dig)
        return (
            wedge(KA, 0, t)[1] - wedge(KP, dig, t, dig)[1]
            + wedge(KP, t, LENGTH)[1] - wedge(KA, t, LENGTH, dig)[1]
        )  # fmt: skip

    # the pivot exists where the toe can be pushed back at all
    return float(brentq(moment, 1.0, 5.0))


def held_cut(depth: float) -> float:
    """Return the cut at which moments about a support at `depth` balance, all of it plastic.

    The toe kicks out: below the support active behind and passive in front; above it the wall is
    pressed into the ground behind.
    """

    def moment(dig: float) -> float:
        above, below = wedge(KP, 0, depth), wedge(KA, depth, LENGTH)
        front = wedge(KP, dig, LENGTH, dig)
        return sum(
            sign * (m - depth * f) for sign, (f, m) in ((1, above), (1, below), (-1, front))
        )  # fmt: skip

    return float(brentq(moment, 1.0, LENGTH - 1e-6))


LAYERS = (
    Layer(0.0, gamma=17.0, gamma_sat=19.0, Ka=0.33, Kp=3.2, c=0.0, kh=3e5, arching=1.3),
    Layer(2.0, gamma=19.0, gamma_sat=20.0, Ka=0.28, Kp=3.8, c=4.0, kh=3e5, arching=1.5),
    Layer(6.0, gamma=20.0, gamma_sat=21.0, Ka=0.25, Kp=4.5, c=0.0, kh=3e5, arching=2.0),
)
DIG, WATER_R, WATER_C, LOAD, PULL = 4.0, 3.0, 4.0, 10.0, 3.0
SPACING, WIDTH = 2.0, 0.8
LAYERED = "piles at 2.0 m, 0.8 m wide, three layers, water at 3 m and at the cut, load 10 kPa"


def stress(z: Floats, surface: float, water: float, load: float) -> tuple[Floats, Floats]:
    """Return effective vertical stress and pore pressure (kPa) below a surface, by summing up."""
    steps = 4000
    grid = surface + (np.arange(steps) + 0.5) * (LENGTH - surface) / steps
    tops = np.array([lay.top for lay in LAYERS])
    which = np.searchsorted(tops, grid, side="right") - 1
    weight = np.where(
        grid > water,
        np.array([lay.gamma_sat for lay in LAYERS])[which],
        np.array([lay.gamma for lay in LAYERS])[which],
    )
    edges = np.concatenate(
        [[surface], surface + (np.arange(steps) + 1) * (LENGTH - surface) / steps]
    )
    total = np.concatenate([[load], load + np.cumsum(weight) * (LENGTH - surface) / steps])
    pore = np.maximum(z - water, 0.0) * 9.81
    return np.interp(z, edges, total) - pore, pore


def strongest_pull() -> float:
    """Return the greatest anchor force (kN) that pressures within their limits can balance.

    A linear programme in the forces of short strips behind and in front.
    """
    n = 800
    dz = LENGTH / n
    z = (np.arange(n) + 0.5) * dz
    tops = np.array([lay.top for lay in LAYERS])
    of = np.searchsorted(tops, z, side="right") - 1
    Ka, Kp, c = (np.array([getattr(lay, name) for lay in LAYERS])[of] for name in ("Ka", "Kp", "c"))
    arch = np.where(z > DIG, np.array([lay.arching for lay in LAYERS])[of], 1.0)
    width = np.where(z > DIG, WIDTH, SPACING)
    s_r, u_r = stress(z, 0.0, WATER_R, LOAD)
    s_c, u_c = stress(z, DIG, WATER_C, 0.0)
    low_r = u_r + np.maximum(Ka * s_r - 2 * c * np.sqrt(Ka), 0.0)
    high_r = u_r + arch * (Kp * s_r + 2 * c * np.sqrt(Kp))
    low_c = u_c + np.maximum(Ka * s_c - 2 * c * np.sqrt(Ka), 0.0)
    high_c = u_c + arch * (Kp * s_c + 2 * c * np.sqrt(Kp))
    dug = z < DIG
    low_c[dug], high_c[dug] = 0.0, 0.0
    push = np.concatenate([dz * width, -dz * width, [-1.0]])
    arm = np.concatenate([z, z, [PULL]])
    bounds = [*zip(low_r, high_r, strict=True), *zip(low_c, high_c, strict=True), (0.0, None)]
    cost = np.zeros(2 * n + 1)
    cost[-1] = -1.0
    found = linprog(cost, A_eq=np.array([push, push * arm]), b_eq=[0.0, 0.0], bounds=bounds)
    assert found.success
    return float(found.x[-1])


@cache
def hardest_pull() -> float:
    """Return the greatest anchor force (kN) under which the kernel finds equilibrium."""

    def stands(force: float) -> bool:
        stage = Stage(DIG, WATER_R, WATER_C, LOAD, rows=(STRESSING,))
        wall = replace(
            STIFF, layers=LAYERS, rows=(Row(PULL, lock=force),), stages=(stage,),
            spacing=SPACING, pile_width=WIDTH,
        )  # fmt: skip
        return run(wall).stands

    return greatest(stands, 200.0, 5000.0, 0.5)


@cache
def plastic_supports() -> tuple[float, float, float]:
    """Two soft rows, ground at its limits everywhere: both forces and the moment at the cut."""
    dig, a, b = 6.0, 1.0, 4.0
    wall = replace(
        STIFF,
        layers=(replace(SAND, kh=1e7),),
        rows=(Row(a, k=100.0), Row(b, k=100.0)),
        stages=(Stage(dig, load=60.0, rows=(HOLDING, HOLDING)),),
    )
    found = run(wall)
    assert found.stands
    assert np.allclose(found.p_r, found.low_r), "not active everywhere"
    below = found.z[:-1] >= dig
    assert np.allclose(found.p_c[0, below], found.high_c[0, below]), "not passive everywhere"
    return float(found.T[0, 0]), float(found.T[0, 1]), float(found.M[0, found.at(dig)])


def plastic_statics() -> tuple[float, float, float]:
    """Return the same by statics."""
    dig, a, b = 6.0, 1.0, 4.0
    f1, m1 = wedge(KA, 0, LENGTH)
    f1, m1 = f1 + KA * 60 * LENGTH, m1 + KA * 60 * LENGTH**2 / 2
    f2, m2 = wedge(KP, dig, LENGTH, dig)
    force, moment = f1 - f2, m1 - m2
    lower = (moment - a * force) / (b - a)
    upper = force - lower
    above, m3 = wedge(KA, 0, dig)
    above, m3 = above + KA * 60 * dig, m3 + KA * 60 * dig**2 / 2
    bending = upper * (dig - a) + lower * (dig - b) - (dig * above - m3)
    return upper, lower, bending


def limit(
    name: str, title: str, compute: Callable[[], float], expected: float, unit: str,
    tolerance: float, inputs: str = GIVEN,
) -> Case:  # fmt: skip
    return Case(
        f"wall.staged-{name}", "wall", title, STATICS, "formula", inputs, compute, expected,
        tolerance, unit, WHY,
    )  # fmt: skip


CASES: tuple[Case, ...] = (
    limit("deepest-cut-cantilever", "deepest cut of a free wall", deepest,
          cantilever_cut(), "m", 2e-3),
    limit("deepest-cut-held-at-head", "deepest cut of a wall held at its head",
          lambda: deepest(0.0), held_cut(0.0), "m", 2e-3),
    limit("deepest-cut-held", "deepest cut of a wall held 1.6 m below its head",
          lambda: deepest(1.6), held_cut(1.6), "m", 2e-3),
    limit("hardest-pull", "greatest anchor force that the ground behind bears", hardest_pull,
          strongest_pull(), "kN", 3e-3, LAYERED),
    *(
        limit(f"plastic-{name}", f"ground at its limits everywhere, {title}",
              lambda i=i: plastic_supports()[i], plastic_statics()[i], unit, 1e-6,
              GIVEN + ", cut 6 m, load 60 kPa, soft rows at 1 m and 4 m")
        for i, name, title, unit in (
            (0, "upper", "force of the upper row", "kN"),
            (1, "lower", "force of the lower row", "kN"),
            (2, "moment", "moment at the cut", "kNm"),
        )
    ),
)  # fmt: skip
