"""Limiting pressures by depth against worked examples of textbooks."""

from __future__ import annotations

from collections.abc import Callable

from backstay.cite import Provenance
from backstay.ground import Profile, profile
from backstay.pressure.diagram import Diagram, total
from backstay.pressure.lateral import (
    active_pressure,
    limit_diagram,
    undrained_active,
    undrained_passive,
)
from tests.unit.pressure.grounds import clay, sand, section
from tests.verification.catalogue import Case

DAS_7_1 = "Das, Principles of Foundation Engineering, example 7.1, p. 319"
DAS_9_3 = "Das, Principles of Foundation Engineering, example 9.3"
DAS_9_2 = "Das, Principles of Foundation Engineering, example 9.2, p. 426"
KIP_FT = 14.593902937206364
FT = 0.3048
KCF = 157.08746384624618


def case(
    name: str,
    title: str,
    source: str,
    provenance: Provenance,
    inputs: str,
    compute: Callable[[], float],
    expected: float,
    tolerance: float,
    unit: str,
    note: str = "",
) -> Case:
    return Case(
        f"pressure.{name}", "pressure", title, source, provenance, inputs, compute, expected,
        tolerance, unit, "", note,
    )  # fmt: skip


def _two_strata() -> Profile:
    return profile(
        section(sand(phi=30, gamma=16.0), sand(-3, phi=36, gamma=16.0, saturated_unit_weight=19.0),
                H=6.0, rows=(1.5, 3.5), water=3.0)
    )  # fmt: skip


def _free_earth() -> Profile:
    return profile(
        section(sand(phi=32, gamma=15.9, saturated_unit_weight=19.33), H=5.0, rows=(1.0,),
                ground={"water": {"retained": -2.0, "cut": -2.0}})
    )  # fmt: skip


def _cantilever() -> Profile:
    """Return Das PFE example 9.1 in kN and m: feet and kips converted."""
    moist = 0.12 * KCF
    wet = 0.067 * KCF + 9.81
    return profile(
        section(sand(phi=40, gamma=moist, saturated_unit_weight=wet), H=30 * FT, rows=(10 * FT,),
                ground={"water": {"retained": -10 * FT, "cut": -10 * FT}})
    )  # fmt: skip


def _net(g: Profile, to: float) -> Diagram:
    active = limit_diagram(g, "active", to=to)
    return total("net", [active, limit_diagram(g, "passive", to=to).scaled(-1.0)])


def _zero(g: Profile) -> float:
    """Return the depth below subgrade where the net pressure is nil (m)."""
    net = _net(g, g.H + 1.0)
    return net.at(g.H) / (net.at(g.H) - net.at(g.H + 1.0))


def _above_zero(g: Profile) -> Diagram:
    return _net(g, g.H + 2.0).clipped(0.0, g.H + _zero(g))


def _centroid(g: Profile) -> float:
    return g.H + _zero(g) - _above_zero(g).centroid()


def _over_clay() -> Profile:
    return profile(
        section(sand(phi=32, gamma=15.9, saturated_unit_weight=19.33),
                clay(-5, su=47.0, gamma=19.33), H=5.0, rows=(1.0,),
                ground={"water": {"retained": -2.0, "cut": -2.0}})
    )  # fmt: skip


CASES: tuple[Case, ...] = (
    case("das-7.1-above", "Active pressure above the interface", DAS_7_1, "published",
         "3 m of 16 kN/m3, phi 30", lambda: active_pressure(_two_strata(), 3.0, above=True), 16.0,
         1e-4, "kPa"),
    case("das-7.1-below", "Active pressure below the interface", DAS_7_1, "published",
         "3 m of 16 kN/m3 over phi 36", lambda: active_pressure(_two_strata(), 3.0), 12.48, 2e-3,
         "kPa", "The book rounds K_a to 0.26: exact 12.46."),
    case("das-7.1-base", "Effective active pressure at the base", DAS_7_1, "published",
         "3 m of 16 kN/m3, 3 m saturated (19 kN/m3 inferred), phi 36, water at 3 m",
         lambda: active_pressure(_two_strata(), 6.0), 19.65, 2e-3, "kPa"),
    case("das-9.3-zero", "Depth of nil net pressure", DAS_9_3, "published",
         "L1 2, L2 3 m, gamma 15.9, gamma_sat 19.33, phi 32 deg", lambda: _zero(_free_earth()),
         0.66, 3e-3, "m"),
    case("das-9.3-thrust", "Net thrust above nil pressure", DAS_9_3, "published", "the same",
         lambda: _above_zero(_free_earth()).resultant(), 58.38, 3e-3, "kN/m"),
    case("das-9.3-centroid", "Height of that thrust above nil pressure", DAS_9_3, "published",
         "the same", lambda: _centroid(_free_earth()), 2.23, 3e-3, "m"),
    case("das-9.1-zero", "Depth of nil net pressure",
         "Das, Principles of Foundation Engineering, example 9.1", "published",
         "L1 10, L2 20 ft, gamma 0.12, gamma' 0.067 kcf, phi 40 deg",
         lambda: _zero(_cantilever()) / FT, 1.88, 3e-3, "ft"),
    case("das-9.1-thrust", "Net thrust above nil pressure",
         "Das, Principles of Foundation Engineering, example 9.1", "published", "the same",
         lambda: _above_zero(_cantilever()).resultant() / KIP_FT, 9.96, 3e-3, "kip/ft"),
    case("das-9.1-centroid", "Height of that thrust above nil pressure",
         "Das, Principles of Foundation Engineering, example 9.1", "published", "the same",
         lambda: _centroid(_cantilever()) / FT, 12.1, 3e-3, "ft"),
    case("das-9.2-thrust", "Active thrust above a clay toe", DAS_9_2, "published",
         "L1 2, L2 3 m, gamma 15.9, gamma_sat 19.33, phi 32 deg",
         lambda: limit_diagram(_over_clay(), "active", to=5.0).resultant(), 52.25, 3e-3, "kN/m"),
    case("das-9.2-centroid", "Height of that thrust above subgrade", DAS_9_2, "published",
         "the same", lambda: 5.0 - limit_diagram(_over_clay(), "active", to=5.0).centroid(), 1.78,
         3e-3, "m"),
    case("das-9.2-net", "Net pressure in the clay toe, tension behind counted", DAS_9_2, "published",
         "the same, c 47 kPa, free water 3 m deep in front; total stresses",
         lambda: undrained_passive(3 * 9.81, 47.0) - undrained_active(
             _over_clay().total_stress(5.0), 47.0), 127.4, 3e-3, "kPa",
         "4 c less the effective weight behind: exact 127.64."),
)  # fmt: skip
