"""Safety of given surfaces in layers, water, cracks and earthquakes, against a second method.

The second method (slip_spencer) shares nothing with the program but the theory: 400 thin slices,
resultants of the side forces as unknowns, solved by scipy.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import cos, radians, sin, sqrt, tan
from typing import Any

import numpy as np

from backstay.cite import Provenance
from backstay.stability.slip import (
    AnchorForce,
    PressureGrid,
    SlipModel,
    analyse_circle,
    analyse_surface,
)
from tests.verification.cases_slip_prescribed import CIRCLE, GROUND, endless, slope
from tests.verification.catalogue import Case
from tests.verification.slip_spencer import Line, Section, arc, at, spencer

SPENCER = "Spencer 1967 for thin slices, resultants of side forces, solved by scipy"
BUOYANT = "Archimedes: a slope under water weighs what it weighs less its water"
WHY = "50 slices against 400"
LEFT, RIGHT = 6.0 - sqrt(373.0 - 18.0**2), 6.0 + sqrt(373.0 - 8.0**2)
LINE: Line = [(float(x), float(y)) for x, y in GROUND]
ONE = Section(LINE, [(LINE, 18.0, 10.0, radians(30.0))])

# --- three layers, as ACADS 1(c), on a circle of our own ---------------------------------------------
TOPS: tuple[Line, ...] = (
    [(20.0, 25.0), (30.0, 25.0), (50.0, 35.0), (70.0, 35.0)],
    [(20.0, 25.0), (30.0, 25.0), (40.0, 27.0), (50.0, 29.0), (54.0, 31.0), (70.0, 31.0)],
    [(20.0, 25.0), (30.0, 25.0), (40.0, 27.0), (52.0, 24.0), (70.0, 24.0)],
)
SOILS = ((19.5, 0.0, 38.0), (19.5, 5.3, 23.0), (19.5, 7.2, 20.0))
LAYERED = Section(TOPS[0], [(top, g, c, radians(phi)) for top, (g, c, phi) in zip(TOPS, SOILS, strict=True)])  # fmt: skip
ROUND = (36.0, 44.0, sqrt(36.0 + 19.0**2))
END = 36.0 + sqrt(ROUND[2] ** 2 - 81.0)
TABLE: Line = [(20.0, 25.0), (30.0, 25.0), (45.0, 28.5), (70.0, 30.0)]
SEAM: Line = [(20.0, 27.75), (43.0, 27.75), (67.5, 40.0), (84.0, 40.0)]
BLOCK: Line = [(40.0, 27.75), (43.0, 26.6), (61.0, 26.6), (73.0, 40.0)]
KRAHN: Line = [(-220.0, 20.0), (-140.0, 20.0), (-60.0, 60.0), (20.0, 60.0)]
FLOOR = 15.0
"""Level of the floor that the circle runs along (ft)."""


def model(section: Section, **more: Any) -> SlipModel:
    """Return the same section for the program."""
    layers = section.layers
    given: dict[str, Any] = {
        "surface": np.array(section.ground),
        "tops": tuple(np.array(top) for top, *_ in layers[1:]),
        "gamma": np.array([la[1] for la in layers]),
        "c": np.array([la[2] for la in layers]),
        "phi": np.array([la[3] for la in layers]),
        "water": np.array(section.water) if section.water else None,
        "gamma_w": section.gamma_w,
        "ru": np.full(len(layers), section.ru),
        "kh": section.kh,
    }
    return SlipModel(**(given | more))


def layered(**more: Any) -> tuple[float, float]:
    """Return F of the circle in three layers: of the program, of the second method."""
    section = replace(LAYERED, **more)
    return analyse_circle(model(section), ROUND).F, spencer(section, arc(*ROUND), 30.0, END)[0]


def seamed() -> tuple[float, float]:
    flat = [[(20.0, y), (84.0, y)] for y in (27.0, 26.5)]
    tops = (SEAM, *flat)
    strength = ((28.5, 20.0), (0.0, 10.0), (28.5, 20.0))
    section = Section(
        SEAM, [(top, 18.84, c, radians(phi)) for top, (c, phi) in zip(tops, strength, strict=True)]
    )
    ours = analyse_surface(model(section), np.array(BLOCK)).F
    return ours, spencer(section, lambda x: at(BLOCK, x), 40.0, 73.0, n=1200)[0]


def pond(level: float) -> tuple[float, float]:
    """Return F of the circle with water standing to a level, and flowing from as high behind."""
    x = 1.5 * level
    water = [(-30.0, level), (x, level), (15.0, level + 1.0), (50.0, level + 2.0)]
    section = replace(ONE, water=water, standing=level)
    ours = analyse_circle(model(section), CIRCLE).F
    return ours, spencer(section, arc(*CIRCLE), LEFT, RIGHT, n=2000)[0]


def cracked() -> tuple[float, float]:
    """Return F of the circle that ends in a crack 2 m deep, half full."""
    right = 6.0 + sqrt(373.0 - 100.0)
    ours = analyse_circle(model(ONE, crack=2.0, crack_water=0.5), CIRCLE).F
    return ours, spencer(replace(ONE, crack_water=1.0), arc(*CIRCLE), LEFT, right)[0]


def anchored() -> tuple[float, float]:
    """Return F of the circle with one row, its force on the base where the surface cuts it."""
    t = radians(15.0)
    x, y = 7.5 - CIRCLE[0], 5.0 - CIRCLE[1]
    b = x * cos(t) - y * sin(t)
    s = -b + sqrt(b * b - (x * x + y * y - CIRCLE[2] ** 2))
    force = (7.5 + s * cos(t), 5.0 - s * sin(t), 100.0 * cos(t), -100.0 * sin(t))
    row = AnchorForce(x=7.5, y=5.0, dx=cos(t), dy=-sin(t), total=100.0)
    ours = analyse_circle(model(ONE, anchors=(row,)), CIRCLE).F
    return ours, spencer(replace(ONE, forces=[force]), arc(*CIRCLE), LEFT, RIGHT, n=2000)[0]


def deepening() -> tuple[float, float]:
    """Return F in clay whose strength grows by 3 kPa/m from 12 kPa at the crest."""
    ours = analyse_circle(
        slope(su=12.0, su_gradient=np.array([3.0]), su_datum=np.array([10.0])), CIRCLE
    ).F
    section = replace(ONE, su=lambda y: 12.0 + 3.0 * (10.0 - y))
    return ours, spencer(section, arc(*CIRCLE), LEFT, RIGHT)[0]


def on_floor(ru: float) -> tuple[float, float]:
    """Return F of a circle that runs along the floor of a weak layer 0.5 ft thick (ft, pcf, psf)."""
    tops = (KRAHN, [(-220.0, FLOOR + 0.5), (20.0, FLOOR + 0.5)], [(-220.0, FLOOR), (20.0, FLOOR)])
    strength = ((600.0, 20.0), (0.0, 10.0), (0.0, 10.0))
    section = Section(
        KRAHN, [(top, 120.0, c, radians(phi)) for top, (c, phi) in zip(tops, strength, strict=True)],
        gamma_w=62.4, ru=ru,
    )  # fmt: skip
    hard = model(section, impenetrable=np.array([False, False, True]))
    circle = (-120.0, 90.0, 80.0)
    x1, x2 = -120.0 - sqrt(6400.0 - 4900.0), -120.0 + sqrt(6400.0 - 900.0)
    ours = analyse_circle(hard, circle, slices=100).F
    return ours, spencer(section, lambda x: max(arc(*circle)(x), FLOOR), x1, x2, n=2000)[0]


def under_water() -> float:
    """Return F of a slope far under water, of saturated unit weight 19."""
    deep = slope(gamma=19.0, c=4.0, phi=28.0, water=np.array([(-30.0, 25.0), (50.0, 25.0)]))
    return analyse_circle(deep, CIRCLE).F


def buoyant() -> float:
    section = Section(LINE, [(LINE, 19.0 - 9.81, 4.0, radians(28.0))])
    return spencer(section, arc(*CIRCLE), LEFT, RIGHT)[0]


def seepage_grid() -> float:
    """Return F of a block of an endless slope with seepage along it, by a grid of pore pressure."""
    z, beta = 3.0, radians(20.0)
    x, y = np.linspace(-20.0, 60.0, 9), np.linspace(-20.0, 40.0, 13)
    face = z + x[None, :] * tan(beta)
    u = 9.81 * (face - y[:, None]) * cos(beta) ** 2
    return endless(z, 20.0, gamma=20.0, c=5.0, phi=30.0, grid=PressureGrid(x=x, y=y, u=u))


def case(name: str, title: str, inputs: str, both: Callable[[], tuple[float, float]],
         tolerance: float = 0.002, why: str = WHY, note: str = "") -> Case:  # fmt: skip
    """Return a case of a pair: of the program, of the second method."""
    return Case(f"stability.slip-{name}", "stability", f"Factor of safety, {title}", SPENCER, "formula",
                inputs, lambda: both()[0], both()[1], tolerance, "-", why, note)  # fmt: skip


def plain(name: str, title: str, source: str, inputs: str, compute: Callable[[], float],
          expected: float, tolerance: float, provenance: Provenance = "formula") -> Case:  # fmt: skip
    return Case(f"stability.slip-{name}", "stability", f"Factor of safety, {title}", source, provenance,
                inputs, compute, expected, tolerance, "-", WHY)  # fmt: skip


_FIXED = "ground (-30,0)(0,0)(15,10)(50,10), centre (6,18), R sqrt(373), gamma 18, c 10, phi 30"
_THREE = "three layers as ACADS 1(c), circle through (30,25), centre (36,44)"

CASES: tuple[Case, ...] = (
    case("layers", "circle in three layers", _THREE, layered),
    case("layers-earthquake", "circle in three layers, kh 0.15", _THREE, lambda: layered(kh=0.15)),
    case("layers-water", "circle in three layers, water table", f"{_THREE}; table {TABLE}",
         lambda: layered(water=TABLE)),
    case("layers-ru", "circle in three layers, ru 0.2", _THREE, lambda: layered(ru=0.2)),
    case("seam", "block on a weak seam", f"ACADS 3(a); surface {BLOCK}", seamed, 0.003),
    case("pond", "circle under standing water", f"{_FIXED}; water 4 m above the toe, rising behind",
         lambda: pond(4.0), 0.003),
    case("crack-half-drained", "circle with a crack 2 m deep, half full", _FIXED, cracked, 0.003),
    case("anchored-second", "circle with an anchor", f"{_FIXED}; 100 kN/m from (7.5, 5) at 15 deg",
         anchored, 0.003),
    case("deepening-clay", "circle in clay, strength with depth", "su 12 + 3 (10 - y)", deepening),
    case("floor", "circle on the floor of a weak layer",
         "2:1, H 40 ft, gamma 120 pcf, c 600 psf, phi 20; layer of c 0, phi 10", lambda: on_floor(0.0),
         0.003, note="A published comparison with such a layer (Fredlund and Krahn 1977, from memory) "
         "gives 1.38; its level is not remembered, and ours is chosen."),
    case("floor-ru", "circle on the floor of a weak layer, ru 0.25",
         "2:1, H 40 ft, gamma 120 pcf, c 600 psf, phi 20; layer of c 0, phi 10", lambda: on_floor(0.25),
         0.003),
    plain("under-water", "slope under water", BUOYANT, f"{_FIXED}, but gamma_sat 19, c 4, phi 28",
          under_water, buoyant(), 0.002),
    plain("seepage-grid", "endless slope, seepage along it, pore pressure from a grid",
          "equilibrium of a block on a plane", "c 5, phi 30, gamma 20, z 3, 20 deg", seepage_grid,
          1.0675, 5e-5),
)  # fmt: skip
