"""Surcharges on the wall, against closed forms and numerical integration; water; trial wedges."""

from __future__ import annotations

from collections.abc import Callable
from math import atan, cos, pi, radians, tan
from typing import Any

import numpy as np

from backstay.cite import Provenance
from backstay.ground import GAMMA_W, Profile, profile
from backstay.pressure.coulomb import coulomb_active, coulomb_passive
from backstay.pressure.earthquake import seismic_active, seismic_angle
from backstay.pressure.rankine import rankine_active
from backstay.pressure.surcharge import (
    corner_influence,
    footing_pressure,
    strip_pressure,
    surcharge_diagram,
)
from backstay.pressure.water import WaterState, net_water_diagram
from backstay.pressure.wedge import active_wedge, passive_wedge
from tests.unit.pressure.grounds import clay, sand, section
from tests.verification.catalogue import Case

STRIP = "Boussinesq 1885 (elastic strip), doubled for a rigid wall; recomputed from the formula"
DM7 = "NAVFAC DM-7.02 (1986), figure 11, horizontal pressures on rigid wall"
AREA = "straight pieces: the area is asked for within 0.5 %"
r = radians


def case(
    name: str,
    title: str,
    source: str,
    provenance: Provenance,
    inputs: str,
    compute: Callable[[], float],
    expected: float,
    tolerance: float,
    unit: str = "",
    *,
    reason: str = "",
    note: str = "",
) -> Case:
    return Case(
        f"pressure.{name}", "pressure", title, source, provenance, inputs, compute, expected,
        tolerance, unit, reason, note,
    )  # fmt: skip


def area(load: dict[str, Any], H: float) -> float:
    """Return the area of the diagram of one load on a wall of height H."""
    s = section(sand(), H=H, rows=(H / 4, H / 2), surcharges=[{"name": "load", **load}])
    return surcharge_diagram(s.surcharges[0], s, profile(s)).resultant()


def _strip() -> tuple[Case, ...]:
    inputs = "q 100 kPa, near edge 1 m from the wall, 2 m wide"
    found = [
        case(f"strip-at-{z:g}", "Pressure of a strip on a rigid wall", STRIP, "formula",
             f"{inputs}, depth {z:g} m", lambda z=z: strip_pressure(100, z, 1, 3), expected, 3e-4,
             "kPa")
        for z, expected in (
            (0.5, 34.144), (1, 42.249), (2, 29.132), (3, 16.784), (4, 9.792), (6, 3.862),
            (8, 1.829),
        )
    ]  # fmt: skip
    load = {"kind": "strip", "pressure": 100.0, "distance": 1.0, "width": 2.0}
    found += [
        case("strip-resultant-6", "Thrust of a strip over 6 m", STRIP, "formula",
             f"{inputs}, height 6 m", lambda: area(load, 6.0), 114.018, 5e-3, "kN/m", note=AREA),
        case("strip-angles", "Thrust of a strip over the height, in angles",
             "Jarquio 1981, total lateral surcharge pressure of a strip: 2 q H (t2 - t1) / pi,"
             " angles at the foot of the wall", "formula", f"{inputs}, height 6 m",
             lambda: area(load, 6.0), 200 * 6 / pi * (atan(3 / 6) - atan(1 / 6)), 5e-3, "kN/m",
             note=AREA),
        case("strip-half-plane", "A strip without end presses with the whole load",
             "limit of the elastic strip, doubled", "formula", "from 0 to 1e6 m, depth 3 m",
             lambda: strip_pressure(50, 3, 0, 1e6), 50.0, 1e-4, "kPa"),
    ]  # fmt: skip
    return tuple(found)


def _line_and_point() -> tuple[Case, ...]:
    def line(x: float) -> dict[str, Any]:
        return {"kind": "line", "load": 80.0, "distance": x}

    def point(x: float) -> dict[str, Any]:
        return {"kind": "point", "load": 300.0, "distance": x}

    z = np.linspace(0.0, 1.0, 20001)
    near = float(np.trapezoid(0.28 * z**2 / (0.16 + z**2) ** 3, z))
    far = float(np.trapezoid(1.77 * 0.36 * z**2 / (0.36 + z**2) ** 3, z))
    return (
        case("line-far", "Thrust of a line load, m > 0.4", DM7, "memory",
             "Q 80 kN/m, x 6 m, H 10 m: 0.64 Q / (m^2 + 1)", lambda: area(line(6.0), 10.0),
             0.64 * 80 / 1.36, 5e-3, "kN/m", note=AREA),
        case("line-far-2", "Thrust of a line load, m > 0.4", DM7, "memory",
             "Q 80 kN/m, x 9 m, H 10 m: 0.64 Q / (m^2 + 1)", lambda: area(line(9.0), 10.0),
             0.64 * 80 / 1.81, 5e-3, "kN/m", note=AREA),
        case("line-near", "Thrust of a line load, m <= 0.4", DM7, "memory",
             "Q 80 kN/m, x 2 m, H 10 m: 0.55 Q", lambda: area(line(2.0), 10.0), 0.55 * 80, 0.01,
             "kN/m", note="The form itself integrates to 0.547 Q."),
        case("point-near", "Area of the diagram of a point load, m <= 0.4", DM7, "memory",
             "Q 300 kN, x 3 m, H 10 m, by the trapezoidal rule on 20,000 pieces",
             lambda: area(point(3.0), 10.0), 30 * near, 5e-3, "kN/m", note=AREA),
        case("point-far", "Area of the diagram of a point load, m > 0.4", DM7, "memory",
             "Q 300 kN, x 6 m, H 10 m, by the trapezoidal rule on 20,000 pieces",
             lambda: area(point(6.0), 10.0), 30 * far, 5e-3, "kN/m", note=AREA),
    )  # fmt: skip


