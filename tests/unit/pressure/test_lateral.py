"""Limiting pressures by depth: worked examples, jumps, cracks, water, refusals."""

from __future__ import annotations

from math import radians, sqrt

import pytest

from backstay.errors import DesignError
from backstay.ground import GAMMA_W, Profile, profile
from backstay.pressure.diagram import Diagram, total
from backstay.pressure.lateral import active_pressure, limit_diagram, passive_pressure
from backstay.pressure.rankine import rankine_active, rankine_passive
from backstay.trace import Computed, trace
from tests.unit.pressure.grounds import clay, sand, section

KA, KP = rankine_active(radians(32)), rankine_passive(radians(32))


def das_7_1() -> Profile:
    """Das, Principles of Foundation Engineering, example 7.1, p. 319."""
    return profile(
        section(sand(phi=30, gamma=16.0), sand(-3, phi=36, gamma=16.0, saturated_unit_weight=19.0),
                H=6.0, rows=(1.5, 3.5), water=3.0)
    )  # fmt: skip


def test_two_strata_and_water_of_a_worked_example() -> None:
    g = das_7_1()
    assert active_pressure(g, 3.0, above=True) == pytest.approx(16.0, rel=1e-4)
    assert active_pressure(g, 3.0) == pytest.approx(12.48, rel=2e-3)  # the book rounds K_a
    assert active_pressure(g, 6.0, above=True) == pytest.approx(19.65, rel=3e-3)
    diagram = limit_diagram(g, "active", to=6.0)
    water = GAMMA_W * 9 / 2
    assert diagram.resultant() + water == pytest.approx(116.34, rel=3e-3)


def test_net_pressure_of_a_free_earth_example() -> None:
    """Das, Principles of Foundation Engineering, example 9.3: P 58.38 kN/m, z 2.23 m, L3 0.66 m."""
    s = section(sand(phi=32, gamma=15.9, saturated_unit_weight=19.33), H=5.0, rows=(1.0,),
                ground={"water": {"retained": -2.0, "cut": -2.0}})  # fmt: skip
    g = profile(s)
    active = limit_diagram(g, "active", to=7.0)
    passive = limit_diagram(g, "passive", to=7.0)
    net = total("net", [active, passive.scaled(-1.0)])
    below = net.at(5.0) / (net.at(5.0) - net.at(6.0))
    assert below == pytest.approx(0.66, rel=0.01)
    above_zero = net.clipped(0.0, 5.0 + below)
    assert above_zero.resultant() == pytest.approx(58.38, rel=3e-3)
    assert 5.0 + below - above_zero.centroid() == pytest.approx(2.23, rel=3e-3)


def test_undrained_clay_has_a_dry_crack_and_a_total_passive() -> None:
    g = profile(section(clay(su=20.0, gamma=18.0), H=6.0, rows=(2.0, 4.0), water=1.0))
    d = limit_diagram(g, "active", to=6.0, strength="undrained")
    crack = 40 / 18
    assert d.at(crack - 0.01) == 0.0
    assert d.resultant() == pytest.approx(9 * (6 - crack) ** 2, rel=1e-9)
    assert passive_pressure(g, 7.0, strength="undrained") == pytest.approx(18 + 40)
    assert passive_pressure(g, 5.9, strength="undrained") == 0.0


def test_strength_that_grows_with_depth() -> None:
    g = profile(section(clay(su={"at_top": 10.0, "gradient": 2.0}), H=6.0, rows=(2.0, 4.0)))
    p = active_pressure(g, 5.0, strength="undrained", surcharge=10.0)
    assert p == pytest.approx(18 * 5 + 10 - 2 * (10 + 2 * 5))


def test_cohesion_and_crack_are_exact() -> None:
    g = profile(section(sand(cohesion=10.0), H=8.0, rows=(2.0, 5.0)))
    d = limit_diagram(g, "active", to=8.0)
    crack = 20 / (18 * sqrt(KA))
    assert d.resultant() == pytest.approx(KA * 9 * (8 - crack) ** 2, rel=1e-9)
    p = passive_pressure(g, 10.0)
    assert p == pytest.approx(KP * 36 + 20 * sqrt(KP), rel=1e-5)


def test_seepage_eases_the_passive_side_and_loads_the_active() -> None:
    levels = {"retained": -2.0, "flow": "seepage"}
    g = profile(section(sand(), H=8.0, rows=(2.0, 5.0), ground={"water": levels}))
    i = 6 / (2 * 12 - 2 - 8)
    assert active_pressure(g, 8.0, toe=12.0) == pytest.approx(
        KA * (2 * 18 + 6 * (20 - GAMMA_W * (1 - i))), rel=1e-9
    )
    assert passive_pressure(g, 10.0, toe=12.0) == pytest.approx(
        KP * 2 * (20 - GAMMA_W * (1 + i)), rel=1e-5
    )
    with pytest.raises(DesignError, match="depth of the toe"):
        active_pressure(g, 8.0)


def test_a_jump_stands_twice() -> None:
    d = limit_diagram(das_7_1(), "active", to=6.0)
    assert d.z.count(3.0) == 2
    assert d.at(3.0, below=False) > d.at(3.0)


def test_wall_friction_is_held_back_on_the_passive_side() -> None:
    smooth = profile(section(sand(), H=6.0, rows=(2.0, 4.0)))
    half = profile(section(sand(wall_friction_ratio=0.5), H=6.0, rows=(2.0, 4.0)))
    full = profile(section(sand(wall_friction_ratio=1.0), H=6.0, rows=(2.0, 4.0)))
    p = [passive_pressure(g, 8.0) for g in (smooth, half, full)]
    assert p[0] < p[1] == p[2]
    a = [active_pressure(g, 5.0) for g in (smooth, half, full)]
    assert a[0] > a[1]


def test_coefficients_of_a_diagram_are_recorded() -> None:
    with trace() as t:
        limit_diagram(das_7_1(), "active", to=6.0)
    symbols = [s.formula.symbol for s in t.steps if isinstance(s, Computed)]
    assert symbols.count("K_a") == 2


def test_refusals() -> None:
    rock = {"name": "R", "top": -3.0, "kind": "rock", "moist_unit_weight": 25.0,
            "saturated_unit_weight": 25.0}  # fmt: skip
    g = profile(section(sand(), rock, H=6.0, rows=(2.0, 4.0)))
    with pytest.raises(DesignError, match="no strength"):
        active_pressure(g, 4.0)
    steep = profile(section(sand(phi=30), ground={"slope": "35 deg"}))
    with pytest.raises(DesignError, match="steeper"):
        active_pressure(steep, 4.0)
    with pytest.raises(ValueError, match="active, passive"):
        limit_diagram(g, "left", to=2.0)
    with pytest.raises(DesignError, match="above the ground"):
        limit_diagram(g, "passive", to=2.0)


def test_zero_everywhere_is_a_diagram_too() -> None:
    g = profile(section(clay(su=200.0), H=6.0, rows=(2.0, 4.0)))
    d: Diagram = limit_diagram(g, "active", to=6.0, strength="undrained")
    assert d.resultant() == 0.0
