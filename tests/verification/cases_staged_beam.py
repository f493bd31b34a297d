"""Beams on elastic ground and on supports, through the compiled kernel of the staged analysis.

Ground that stays elastic: a wall between two halves of strong ground deep under water, so that
the pressures on both sides balance and neither limit is met; each side gives half the modulus.
Beams without ground: the cut below the toe, and a support held both ways by an opposite force.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from math import cos, cosh, exp, sin, sinh

import numpy as np

from tests.unit.wall.staged.arrays import HOLDING, STRESSING, Layer, Outcome, Row, Stage, Wall, run
from tests.verification.catalogue import Case

HETENYI = "Hetenyi, Beams on Elastic Foundation (1946)"
REESE = "Reese and Matlock (1956), coefficients of a long pile in ground of growing modulus"
TABLES = "AISC Steel Construction Manual, table 3-23"
STATICS = "statics of beams"
EI, K, P = 50000.0, 20000.0, 100.0
LAMBDA = (K / (4 * EI)) ** 0.25
SPRINGS = "EI 50,000 kNm2, k 20,000 kN/m2, P 100 kN"
MESH = "cubic elements of 0.1 m or less"
STIFF = 1e9


def elastic(length: float, loads: dict[float, float], *, growth: float = 0.0) -> Outcome:
    """Load a free beam in elastic ground with forces (kN, toward the cut) at depths."""
    layer = Layer(
        gamma=10.0, gamma_sat=10.0, su=1e5, K0=0.0,
        kh=0.0 if growth else K / 2, kh_gradient=growth / 2,
    )  # fmt: skip
    rows = tuple(Row(depth, lock=-force) for depth, force in loads.items())
    stage = Stage(
        water_r=-20.0, water_c=-20.0, undrained=True, rows=(STRESSING,) * len(rows)
    )  # fmt: skip
    wall = Wall(length, (stage,), (layer,), rows, EI=EI, mesh=0.1, tolerance=1e-11)
    found = run(wall)
    assert found.stands
    inside = (found.p_r > found.low_r) & (found.p_r < found.high_r)
    assert inside.all(), "the ground is not elastic"
    return found


AIR = Layer(gamma=0.0, gamma_sat=0.0, Ka=0.0, Kp=0.0, K0=0.0, kh=0.0)


def beam(
    length: float,
    supports: tuple[float, ...],
    *,
    loads: dict[float, float] | None = None,
    q: tuple[float, float, float] = (0.0, 0.0, 0.0),
    rigid_below: float | None = None,
) -> Outcome:
    """Load a beam on stiff supports that hold both ways; no ground."""
    hold = 1e5
    rows = [Row(depth, k=STIFF, lock=hold, cap=2 * hold) for depth in supports]
    rows += [Row(depth, lock=-hold) for depth in supports]
    rows += [Row(depth, lock=-force) for depth, force in (loads or {}).items()]
    state = [HOLDING] * len(supports) + [STRESSING] * (len(rows) - len(supports))
    stage = Stage(dig=length, rows=tuple(state), pressure=q)
    below = None if rigid_below is None else (rigid_below, EI * 1e6)
    wall = Wall(length, (stage,), (AIR,), tuple(rows), EI=EI, EI_below=below, mesh=0.1)
    found = run(wall)
    assert found.stands
    return found


def reaction(found: Outcome, support: int) -> float:
    """Return what a support of `beam` carries beside its opposite force (kN)."""
    return float(found.T[0, support] - 1e5)


@cache
def middle(length: float) -> tuple[float, float]:
    """Return deflection (mm) and moment (kNm) under a load at the middle of a free beam."""
    found = elastic(length, {length / 2: P})
    i = found.at(length / 2)
    return 1000 * float(found.w[0, i]), float(abs(found.M[0, i]))


def closed_middle(length: float) -> tuple[float, float]:
    """Return Hetenyi's closed form of the same."""
    a = LAMBDA * length
    y = P * LAMBDA / (2 * K) * (cosh(a) + cos(a) + 2) / (sinh(a) + sin(a))
    M = P / (4 * LAMBDA) * (cosh(a) - cos(a)) / (sinh(a) + sin(a))
    return 1000 * y, M