def integrated_footing(
    q: float, z: float, a: float, b: float, L: float, pieces: int = 200
) -> float:
    """Return twice the sum of Boussinesq's point loads (Poisson's ratio 0.5) over a footing."""
    x = a + (np.arange(pieces) + 0.5) * (b - a) / pieces
    y = -L / 2 + (np.arange(pieces) + 0.5) * L / pieces
    X, Y = np.meshgrid(x, y)
    R = np.sqrt(X**2 + Y**2 + z**2)
    return float(np.sum(2 * q * 3 * X**2 * z / (2 * pi * R**5)) * (b - a) * L / pieces**2)


def _footing() -> tuple[Case, ...]:
    source = "sum of Boussinesq point loads over the footing, 40,000 of them, doubled"
    return (
        *(case(f"footing-at-{z:g}", "Pressure of a footing on a rigid wall", source, "formula",
               f"q 150 kPa, from 1.5 to 3.5 m, 4 m along the wall, depth {z:g} m",
               lambda z=z: footing_pressure(150, z, 1.5, 3.5, 4),
               integrated_footing(150, z, 1.5, 3.5, 4), 1e-3, "kPa")
          for z in (0.5, 1.0, 2.0, 4.0, 8.0)),
        case("footing-long", "A footing without end is a strip", STRIP, "formula",
             "q 100 kPa, from 1 to 3 m, 10 km long, depth 2 m",
             lambda: footing_pressure(100, 2, 1, 3, 1e4), 29.132, 1e-4, "kPa"),
        case("corner-under-middle", "Corner influence of a quarter plane",
             "a quarter of the uniform half-space, horizontal stress q at Poisson's ratio 0.5",
             "formula", "x = y = 1e6 m, depth 1 m", lambda: corner_influence(1e6, 1e6, 1.0), 0.25,
             1e-4),
    )  # fmt: skip


def _uniform() -> tuple[Case, ...]:
    def two_layers() -> float:
        s = section(sand(phi=30), clay(-4), H=10.0,
                    surcharges=[{"kind": "uniform", "name": "q", "pressure": 20.0}])  # fmt: skip
        return surcharge_diagram(s.surcharges[0], s, profile(s)).resultant()

    return (
        case("uniform-layers", "Thrust of a uniform load, sand over soft clay",
             "q K_a in sand, q in soft clay", "formula",
             "q 20 kPa; 4 m of sand, phi 30; 6 m of soft clay", two_layers,
             20 * 4 / 3 + 20 * 6, 1e-9, "kN/m"),
        case("smith-surcharge", "Thrust of sand with surcharge, trial wedge",
             "Smith, Elements of Soil Mechanics, chapter 6 (inputs read, result recomputed)",
             "formula", "H 6 m, gamma 20, phi 20 deg, surcharge 50 kPa",
             lambda: _wedge({"phi": 20.0, "gamma": 20.0}, 6.0, q=50.0), 323.6, 5e-4, "kN/m"),
    )  # fmt: skip


def _ground(stratum: dict[str, Any], *, slope: float = 0.0, water: float | None = None) -> Profile:
    more = {"slope": f"{slope:g} deg"} if slope else {}
    return profile(section(sand(**stratum), H=20.0, water=water, ground=more))


def _wedge(
    stratum: dict[str, Any],
    height: float,
    *,
    delta: float = 0.0,
    slope: float = 0.0,
    q: float = 0.0,
    water: float | None = None,
    kh: float = 0.0,
    kv: float = 0.0,
) -> float:
    loads = [{"kind": "uniform", "name": "q", "pressure": q}] if q else []
    s = section(sand(**stratum), H=20.0, surcharges=loads)
    return active_wedge(
        _ground(stratum, slope=slope, water=water), z_base=height, delta=r(delta), kh=kh, kv=kv,
        surcharges=s.surcharges,
    ).thrust  # fmt: skip


