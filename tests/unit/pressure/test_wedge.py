"""Trial wedges: loads, water, surface, undrained ground, and what is refused."""

from __future__ import annotations

from math import atan, degrees, pi, radians

import pytest

from backstay.errors import DesignError
from backstay.ground import GAMMA_W, profile
from backstay.pressure.rankine import rankine_active, rankine_passive
from backstay.pressure.slices import Sliced
from backstay.pressure.wedge import active_wedge, passive_wedge, state_wedge
from backstay.trace import Stated, trace
from tests.unit.pressure.grounds import clay, sand, section

K = rankine_active(radians(32))


def test_plane_of_uniform_ground_and_what_is_reported() -> None:
    w = active_wedge(profile(section(sand())), z_base=10.0)
    assert degrees(w.angle) == pytest.approx(61.0, abs=0.01)
    assert w.points[0] == (0.0, 10.0)
    assert w.points[-1][1] == pytest.approx(0.0, abs=1e-9)
    assert w.residual < 1e-8
    with trace() as t:
        state_wedge(w)
    assert [s.symbol for s in t.steps if isinstance(s, Stated)] == ["alpha", "P_h"]
    assert str(w.tried) in w.method


def test_uniform_load_adds_its_rankine_share() -> None:
    s = section(sand(), surcharges=[{"kind": "traffic", "name": "t", "pressure": 12.0}])
    w = active_wedge(profile(s), z_base=10.0, surcharges=s.surcharges)
    assert w.thrust == pytest.approx(K * (900 + 120), rel=1e-7)


def test_line_load_moves_the_plane_to_stand_on_it_and_no_farther_than_pays() -> None:
    """A heavy line is worth a flatter plane; beyond reach it changes nothing."""
    loads = {
        x: section(sand(), surcharges=[{"kind": "line", "name": "l", "load": 80.0, "distance": x}])
        for x in (2.0, 7.0, 40.0)
    }
    thrust = {
        x: active_wedge(profile(s), z_base=10.0, surcharges=s.surcharges) for x, s in loads.items()
    }
    assert thrust[40.0].thrust == pytest.approx(900 * K, rel=1e-7)
    assert thrust[2.0].thrust > thrust[7.0].thrust > 900 * K
    assert thrust[7.0].points[-1][0] == pytest.approx(7.0, rel=1e-4)


def test_strip_on_the_whole_wedge_is_a_uniform_load() -> None:
    s = section(sand(), surcharges=[
        {"kind": "strip", "name": "s", "pressure": 15.0, "distance": 0.0, "width": 100.0}])  # fmt: skip
    w = active_wedge(profile(s), z_base=10.0, surcharges=s.surcharges)
    assert w.thrust == pytest.approx(K * (900 + 150), rel=1e-7)


def test_surveyed_ground_that_is_a_plane_slope_is_that_slope() -> None:
    points = [{"distance": 0, "elevation": 0}, {"distance": 10, "elevation": 2},
              {"distance": 200, "elevation": 40}]  # fmt: skip
    surveyed = profile(section(sand(), ground={"profile": points}))
    sloped = profile(section(sand(), ground={"slope": f"{degrees(atan(0.2))} deg"}))
    assert active_wedge(surveyed, z_base=10.0).thrust == pytest.approx(
        active_wedge(sloped, z_base=10.0).thrust, rel=1e-7
    )


def test_a_bench_pushes_between_level_ground_and_the_full_slope() -> None:
    points = [{"distance": 0, "elevation": 0}, {"distance": 3, "elevation": 1.5}]
    bench = active_wedge(profile(section(sand(), ground={"profile": points})), z_base=10.0)
    level = active_wedge(profile(section(sand())), z_base=10.0)
    full = active_wedge(profile(section(sand(), ground={"slope": "26.565 deg"})), z_base=10.0)
    assert level.thrust < bench.thrust < full.thrust


