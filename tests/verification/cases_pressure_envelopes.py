"""Design envelopes: sand, stiff and soft clay, the yielding base, total load by the wedge."""

from __future__ import annotations

from math import cos, radians, sin, sqrt, tan
from typing import Any

from backstay.basis import basis
from backstay.ground import profile
from backstay.model.project import Service
from backstay.pressure import DesignPressures, design_pressures
from backstay.pressure.diagram import Diagram
from backstay.pressure.envelopes.henkel import deepest_surface, henkel_coefficient
from backstay.pressure.envelopes.soft_clay import peck_coefficient, soft_clay_ordinate
from backstay.pressure.envelopes.trapezoid import soft_shape, trapezoid
from backstay.pressure.increment import earthquake_diagram
from backstay.pressure.rankine import rankine_active
from backstay.pressure.stability_number import stability_number
from tests.unit.pressure.grounds import PERMANENT, TEMPORARY, clay, sand, section
from tests.verification.catalogue import Case

_FHWA = "FHWA-IF-99-015 (1999), section 5.2; AASHTO LRFD 3.11.5.7"
_HENKEL = "Henkel 1971, in FHWA-IF-99-015 section 5.2 and AASHTO LRFD 3.11.5.7.2b"
_DAS = "Das, Principles of Foundation Engineering"
_PRINTED = "printed to four digits"
_ROUNDED = "value stated to four or five digits"
_RULES = basis("FHWA-IF-99-015")


def _design(*strata: dict[str, Any], life: Service = TEMPORARY, **more: Any) -> DesignPressures:
    s = section(*strata, **more)
    return design_pressures(s, profile(s), life, _RULES)


def _one_row() -> DesignPressures:
    return _design(sand(phi=32.0, gamma=18.0), H=7.6, rows=(2.7,))


def _two_rows() -> DesignPressures:
    return _design(sand(phi=33.0, gamma=18.0), H=10.0, rows=(2.5, 6.25))


def _braced_sand_pressure() -> float:
    """Return the uniform ordinate of Das example 10.2, 0.65 K_a gamma H, with the book's K_a."""
    uniform = Diagram(
        "Peck, sand", (0.0, 9.0), (0.65 * round(rankine_active(radians(35)), 3) * 153.0,) * 2
    )
    return uniform.resultant() / 9.0


def _case(
    name: str, title: str, source: str, inputs: str, compute: Any, expected: float, unit: str,
    *, provenance: Any = "formula", tolerance: float = 1e-4, reason: str = _ROUNDED, note: str = "",
) -> Case:  # fmt: skip
    return Case(
        f"pressure.{name}", "pressure", title, source, provenance, inputs, compute, expected,
        tolerance, unit, reason, note,
    )  # fmt: skip


_ONE = "sand, gamma 18 kN/m3, phi 32 deg, H 7.6 m, one row at 2.7 m"
_TWO = "sand, gamma 18 kN/m3, phi 33 deg, H 10 m, rows at 2.5 and 6.25 m"
_SOFT = "gamma 18 kN/m3, H 10 m, su 25 kPa"


def _henkel(d: float, sub: float) -> float:
    return henkel_coefficient(25.0, 18.0, 10.0, d, sub)


def _wet_sand_total() -> float:
    return _design(sand(phi=30.0, gamma=18.0), water=4.0).envelope.total_load


def _wet_sand_expected() -> float:
    # effective vertical stress 72 kPa at 4 m, 72 + 10.19 * 6 at 10 m, by hand
    force = 72 * 4 / 2 + (72 + 72 + (20 - 9.81) * 6) / 2 * 6
    return 1.3 / 3 * force


def _sloping_expected() -> float:
    """Coulomb with a smooth wall and sloping ground, written out: the wedge's closed form."""
    phi, beta = radians(32), radians(15)
    root = sqrt(sin(phi) * sin(phi - beta) / cos(beta))
    return 1.3 * cos(phi) ** 2 / (1 + root) ** 2 * 18 * 100 / 2


def _layered_expected() -> float:
    """Undrained clay over its whole height and level: 1/2 gamma H^2 - 2 su H with an open crack."""
    crack = 2 * 30 / 18
    return 1.3 * 18 * (10 - crack) ** 2 / 2


