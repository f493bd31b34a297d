"""What helps is said where a check fails, and nowhere else; notes and clauses go with the case."""

from __future__ import annotations

from dataclasses import replace
from math import log10
from typing import Any

import pytest

from backstay.checks import Check, Verdict, expand
from backstay.quantity import UnitSystem
from backstay.stressing.judge import judge
from backstay.stressing.load_with_time import LoadAt, load_history
from backstay.stressing.lock_off import LockOff, plan_lock_off
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.seating import seated_load
from backstay.stressing.submittal import review_submittal, to_revise
from backstay.stressing.submittal_anchors import LEFT_OUT
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.judging import ANNEX, EN_GIVEN, EXTENDED, PERFORMANCE, us
from tests.unit.stressing.submittals import design_of, submittal
from tests.unit.stressing.synthetic import Model, record_of


def said_where_it_fails(checks: tuple[Check, ...], *names: str) -> None:
    """Assert it of these checks, and that they are there."""
    of = [c for c in checks if c.id.startswith(names)]
    assert of
    for check in of:
        assert bool(check.remedy) is (check.verdict is Verdict.FAIL), (check.id, check.remedy)


@pytest.mark.parametrize("model", [Model(), Model(creep=0.003), Model(bend=0.001)])
def test_of_creep_in_tests_of_us_practice(model: Model) -> None:
    judged = us(record_of(model, PERFORMANCE, extended=True))
    said_where_it_fails(judged.checks, "test.creep", "test.load-reached")
    held = us(record_of(model, EXTENDED))
    said_where_it_fails(held.checks, "test.creep")


@pytest.mark.parametrize("method", ["held load", "stepped load", "lock-off"])
@pytest.mark.parametrize("creep", [0.00019, 0.0002, 0.004])
def test_of_creep_and_loss_in_tests_of_european_practice(method: Any, creep: float) -> None:
    rules = replace(EN_GIVEN, method=method)
    model = Model(creep=creep)
    record = record_of(model, procedure_of("suitability", model.anchor, 1.33, rules))
    if method == "lock-off":
        last, line = record.procedure.cycles, model.jack.calibration
        record = replace(
            record,
            readings=tuple(
                replace(r, gauge=line.pressure(360.0 * (1.0 - 10.0 * creep * min(r.minute, 9.0))))
                if r.cycle == last
                else r
                for r in record.readings
            ),
        )
    judged = judge(record, rules)
    said_where_it_fails(
        judged.checks, "test.creep", "test.load-loss", "test.stepped", "test.critical"
    )


@pytest.mark.parametrize("load", [300.0, 342.0, 360.0, 378.0, 420.0])
def test_of_lock_off_and_lift_off(load: float) -> None:
    held = anchor(jack_length=1.2)
    plan = plan_lock_off(held, US_RULES, head="wedges", draw_in=0.006)
    locked = LockOff(anchor=held.name, head="wedges", wanted=360.0, jack_load=441.9, load=load)
    found = seated_load(locked, held, US_RULES, plan)
    said_where_it_fails(found.checks, "lock-off.load", "lock-off.seating")
    for check in found.checks:
        if check.id == "lock-off.load-least" and check.remedy:
            assert "re-stress" in check.remedy
        if check.id == "lock-off.load-greatest" and check.remedy:
            assert "let the anchor down" in check.remedy


@pytest.mark.parametrize("rate", [0.0, 0.005, 0.03])
def test_of_load_with_time(rate: float) -> None:
    rules = replace(US_RULES, load_loss_rate=EN_GIVEN.load_loss_rate)
    days = (1, 2, 4, 8, 16, 30, 60, 90)
    loads = [LoadAt(minute=1440.0 * d, load=360.0 * (1.0 - rate * log10(1440.0 * d))) for d in days]
    found = load_history(anchor(), 360.0, loads, rules)
    said_where_it_fails(found.checks, "load.")
    assert {c.id for c in found.checks if c.clause == ANNEX} == {"load.loss-rate"}


@pytest.mark.parametrize(
    "changes",
    [
        {}, {"grout": {"strength": 20.0}}, {"grout": {"age": 2}}, {"grout": {"water_cement": 0.5}},
        {"sequence": {"fresh_distance": 2.0}}, {"jack": {"capacity": 500}},
        {"test": {"first_test": "2026-04-20"}}, {"bond": {"length": 3.0}},
    ],
)  # fmt: skip
def test_of_a_submittal(changes: dict[str, Any]) -> None:
    review = review_submittal(submittal(changes), design_of(), US_RULES)
    said_where_it_fails(review.checks, "submittal.")
    assert not {c.id for c in review.checks} & set(LEFT_OUT), "what the design alone decides"


def test_what_is_only_noted_is_not_to_be_revised() -> None:
    noted = review_submittal(submittal({"grout": {"water_cement": 0.5}}), design_of(), US_RULES)
    assert noted.decision == "accept as noted"
    assert list(to_revise(noted)) == []
    both = submittal({"grout": {"water_cement": 0.5}, "jack": {"capacity": 500}})
    revised = review_submittal(both, design_of(), US_RULES)
    assert [c.id for c in to_revise(revised)] == ["submittal.jack-capacity"]


def test_reasons_of_a_review_say_what_helps() -> None:
    revised = review_submittal(submittal({"jack": {"capacity": 500}}), design_of(), US_RULES)
    (check,) = to_revise(revised)
    (line,) = revised.reasons(UnitSystem.SI)
    assert line.startswith(f"revise: {check.name}")
    assert expand(check.remedy, UnitSystem.SI) in line
    passing = next(
        i for i in revised.items if i.check.verdict is Verdict.PASS and not i.check.remedy
    )
    assert passing.words(UnitSystem.SI).endswith(passing.check.comparison(UnitSystem.SI))
