"""Vertical capacity below subgrade."""

from __future__ import annotations

from math import inf, pi, radians, sin, tan

import pytest

from backstay.checks import Verdict
from backstay.ground import profile
from backstay.wall.axial import (
    alpha_driven,
    beta_drilled,
    beta_drilled_loose,
    beta_driven,
    shaft_beta,
    shaft_rock,
    tip_clay,
    tip_rock,
    tip_sand_drilled,
    tip_sand_driven,
    tip_shallow,
)
from backstay.wall.vertical import (
    Shaft,
    VerticalDesign,
    design_vertical,
    drilled_shaft,
    driven_shaft,
    effective_in_front,
)
from tests.unit.pressure.grounds import clay, sand
from tests.unit.wall.test_toe import RULES, section

HOLE = drilled_shaft(0.75, 10.0)


def vertical(*strata: dict[str, object], D: float = 4.0, shaft: Shaft = HOLE) -> VerticalDesign:
    return design_vertical(
        profile(section(*strata)), shaft=shaft, embedment=D, spacing=2.4, anchor_vertical=60.0,
        facing_weight=0.6, basis=RULES,
    )  # fmt: skip


def test_demand_is_anchors_and_weights() -> None:
    v = vertical(clay(su=100.0, kind="stiff clay"))
    assert v.demand == pytest.approx(60.0 * 2.4 + 10.0 * 13.0 + 0.6 * 9.0 * 2.4)


def test_drilled_in_clay_by_hand() -> None:
    v = vertical(clay(su=100.0, kind="stiff clay"), D=4.0)
    assert v.shaft == pytest.approx(0.55 * 100.0 * pi * 0.75 * 4.0)
    assert v.tip == pytest.approx(9 * 100.0 * pi * 0.75**2 / 4)
    assert v.capacity == pytest.approx((v.shaft + v.tip) / RULES.axial_safety.value)


def test_the_required_embedment_just_carries() -> None:
    strata = (sand(phi=34.0, spt_n=25),)
    needed = vertical(*strata).embedment_required
    v = vertical(*strata, D=needed)
    assert v.capacity == pytest.approx(v.demand, rel=2e-3)
    assert vertical(*strata, D=needed - 0.3).checks[0].verdict is Verdict.FAIL


def test_too_short_says_what_it_needs() -> None:
    v = vertical(clay(su=60.0, kind="stiff clay"), D=2.0)
    assert f"needs an embedment of {{length:{v.embedment_required:.4f}}}" in v.checks[0].remedy


def test_ground_without_values_carries_nothing() -> None:
    rock = {
        "name": "rock", "top": -9.0, "kind": "rock", "moist_unit_weight": 22.0,
        "saturated_unit_weight": 23.0,
    }  # fmt: skip
    v = vertical(sand(), rock)
    assert v.capacity == 0.0
    assert v.embedment_required == inf
    assert "no embedment within reach" in v.checks[0].remedy


def test_a_driven_pile_has_its_box() -> None:
    shaft = driven_shaft(0.35, 0.37, 1.3)
    assert shaft.perimeter == pytest.approx(2 * 0.72)
    assert shaft.tip_area == pytest.approx(0.35 * 0.37)
    assert vertical(sand(phi=34.0, spt_n=25), shaft=shaft).tip > 0.0


def test_unit_values() -> None:
    assert beta_drilled(0.1) == 1.2
    assert beta_drilled(40.0) == 0.25
    assert beta_drilled(9.144) == pytest.approx(1.5 - 0.135 * 30**0.5, abs=1e-3)
    assert beta_drilled_loose(9.144, 7.5) == pytest.approx(0.5 * beta_drilled(9.144))
    phi = radians(30.0)
    assert beta_driven(phi) == pytest.approx((1 - sin(phi)) * tan(phi))
    assert shaft_beta(1.0, 500.0) == 200.0
    assert alpha_driven(100.0, 100.0) == pytest.approx(0.5)
    assert alpha_driven(10.0, 100.0) == 1.0
    assert alpha_driven(160.0, 10.0) == pytest.approx(0.25)
    assert shaft_rock(101.325, 101.325) == pytest.approx(0.65 * 101.325)
    assert tip_clay(50.0, 0.0, 1.0) == 300.0
    assert tip_rock(1000.0) == 2500.0
    assert tip_sand_drilled(60.0) == 2900.0
    assert tip_shallow(1000.0, 0.5, 1.0) == 250.0
    assert tip_sand_driven(20.0, 1.0, 0.4) == pytest.approx(2000.0)
    assert tip_sand_driven(20.0, 9.0, 0.4) == 8000.0


def test_rising_water_takes_shaft_resistance_away() -> None:
    # By hand: head 6 m lost over 2 * 17 - 3 - 9 = 22 m of path; in front u = 9.81 x (1 + 6/22).
    water = {"retained": -3.0, "cut": -9.0}
    seeping = profile(section(sand(phi=34.0), water={**water, "flow": "seepage"}))
    still = profile(section(sand(phi=34.0), water=water))
    x = 4.0
    assert effective_in_front(still, 9.0 + x, 17.0) == pytest.approx((20.0 - 9.81) * x)
    assert effective_in_front(seeping, 9.0 + x, 17.0) == pytest.approx(
        (20.0 - 9.81 * (1 + 6 / 22)) * x
    )
