"""What stands on a lower failure plane and presses behind it, computed by hand: loads, water, ties."""

from __future__ import annotations

import re
from dataclasses import replace
from math import atan, cos, hypot, radians, sin, tan
from typing import Any

import pytest

from backstay.ground import profile
from backstay.model.loads import Line, Strip
from backstay.stability.block import behind, water_force, weight_above
from backstay.stability.block_loads import as_pressure, standing_behind
from backstay.stability.deep_sliding import rotation_depth, ties
from tests.unit.pressure.grounds import clay, sand
from tests.unit.report.slips import EXAMPLES, sections
from tests.unit.stability.test_deep_sliding import FOOT, slid, tie, values
from tests.unit.wall.test_toe import section

X = 11.0 * cos(radians(15))
Z = 2.0 + 11.0 * sin(radians(15))
"""The middle of the bond of `tie(1, 2.0, 11.0)`."""


def strip(distance: float, width: float, pressure: float = 40.0) -> dict[str, Any]:
    return {"kind": "strip", "name": "S", "distance": distance, "width": width,
            "pressure": pressure, "acts": "permanent"}  # fmt: skip


def with_load(*loads: dict[str, Any], **more: Any) -> dict[str, float]:
    return values(slid(tie(1, 2.0, 11.0), surcharges=list(loads), **more))


@pytest.mark.parametrize(
    ("load", "weight"),
    [
        (strip(2.0, 3.0), 3 * 40.0),
        (strip(X - 1.0, 3.0), 1 * 40.0),  # the rest stands behind the block
        (strip(X + 1.0, 3.0), 0.0),
        ({"kind": "line", "name": "L", "distance": 4.0, "load": 55.0, "acts": "permanent"}, 55.0),
        ({"kind": "footing", "name": "F", "distance": 3.0, "width": 2.0, "length": 5.0,
          "pressure": 90.0, "acts": "permanent"}, 2 * 90.0),
        ({"kind": "uniform", "name": "U", "pressure": 7.0}, 7.0 * X),
    ],
)  # fmt: skip
def test_a_load_weighs_on_the_plane_below_it(load: dict[str, Any], weight: float) -> None:
    bare = values(slid(tie(1, 2.0, 11.0)))
    assert with_load(load)["G"] - bare["G"] == pytest.approx(weight, abs=1e-6)


def test_loads_behind_a_line_are_seen_from_it() -> None:
    whole = Strip.model_construct(kind="strip", name="S", distance=5.0, width=4.0, pressure=10.0)
    for x, distance, width in ((3.0, 2.0, 4.0), (6.0, 0.0, 3.0)):
        part = standing_behind(whole, x)
        assert isinstance(part, Strip)
        assert (part.distance, part.width, part.pressure) == (distance, width, 10.0)
    assert standing_behind(whole, 9.5) is None
    line = Line.model_construct(kind="line", name="L", distance=8.0, load=30.0)
    seen = standing_behind(line, 6.0)
    assert isinstance(seen, Line)
    assert (seen.distance, seen.load) == (2.0, 30.0)
    assert standing_behind(line, 8.5) is None
    assert as_pressure(whole) == (5.0, 9.0, 10.0)
    spread = as_pressure(line)
    assert spread is not None
    assert (spread[1] - spread[0]) * spread[2] == pytest.approx(30.0)
    assert 0.5 * (spread[0] + spread[1]) == pytest.approx(8.0)


def test_the_ground_behind_presses_without_friction_on_the_vertical() -> None:
    """Rankine 1857: K_a = tan^2(45 - phi / 2), whatever friction the wall has."""
    K = tan(radians(45 - 32.5 / 2)) ** 2
    v = values(slid(tie(1, 2.0, 11.0)))
    assert v["E_1"] == pytest.approx(0.5 * K * 18.0 * Z**2, rel=1e-9)
    loaded = with_load({"kind": "uniform", "name": "U", "pressure": 12.0})
    assert loaded["E_1"] - v["E_1"] == pytest.approx(K * 12.0 * Z, rel=1e-9)


def test_a_wide_strip_behind_the_bond_presses_as_a_load_on_everything() -> None:
    """The wedge that pushes most, against Rankine's wedge with the load on all of it."""
    K = tan(radians(45 - 32.5 / 2)) ** 2
    bare = values(slid(tie(1, 2.0, 11.0)))
    v = with_load(strip(X, 60.0, 12.0))
    assert v["G"] == pytest.approx(bare["G"], abs=1e-6)
    assert v["E_1"] - bare["E_1"] == pytest.approx(K * 12.0 * Z, rel=0.01)


def test_friction_on_the_wall_pulls_it_down_and_lifts_the_block() -> None:
    """delta = 2/3 phi: vertical over horizontal part of the active force is its tangent."""
    v = values(slid(tie(1, 2.0, 11.0)))
    assert v["E_av"] / v["E_ah"] == pytest.approx(tan(radians(32.5) * 2 / 3), rel=1e-9)
    pushed = with_load(strip(1.0, 3.0))  # by the wedge
    assert pushed["E_av"] / pushed["E_ah"] == pytest.approx(tan(radians(32.5) * 2 / 3), rel=1e-9)
    assert pushed["E_ah"] > v["E_ah"]


