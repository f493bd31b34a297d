"""Rules of the unbonded length."""

from __future__ import annotations

from math import radians, sin

import pytest

from backstay.anchors.unbonded import BEYOND_SURFACE, BY_TENDON, OVERBURDEN
from backstay.checks import Verdict
from tests.unit.anchors.example import anchors, check, section


def rules(**row: object) -> dict[str, float]:
    anchor = anchors(section(dict(row)))[0]
    return {rule.name: rule.length for rule in anchor.unbonded_rules}


def test_every_rule_is_listed_and_the_largest_governs() -> None:
    anchor = anchors(section())[0]
    found = {rule.name: rule.length for rule in anchor.unbonded_rules}
    assert set(found) == {BY_TENDON["strand"], BEYOND_SURFACE, OVERBURDEN}
    assert anchor.unbonded_length == max(found.values())
    assert found[anchor.unbonded_governing] == anchor.unbonded_length


def test_a_low_row_is_governed_by_its_tendon() -> None:
    assert anchors(section({"elevation": 91.0}))[0].unbonded_governing == BY_TENDON["strand"]
    low = anchors(section({"elevation": 91.0, "tendon": {"kind": "bar"}}))[0]
    assert low.unbonded_least == pytest.approx(3.0)
    assert low.unbonded_governing == BY_TENDON["bar"]


def test_cover_takes_the_shortest_bond_zone_where_it_is_open() -> None:
    row = {"elevation": 99.0, "bond": {"length": None}}
    assert rules(**row)[OVERBURDEN] == pytest.approx(3.5 / sin(radians(15)) - 2.25)
    assert anchors(section(row))[0].unbonded_governing == OVERBURDEN


def test_a_given_length_is_checked_and_kept() -> None:
    anchor = anchors(section({"unbonded_length": 5.0}))[0]
    assert anchor.unbonded_length == 5.0
    found = check(anchor, "unbonded-length")
    assert found.verdict is Verdict.FAIL
    assert "needs {length:5.68038}" in found.remedy
    assert check(anchor, "bond-behind-surface").verdict is Verdict.PASS
    short = anchors(section({"unbonded_length": 3.0}))[0]
    assert check(short, "bond-behind-surface").verdict is Verdict.FAIL


def test_boundaries_and_pipes_never_lengthen_an_anchor() -> None:
    pipe = {
        "kind": "circle", "name": "Sewer", "centre": {"distance": 6.0, "elevation": 96.0},
        "diameter": 1.0,
    }  # fmt: skip
    made = section(constraints={"right_of_way": 8.0, "obstacles": [pipe]})
    anchor = anchors(made)[0]
    assert anchor.unbonded_length == anchors(section())[0].unbonded_length
    assert check(anchor, "right-of-way").verdict is Verdict.FAIL
    assert check(anchor, "obstacle").verdict is Verdict.FAIL


def test_a_level_shallow_anchor_fails_its_cover_with_a_remark() -> None:
    anchor = anchors(section({"inclination": 0.0}))[0]
    assert OVERBURDEN not in {rule.name for rule in anchor.unbonded_rules}
    assert check(anchor, "overburden").verdict is Verdict.FAIL
    assert check(anchor, "inclination-least").verdict is Verdict.FAIL