def _wedges() -> tuple[Case, ...]:
    coulomb = "Coulomb 1776; Mueller-Breslau 1906, closed form"
    das = "Das, Principles of Foundation Engineering, example 7.1, p. 319"
    two = profile(
        section(sand(phi=30, gamma=16.0), sand(-3, phi=36, gamma=16.0, saturated_unit_weight=19.0),
                H=6.0, rows=(1.5, 3.5), water=3.0)
    )  # fmt: skip
    K = rankine_active(r(26))
    crack = 2 * 14.36 / (17.4 * K**0.5)
    ground = profile(section(sand(phi=30), H=6.0, rows=(1.5, 3.5)))
    return (
        case("wedge-rankine", "Trial wedge of level sand, smooth wall", "Rankine 1857", "formula",
             "phi 32, gamma 18, H 10 m", lambda: _wedge({}, 10.0), 900 * rankine_active(r(32)),
             1e-7, "kN/m"),
        case("wedge-coulomb-38-20-20", "Trial wedge of sloping sand, rough wall",
             "problem 7.2 of lecture notes of Athanasopoulos 2021 (inputs read); recomputed",
             "formula", "phi 38, delta 20, slope 20 deg, gamma 18, H 6 m: 89.72 kN/m inclined",
             lambda: _wedge({"phi": 38.0}, 6.0, delta=20, slope=20) / cos(r(20)), 89.72, 5e-4,
             "kN/m"),
        case("wedge-coulomb-rough", "Trial wedge of level sand, rough wall", coulomb, "formula",
             "phi 32, delta 16, gamma 18, H 10 m", lambda: _wedge({}, 10.0, delta=16),
             900 * coulomb_active(r(32), r(16), 0, 0) * cos(r(16)), 1e-7, "kN/m"),
        case("wedge-falling", "Trial wedge of ground that falls away", coulomb, "formula",
             "phi 32, delta 16, slope -10 deg, gamma 18, H 10 m",
             lambda: _wedge({}, 10.0, delta=16, slope=-10),
             900 * coulomb_active(r(32), r(16), 0, r(-10)) * cos(r(16)), 1e-7, "kN/m"),
        case("wedge-mononobe-okabe", "Trial wedge with earthquake", "Okabe 1926; Mononobe 1929",
             "formula", "phi 32, delta 16, slope 5 deg, kh 0.15, kv 0.05, gamma 18, H 10 m",
             lambda: _wedge({}, 10.0, delta=16, slope=5, kh=0.15, kv=0.05),
             900 * 0.95 * seismic_active(r(32), r(16), 0, r(5), seismic_angle(0.15, 0.05))
             * cos(r(16)), 1e-7, "kN/m"),
        case("wedge-c-phi-crack", "Trial wedge of c-phi ground, crack open",
             "Das, Principles of Foundation Engineering (published 38.32 kN/m)", "published",
             "c 14.36 kPa, gamma 17.4, phi 26 deg, H 6 m",
             lambda: _wedge({"phi": 26.0, "gamma": 17.4, "cohesion": 14.36}, 6.0), 38.32, 2e-3,
             "kN/m"),
        case("wedge-c-phi-closed", "Trial wedge of c-phi ground, crack open",
             "Bell 1915, below the crack", "formula",
             "c 14.36 kPa, gamma 17.4, phi 26 deg, H 6 m",
             lambda: _wedge({"phi": 26.0, "gamma": 17.4, "cohesion": 14.36}, 6.0),
             0.5 * K * 17.4 * (6 - crack) ** 2, 1e-6, "kN/m"),
        case("wedge-clay-crack", "Trial wedge of clay, undrained, crack open",
             "Das, Principles of Geotechnical Engineering (published 189.1 kN/m)", "published",
             "gamma 16.5, cu 10 kPa, H 6 m",
             lambda: active_wedge(profile(section(clay(su=10.0, gamma=16.5), H=20.0)), z_base=6.0,
                                  strength="undrained").thrust, 189.1, 1e-3, "kN/m"),
        case("wedge-submerged", "Trial wedge below water", "Rankine with buoyant weight",
             "formula", "phi 32, gamma_sat 20, water at the surface, H 10 m",
             lambda: _wedge({}, 10.0, water=0.0), 50 * (20 - GAMMA_W) * rankine_active(r(32)),
             1e-7, "kN/m"),
        case("two-layers-das", "Trial wedge of two strata and water with the water's thrust", das,
             "formula", "3 m of 16 kN/m3, phi 30; 3 m of 19 kN/m3 (saturated), phi 36, water at 3 m",
             lambda: active_wedge(two, z_base=6.0).thrust + GAMMA_W * 4.5, 116.34, 5e-3, "kN/m",
             note="Sum of the published pressures, 116.34 kN/m; one plane through both strata pushes"
             " a little less. The saturated weight is inferred from the printed 19.65 kPa."),
        case("passive-wedge-rankine", "Passive trial wedge, smooth wall", "Rankine 1857",
             "formula", "phi 30, gamma 18, 2 m", lambda: passive_wedge(ground, z_base=8.0).resistance,
             0.5 * 18 * 4 * 3.0, 1e-7, "kN/m"),
        case("passive-wedge-coulomb", "Passive trial wedge, rough wall", coulomb, "formula",
             "phi 30, delta 10 deg, gamma 18, 2 m",
             lambda: passive_wedge(ground, z_base=8.0, delta=r(10)).resistance,
             0.5 * 18 * 4 * coulomb_passive(r(30), r(10), 0, 0) * cos(r(10)), 1e-7, "kN/m"),
        case("passive-wedge-cohesion", "Passive trial wedge with cohesion", "Bell 1915",
             "formula", "phi 25, c 8 kPa, gamma 18, 3 m",
             lambda: passive_wedge(
                 profile(section(sand(phi=25, cohesion=8.0), H=6.0, rows=(1.5, 3.5))), z_base=9.0
             ).resistance,
             0.5 * 18 * 9 * tan(r(57.5)) ** 2 + 2 * 8 * tan(r(57.5)) * 3, 1e-7, "kN/m"),
    )  # fmt: skip


