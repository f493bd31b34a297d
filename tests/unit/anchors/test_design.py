"""The design of a row as a whole, its protection, and the schedule."""

from __future__ import annotations

from math import cos, radians, sin

import pytest

from backstay.anchors.schedule import schedule
from backstay.checks import Verdict, expand
from backstay.errors import DesignError
from backstay.model.project import Service
from backstay.quantity import UnitSystem
from tests.unit.anchors.example import (
    BASIS,
    CLAY,
    PERMANENT,
    ROW,
    anchors,
    check,
    loads,
    merged,
    section,
)

CONTINUOUS = {
    "kind": "continuous", "name": "Sheet piles", "stiffness": 50000.0, "section_modulus": 1800.0,
    "width": 0.4, "allowable_stress": 160.0,
}  # fmt: skip


def test_load_geometry_and_points() -> None:
    anchor = anchors(section({"skew": "10 deg"}))[0]
    i, psi = radians(15), radians(10)
    assert anchor.required_load == pytest.approx(120 * 2 / (cos(i) * cos(psi)))
    assert anchor.design_load == anchor.required_load
    assert anchor.vertical == pytest.approx(anchor.design_load * sin(i) / 2)
    assert anchor.head == (0.0, 2.5)
    assert anchor.free_end[0] == pytest.approx(anchor.unbonded_length * cos(i) * cos(psi))
    assert anchor.bond_end[1] == pytest.approx(2.5 + anchor.total_length * sin(i))


def test_a_given_design_load_is_checked() -> None:
    anchor = anchors(section({"design_load": 200.0}))[0]
    assert anchor.design_load == 200.0
    found = check(anchor, "design-load")
    assert found.verdict is Verdict.FAIL
    assert "design load {force:200}, needs {force:248.466}" in found.remedy
    assert check(anchors(section({"design_load": 300.0}))[0], "design-load").verdict is Verdict.PASS


def test_every_second_pile_carries_twice() -> None:
    assert anchors(section({"every": 2}))[0].required_load == pytest.approx(
        2 * anchors(section())[0].required_load
    )


def test_spacing_of_a_continuous_wall_must_be_said() -> None:
    made = section(wall=CONTINUOUS)
    with pytest.raises(DesignError, match="needs its spacing"):
        anchors(made)
    assert anchors(section({"spacing": 2.5}, wall=CONTINUOUS))[0].spacing == 2.5
    with pytest.raises(DesignError, match="not that of the piles"):
        anchors(section({"spacing": 2.5}))


def test_loads_must_match_the_rows() -> None:
    from backstay.anchors import critical_surface, design_anchors
    from backstay.ground import profile

    made = section()
    ground = profile(made)
    with pytest.raises(DesignError, match="1 rows of anchors, 2 loads"):
        design_anchors(
            made, ground, critical_surface(made, ground), loads(100.0, 2.0, 5.0), PERMANENT, BASIS
        )


def test_protection_follows_the_service() -> None:
    permanent = anchors(section(), service=PERMANENT)[0]
    assert permanent.protection == "class I"
    assert "counts as aggressive" in permanent.protection_reason
    given = anchors(section({"protection": "class II"}), service=PERMANENT)[0]
    assert given.protection == "class II"
    assert check(given, "protection").verdict is Verdict.FAIL
    assert "use class I" in check(given, "protection").remedy
    long = anchors(section(), service=Service(life="temporary", months=40))[0]
    assert "{duration:40}" in long.protection_reason


def test_every_placeholder_of_every_check_expands() -> None:
    made = section(
        {"unbonded_length": 3.0, "bond": {"length": 2.0, "hole_diameter": "80 mm"}},
        constraints={"right_of_way": 3.0, "headroom": 1.0},
    )
    for anchor in anchors(made, 900.0, PERMANENT):
        for found in anchor.checks:
            for text in (found.remedy, found.note, found.open_choice):
                for system in UnitSystem:
                    assert "{" not in expand(text, system), (found.id, text)
            assert found.clause
            if found.verdict is Verdict.FAIL:
                assert found.remedy, found.id


def test_schedule_counts_anchors_and_tests() -> None:
    rows = [merged(ROW, {"elevation": e}) for e in (98.0, 95.5, 93.0)]
    made = section(anchors=rows, wall_length=401.0)
    plan = schedule(made, anchors(made), BASIS)
    assert [r.number for r in plan.rows] == [201, 201, 201]
    assert [r.planned.performance for r in plan.rows] == [3 + 4, 5, 5]
    for row in plan.rows:
        tests = row.planned
        assert tests.performance + tests.extended_creep + tests.proof == row.number
        assert tests.extended_creep == 0
    assert plan.rows[0].tests == "7 performance, 194 proof"
    assert any("nobody stands behind the jack" in note for note in plan.notes)


def test_clay_asks_for_extended_creep_tests() -> None:
    made = section(ground={"strata": [CLAY]})
    plan = schedule(made, anchors(made), BASIS)
    assert plan.rows[0].planned.extended_creep == 2
    assert any("plasticity index" in note for note in plan.notes)


def test_open_bond_in_the_schedule() -> None:
    made = section({"bond": {"length": None}})
    plan = schedule(made, anchors(made), BASIS)
    assert plan.rows[0].bond_length is None
    assert any("chosen by the contractor" in note for note in plan.notes)


def test_few_anchors_are_all_performance_tested() -> None:
    made = section(wall_length=4.0)
    plan = schedule(made, anchors(made), BASIS)
    assert (plan.rows[0].number, plan.rows[0].planned.performance, plan.rows[0].planned.proof) == (
        2,
        2,
        0,
    )
