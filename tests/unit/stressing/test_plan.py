"""The plan of tests: who is called what, and who has which test."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from backstay.anchors import AnchorDesign
from backstay.anchors.load_tests import EN_COUNTS, US_COUNTS, Plasticity, planned_tests
from backstay.anchors.quantities import load_tests
from backstay.anchors.schedule import schedule
from backstay.basis import Factor
from backstay.model.project import Section
from backstay.stressing.plan import (
    TestPlan,
    anchor_to_test,
    identities,
    plan_slope_tests,
    plan_tests,
)
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from tests.unit.anchors.example import BASIS, CLAY, ROW, TEMPORARY, anchors, merged, section

SHEETS = {
    "kind": "continuous", "name": "Sheet piles", "stiffness": 4e4, "section_modulus": 1600.0,
    "area": "155 cm^2/m", "width": 0.4, "allowable_stress": "160 MPa",
}  # fmt: skip


def wall(
    length: float = 60.0, rows: int = 2, clay: dict[str, Any] | None = None, **row: Any
) -> Section:
    levels = [merged(merged(ROW, {"elevation": 98.0 - 2.0 * k}), row) for k in range(rows)]
    changes: dict[str, Any] = {"wall_length": length, "anchors": levels}
    if clay is not None:
        changes["ground"] = {"strata": [{**CLAY, **clay}]}
    return section(**changes)


def planned(made: Section, rules: Any = US_RULES) -> tuple[TestPlan, tuple[AnchorDesign, ...]]:
    designs = anchors(made)
    return plan_tests(made, designs, rules), designs


def test_names_are_section_row_and_number() -> None:
    made = wall()
    names = [i.name for i in identities(made, anchors(made))]
    assert len(names) == len(set(names)) == 60
    assert names[0] == "A-1-001"
    assert names[29:31] == ["A-1-030", "A-2-001"]
    plan, _ = planned(made)
    assert [p.identity.name for p in plan.anchors] == names


def test_piles_are_counted_along_the_wall() -> None:
    made = wall(length=41.0, rows=1, every=2)  # 21 piles at 2 m
    found = identities(made, anchors(made))
    assert [i.pile for i in found] == list(range(1, 22, 2))
    assert [i.number for i in found] == list(range(1, 12))


def test_anchors_of_a_continuous_wall_stand_at_no_pile() -> None:
    made = section({"spacing": 2.5}, wall=SHEETS)
    assert {i.pile for i in identities(made, anchors(made))} == {None}


def test_the_first_anchors_and_a_share_of_the_rest_are_performance_tested() -> None:
    """UFGS 02490, published: the first three, and 2 % of the rest."""
    plan, _ = planned(wall(length=400.0, rows=2))  # 200 anchors in a row
    first = [p for p in plan.anchors if p.identity.row == 1]
    numbers = [p.identity.number for p in first if p.tests == ("performance",)]
    assert numbers[:3] == [1, 2, 3]
    assert len(numbers) == 3 + 4  # 2 % of 197, rounded up
    gaps = [b - a for a, b in pairwise(numbers[3:])]
    assert max(gaps) - min(gaps) <= 1
    assert first[0].reason == "one of the first anchors of the work"
    assert first[0].clause == US_COUNTS.first_performance.cite
    assert Counter(p.tests[0] for p in plan.anchors) == {"performance": 11, "proof": 389}


@pytest.mark.parametrize("length", [2.0, 5.0, 40.0, 333.0])
@pytest.mark.parametrize("clay", [None, {}])
def test_the_plan_has_the_numbers_of_the_schedule_and_of_the_bill(
    length: float, clay: dict[str, Any] | None
) -> None:
    made = wall(length=length, rows=3, clay=clay)
    plan, designs = planned(made)
    drawn = schedule(made, designs, BASIS)
    for row in drawn.rows:
        mine = Counter(p.tests[0] for p in plan.anchors if p.identity.row == row.row)
        assert mine == dict(row.planned.kinds)
    billed = {item.name: item.value for item in load_tests(planned_tests(length, designs))}
    total = Counter(p.tests[0] for p in plan.anchors)
    assert billed == {f"{kind.capitalize()} tests": number for kind, number in total.items()}


def test_extended_creep_tests_where_the_ground_creeps() -> None:
    """FHWA-IF-99-015, from memory: liquid limit over 50 or plasticity index over 20."""
    plan, designs = planned(wall(rows=2, clay={}))
    crept = [p for p in plan.anchors if p.tests == ("extended creep",)]
    assert [p.identity.row for p in crept] == [1, 1]
    assert "Clay" in crept[0].reason
    assert anchor_to_test(crept[0].identity, designs[0], TEMPORARY, US_RULES).creeps


@pytest.mark.parametrize(
    ("limits", "creeps"),
    [
        ({"liquid_limit": 50.0, "plasticity_index": 20.0}, False),
        ({"liquid_limit": 50.1, "plasticity_index": 20.0}, True),
        ({"liquid_limit": 45.0, "plasticity_index": 20.1}, True),
        ({"liquid_limit": 30.0}, False),
        ({"plasticity_index": "25 %"}, True),
    ],
)
def test_limits_of_plasticity_decide_where_they_are_known(
    limits: dict[str, Any], creeps: bool
) -> None:
    plan, _ = planned(wall(rows=1, clay=limits))
    assert any(p.tests == ("extended creep",) for p in plan.anchors) is creeps


def test_ground_of_unknown_plasticity_creeps_if_it_is_clay() -> None:
    assert Plasticity("x", "stiff clay", None, None).creeps(US_COUNTS)
    assert not Plasticity("x", "granular", None, None).creeps(US_COUNTS)
    assert Plasticity("x", "granular", 0.6, 0.3).creeps(US_COUNTS)


def test_en_tests_every_anchor_and_the_first_three_for_suitability() -> None:
    """EN 1537:1999 9.6 and 9.7, published."""
    plan, _ = planned(wall(rows=2), EN_RULES)
    assert all("acceptance" in p.tests for p in plan.anchors)
    suited = [p.identity.name for p in plan.anchors if "suitability" in p.tests]
    assert suited == ["A-1-001", "A-1-002", "A-1-003"]
    assert plan.anchors[0].tests == ("suitability", "acceptance")
    assert plan.rules == "EN"
    assert not any("investigation" in p.tests for p in plan.anchors)


def test_en_tests_three_in_each_ground() -> None:
    strata = [
        {**CLAY, "name": "Fill over clay"},
        {**section().ground.strata[0].model_dump(), "name": "Sand", "top": 94.5},
    ]
    made = section(
        wall_length=20.0, ground={"strata": strata},
        anchors=[merged(ROW, {"elevation": e, "inclination": 0.0, "unbonded_length": 8.0}) for e in (97.0, 93.5)],
    )  # fmt: skip
    designs = anchors(made)
    assert [a.bond_kinds for a in designs] == [("stiff clay",), ("granular",)]
    rows = planned_tests(20.0, designs, EN_COUNTS)
    assert [r.suitability for r in rows] == [3, 3]


def test_trial_anchors_are_beside_those_of_the_wall() -> None:
    counts = replace(EN_COUNTS, investigation=Factor(2, EN_COUNTS.investigation.cite))
    plan, _ = planned(wall(rows=2), replace(EN_RULES, counts=counts))
    trials = [p for p in plan.anchors if p.identity.trial]
    assert [p.identity.name for p in trials] == ["A-1-T01", "A-1-T02"]
    assert {p.tests for p in trials} == {("investigation",)}
    assert len(plan.anchors) == 62
    assert "2 investigation" in plan.rows[0].words
    assert len({p.identity.name for p in plan.anchors}) == 62


def test_a_anchor_to_test_is_that_of_the_design() -> None:
    made = wall(rows=1)
    plan, (design,) = planned(made)
    built = anchor_to_test(plan.anchors[4].identity, design, TEMPORARY, US_RULES)
    assert built.name == "A-1-005"
    assert (built.design_load, built.lock_off_load) == (design.design_load, design.lock_off_load)
    assert built.area * built.modulus == design.tendon.area * design.tendon.E
    assert (built.free_length, built.jack_length) == (design.unbonded_length, design.tail_length)
    assert built.draw_in == pytest.approx(
        design.lock_off_loss * design.unbonded_length / (design.tendon.area * design.tendon.E)
    )
    assert built.proof_load is None  # the strand of ASTM has none at 0.1 %
    made = wall(rows=1, tendon={"kind": "strand", "product": "Y1860S7 15.7"})
    plan, (design,) = planned(made)
    built = anchor_to_test(plan.anchors[0].identity, design, TEMPORARY, EN_RULES)
    assert built.proof_load == pytest.approx(246.0 * design.tendon.strands)


def test_anchors_of_a_slope_are_planned_by_the_same_rule() -> None:
    from types import SimpleNamespace

    slope: Any = SimpleNamespace(name="Cut 7", run=60.0)
    designs = anchors(wall(rows=2))
    plan = plan_slope_tests(slope, designs, US_RULES)
    assert plan.rows == planned_tests(60.0, designs)
    assert plan.anchors[0].identity.name == "Cut 7-1-001"
    assert {p.identity.pile for p in plan.anchors} == {None}


@pytest.mark.parametrize(
    ("rules", "clay", "said"),
    [
        (EN_RULES, None, {"suitability": "first anchors in its ground",
                          "acceptance": "every anchor has an acceptance test"}),
        (US_RULES, None, {"performance": "first anchors of the work",
                          "proof": "every other anchor is proof tested"}),
        (US_RULES, {"liquid_limit": 60, "plasticity_index": 35},
         {"extended creep": "ground that creeps: "}),
    ],
)  # fmt: skip
def test_the_reason_of_a_test_is_that_of_its_kind(
    rules: Any, clay: dict[str, Any] | None, said: dict[str, str]
) -> None:
    plan, _ = planned(wall(clay=clay), rules)
    for kind, words in said.items():
        of = [p for p in plan.anchors if p.tests[0] == kind]
        assert of
        assert words in of[0].reason
        assert of[0].clause.document