CASES: tuple[Case, ...] = (
    _case("sand-one-row-ka", "active coefficient of the sand envelope", _FHWA, _ONE,
          lambda: rankine_active(radians(32)), 0.30726, "-", tolerance=2e-5),
    _case("sand-one-row-total", "total load, one row", _FHWA, _ONE,
          lambda: _one_row().envelope.total_load, 207.64, "kN/m", tolerance=5e-5),
    _case("sand-one-row-ordinate", "largest ordinate, one row", _FHWA, _ONE,
          lambda: _one_row().envelope.p, 40.982, "kPa", tolerance=2e-5),
    _case("sand-one-row-area", "area of the diagram, one row", "geometry", _ONE,
          lambda: _one_row().envelope.diagram.resultant(), 207.64, "kN/m", tolerance=5e-5),
    _case("sand-two-rows-ka", "active coefficient of the sand envelope", _FHWA, _TWO,
          lambda: rankine_active(radians(33)), 0.29480, "-", tolerance=2e-5),
    _case("sand-two-rows-total", "total load, two rows", _FHWA, _TWO,
          lambda: _two_rows().envelope.total_load, 344.92, "kN/m", tolerance=2e-5),
    _case("sand-two-rows-ordinate", "largest ordinate, two rows", _FHWA, _TWO,
          lambda: _two_rows().envelope.p, 43.569, "kPa", tolerance=2e-5),
    _case("sand-two-rows-area", "area of the diagram, two rows", "geometry", _TWO,
          lambda: _two_rows().envelope.diagram.resultant(), 344.92, "kN/m", tolerance=2e-5),
    _case("sand-water-total", "total load of sand below water, effective stresses",
          "effective stress principle and 1.3 times the active thrust",
          "gamma 18, saturated 20 kN/m3, phi 30 deg, H 10 m, water at 4 m",
          _wet_sand_total, _wet_sand_expected(), "kN/m", tolerance=1e-9, reason="arithmetic"),
    _case("sand-water-added", "net water added to the envelope of sand", "hydrostatics",
          "water at 4 m, cut drained at 10 m",
          lambda: _design(sand(phi=30.0), water=4.0).design.resultant(),
          _wet_sand_expected() + 9.81 * 36 / 2, "kN/m", tolerance=1e-9, reason="arithmetic"),
    _case("sloping-total-load", "total load of the wedge under sloping ground, against Coulomb",
          "Coulomb 1776, closed form, smooth wall", "gamma 18, phi 32 deg, slope 15 deg, H 10 m",
          lambda: _design(sand(phi=32.0, gamma=18.0), ground={"slope": 15.0}).envelope.total_load,
          _sloping_expected(), "kN/m", tolerance=1e-5, reason="search of the plane"),
    _case("undrained-total-load", "total load of the wedge in undrained clay, crack open",
          "Rankine and Bell, closed form", "gamma 18, su 30 kPa, H 10 m",
          lambda: _design(clay(su=30.0), width=5.0, pressure={"envelope": "total load"})
          .envelope.total_load,
          _layered_expected(), "kN/m", tolerance=1e-5, reason="search of the plane"),
    _case("stiff-clay-ordinate", "largest ordinate, stiff clay, share 0.3", _FHWA,
          "gamma 18, su 60, H 10 m, share 0.3",
          lambda: _design(clay(su=60.0), pressure={"stiff_clay_share": 0.3}).envelope.p, 54.0, "kPa",
          tolerance=1e-9, reason="arithmetic"),
    _case("stiff-clay-long-term", "long-term total load, 0.65 K_a gamma H^2 with drained strength",
          _FHWA, "gamma 18, su 100, phi 22 deg, H 10 m, share 0.2, permanent",
          lambda: _design(clay(su=100.0, friction_angle=22.0), life=PERMANENT,
                          pressure={"stiff_clay_share": 0.2}).envelope.total_load,
          0.65 * tan(radians(34)) ** 2 * 1800, "kN/m", tolerance=1e-9, reason="arithmetic"),
    _case("stability-number", "stability number", "Peck 1969", _SOFT,
          lambda: stability_number(18.0, 10.0, 25.0), 7.2, "-", tolerance=1e-9, reason="arithmetic"),
    _case("soft-clay-m-1", "p over gamma H, m = 1", _FHWA, _SOFT + ", m 1",
          lambda: peck_coefficient(1.0, 25.0, 18.0, 10.0), 0.4444, "-", tolerance=2e-4),
    _case("soft-clay-m-0.4", "p over gamma H, m = 0.4", _FHWA, _SOFT + ", m 0.4",
          lambda: peck_coefficient(0.4, 25.0, 18.0, 10.0), 0.7778, "-"),
    _case("soft-clay-total", "total load of the soft-clay envelope, firm base", _FHWA,
          _SOFT + ", sand below subgrade",
          lambda: _design(clay(), sand(-10.0)).envelope.diagram.resultant(), 0.875 * 80.0 * 10.0,
          "kN/m", tolerance=1e-9, reason="arithmetic"),
    _case("soft-clay-floor", "floor of the soft-clay ordinate, 0.3 gamma H", "Peck 1969",
          "gamma 18, c 35, H 7 m", lambda: soft_clay_ordinate(
              peck_coefficient(1.0, 35.0, 18.0, 7.0), 18.0, 7.0), 37.8, "kPa",
          provenance="published", tolerance=1e-9, reason="arithmetic",
          note="the inputs and ordinate of Das example 10.1"),
    _case("henkel-d5-su25", "coefficient over a yielding base", _HENKEL, _SOFT + ", d 5 m, sub 25",
          lambda: _henkel(5.0, 25.0), 0.8488, "-"),
    _case("henkel-d5-su20", "coefficient over a yielding base", _HENKEL, _SOFT + ", d 5 m, sub 20",
          lambda: _henkel(5.0, 20.0), 1.0507, "-"),
    _case("henkel-d10-su20", "coefficient over a yielding base", _HENKEL,
          _SOFT + ", d 10 m, sub 20", lambda: _henkel(10.0, 20.0), 1.6570, "-"),
    _case("henkel-least", "least coefficient", _HENKEL, "su 45, d 1 m, sub 60",
          lambda: henkel_coefficient(45.0, 18.0, 10.0, 1.0, 60.0), 0.22, "-", tolerance=1e-12,
          reason="a limit"),
    _case("henkel-in-a-section", "ordinate over gamma H of a whole section", _HENKEL,
          "clay su 25 to 10 m, su 20 to 15 m, su 60 to 20 m, sand below; gamma 18, H 10 m",
          lambda: _design(clay(), clay(-10.0, su=20.0), clay(-15.0, su=60.0), sand(-20.0))
          .envelope.p / 180.0, 1.0507, "-"),
    _case("base-surface-depth", "depth of the surface of base failure, B over root 2",
          "Terzaghi 1943", "B 14.142 m", lambda: deepest_surface(10.0 * sqrt(2)), 10.0, "m",
          tolerance=1e-12, reason="arithmetic"),
    _case("das-10.2-pressure", "uniform ordinate of a braced cut in sand", f"{_DAS}, example 10.2",
          "gamma 17, phi 35 deg (K_a printed 0.271), H 9 m", _braced_sand_pressure, 26.95, "kPa",
          provenance="published", tolerance=5e-4, reason=_PRINTED),
    _case("earthquake-increment", "earthquake increment, thrust with less thrust without",
          "Mononobe-Okabe, Das: KAE 0.452 and Ka 0.3014 are with delta 15; here delta 0",
          "gamma 18, phi 30 deg, H 10 m, kh 0.2",
          lambda: earthquake_diagram(
              profile(section(sand(phi=30.0, gamma=18.0))), 10.0,
              section(sand(), earthquake={"kh": 0.2}).earthquake,  # type: ignore[arg-type]
          ).resultant(),
          (0.4732646 - 1 / 3) * 900.0, "kN/m", tolerance=1e-4,
          reason="the coefficient was found by trial wedges",
          note="the coefficient 0.4732646 is the greatest push over planes at 1e-5 rad"),
    _case("trapezoid-centroid", "depth of the resultant, one row, unit ordinate", "geometry",
          "H 10 m, row at 3 m: 0 to 2 m, 2 to 5.333 m, to 10 m",
          lambda: trapezoid("", 1.0, 10.0, (3.0,)).centroid(),
          (1.0 * 4 / 3 + 10 / 3 * (2 + 5 / 3) + 7 / 3 * (16 / 3 + 14 / 9)) / (20 / 3), "m",
          tolerance=1e-12, reason="arithmetic"),
    _case("soft-shape-centroid", "depth of the resultant of the soft-clay shape", "geometry",
          "H 10 m", lambda: soft_shape("", 1.0, 10.0).centroid(),
          (1.25 * 5 / 3 + 7.5 * 6.25) / 8.75, "m", tolerance=1e-12, reason="arithmetic"),
)  # fmt: skip
