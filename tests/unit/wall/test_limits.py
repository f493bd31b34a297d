"""What acts on the wall below subgrade is what the room of pressure says acts there."""

from __future__ import annotations

import pytest

from backstay.ground import Profile, profile
from backstay.pressure.lateral import active_pressure, passive_pressure
from backstay.pressure.water import net_water_diagram
from backstay.wall.limits import conditions, levels, uniform_surcharge
from backstay.wall.resistance import active_at, continuous_at, net_water_on
from tests.unit.pressure.grounds import clay, sand, section

FLOODED = {"retained": -1.0, "cut": -7.0, "flow": "seepage"}
"""The cut, 8 m deep, stands 1 m under water: head is lost in the ground alone."""


def layered(water: dict[str, object], **more: object) -> Profile:
    return profile(
        section(
            sand(phi=31.0, wall_friction_ratio=0.5),
            clay(-10.0, su=60.0, kind="stiff clay", friction_angle=24.0, cohesion=5.0),
            sand(-13.0, phi=35.0, wall_friction_ratio=0.7),
            H=8.0, rows=(2.0, 5.0), ground={"water": water, **more},
        )
    )  # fmt: skip


@pytest.mark.parametrize(
    "water",
    [
        {},
        {"retained": -3.0},
        {"retained": -3.0, "cut": -9.0, "flow": "seepage"},
        FLOODED,
        {"perched": [{"level": -2.0, "base": -4.0}]},
    ],
)
def test_limits_are_those_of_the_room_of_pressure(water: dict[str, object]) -> None:
    ground = layered(water)
    toe = 16.0 if ground.flow == "seepage" else None
    for condition in conditions(ground, 8.0, 16.0):
        for level in levels(ground, 8.0, 16.0, dug_to=8.0, surcharge=10.0, toe=toe):
            z = level.z
            above = abs(z - level.layer.bottom) < 1e-9
            assert active_at(level, condition, ground.slope) == pytest.approx(
                active_pressure(
                    ground, z, strength=condition, surcharge=10.0, toe=toe, above=above
                ),
                rel=1e-7, abs=1e-6,
            )  # fmt: skip
            if z > 8.0:
                assert continuous_at(level, condition) == pytest.approx(
                    passive_pressure(ground, z, strength=condition, toe=toe, above=above),
                    rel=1e-7, abs=1e-6,
                )  # fmt: skip


def test_net_water_of_a_flooded_cut_loses_head_in_the_ground_alone() -> None:
    ground = layered(FLOODED)
    points = levels(ground, 8.0, 16.0, dug_to=8.0, toe=16.0)
    net = net_water_on(points, "drained", 1.0)
    shown = net_water_diagram(ground, toe=16.0, to=16.0)
    assert shown is not None
    assert net.p[0] == pytest.approx(shown.at(8.0))
    # By hand: 6 m over 2 * 16 - 1 - 8 = 23 m; at the toe both sides meet.
    assert net.p[0] == pytest.approx(9.81 * (7 * (1 - 6 / 23) - 1))
    assert net.p[-1] == pytest.approx(0.0, abs=1e-9)


def test_surcharges_of_the_surface_are_the_uniform_ones() -> None:
    loaded = section(
        sand(),
        surcharges=[
            {"kind": "uniform", "name": "a", "pressure": 10.0},
            {"kind": "traffic", "name": "b", "pressure": 12.0},
            {"kind": "line", "name": "c", "load": 50.0, "distance": 2.0},
        ],
    )
    assert uniform_surcharge(loaded) == 22.0
