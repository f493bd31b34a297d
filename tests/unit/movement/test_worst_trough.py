"""Of several troughs the one that strains a building most is carried."""

from __future__ import annotations

from itertools import permutations

import pytest

from backstay.model.site import Building
from backstay.movement import trough_shape
from backstay.movement.building import BuildingEffect, building_effect
from backstay.movement.trough import TroughShape


def effect(near: float, far: float, *shapes: TroughShape) -> BuildingEffect:
    building = Building(name="b", near=near, far=far, height=9.0)
    return building_effect(
        building, H=10.0, delta_h=0.03, delta_v=0.03, shapes=shapes,
        envelope=trough_shape("soft clay"), steps=(),
    )  # fmt: skip


@pytest.mark.parametrize(("near", "far"), [(1.0, 6.0), (6.0, 14.0), (8.0, 24.0), (16.0, 30.0)])
def test_the_worst_of_two_troughs_is_carried(near: float, far: float) -> None:
    alone = {kind: effect(near, far, trough_shape(kind)) for kind in ("concave", "soft clay")}
    worst = max(alone.values(), key=lambda found: found.strain)
    assert len({found.strain for found in alone.values()}) == 2
    for order in permutations(("concave", "soft clay")):
        both = effect(near, far, *(trough_shape(kind) for kind in order))
        assert both.strain == worst.strain
        assert both.trough == worst.trough
