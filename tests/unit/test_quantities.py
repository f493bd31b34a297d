"""Quantities against sums by hand."""

from __future__ import annotations

from math import pi
from types import SimpleNamespace
from typing import Any, cast

import pytest

from backstay.checks import expand
from backstay.ground import profile
from backstay.model.project import Section
from backstay.quantities import Quantities, quantities
from backstay.quantity import QUANTITIES, UnitSystem
from tests.unit.anchors.example import ROW, anchors, merged, section

WALL = {
    "section_name": "HP14x89", "arrangement": "single", "toe": 13.0, "toe_width": 0.75,
    "lagging": SimpleNamespace(thickness=0.076),
}  # fmt: skip


def counted(made: Section, **wall: Any) -> Quantities:
    stand_in = cast(Any, SimpleNamespace(**{**WALL, **wall}))
    return quantities(made, profile(made), anchors(made), stand_in)


def value(found: Quantities, name: str) -> float:
    return next(item.value for item in found.items if item.name == name)


def test_soldier_piles_of_forty_metres() -> None:
    found = counted(section())
    assert value(found, "Soldier piles") == 20
    assert value(found, "Length of soldier piles") == pytest.approx(260.0)
    # 89 lb/ft is 132.45 kg/m
    assert value(found, "Steel of soldier piles") == pytest.approx(260.0 * 132.45, rel=1e-3)
    assert value(found, "Area of lagging") == pytest.approx(400.0)
    assert value(found, "Volume of lagging") == pytest.approx(30.4)
    # 26.1 in2 of steel in each hole
    assert value(found, "Filling of pile holes") == pytest.approx(
        260.0 * (pi * 0.75**2 / 4 - 26.1 * 0.0254**2), rel=1e-3
    )


def test_a_pair_weighs_twice() -> None:
    one = value(counted(section()), "Steel of soldier piles")
    assert value(counted(section(), arrangement="double"), "Steel of soldier piles") == 2 * one


def test_driven_piles_have_no_holes() -> None:
    found = counted(section(wall={"installation": "driven"}))
    assert "Filling of pile holes" not in {item.name for item in found.items}


def test_anchors_over_two_rows() -> None:
    rows = [merged(ROW, {}), merged(ROW, {"elevation": 94.0, "every": 2})]
    made = section(anchors=rows)
    found = counted(made)
    first, second = anchors(made)
    drilled = 20 * first.total_length + 10 * second.total_length
    assert value(found, "Anchors") == 30
    assert value(found, "Drilled length of anchors") == pytest.approx(drilled)
    steel = sum(n * a.tendon.mass * (a.total_length + 1.2) for n, a in ((20, first), (10, second)))
    assert value(found, "Prestressing steel") == pytest.approx(steel)
    assert value(found, "Grout of anchors") == pytest.approx(
        sum(
            n * a.total_length * (pi * 0.15**2 / 4 - a.tendon.area)
            for n, a in ((20, first), (10, second))
        )
    )
    assert value(found, "Performance tests") + value(found, "Proof tests") == 30


def test_continuous_wall_by_area_and_weight() -> None:
    wall = {
        "kind": "continuous", "name": "Sheet piles", "stiffness": 50000.0, "section_modulus": 1800.0,
        "width": 0.4, "allowable_stress": 160.0, "weight": 1.5,
    }  # fmt: skip
    found = counted(section({"spacing": 2.0}, wall=wall), arrangement="continuous", lagging=None)
    assert value(found, "Area of wall") == pytest.approx(520.0)
    assert value(found, "Mass of wall") == pytest.approx(520.0 * 1500 / 9.80665)


def test_every_item_has_a_quantity_and_notes_that_expand() -> None:
    made = section({"bond": {"length": None}})
    for item in counted(made).items:
        assert item.quantity in QUANTITIES
        assert "{" not in expand(item.note, UnitSystem.US)
    assert any("by contractor" in item.note for item in counted(made).items)
