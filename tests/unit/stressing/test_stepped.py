"""Stepped load: creep rate by step and the critical creep load, from a law that is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.basis import Factor
from backstay.cite import Citation
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.stepped import StepRate, critical_load
from tests.unit.stressing.synthetic import Model, rate, record_of

ANNEX = Citation("invented annex", "", "given")
RULES = replace(EN_RULES, method="stepped load", stepped_creep=Factor(0.002, ANNEX))


def stepped(model: Model, rules: TestRules = RULES, kind: str = "investigation") -> Judgement:
    procedure = procedure_of(kind, model.anchor, 1.33, rules)  # type: ignore[arg-type]
    return judge(record_of(model, procedure), rules)


def rates_of(loads: list[float], values: list[float]) -> list[StepRate]:
    return [
        StepRate(share=p / 450.0, load=p, rate=v, error=0.0, minutes=60.0)
        for p, v in zip(loads, values, strict=True)
    ]


def test_every_step_has_its_rate() -> None:
    model = Model(creep=0.0006)
    found = stepped(model).evaluation.rates
    assert [r.load for r in found] == pytest.approx(
        [598.5 * s for s in (0.25, 0.4, 0.55, 0.7, 0.85, 1.0)]
    )
    assert [r.rate for r in found] == pytest.approx(
        [rate(model, r.load, 598.5) for r in found], rel=1e-6
    )


@settings(max_examples=25, deadline=None)
@given(critical=st.floats(340.0, 415.0), steep=st.floats(4e-6, 3e-5), seed=st.integers(0, 99))
def test_the_load_where_the_rate_breaks_is_recovered(
    critical: float, steep: float, seed: int
) -> None:
    model = Model(creep=0.0004, critical=critical, steep=steep, scatter=2e-6, seed=seed)
    found = stepped(model).evaluation.critical
    assert found is not None
    assert found.meet == pytest.approx(critical, rel=0.03)
    assert found.load == pytest.approx(0.9 * (found.meet or 0.0))


def test_rates_on_one_line_have_no_critical_load() -> None:
    judged = stepped(Model(creep=0.0006))
    critical = judged.evaluation.critical
    assert critical is not None
    assert critical.load is None
    check = next(c for c in judged.checks if c.id == "test.critical-creep-load")
    assert check.demand == pytest.approx(598.5)
    assert "at least" in str([s.title for s in check.steps if hasattr(s, "title")])


def test_two_lines_are_found_exactly_wherever_they_break() -> None:
    loads = [100.0, 200.0, 300.0, 400.0, 500.0, 600.0, 700.0]
    for meet in (250.0, 330.0, 400.0, 470.0):
        values = [1e-6 * p + (1e-5 * (p - meet) if p > meet else 0.0) for p in loads]
        found = critical_load(rates_of(loads, values), 1e-5)
        assert found.meet == pytest.approx(meet, rel=1e-9)
        assert found.residual == pytest.approx(0.0, abs=1e-12)


def test_two_lines_fit_as_well_as_a_search_over_all_breaks() -> None:
    """A second method: a continuous broken line by numpy, its break scanned in small steps."""
    rng = np.random.default_rng(5)
    loads = np.linspace(100.0, 700.0, 9)
    values = 8e-7 * loads + np.where(loads > 430.0, 9e-6 * (loads - 430.0), 0.0)
    values += rng.normal(0.0, 2e-5, loads.size)
    best = min(
        np.arange(200.0, 650.0, 0.5),
        key=lambda c: np.linalg.lstsq(
            np.column_stack([np.ones_like(loads), loads, np.maximum(0.0, loads - c)]),
            values,
            rcond=None,
        )[1][0],
    )
    found = critical_load(rates_of(list(loads), list(values)), 1e-5)
    assert found.meet == pytest.approx(float(best), rel=0.03)


def test_few_steps_make_no_two_lines() -> None:
    found = critical_load(rates_of([1.0, 2.0, 3.0], [0.0, 0.0, 1.0]), 1e-5)
    assert found.load is None
    assert "fewer than four" in found.method


def test_the_rate_at_the_proof_load_is_a_limit_from_both_sides() -> None:
    for creep, decision in ((0.00199, "accepted"), (0.002, "accepted"), (0.00201, "not accepted")):
        assert stepped(Model(creep=creep)).decision == decision, creep


def test_lock_off_beyond_the_critical_creep_load_is_not_accepted() -> None:
    low = stepped(Model(creep=0.0002, critical=350.0, steep=4e-6))
    check = next(c for c in low.checks if c.id == "test.critical-creep-load")
    assert check.demand == pytest.approx(0.9 * 350.0, rel=0.01)
    assert check.capacity == 360.0
    assert low.decision == "not accepted"
    high = stepped(Model(creep=0.0002, critical=430.0, steep=4e-6))
    assert high.decision == "accepted"


def test_without_a_national_limit_there_is_no_acceptance() -> None:
    judged = stepped(Model(), replace(RULES, stepped_creep=None))
    assert judged.decision == "cannot be judged"
    assert judged.next[0].action == "give the limit"


@pytest.mark.parametrize("kind", ["investigation", "suitability", "acceptance"])
def test_all_kinds_are_judged(kind: str) -> None:
    assert stepped(Model(creep=0.0005), kind=kind).decision == "accepted"
    assert stepped(Model(creep=0.0035), kind=kind).decision == "not accepted"