def test_perched_water_lightens_by_uplift_and_weighs_by_saturation() -> None:
    """Above a stratum that holds it up; the wedge of Rankine's plane, slice by slice by hand."""
    perched = {"water": {"perched": [{"level": -2.0, "base": -5.0}]}}
    g = profile(section(sand(saturated_unit_weight=21.0), H=10.0, ground=perched))
    w = active_wedge(g, z_base=10.0, delta=0.0)
    a = 2 * 18.0
    b = a + 3 * (21.0 - GAMMA_W)
    below = a + 3 * 21.0  # under the base the perched water weighs, and presses on nothing
    by_depth = K * (a * 2 / 2 + (a + b) / 2 * 3 + (below + below + 5 * 18.0) / 2 * 5)
    assert w.thrust == pytest.approx(by_depth, rel=0.01)
    assert w.thrust <= by_depth * (1 + 1e-9)


def test_undrained_clay_over_sand_uses_each_strength() -> None:
    g = profile(section(clay(su=30.0, friction_angle=22, cohesion=2.0), sand(-5), H=10.0))
    drained = active_wedge(g, z_base=10.0)
    undrained = active_wedge(g, z_base=10.0, strength="undrained")
    assert drained.thrust != pytest.approx(undrained.thrust, rel=0.01)
    below = K * (5 * 90 + 9 * 25)
    above = 0.5 * 9 * (5 - 60 / 18) ** 2 * 2  # clay below its crack, total stress less 2 su
    assert below < undrained.thrust < below + above


def test_ground_that_stands_by_itself_pushes_nothing() -> None:
    w = active_wedge(profile(section(clay(su=200.0))), z_base=5.0, strength="undrained")
    assert w.thrust == 0.0
    assert w.angle == pytest.approx(pi / 4)


def test_passive_wedge_with_load_and_water_in_front() -> None:
    levels = {"retained": -2.0, "cut": -4.0}
    g = profile(section(sand(), H=6.0, rows=(2.0,), ground={"water": levels}))
    Kp = rankine_passive(radians(32))
    w = passive_wedge(g, z_base=9.0, surcharge=10.0)
    assert w.resistance == pytest.approx(Kp * ((20 - GAMMA_W) * 4.5 + 30), rel=1e-7)
    with trace() as t:
        state_wedge(w)
    assert "P_p" in [s.symbol for s in t.steps if isinstance(s, Stated)]


def test_refusals_say_why() -> None:
    g = profile(section(clay(su=30.0)))
    with pytest.raises(DesignError, match="no angle of friction"):
        active_wedge(g, z_base=5.0)
    with pytest.raises(DesignError, match="cannot stand at this slope"):
        active_wedge(profile(section(sand(phi=20), ground={"slope": "30 deg"})), z_base=5.0)
    with pytest.raises(DesignError, match="below the ground surface"):
        active_wedge(profile(section(sand())), z_base=0.0)
    with pytest.raises(DesignError, match="too rough"):
        passive_wedge(profile(section(sand(phi=45))), z_base=12.0, delta=radians(45))
    s = section(sand(), surcharges=[
        {"kind": "footing", "name": "f", "pressure": 100.0, "distance": 1.0, "width": 2.0,
         "length": 2.0}])  # fmt: skip
    with pytest.raises(DesignError, match="local"):
        active_wedge(profile(s), z_base=5.0, surcharges=s.surcharges)


def test_the_plane_that_leaves_a_layer_right_below_a_line_load_is_not_missed() -> None:
    """There the strength under the load changes at once, and so does the push."""
    loads = [{"kind": "line", "name": "l", "load": 200.0, "distance": 7.6}]
    s = section(
        sand(phi=34.0), clay(-1.0, friction_angle=26.0, cohesion=5.0),
        surcharges=loads,
    )  # fmt: skip
    g = profile(s)
    found = active_wedge(g, z_base=10.0, surcharges=s.surcharges)
    made = Sliced.of(
        g, 10.0, sign=1.0, surface=g.surface, slope=0.0, water=g.water, perched=g.perched,
        surcharges=s.surcharges, delta=None, strength="drained",
    )  # fmt: skip
    most = max(made.thrust(radians(40.0 + 0.01 * k)) or 0.0 for k in range(4000))
    assert found.thrust >= most * (1 - 1e-6)
