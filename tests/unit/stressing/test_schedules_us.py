"""Procedures of the US tests against the schedules that agencies print."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from backstay.basis import Factor
from backstay.errors import DesignError
from backstay.stressing.procedure import Procedure, TestStep
from backstay.stressing.rules import UsLoading
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.schedules_us import (
    extended_creep_test,
    load_steps,
    performance_test,
    proof_test,
)
from tests.unit.stressing.invented import anchor

LOADING = US_RULES.loading
assert isinstance(LOADING, UsLoading)
AL = 0.10
PERFORMANCE_150 = [
    AL, 0.25, AL, 0.25, 0.50, AL, 0.25, 0.50, 0.75, AL, 0.25, 0.50, 0.75, 1.00, AL,
    0.25, 0.50, 0.75, 1.00, 1.25, AL, 0.25, 0.50, 0.75, 1.00, 1.25, 1.50, AL,
]  # fmt: skip
"""Caltrans special provision to 46-2.01D(2)(b), loading schedules, published: every line of it."""


def shares(procedure: Procedure) -> list[float]:
    return [step.share for step in procedure.steps]


def held(procedure: Procedure) -> TestStep:
    return max(procedure.steps, key=lambda step: step.load)


def test_performance_test_with_maximum_150_line_by_line() -> None:
    made = performance_test(400.0, 1.50, US_RULES)
    assert shares(made) == PERFORMANCE_150
    assert made.cycles == 6
    assert (made.test_load, made.alignment_load) == (pytest.approx(600.0), pytest.approx(40.0))
    assert made.clause.provenance == "published"
    others = [s for s in made.steps if s.share not in (AL, 1.50)]
    assert {(s.hold, s.most) for s in others} == {(1.0, 2.0)}  # 1 to 2 minutes
    assert (held(made).hold, held(made).extended[-1]) == (10.0, 60.0)  # 10 or 60 minutes


def test_performance_test_with_maximum_133() -> None:
    """City plan sheet of FHWA type, published: peaks, readings, at most 1 min at other steps."""
    made = performance_test(450.0, 1.33, US_RULES)
    peaks = [max(s.share for s in made.steps if s.cycle == c) for c in range(1, 7)]
    assert peaks == [0.25, 0.50, 0.75, 1.00, 1.20, 1.33]
    assert held(made).readings == (1, 2, 3, 4, 5, 6, 10)
    assert held(made).extended == (15, 20, 25, 30, 45, 60)
    assert {s.most for s in made.steps if AL < s.share < 1.33} == {1.0}


def test_proof_test_with_maximum_150_line_by_line() -> None:
    made = proof_test(400.0, 1.50, US_RULES, residual=False)
    assert shares(made) == [AL, 0.25, 0.50, 0.75, 1.00, 1.25, 1.50]
    assert made.kind == "proof"


def test_proof_test_returns_to_the_alignment_load_where_the_residual_is_wanted() -> None:
    with_it = proof_test(400.0, 1.33, US_RULES)
    without = proof_test(400.0, 1.33, US_RULES, residual=False)
    assert shares(with_it) == [*shares(without), AL]
    assert not with_it.steps[-1].up
    assert without.steps[-1] == held(without)


def test_extended_creep_test_holds() -> None:
    """FHWA-IF-99-015 section 7.4.4, from memory: 10, 30, 30, 45, 60 and 300 minutes."""
    made = extended_creep_test(450.0, 1.33, US_RULES)
    holds = {s.share: s.hold for s in made.steps if s.hold >= 10.0}
    assert holds == {0.25: 10.0, 0.50: 30.0, 0.75: 30.0, 1.00: 45.0, 1.20: 60.0, 1.33: 300.0}
    assert made.least_minutes == 475.0
    assert held(made).readings[-1] == 300.0
    assert all(s.readings[-1] == s.hold for s in made.steps)
    assert made.clause.clause.endswith("extended creep test")


def test_extended_creep_test_with_another_factor_holds_between_design_and_test_load() -> None:
    made = extended_creep_test(450.0, 1.75, US_RULES)
    assert {s.share: s.hold for s in made.steps if s.hold >= 45.0} == {
        1.00: 45.0, 1.25: 60.0, 1.50: 60.0, 1.75: 300.0,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("factor", "beyond"),
    [
        (1.20, (1.10, 1.20)), (1.25, (1.10, 1.25)), (1.40, (1.20, 1.40)), (1.60, (1.20, 1.40, 1.60)),
        (1.75, (1.25, 1.50, 1.75)), (2.00, (1.25, 1.50, 1.75, 2.00)),
    ],
)  # fmt: skip
def test_rule_for_a_factor_without_a_published_schedule(
    factor: float, beyond: tuple[float, ...]
) -> None:
    made = load_steps(factor, LOADING)
    assert made.shares == pytest.approx((0.25, 0.50, 0.75, 1.00, *beyond))
    assert made.cite.provenance == "common practice"


def test_four_thirds_is_133() -> None:
    made = load_steps(4.0 / 3.0, LOADING)
    assert made.shares[-2:] == (1.20, 4.0 / 3.0)
    assert made.cite == load_steps(1.33, LOADING).cite


def test_a_test_load_that_proves_nothing_is_refused() -> None:
    with pytest.raises(DesignError, match="proves too little"):
        performance_test(450.0, 1.05, US_RULES)


def test_another_practice_has_none_of_these() -> None:
    with pytest.raises(DesignError, match="practice EN"):
        proof_test(450.0, 1.33, EN_RULES)


def test_a_hold_of_the_project_is_read_to_its_end() -> None:
    rules = replace(US_RULES, loading=replace(LOADING, hold=Factor(12.0, LOADING.hold.cite)))
    top = held(performance_test(450.0, 1.33, rules))
    assert top.hold == 12.0
    assert top.readings == (1, 2, 3, 4, 5, 6, 10, 12)
    assert top.extended == (15, 20, 25, 30, 45, 60)


def test_the_procedure_of_an_anchor() -> None:
    for kind in ("performance", "proof", "extended creep"):
        made = procedure_of(kind, anchor(), 1.33, US_RULES)
        assert (made.kind, made.rules, made.method) == (kind, "US", "held load")
        assert made.test_load == pytest.approx(598.5)
    with pytest.raises(DesignError) as caught:
        procedure_of("suitability", anchor(), 1.33, US_RULES)
    assert caught.value.where == "anchor A-1-001"


def test_a_regrouted_anchor_is_held_for_its_own_limit_from_the_outset() -> None:
    """FHWA-IF-99-015 decision tree, from memory: 1 mm from 1 to 60 min after re-grouting."""
    top = held(procedure_of("proof", anchor(regrouted=1), 1.33, US_RULES))
    assert top.hold == 60.0
    assert top.readings == (1, 2, 3, 4, 5, 6, 10, 15, 20, 25, 30, 45, 60)
    assert top.extended == ()


@pytest.mark.parametrize("make", [performance_test, extended_creep_test])
def test_cycles_are_numbered_from_one_in_the_order_of_their_peaks(make: Any) -> None:
    made = make(450.0, 1.33, US_RULES)
    peaks = {s.cycle: s.share for s in made.steps if s.up}
    assert list(peaks) == [1, 2, 3, 4, 5, 6]
    assert list(peaks.values()) == [0.25, 0.50, 0.75, 1.00, 1.20, 1.33]
    assert made.cycles == 6


def test_the_least_test_load_that_proves_anything_is_taken() -> None:
    """Two equal steps of the rounding, 0.05, beyond the design load: 1.10, and nothing below it."""
    assert load_steps(1.10, LOADING).shares[-2:] == (1.05, 1.10)
    with pytest.raises(DesignError, match=r"at least 1\.1"):
        load_steps(1.09, LOADING)
