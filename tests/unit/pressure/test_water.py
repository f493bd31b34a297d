"""Water on the wall: at rest, perched, seeping, flooded."""

from __future__ import annotations

import pytest

from backstay.errors import DesignError
from backstay.ground import GAMMA_W, Profile, profile
from backstay.pressure.water import WaterState, critical_gradient, net_water_diagram
from tests.unit.pressure.grounds import sand, section


def ground(**water: object) -> Profile:
    return profile(section(sand(), H=8.0, rows=(2.0, 5.0), ground={"water": water}))


def test_no_water_no_diagram() -> None:
    assert net_water_diagram(ground()) is None
    assert net_water_diagram(ground(retained=-9.0)) is None


def test_perched_water_ends_with_a_jump_at_its_base() -> None:
    d = net_water_diagram(ground(perched=[{"level": -1.0, "base": -4.0}]))
    assert d is not None
    assert d.at(4.0, below=False) == pytest.approx(3 * GAMMA_W)
    assert d.at(4.0) == 0.0
    assert d.resultant() == pytest.approx(4.5 * GAMMA_W)


def test_perched_water_above_the_general_level_adds() -> None:
    both = net_water_diagram(ground(retained=-6.0, perched=[{"level": -1.0, "base": -4.0}]))
    assert both is not None
    assert both.resultant() == pytest.approx((4.5 + 2.0) * GAMMA_W)


def test_water_in_the_cut_is_taken_off_above_subgrade_as_well() -> None:
    d = net_water_diagram(ground(retained=-2.0, cut=-5.0))
    assert d is not None
    assert d.at(5.0) == d.at(8.0) == pytest.approx(3 * GAMMA_W)


def test_flooded_cut_loses_head_in_the_ground_alone() -> None:
    g = ground(retained=-2.0, cut=-5.0, flow="seepage")
    w = WaterState(g, 12.0, bed=8.0)
    assert w.gradient() == pytest.approx(3 / (10 + 4))
    assert w.pressure(7.0, "cut") == pytest.approx(2 * GAMMA_W)
    d = net_water_diagram(g, toe=12.0, to=12.0)
    assert d is not None
    assert d.at(12.0) == pytest.approx(0.0, abs=1e-9)
    assert 8.0 in d.z


def test_seepage_needs_a_toe_that_reaches_below_the_water() -> None:
    g = ground(retained=-2.0, flow="seepage")
    with pytest.raises(DesignError, match="needs the depth of the toe"):
        net_water_diagram(g)
    with pytest.raises(DesignError, match="does not reach below"):
        net_water_diagram(g, toe=7.0)
    with pytest.raises(DesignError, match="does not reach below"):
        WaterState(ground(retained=-2.0, cut=-5.0, flow="seepage"), 7.5, bed=8.0).gradient()


def test_critical_gradient_of_common_ground_is_about_one() -> None:
    assert critical_gradient(20.0, GAMMA_W) == pytest.approx(1.04, abs=0.01)
