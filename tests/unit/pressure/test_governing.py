"""What governs, by numbers worked by hand: water in the comparison, both strengths, soft clay."""

from __future__ import annotations

from math import radians, tan

import pytest

from backstay.basis import basis
from backstay.ground import profile
from backstay.model.project import Section, Service
from backstay.pressure import DesignPressures, active_wedge, design_pressures
from tests.unit.pressure.grounds import PERMANENT, TEMPORARY, clay, sand, section

RULES = basis("FHWA-IF-99-015")
LOAD = {"kind": "uniform", "name": "q", "pressure": 12.0}


def pressures(s: Section, service: Service = TEMPORARY) -> DesignPressures:
    return design_pressures(s, profile(s), service, RULES)


def test_water_counts_where_envelopes_are_compared() -> None:
    """Clay of 18 kN/m3, phi 25, water at the top: 0.65 Ka 8.19 H^2 + 9.81 H^2 / 2 = 706.6 kN/m.

    The stiff envelope holds its water: 0.4 x 18 x 10 x 7.917 = 570 kN/m.
    """
    found = pressures(
        section(clay(su=90.0, kind="stiff clay", friction_angle=25.0), water=0.0), PERMANENT
    )
    K_a = tan(radians(45 - 25 / 2)) ** 2
    assert found.envelope.kind == "stiff clay, long term"
    assert found.design.resultant() == pytest.approx(0.65 * K_a * 8.19 * 100 + 490.5, rel=1e-4)


def test_permanent_wall_takes_the_larger_of_both_strengths() -> None:
    """Sand over strong clay, phi 24 in the long run: drained, the clay pushes as well."""
    s = section(sand(phi=34.0), clay(-6.0, su=150.0, kind="stiff clay", friction_angle=24.0),
                pressure={"envelope": "total load"})  # fmt: skip
    temporary, permanent = pressures(s), pressures(s, PERMANENT)
    K_1, K_2 = (tan(radians(45 - phi / 2)) ** 2 for phi in (34.0, 24.0))
    by_layers = K_1 * 18.0 * 6.0**2 / 2 + K_2 * 18.0 * (6.0 + 10.0) / 2 * 4.0
    assert permanent.envelope.total_load > 1.2 * temporary.envelope.total_load
    assert permanent.envelope.total_load == pytest.approx(1.3 * by_layers, rel=0.03)


def test_soft_clay_passes_a_uniform_load_on_in_full() -> None:
    soft = pressures(section(clay(su=40.0, friction_angle=24.0), surcharges=[LOAD]))
    assert soft.surcharges[0].at(5.0) == pytest.approx(12.0)
    stiff = pressures(
        section(clay(su=80.0, kind="stiff clay", friction_angle=24.0), surcharges=[LOAD])
    )
    assert stiff.surcharges[0].at(5.0) == pytest.approx(12.0 * tan(radians(45 - 12)) ** 2)


@pytest.mark.parametrize("water", [None, 0.0, 4.0])
def test_undrained_wedge_is_in_total_stresses_whatever_the_water(water: float | None) -> None:
    """gamma 18 moist and saturated, su 25: gamma (H - 2 su / gamma)^2 / 2 with the crack open."""
    ground = profile(section(clay(su=25.0), water=water))
    wedge = active_wedge(ground, z_base=10.0, delta=0.0, strength="undrained")
    assert wedge.thrust == pytest.approx(18.0 * (10.0 - 50.0 / 18.0) ** 2 / 2, rel=1e-5)


def test_strength_that_grows_with_depth_starts_at_the_top_of_its_stratum() -> None:
    """30 kPa at 4 m and 2 kPa per metre: 42 kPa at 10 m; 36 kPa on average from 4 to 10 m."""
    lower = clay(-4.0, su=0.0) | {"undrained_strength": {"at_top": 30.0, "gradient": 2.0}}
    s = section(clay(su=36.0), lower)
    assert profile(s).layer_at(10.0).su_at(10.0) == pytest.approx(42.0)
    assert pressures(s).stability_number == pytest.approx(18.0 * 10.0 / 36.0)