def test_cohesion_and_water_act_along_the_whole_plane() -> None:
    strata = (sand(phi=32.5, cohesion=4.0),)
    v = values(slid(tie(1, 2.0, 11.0), strata=strata, water={"retained": -3.0}))
    long = hypot(X, FOOT - Z)
    assert v["C"] == pytest.approx(4.0 * long)
    assert v["U"] == pytest.approx(9.81 * (0.5 * (FOOT + Z) - 3.0) * long)
    assert v["W_a"] == pytest.approx(0.5 * 9.81 * (FOOT - 3.0) ** 2)
    assert v["W_1"] == pytest.approx(0.5 * 9.81 * (Z - 3.0) ** 2)
    assert v["theta"] == pytest.approx(atan((FOOT - Z) / X))


def test_weight_of_ground_wet_below_the_water_and_under_standing_water() -> None:
    s = section(sand(), water={"retained": -4.0})
    assert weight_above(profile(s), 0.0, 6.0) == pytest.approx(4 * 18.0 + 2 * 20.0)
    assert weight_above(profile(s), 5.0, 7.0) == pytest.approx(1 * 9.81 + 2 * 20.0)
    assert weight_above(profile(s), 1.0, 3.0) == pytest.approx(2 * 18.0)


def test_ground_seen_from_behind_begins_at_its_own_surface() -> None:
    """A surface that rises 1 in 5: at 10 m behind the wall it stands 2 m higher."""
    ground = {
        "profile": [{"distance": 0.0, "elevation": 0.0}, {"distance": 50.0, "elevation": 10.0}]
    }
    s = section(sand(), sand(-3.0, gamma=19.0), H=7.0)
    data = s.model_dump()
    rising = type(s).model_validate(
        {**data, "ground": {**data["ground"], **ground, "strata": [sand(), sand(-3.0, gamma=19.0)],
                            "water": {"retained": -5.0}},
         "wall": {"kind": "soldier piles", "section": "auto", "spacing": 2.4, "hole_diameter": 0.6},
         "anchors": [{"elevation": -2.0}], "earthquake": None}
    )  # fmt: skip
    seen = behind(profile(rising), 10.0)
    assert seen.H == pytest.approx(9.0)
    assert seen.water == pytest.approx(7.0)
    assert [layer.top for layer in seen.layers] == pytest.approx([0.0, 5.0])
    assert seen.total_stress(6.0) == pytest.approx(5 * 18.0 + 1 * 19.0)
    assert water_force(seen, 9.0, "drained") == pytest.approx(0.5 * 9.81 * 2.0**2)


def test_strength_that_grows_is_less_in_ground_above_its_layers_top() -> None:
    ground = {
        "profile": [{"distance": 0.0, "elevation": 0.0}, {"distance": 50.0, "elevation": 10.0}]
    }
    growing = clay() | {"undrained_strength": {"at_top": 40.0, "gradient": 3.0}}
    s = section(growing, H=7.0)
    data = s.model_dump()
    rising = type(s).model_validate(
        {**data, "ground": {**data["ground"], **ground, "strata": [growing]},
         "wall": {"kind": "soldier piles", "section": "auto", "spacing": 2.4, "hole_diameter": 0.6},
         "anchors": [{"elevation": -2.0}], "earthquake": None}
    )  # fmt: skip
    seen = behind(profile(rising), 10.0)
    assert seen.layer_at(1.0).su_at(2.0) == pytest.approx(40.0)  # where the layer had its top
    assert seen.layer_at(1.0).su_at(0.0) == pytest.approx(34.0)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_anchors_are_ties_to_the_middle_of_their_bonds(path: Any) -> None:
    for done in sections(path):
        for made, a in zip(ties(done.anchors), done.anchors, strict=True):
            (x1, z1), (x2, z2) = a.free_end, a.bond_end
            assert made.middle == pytest.approx((0.5 * (x1 + x2), 0.5 * (z1 + z2)))
            assert made.length == pytest.approx(a.unbonded_length + 0.5 * a.bond_length)
            share = (x2 - x1) / a.bond_length  # of the force, across the wall
            load = max(a.design_load, a.lock_off_load)
            assert made.horizontal == pytest.approx(load * share / a.spacing)
            assert tan(made.inclination) == pytest.approx((z2 - z1) / (x2 - x1))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.stem)
def test_the_wall_turns_at_the_embedment_it_needs_or_at_its_toe(path: Any) -> None:
    for done in sections(path):
        needed = min(c.capacity for c in done.wall.checks if c.id == "wall.embedment")
        H = done.ground.H
        assert needed > 0.0
        for embedment, counts in ((needed + 2.0, needed), (0.5 * needed, 0.5 * needed)):
            wall = replace(done.wall, toe=H + embedment)
            assert rotation_depth(done.ground, wall) == pytest.approx(H + counts)


def test_a_bond_has_to_be_twice_as_much_longer_as_the_unbonded_part() -> None:
    """Its middle moves by half of what it is longer."""
    remedy = slid(tie(1, 2.0, 6.0, 160.0), tie(2, 4.5, 6.0, 160.0)).checks[0].remedy
    free, bond = remedy.split("or else")
    one, two = (re.findall(r"row (\d) by \{length:([\d.]+)\}", part) for part in (free, bond))
    assert one
    assert [r for r, _ in one] == [r for r, _ in two]
    for (_, a), (_, b) in zip(one, two, strict=True):
        assert float(b) == pytest.approx(2 * float(a))


def test_the_force_that_slides_is_safety_times_what_is_applied() -> None:
    d = slid(tie(1, 2.0, 11.0, 120.0))
    assert d.slides[0].applied == 120.0
    assert d.slides[0].sliding == pytest.approx(120.0 * d.slides[0].safety)
    assert values(d)["A"] == pytest.approx(d.slides[0].sliding / cos(radians(15)))