@cache
def semi_infinite() -> Outcome:
    return elastic(20.0, {0.0: P})


@cache
def couple() -> Outcome:
    """A couple at the free end: P 100 kN at the head, against as much 0.1 m below."""
    return elastic(20.0, {0.0: P, 0.1: -P})


def end(x: float) -> float:
    """Return the deflection (m) at x under P at the free end: by reciprocity, also the reverse."""
    return 2 * LAMBDA * P / K * exp(-LAMBDA * x) * cos(LAMBDA * x)


@cache
def growing() -> Outcome:
    return elastic(12.0, {0.0: P}, growth=5000.0)


def largest(found: Outcome) -> float:
    return float(np.abs(found.M[0]).max())


def depth_of_largest(found: Outcome) -> float:
    """Return the depth at which the shear changes its sign below the first node (m)."""
    V = found.V[0, :, 1]
    i = 1 + int(np.argmax(V[1:-1] * V[2:] <= 0.0))
    return float(found.z[i] + found.h[i] * V[i] / (V[i] - V[i + 1]))


T_GROWING = (EI / 5000.0) ** 0.2
L, Q = 4.0, 25.0


@cache
def cantilever(load: str) -> Outcome:
    """A cantilever 4 m high above a back span of 2 m that hardly bends."""
    if load == "tip":
        return beam(L + 2, (L, L + 2), loads={0.0: P}, rigid_below=L)
    return beam(L + 2, (L, L + 2), q=(0.0, L, Q), rigid_below=L)


@cache
def propped() -> Outcome:
    """Propped at the head, fixed 4 m below, under a uniform load."""
    return beam(L + 2, (0.0, L, L + 2), q=(0.0, L, Q), rigid_below=L)


@cache
def two_spans() -> Outcome:
    return beam(2 * L, (0.0, L, 2 * L), q=(0.0, 2 * L, Q))


@cache
def overhang() -> Outcome:
    return beam(5.0, (2.0, 5.0), loads={0.0: P})


def spring(
    name: str,
    title: str,
    compute: Callable[[], float],
    expected: float,
    unit: str,
    tolerance: float,
    *,
    source: str = HETENYI,
    inputs: str = SPRINGS,
) -> Case:
    return Case(
        f"wall.staged-{name}", "wall", title, source, "formula", inputs, compute, expected,
        tolerance, unit, MESH,
    )  # fmt: skip


SUPPORTED = f"EI 50,000 kNm2, span {L:g} m, q {Q:g} kN/m or P 100 kN; supports of 1e9 kN/m"

