"""Criteria: what a practice asks of a test, each as a check with its clause and its derivation.

A criterion has an outcome at any moment of the test: met, failed, waiting for readings still to
come, or not to be known from what was read. Only what is met counts toward acceptance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from backstay.checks import Check, Sense, Verdict
from backstay.cite import Citation
from backstay.quantity import QUANTITIES, Force, Ratio
from backstay.stressing.findings import Finding
from backstay.stressing.free_length import free_length_limits
from backstay.stressing.movement import CycleMovement, apparent_free_length, elastic_movement
from backstay.stressing.record import TestedAnchor, TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.stays import Stay
from backstay.trace import formula, state, trace

State = Literal["met", "failed", "waiting", "not known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How one criterion stands.

    id: as of its check; words: what it waits for or why it cannot be known; until: minute of the
    hold that it waits for, nil where it waits for another step; findings: what came up on the way.
    """

    id: str
    state: State
    check: Check | None = None
    words: str = ""
    until: float | None = None
    findings: tuple[Finding, ...] = ()


def outcome_of(check: Check, *findings: Finding) -> Outcome:
    """Return the outcome that a check gives."""
    state: State = "met" if check.verdict is Verdict.PASS else "failed"
    return Outcome(id=check.id, state=state, check=check, findings=findings)


def waiting(id: str, words: str, until: float | None = None) -> Outcome:
    """Return the outcome of a criterion whose readings are still to come."""
    return Outcome(id=id, state="waiting", words=words, until=until)


def not_known(id: str, words: str, *findings: Finding) -> Outcome:
    """Return the outcome of a criterion that the readings cannot settle."""
    return Outcome(id=id, state="not known", words=words, findings=findings)


@formula(
    "P_min", Citation("rule of the practice", "load off its target while it is held", "formula")
)
def least_held_load(r_P: Ratio, P_t: Force) -> Force:
    """Least load that stands for the test load.

    r_P: share by which a held load may be off its target; P_t: test load
    """
    return (1.0 - r_P) * P_t


def load_reached(
    record: TestRecord, rules: TestRules, visited: Sequence[Stay], stay: Stay | None
) -> Outcome:
    """Return whether the test load was reached. stay: the judged hold, nil before it began.

    Where a test is over without it, it fails if the last load could not be reached or held; else
    the test is merely incomplete.
    """
    name = "test.load-reached"
    allowed = rules.load_tolerance
    if stay is None:
        rising = [s for s in visited if s.step.up and not s.again]
        if not record.closed:
            return waiting(name, "the test load has not been reached")
        if not rising or _carried(rising[-1], allowed.value):
            return not_known(name, "the test ended before the test load")
        stay = rising[-1]
    with trace() as t:
        least = least_held_load(allowed.value, record.procedure.test_load)
    timed = stay.timed
    load = timed[0].load if timed else stay.last.load
    ended = record.closed or stay.held >= stay.step.hold > 0.0
    if load < least * (1.0 - 1e-9) and not ended:
        return waiting(name, f"bring the load up to {{force:{record.procedure.test_load:.9g}}}")
    return outcome_of(
        Check(
            name, "Test load reached", load, least, QUANTITIES["force"], allowed.cite,
            Sense.AT_LEAST, record.anchor.name, t.steps,
            "test again to the test load; if the anchor does not take it, it fails" if load < least
            else "", note=f"test load {{force:{record.procedure.test_load:.9g}}}",
        )
    )  # fmt: skip


def _carried(stay: Stay, tolerance: float) -> bool:
    """Say whether the load of a step was reached and did not fall while it was read."""
    loads = [p.load for p in stay.points]
    return max(loads) >= (1.0 - tolerance) * stay.step.load and loads[-1] >= (
        1.0 - tolerance
    ) * max(loads)


def free_length(
    record: TestRecord,
    rules: TestRules,
    cycles: Sequence[CycleMovement],
    *,
    hold_over: bool,
    residual: float | None,
) -> tuple[Outcome, ...]:
    """Return whether the apparent free length is neither too short nor too long.

    cycles: as run; hold_over: whether the hold at the test load is over; residual: movement (m)
    that anchors alike kept, for a test that does not come back to the alignment load.
    """
    ids = ("test.free-length-least", "test.free-length-greatest")
    procedure = record.procedure
    top = [c for c in cycles if c.share * procedure.design_load >= procedure.test_load * (1 - 1e-6)]
    returns = any(
        not step.up and step.load <= procedure.alignment_load * (1 + 1e-6)
        for step in procedure.steps
    )
    if not top or not hold_over or cycles[-1].again > top[-1].again:
        return tuple(waiting(i, "elastic movement is known after the test load") for i in ids)
    last = top[-1]
    back = last.back
    findings: tuple[Finding, ...] = ()
    if last.residual is not None and back is not None:
        left, base = last.residual, back
    elif returns and not record.closed:
        return tuple(waiting(i, "unload to the alignment load and read what is left") for i in ids)
    elif returns:
        return tuple(not_known(i, "the residual movement was not read") for i in ids)
    else:
        left, base = residual or 0.0, procedure.alignment_load
        findings = (_no_return(rules, residual),)
    if last.load - base <= 0.0:
        return tuple(not_known(i, "the load did not come down") for i in ids)
    return _length_checks(record.anchor, rules, last, left, base, findings)


def _length_checks(
    anchor: TestedAnchor,
    rules: TestRules,
    last: CycleMovement,
    left: float,
    base: float,
    findings: tuple[Finding, ...],
) -> tuple[Outcome, ...]:
    with trace() as t:
        state("A", "Area of the tendon", anchor.area, "section area", method="as built")
        state("E", "Modulus of elasticity of the tendon", anchor.modulus, "steel modulus",
              method="as built")  # fmt: skip
        elastic = elastic_movement(last.total, left)
        length = apparent_free_length(anchor.area, anchor.modulus, elastic, last.load, base)
    with trace() as lim:
        limits = free_length_limits(anchor, rules)
    note = f"elastic movement {{small length:{elastic:.9g}}}, residual {{small length:{left:.9g}}}"
    if findings:
        note += "; residual movement not measured in this test"
    short = Check(
        "test.free-length-least", "Apparent free length, least", length, limits.least,
        QUANTITIES["length"], limits.least_rule.cite, Sense.AT_LEAST, anchor.name,
        (*t.steps, *lim.steps),
        "load is lost ahead of the bond, by friction or by grout in the free length: run the last "
        "cycle again, up to two times, and see whether more comes back", note,
    )  # fmt: skip
    long = Check(
        "test.free-length-greatest", "Apparent free length, greatest", length, limits.greatest,
        QUANTITIES["length"], limits.greatest_rule.cite, Sense.AT_MOST, anchor.name,
        (*t.steps, *lim.steps),
        "the load reaches far into the bond: run the last cycle again and see whether the movement "
        "comes back alike; the engineer decides", note,
    )  # fmt: skip
    return outcome_of(short, *findings), outcome_of(long)


def _no_return(rules: TestRules, residual: float | None) -> Finding:
    if residual is None:
        effect = (
            "with the total movement in place of the elastic: slip counts as stretch, so that the "
            "least length is met too easily and the greatest too hardly"
        )
    else:
        effect = (
            f"with {{small length:{residual:.9g}}} of residual movement taken from anchors alike"
        )
    return Finding(
        code="no return", words="the procedure does not come back to the alignment load",
        effect=effect, cite=rules.free_length_least.cite,
    )  # fmt: skip
