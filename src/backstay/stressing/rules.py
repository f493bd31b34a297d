"""The rules of a practice of load testing: loads, times, limits and shares, each with its clause.

Sources disagree on alignment load, test load, reading times, lift-off tolerance and the wording
of creep. So nothing of this is a constant: `TestRules` is an argument of every procedure and of
every judgement, and any value of it may be replaced by the project file with a clause of its own
(`backstay.stressing.project_rules.rules_of`). A limit that a practice leaves to national choice is
None until the project gives it; a test is not judged without it.

Lengths in m, loads as shares, stresses in kPa, times in minutes after a load is reached unless the
name says days or months.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.anchors.load_tests import TestCounts
from backstay.basis import Factor
from backstay.cite import Citation
from backstay.model.testing import Clock, Practice, TestKind, TestMethod

__all__ = [
    "Clock", "ClockStart", "CreepLimit", "EnLoading", "HeldSteps", "LoadSteps", "LossByTime",
    "Practice", "ProofSteps", "TestRules", "Times", "UsLoading",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Times:
    """Minutes after a load is reached at which to read, and the clause."""

    minutes: tuple[float, ...]
    cite: Citation


@dataclass(frozen=True, slots=True)
class ClockStart:
    """When the time of a hold begins to count, and the clause."""

    value: Clock
    cite: Citation


@dataclass(frozen=True, slots=True)
class CreepLimit:
    """Greatest movement (m) of the anchor head from one minute of a hold to another."""

    start: float
    end: float
    movement: float
    cite: Citation


@dataclass(frozen=True, slots=True)
class LossByTime:
    """Greatest share of the load lost up to each of several times: (minutes, share), by time."""

    limits: tuple[tuple[float, float], ...]
    cite: Citation


@dataclass(frozen=True, slots=True)
class LoadSteps:
    """The published loads up to one greatest test load, as shares of the design load.

    factor: test load over design load; shares: rising, the last is the factor; hold: minutes at
    least, most: minutes at most, at every load but the last.
    """

    factor: float
    shares: tuple[float, ...]
    hold: float
    most: float
    cite: Citation


@dataclass(frozen=True, slots=True)
class HeldSteps:
    """Minutes of hold of an extended creep test at each load: (share of the design load, minutes).

    beyond: minutes at loads between design and test load; last: minutes at the test load.
    """

    steps: tuple[tuple[float, float], ...]
    beyond: float
    last: float
    cite: Citation


@dataclass(frozen=True, slots=True)
class ProofSteps:
    """The loads of one kind of EN test by one method, as shares of the proof load.

    shares: rising to one; form: each the peak of a cycle of its own, or steps of one cycle, which
    is gone through so many times; hold: minutes at least at each below the proof load; granular, cohesive: minutes at least at
    the proof load, by the ground of the bond; between: minutes on the way from peak to peak.
    """

    kind: TestKind
    method: TestMethod
    shares: tuple[float, ...]
    form: Literal["cycles", "steps"]
    times: int
    hold: float
    granular: float
    cohesive: float
    between: float
    cite: Citation


@dataclass(frozen=True, slots=True, kw_only=True)
class UsLoading:
    """How the US tests are loaded.

    alignment_share: alignment load over design load; steps: published schedules; other_step:
    greatest step beyond the design load, over it, where no schedule is published for a factor;
    hold: minutes at the test load; hold_extended: minutes where the first limit of creep is
    passed; readings, readings_extended: at the test load; creep: holds of the extended creep test,
    with its readings; pumping: minutes at most from one load to the next.
    """

    alignment_share: Factor
    steps: tuple[LoadSteps, ...]
    other_step: Factor
    hold: Factor
    hold_extended: Factor
    readings: Times
    readings_extended: Times
    creep: HeldSteps
    creep_readings: Times
    pumping: Factor


@dataclass(frozen=True, slots=True, kw_only=True)
class EnLoading:
    """How the tests of EN 1537 and EN ISO 22477-5 are loaded.

    alignment_share: datum load over proof load; tests: loads of each kind by each method; readings:
    of movement while a load is held; loss_readings: of load after lock-off (method 2), loss_hold:
    minutes of them at least; prolonged: of a hold at the proof load, as multiples of it, where
    the rate is not yet constant; least_over_lock_off: proof load over lock-off load at least.
    """

    alignment_share: Factor
    tests: tuple[ProofSteps, ...]
    readings: Times
    loss_readings: Times
    loss_hold: Factor
    prolonged: Factor
    least_over_lock_off: Factor

    def of(self, kind: TestKind, method: TestMethod) -> ProofSteps:
        """Return the loads of a kind of test by a method; raise LookupError with the choices."""
        for steps in self.tests:
            if (steps.kind, steps.method) == (kind, method):
                return steps
        known = ", ".join(dict.fromkeys(steps.kind for steps in self.tests))
        raise LookupError(f"no {kind} test by {method} in this practice; there are: {known}")


@dataclass(frozen=True, slots=True, kw_only=True)
class TestRules:
    """Everything that a load test, its judgement and the lock-off after it go by.

    Tendon: test_stress, lock_off_stress: greatest load over guaranteed strength; other_test_stress:
    the same in other tests than investigation tests, None where there is no difference; proof_stress:
    over the proof load of the tendon (0.1 % strain), acceptance_proof_stress the same in
    acceptance tests; None where the practice has no such limit.

    Lock-off: lock_off_least, lock_off_greatest over design load; lift_off_tolerance: lift-off
    load off the lock-off load, over it.

    Apparent free length: free_length_least times free length plus jack length at least; free
    length plus free_length_bond times bond length plus jack length at most, or
    free_length_greatest times free length plus jack length where that is more (None: not so).

    Creep: creep_first: decides whether the hold is extended; creep_extended: of the extended hold;
    creep_regrouted: after re-grouting; creep_rate: movement per tenfold time; stepped_creep: the
    same by the stepped-load method (alpha of method 3); load_loss: by time after lock-off;
    load_loss_rate: share per tenfold time. None: set nationally, or not of the practice.

    Equipment: load_tolerance: load off its target, over it, while it is held; gauge_agreement: of
    gauge and reference gauge; gauge_accuracy, gauge_graduation (kPa), dial_graduation (m);
    calibration_before_work (days), calibration_life (months).

    Failing: regroutings: how often an anchor may be re-grouted and tested again; failed_lock_off:
    lock-off of an anchor that fails, over the greatest load that it held.
    """

    __test__ = False

    id: Practice
    title: str
    method: TestMethod
    loading: UsLoading | EnLoading
    counts: TestCounts
    clock: ClockStart
    test_stress: Factor
    other_test_stress: Factor | None
    proof_stress: Factor | None
    acceptance_proof_stress: Factor | None
    lock_off_stress: Factor
    lock_off_least: Factor | None
    lock_off_greatest: Factor | None
    lift_off_tolerance: Factor
    free_length_least: Factor
    free_length_bond: Factor
    free_length_greatest: Factor | None
    creep_first: CreepLimit | None
    creep_extended: CreepLimit | None
    creep_regrouted: CreepLimit | None
    creep_rate: Factor | None
    stepped_creep: Factor | None
    load_loss: LossByTime | None
    load_loss_rate: Factor | None
    load_tolerance: Factor
    gauge_agreement: Factor
    gauge_accuracy: Factor
    gauge_graduation: Factor
    dial_graduation: Factor
    calibration_before_work: Factor
    calibration_life: Factor
    regroutings: Factor
    failed_lock_off: Factor
    rate_falls: Citation

    @property
    def alignment_share(self) -> Factor:
        """Return the alignment load over the load that `alignment_of` names."""
        return self.loading.alignment_share

    @property
    def alignment_of(self) -> Literal["design load", "test load"]:
        """Return the load that the alignment load is a share of."""
        return "design load" if isinstance(self.loading, UsLoading) else "test load"
