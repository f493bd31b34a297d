"""The critical failure surface in each kind of ground."""

from __future__ import annotations

from math import degrees, radians, tan
from typing import Any

import pytest

from backstay.errors import DesignError
from backstay.trace import Remark, Stated
from tests.unit.anchors.example import CLAY, SAND, anchors, merged, section, surface


def test_uniform_sand_is_the_plane_to_level_ground() -> None:
    found = surface(section())
    assert found.points[0] == (0.0, 10.0)
    assert found.points[-1][1] == 0.0
    assert "45 degrees + phi/2" in found.method


def test_layers_are_searched_and_lie_between_their_planes() -> None:
    loose = merged(SAND, {"name": "Loose", "friction_angle": "28 deg"})
    dense = merged(SAND, {"name": "Dense", "top": 96.0, "friction_angle": "36 deg"})
    found = surface(section(ground={"strata": [loose, dense]}))
    assert 59.0 < degrees(found.angle) < 63.0
    assert "last change of the search" in found.method
    assert any(isinstance(step, Stated) and step.symbol == "alpha" for step in found.steps)


def test_rising_ground_makes_the_plane_flatter() -> None:
    assert surface(section(ground={"slope": "15 deg"})).angle < surface(section()).angle


def test_clay_with_both_strengths_takes_the_flatter_plane() -> None:
    both = merged(CLAY, {"friction_angle": "26 deg"})
    assert surface(section(ground={"strata": [both]})).angle == pytest.approx(radians(45))


def test_strong_clay_over_sand_that_does_not_push_takes_the_average() -> None:
    clay = merged(CLAY, {"undrained_strength": 400.0})
    sand = merged(SAND, {"top": 90.5, "cohesion": 400.0})
    found = surface(section(ground={"strata": [clay, sand]}))
    assert "averaged by thickness" in found.method
    assert degrees(found.angle) == pytest.approx(45 + 0.05 * 33 / 2, abs=1e-6)
    sloping = surface(section(ground={"strata": [clay, sand], "slope": "5 deg"}))
    x, z = sloping.points[-1]
    assert z == pytest.approx(-x * tan(radians(5)))
    assert (10.0 - z) / x == pytest.approx(tan(sloping.angle))


def test_soft_clay_below_the_cut_is_pointed_out() -> None:
    soft = merged(CLAY, {"name": "Soft clay", "kind": "soft clay", "undrained_strength": 25.0})
    found = surface(section(ground={"strata": [soft]}))
    assert any(
        isinstance(s, Remark) and "under the bottom of the wall" in s.text for s in found.steps
    )


def test_no_strength_is_an_error_with_its_stratum() -> None:
    bare = merged(SAND, {"friction_angle": None, "kind": "rock"})
    with pytest.raises(DesignError, match="stratum Sand"):
        surface(section(ground={"strata": [bare]}))


def test_a_watered_layered_sloping_section_can_be_designed() -> None:
    dense = merged(SAND, {"name": "Dense", "top": 94.0, "friction_angle": "36 deg"})
    made = section(ground={"strata": [SAND, dense], "slope": "8 deg", "water": {"retained": 95.0}})
    anchor = anchors(made)[0]
    assert anchor.surface_length > 0.0
    assert anchor.unbonded_least >= anchor.surface_length + 2.0


def test_of_both_strengths_of_layered_ground_the_flatter_plane_counts() -> None:
    soft = {"kind": "soft clay", "moist_unit_weight": 18.0, "saturated_unit_weight": 18.0}
    upper = {"name": "Upper", "top": 100.0, **soft}
    lower = {"name": "Lower", "top": 96.0, **soft}
    drained = ({"friction_angle": "24 deg"}, {"friction_angle": "28 deg"})
    undrained = ({"undrained_strength": 20.0}, {"undrained_strength": 25.0})

    def angle(*strengths: tuple[dict[str, Any], dict[str, Any]]) -> float:
        layers = [dict(upper), dict(lower)]
        for pair in strengths:
            for layer, strength in zip(layers, pair, strict=True):
                layer.update(strength)
        return surface(
            section({"elevation": 99.0}, ground={"strata": layers, "slope": "5 deg"})
        ).angle

    both, alone = angle(drained, undrained), (angle(drained), angle(undrained))
    assert abs(alone[0] - alone[1]) > radians(3)
    assert both == pytest.approx(min(alone), rel=1e-6)