CASES: tuple[Case, ...] = (
    spring("infinite-deflection", "infinite beam, deflection under the load",
           lambda: middle(40.0)[0], 1.40585, "mm", 1e-5),
    spring("infinite-moment", "infinite beam, moment under the load",
           lambda: middle(40.0)[1], 44.457, "kNm", 2e-5),
    spring("end-load-deflection", "load at a free end, deflection there",
           lambda: 1000 * float(semi_infinite().w[0, 0]), 5.62341, "mm", 1e-5),
    spring("end-load-moment", "load at a free end, largest moment",
           lambda: largest(semi_infinite()), 57.331, "kNm", 1e-4),
    spring("end-load-depth", "load at a free end, depth of the largest moment",
           lambda: depth_of_largest(semi_infinite()), 1.39666, "m", 1e-3),
    spring("end-load-rotation", "load at a free end, rotation there",
           lambda: float(semi_infinite().theta[0, 0]), -2 * LAMBDA**2 * P / K, "rad", 1e-5),
    spring("end-couple", "couple at a free end, deflection there",
           lambda: 1000 * float(couple().w[0, 0]), 1000 * (end(0) - end(0.1)), "mm", 1e-5,
           inputs=SPRINGS + " at the head, the same 0.1 m below in the other direction"),
    spring("end-couple-limit", "couple at a free end, moment 2 m below",
           lambda: float(abs(couple().M[0, couple().at(2.0)])),
           10 * exp(-2 * LAMBDA) * (cos(2 * LAMBDA) + sin(2 * LAMBDA)), "kNm", 1e-3,
           inputs="end moment 10 kNm, given as two forces 0.1 m apart"),
    *(
        spring(f"finite-{what}-{length:g}", f"beam of {length:g} m loaded at its middle, {what}",
               lambda length=length, at=at: middle(length)[at], value, unit, 5e-5)
        for length, y, M in (
            (2.0, 2.5494, 24.781), (4.0, 1.5857, 44.088), (6.0, 1.5324, 48.291),
            (10.0, 1.4406, 44.401),
        )
        for at, what, value, unit in ((0, "deflection", y, "mm"), (1, "moment", M, "kNm"))
    ),
    spring("finite-closed-form", "beam of 3.3 m loaded at its middle, deflection",
           lambda: middle(3.3)[0], closed_middle(3.3)[0], "mm", 1e-5),
    spring("growing-modulus-deflection", "modulus growing with depth, deflection of the head",
           lambda: 1000 * float(growing().w[0, 0]), 2435 * P * T_GROWING**3 / EI, "mm", 0.01,
           source=REESE, inputs="EI 50,000 kNm2, 5,000 kN/m3 times depth, P 100 kN at the head"),
    spring("growing-modulus-moment", "modulus growing with depth, largest moment",
           lambda: largest(growing()), 122.4, "kNm", 0.01,
           source=REESE, inputs="EI 50,000 kNm2, 5,000 kN/m3 times depth, P 100 kN at the head"),
    *(
        spring(name, title, compute, expected, unit, 3e-4, source=source, inputs=SUPPORTED)
        for name, title, compute, expected, unit, source in (
            ("cantilever-tip", "cantilever, load at its tip, deflection",
             lambda: 1000 * float(cantilever("tip").w[0, 0]), 1000 * P * L**3 / (3 * EI), "mm",
             STATICS),
            ("cantilever-tip-moment", "cantilever, load at its tip, moment",
             lambda: float(cantilever("tip").M[0, cantilever("tip").at(L)]), -P * L, "kNm",
             STATICS),
            ("cantilever-uniform", "cantilever, uniform load, deflection",
             lambda: 1000 * float(cantilever("uniform").w[0, 0]), 1000 * Q * L**4 / (8 * EI), "mm",
             STATICS),
            ("propped-reaction", "propped cantilever, uniform load, reaction of the prop",
             lambda: reaction(propped(), 0), 3 / 8 * Q * L, "kN", TABLES),
            ("propped-moment", "propped cantilever, uniform load, moment at the fixed end",
             lambda: float(propped().M[0, propped().at(L)]), -Q * L**2 / 8, "kNm", TABLES),
            ("propped-deflection", "propped cantilever, uniform load, deflection at mid-span",
             lambda: 1000 * float(propped().w[0, propped().at(L / 2)]),
             1000 * Q * L**4 / (192 * EI), "mm", STATICS),
            ("two-spans-reaction", "two equal spans, uniform load, reaction of the middle support",
             lambda: reaction(two_spans(), 1), 1.25 * Q * L, "kN", TABLES),
            ("two-spans-moment", "two equal spans, uniform load, moment over the support",
             lambda: float(two_spans().M[0, two_spans().at(L)]), -Q * L**2 / 8, "kNm", TABLES),
            ("two-spans-sagging", "two equal spans, uniform load, largest moment of the span",
             lambda: float(two_spans().M[0].max()), 9 / 128 * Q * L**2, "kNm", TABLES),
            ("overhang-tip", "beam with an overhang, load at its tip, deflection",
             lambda: 1000 * float(overhang().w[0, 0]), 1000 * P * 2**2 * 5 / (3 * EI), "mm",
             TABLES),
        )
    ),
)  # fmt: skip
