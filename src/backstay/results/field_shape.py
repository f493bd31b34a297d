"""The published shape of the field: the register of anchors, and load tests as judged."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from backstay.model.testing import TestKind, TestMethod
from backstay.results.check_shape import CheckResult, Source
from backstay.results.value import Result, Value

REGISTER_ID = "backstay-register/1"
JUDGEMENTS_ID = "backstay-judgements/1"
State = Literal[
    "planned", "submittal", "drilled", "grouted", "stressed", "accepted", "not accepted",
    "locked off", "lifted off", "repaired", "replaced",
]  # fmt: skip


class AnchorLine(Result):
    """One anchor of the register."""

    anchor: str
    part: str
    row: int
    number: int
    pile: int | None
    trial: bool
    state: State
    since: str
    design_load: Value
    test_load: Value
    lock_off_load: Value
    tests_planned: list[TestKind]
    tests: int
    last_test: int | None
    last_kind: TestKind | None
    test_goes_on: bool
    verdict: Literal["accepted", "not accepted"] | None
    verdict_stale: bool
    readings: int
    greatest_load: Value | None
    locked_off_at: Value | None
    lifted_off_at: Value | None
    exceptions: int
    replaced_by: str
    replaces: str


class RegisterResult(Result):
    """The register of anchors."""

    schema_id: str = Field(alias="schema")
    program: str
    project: str
    units: Literal["SI", "US"]
    anchors: list[AnchorLine]


class FindingResult(Result):
    """One finding about a record: what is wrong, and what follows."""

    code: str
    words: str
    effect: str
    consequence: Literal["refused", "judged"]
    readings: list[int]
    withholds_acceptance: bool
    stop: bool


class NextResult(Result):
    """One thing that the rules allow next."""

    action: str
    words: str
    minute: float | None
    load: Value | None
    clause: Source


class WaitingResult(Result):
    """One criterion that could not be compared yet, and why."""

    id: str
    words: str


class LiftOffResult(Result):
    """A lift-off as judged."""

    standing: Literal["in tolerance", "too low", "too high", "cannot be told"]
    reason: str
    next: list[NextResult]


class LoadPointResult(Result):
    """A load read since the lock-off."""

    minute: float
    load: Value
    by: Literal["lock-off", "lift-off", "load cell"]


class AfterLockOffResult(Result):
    """An anchor since its lock-off: what seating left, and its load with time.

    Checks of the lock-off itself no longer count once the anchor was lifted off.
    """

    sound: bool
    wanted: Value
    seated: Value | None
    seating_loss: Value | None
    seating_loss_predicted: Value | None
    draw_in: Value | None
    not_known: str
    lifted_off: bool
    loads: list[LoadPointResult]
    loss_per_tenfold_time: Value | None
    loss_expected: Value | None
    checks: list[CheckResult]
    next: list[NextResult]


class PointResult(Result):
    """One reading, corrected."""

    number: int
    cycle: int
    minute: float
    load: Value
    movement: Value


class JudgementResult(Result):
    """One load test as judged."""

    anchor: str
    test: int
    last: bool
    kind: TestKind
    method: TestMethod
    design_load: Value
    test_load: Value
    decision: Literal["accepted", "not accepted", "hold on", "go on", "cannot be judged"]
    reason: str
    held_load: Value | None
    checks: list[CheckResult]
    waiting: list[WaitingResult]
    findings: list[FindingResult]
    next: list[NextResult]
    points: list[PointResult]
    lift_off: LiftOffResult | None
    after_lock_off: AfterLockOffResult | None
    stands: str


class JudgementsResult(Result):
    """Load tests as judged."""

    schema_id: str = Field(alias="schema")
    program: str
    project: str
    units: Literal["SI", "US"]
    rules: str
    tests: list[JudgementResult]
    caution: str
