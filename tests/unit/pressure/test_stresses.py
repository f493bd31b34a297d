"""Stresses before anything moves, against hand calculation."""

from __future__ import annotations

from dataclasses import replace
from math import inf, radians, sin

import pytest

from backstay.ground import Layer, Profile
from backstay.model.ground import Stratum
from backstay.pressure.stresses import at_rest_coefficient, stress_points

STRATUM = Stratum(
    name="s", top=0.0, kind="granular", moist_unit_weight=18.0, saturated_unit_weight=20.0,
    friction_angle=30.0,
)  # fmt: skip


def layer(name: str, top: float, bottom: float, phi: float | None = 30.0) -> Layer:
    angle = None if phi is None else radians(phi)
    return Layer(name, "granular", top, bottom, 18.0, 20.0, angle, 0.0, None, 0.0, 0.0, STRATUM)


def ground(water: float = 2.0, cut: float = 6.0) -> Profile:
    layers = (layer("upper", 0.0, 4.0), layer("lower", 4.0, inf, 35.0))
    return Profile(6.0, layers, water, cut, "hydrostatic", 0.0, ((0.0, 0.0),), ())


def test_stresses_behind_by_hand() -> None:
    behind = [p for p in stress_points(ground(), toe=8.0) if p.side == "retained"]
    assert [p.depth for p in behind] == [0.0, 2.0, 4.0, 4.0, 6.0, 8.0]
    assert [p.total for p in behind] == pytest.approx([0, 36, 76, 76, 116, 156])
    assert [p.pore for p in behind] == pytest.approx([0, 0, 19.62, 19.62, 39.24, 58.86])
    assert behind[2].stratum == "upper"
    assert behind[3].stratum == "lower"
    assert behind[2].horizontal == pytest.approx(0.5 * (76 - 19.62) + 19.62)


def test_stresses_in_front_start_at_subgrade() -> None:
    front = [p for p in stress_points(ground(), toe=8.0) if p.side == "cut"]
    assert [p.depth for p in front] == [6.0, 8.0]
    assert front[-1].total == pytest.approx(40.0)
    assert front[-1].effective == pytest.approx(40.0 - 19.62)


def test_effective_stress_at_rest_never_exceeds_vertical_without_overconsolidation() -> None:
    for point in stress_points(ground(), toe=9.0):
        assert point.K_0 is not None
        assert point.K_0 <= 1.0
        assert point.effective >= 0.0


def test_at_rest_given_rules_over_formula() -> None:
    base = layer("a", 0.0, 4.0)
    assert at_rest_coefficient(base) == pytest.approx(1 - sin(radians(30)))
    given = STRATUM.model_copy(update={"at_rest_coefficient": 0.8})
    assert at_rest_coefficient(replace(base, stratum=given)) == 0.8
    over = STRATUM.model_copy(update={"overconsolidation_ratio": 4.0})
    assert at_rest_coefficient(replace(base, stratum=over)) == pytest.approx(1.0)
    assert at_rest_coefficient(layer("b", 0.0, 4.0, None)) is None
