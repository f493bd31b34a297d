"""Procedures of the US tests: performance, proof and extended creep.

Every load is a share of the design load. The performance test goes up to each load in turn
through all the loads before it, and comes back to the alignment load after each: what comes back
is elastic, what stays is residual. The proof test goes up once. The extended creep test is a
performance test whose every peak is held and read.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.model.testing import TestKind
from backstay.stressing.loads import step_load
from backstay.stressing.procedure import Procedure, TestStep, minutes_between
from backstay.stressing.rules import LoadSteps, TestRules, UsLoading

SAME_FACTOR = 0.005
"""Test-load factors this near are one schedule (4/3 and 1.33)."""
_QUARTERS = (0.25, 0.50, 0.75, 1.00)
_ROUND = 0.05


def load_steps(factor: float, loading: UsLoading) -> LoadSteps:
    """Return the loads up to a test-load factor: published where they are, else by rule.

    Rule: quarters of the design load up to it, then two or more equal steps to the test load, none
    greater than `other_step`, those before the last rounded to 0.05.
    Raises DesignError for a factor that is not above the design load.
    """
    for steps in loading.steps:
        if abs(steps.factor - factor) <= SAME_FACTOR:
            return LoadSteps(
                factor, (*steps.shares[:-1], factor), steps.hold, steps.most, steps.cite
            )
    least = 1.0 + 2.0 * _ROUND
    if factor < least - 1e-9:
        raise DesignError(
            f"a test load of {factor:g} times the design load proves too little: at least {least:g}"
        )
    parts = max(2, ceil((factor - 1.0) / loading.other_step.value - 1e-9))
    beyond = (1.0 + (factor - 1.0) * k / parts for k in range(1, parts))
    shares = (*_QUARTERS, *(round(round(s / _ROUND) * _ROUND, 4) for s in beyond), factor)
    like = max(loading.steps, key=lambda steps: steps.factor)
    return LoadSteps(factor, shares, like.hold, like.most, loading.other_step.cite)


def performance_test(design_load: float, factor: float, rules: TestRules) -> Procedure:
    """Return the performance test to a test load of `factor` times the design load (kN)."""
    loading = _loading(rules)
    plan = load_steps(factor, loading)
    builder = _Steps(design_load, loading, plan)
    steps = [builder.alignment(1, up=True)]
    for cycle, peak in enumerate(plan.shares, start=1):
        steps += builder.rise(cycle, peak)
        if peak == plan.shares[-1]:
            steps.append(builder.test_load(cycle))
        steps.append(builder.alignment(cycle, up=False))
    return _procedure("performance", design_load, plan, loading, steps, rules)


def proof_test(
    design_load: float, factor: float, rules: TestRules, *, residual: bool = True
) -> Procedure:
    """Return the proof test; residual: whether it ends at the alignment load.

    Without that the residual movement stays unknown, and the elastic movement with it.
    """
    loading = _loading(rules)
    plan = load_steps(factor, loading)
    builder = _Steps(design_load, loading, plan)
    steps = [
        builder.alignment(1, up=True),
        *builder.rise(1, plan.shares[-1]),
        builder.test_load(1),
    ]
    if residual:
        steps.append(builder.alignment(1, up=False))
    return _procedure("proof", design_load, plan, loading, steps, rules)


def extended_creep_test(design_load: float, factor: float, rules: TestRules) -> Procedure:
    """Return the extended creep test: a performance test with every peak held at length."""
    loading = _loading(rules)
    plan = load_steps(factor, loading)
    builder = _Steps(design_load, loading, plan)
    steps = [builder.alignment(1, up=True)]
    for cycle, peak in enumerate(plan.shares, start=1):
        steps += [step for step in builder.rise(cycle, peak) if step.share < peak]
        steps.append(builder.creep(cycle, peak))
        steps.append(builder.alignment(cycle, up=False))
    return _procedure(
        "extended creep", design_load, plan, loading, steps, rules, loading.creep.cite
    )


class _Steps:
    """Makes the steps of one schedule."""

    def __init__(self, design_load: float, loading: UsLoading, plan: LoadSteps) -> None:
        self.design_load = design_load
        self.loading = loading
        self.plan = plan

    def alignment(self, cycle: int, *, up: bool) -> TestStep:
        """Return the stay at the alignment load: until it is stable, then one reading."""
        return self._step(cycle, self.loading.alignment_share.value, up=up, hold=0.0, most=None)

    def rise(self, cycle: int, peak: float) -> Iterator[TestStep]:
        """Yield the loads up to a peak, the test load left out: each held to be read."""
        for share in self.plan.shares[:-1]:
            if share <= peak:
                yield self._step(cycle, share, up=True, hold=self.plan.hold, most=self.plan.most)

    def test_load(self, cycle: int) -> TestStep:
        """Return the hold at the test load, with the readings of a longer one."""
        loading = self.loading
        hold, longer = loading.hold.value, loading.hold_extended.value
        return TestStep(
            cycle=cycle, share=self.plan.factor, up=True, hold=hold,
            load=step_load(self.plan.factor, self.design_load),
            readings=minutes_between(loading.readings.minutes, 0.0, hold),
            extended=minutes_between(loading.readings_extended.minutes, hold, longer),
        )  # fmt: skip

    def creep(self, cycle: int, share: float) -> TestStep:
        """Return one hold of the extended creep test."""
        rule = self.loading.creep
        hold = next((minutes for s, minutes in rule.steps if abs(s - share) < 1e-9), rule.beyond)
        if share == self.plan.shares[-1]:
            hold = rule.last
        return TestStep(
            cycle=cycle, share=share, load=step_load(share, self.design_load), up=True, hold=hold,
            readings=minutes_between(self.loading.creep_readings.minutes, 0.0, hold),
        )  # fmt: skip

    def _step(
        self, cycle: int, share: float, *, up: bool, hold: float, most: float | None
    ) -> TestStep:
        return TestStep(
            cycle=cycle, share=share, load=step_load(share, self.design_load), up=up, hold=hold,
            readings=(hold,), most=most,
        )  # fmt: skip


def _loading(rules: TestRules) -> UsLoading:
    if not isinstance(rules.loading, UsLoading):
        raise DesignError(f"the practice {rules.id} has no performance, proof and creep tests")
    return rules.loading


def _procedure(
    kind: TestKind,
    design_load: float,
    plan: LoadSteps,
    loading: UsLoading,
    steps: list[TestStep],
    rules: TestRules,
    clause: Citation | None = None,
) -> Procedure:
    return Procedure(
        rules=rules.id, kind=kind, method=rules.method, design_load=design_load,
        test_load=step_load(plan.factor, design_load),
        alignment_load=step_load(loading.alignment_share.value, design_load),
        steps=tuple(steps), clause=clause or plan.cite,
    )  # fmt: skip