def _water() -> tuple[Case, ...]:
    def ground(flow: str, **water: float) -> Profile:
        levels = {"retained": -2.0, "flow": flow, **{k: -v for k, v in water.items()}}
        return profile(section(sand(), H=8.0, rows=(2.0, 5.0), ground={"water": levels}))

    seeping, still, flooded = ground("seepage"), ground("hydrostatic"), ground("seepage", cut=7.0)
    i = 6 / (2 * 12 - 2 - 8)

    def head(g: Profile, z: float, side: Any, bed: float | None = None) -> float:
        return WaterState(g, 12.0, bed).pressure(z, side)

    return (
        case("water-at-rest", "Thrust of water at rest above subgrade", "hydrostatics", "formula",
             "water at 2 m, cut 8 m deep", lambda: net_water_diagram(still).resultant(),
             GAMMA_W * 18, 1e-9, "kN/m"),
        case("water-net-below", "Net water at rest below subgrade", "hydrostatics", "formula",
             "water at 2 m and 8 m, down to 12 m",
             lambda: net_water_diagram(still, to=12.0).at(12.0), GAMMA_W * 6, 1e-9, "kPa"),
        case("seepage-toe", "Pore pressure at the toe, seepage, head lost evenly",
             "2 (z_t - z_w)(z_t - z_j) gamma_w / (2 z_t - z_w - z_j), in most foundation books",
             "formula", "water at 2 m and 8 m, toe at 12 m", lambda: head(seeping, 12.0, "retained"),
             2 * 10 * 4 * GAMMA_W / 14, 1e-9, "kPa"),
        case("seepage-toe-front", "The same from the side of the cut",
             "continuity of pressure at the toe", "formula", "water at 2 m and 8 m, toe at 12 m",
             lambda: head(seeping, 12.0, "cut"), 2 * 10 * 4 * GAMMA_W / 14, 1e-9, "kPa"),
        case("seepage-subgrade", "Net water pressure at subgrade, seepage", "linear loss of head",
             "formula", "water at 2 m and 8 m, toe at 12 m",
             lambda: net_water_diagram(seeping, toe=12.0).at(8.0), GAMMA_W * 6 * (1 - i), 1e-9,
             "kPa"),
        case("seepage-flooded-toe", "Pore pressure at the toe, flooded cut, both sides equal",
             "continuity of pressure at the toe", "formula",
             "water at 2 m and 7 m, ground in the cut at 8 m, toe at 12 m",
             lambda: head(flooded, 12.0, "retained", 8.0) / head(flooded, 12.0, "cut", 8.0), 1.0,
             1e-9),
        case("seepage-flooded-value", "Pore pressure at the toe, flooded cut",
             "head 5 m lost over a path of 14 m", "formula",
             "water at 2 m and 7 m, ground in the cut at 8 m, toe at 12 m",
             lambda: head(flooded, 12.0, "retained", 8.0), GAMMA_W * 10 * (1 - 5 / 14), 1e-9,
             "kPa"),
    )  # fmt: skip


CASES: tuple[Case, ...] = (
    *_strip(), *_line_and_point(), *_footing(), *_uniform(), *_wedges(), *_water(),
)  # fmt: skip
