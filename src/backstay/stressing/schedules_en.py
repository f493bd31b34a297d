"""Procedures of EN 1537 and EN ISO 22477-5: investigation, suitability and acceptance tests.

Loads are shares of the proof load, which is the test-load factor times the design load; the datum
load, too, is a share of the proof load. By method 1 (held load) and method 2 (lock-off) the load
goes up in cycles, each to a higher peak and back to the datum load; by method 3 (stepped load) it
goes up once, and every step is held. Method 2 ends locked off, its load read over time.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from backstay.errors import DesignError
from backstay.model.testing import TestKind
from backstay.stressing.loads import step_load
from backstay.stressing.procedure import Procedure, TestStep, minutes_between
from backstay.stressing.rules import EnLoading, ProofSteps, TestRules

BondGround = Literal["granular", "cohesive"]
"""Ground of the bond: in cohesive ground the proof load is held longer."""


def bond_ground(kinds: tuple[str, ...]) -> BondGround:
    """Return which hold the kinds of ground along a bond ask for."""
    return "cohesive" if any("clay" in kind for kind in kinds) else "granular"


def investigation_test(
    design_load: float, factor: float, rules: TestRules, *, ground: BondGround, lock_off_load: float
) -> Procedure:
    """Return the investigation test of a trial anchor: to the proof load, or until it fails (kN)."""
    return _test("investigation", design_load, factor, rules, ground, lock_off_load)


def suitability_test(
    design_load: float, factor: float, rules: TestRules, *, ground: BondGround, lock_off_load: float
) -> Procedure:
    """Return the suitability test, by the method of the rules. Loads in kN.

    Raises DesignError where the proof load is less than the rules ask over the lock-off load.
    """
    return _test("suitability", design_load, factor, rules, ground, lock_off_load)


def acceptance_test(
    design_load: float, factor: float, rules: TestRules, *, ground: BondGround, lock_off_load: float
) -> Procedure:
    """Return the acceptance test that every anchor has, by the method of the rules. Loads in kN.

    Raises DesignError where the proof load is less than the rules ask over the lock-off load.
    """
    return _test("acceptance", design_load, factor, rules, ground, lock_off_load)


def _test(
    kind: TestKind,
    design_load: float,
    factor: float,
    rules: TestRules,
    ground: BondGround,
    lock_off_load: float,
) -> Procedure:
    loading = rules.loading
    if not isinstance(loading, EnLoading):
        raise DesignError(
            f"the practice {rules.id} has no investigation, suitability and acceptance tests"
        )
    plan = loading.of(kind, rules.method)
    proof_load = step_load(factor, design_load)
    least = loading.least_over_lock_off
    if proof_load < least.value * lock_off_load * (1.0 - 1e-9):
        raise DesignError(
            f"the proof load {{force:{proof_load:.6g}}} is less than {least.value:g} times the lock-off "
            f"load {{force:{lock_off_load:.6g}}} ({least.cite})"
        )
    maker = _Steps(design_load, factor, loading, plan, ground, lock_off_load)
    return Procedure(
        rules=rules.id, kind=kind, method=rules.method, design_load=design_load,
        test_load=proof_load,
        alignment_load=step_load(loading.alignment_share.value, proof_load),
        steps=tuple(maker.steps()), clause=plan.cite,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Steps:
    """Makes the steps of one test."""

    design_load: float
    factor: float
    loading: EnLoading
    plan: ProofSteps
    ground: BondGround
    lock_off_load: float

    def steps(self) -> Iterator[TestStep]:
        yield self._datum(1, up=True)
        cycle = 0
        if self.plan.form == "cycles":
            before: float | None = None
            for peak in self.plan.shares:
                cycle += 1
                yield from self._cycle(cycle, before, peak)
                before = peak
        else:
            for _ in range(self.plan.times):
                cycle += 1
                yield from (self._held(cycle, share) for share in self.plan.shares)
                yield self._datum(cycle, up=False)
        if self.plan.method == "lock-off":
            yield self._locked(cycle + 1)

    def _cycle(self, cycle: int, before: float | None, peak: float) -> Iterator[TestStep]:
        """Yield one cycle: up through the peak before, its own peak, and down the same way."""
        if before is not None:
            yield self._passed(cycle, before, up=True)
        yield self._held(cycle, peak)
        if before is not None:
            yield self._passed(cycle, before, up=False)
        yield self._datum(cycle, up=False)

    def _held(self, cycle: int, part: float) -> TestStep:
        """Return the hold at one share of the proof load; at the proof load it may go on."""
        at_proof = part >= 1.0 - 1e-9
        hold = self.plan.hold
        if at_proof:
            hold = self.plan.cohesive if self.ground == "cohesive" else self.plan.granular
        by_load = self.plan.method == "lock-off"
        times = (self.loading.loss_readings if by_load else self.loading.readings).minutes
        longer = self.loading.prolonged.value * hold if at_proof and not by_load else hold
        return TestStep(
            cycle=cycle, share=part * self.factor, up=True, hold=hold,
            load=step_load(part * self.factor, self.design_load),
            readings=minutes_between(times, 0.0, hold), extended=minutes_between(times, hold, longer),
        )  # fmt: skip

    def _passed(self, cycle: int, part: float, *, up: bool) -> TestStep:
        return TestStep(
            cycle=cycle, share=part * self.factor, up=up, hold=self.plan.between,
            load=step_load(part * self.factor, self.design_load), readings=(self.plan.between,),
        )  # fmt: skip

    def _datum(self, cycle: int, *, up: bool) -> TestStep:
        share = self.loading.alignment_share.value * self.factor
        return TestStep(
            cycle=cycle, share=share, load=step_load(share, self.design_load), up=up, hold=0.0,
            readings=(0.0,),
        )  # fmt: skip

    def _locked(self, cycle: int) -> TestStep:
        """Return the stay locked off: its load is read, nobody pumps."""
        times, hold = self.loading.loss_readings.minutes, self.loading.loss_hold.value
        return TestStep(
            cycle=cycle, share=self.lock_off_load / self.design_load, load=self.lock_off_load, up=True,
            hold=hold, readings=minutes_between(times, 0.0, hold), extended=minutes_between(times, hold, times[-1]),
        )  # fmt: skip
