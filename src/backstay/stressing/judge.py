"""The judgement of a load test, at any moment of it: live as readings come in, or afterwards.

`judge` takes a record and the rules and gives everything that a page or a screen shows: the
decision with its reason, every criterion as a check, every finding with its consequence, what the
rules allow next, and the corrected points, cycles and creep for the plots. It knows no clock and no
file, and the same record gives the same judgement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite
from typing import Literal

from backstay.checks import Check
from backstay.errors import DesignError
from backstay.stressing.corrections import Corrected, correct, not_numbers
from backstay.stressing.creep import HoldCreep, hold_creep
from backstay.stressing.creep_criteria import JudgedHold, creep_outcomes
from backstay.stressing.criteria import Outcome, free_length, load_reached
from backstay.stressing.fault_equipment import equipment_faults
from backstay.stressing.fault_holds import hold_faults, repeated
from backstay.stressing.fault_pumping import late_by, pumping_faults, slow_increments
from backstay.stressing.fault_units import unit_faults
from backstay.stressing.faults import by_weight
from backstay.stressing.findings import Finding
from backstay.stressing.judged_steps import loss_step, top_step
from backstay.stressing.load_loss import LoadLoss
from backstay.stressing.method_criteria import loss_outcomes, stepped_outcomes
from backstay.stressing.movement import CycleMovement, Reloading, cycles_of, reloading
from backstay.stressing.next_step import (
    NextStep,
    after_acceptance,
    after_failure,
    after_refusal,
    after_unknown,
    on_the_way,
)
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.stays import Place, Point, Stay, places, sequence_faults, stays
from backstay.stressing.stepped import CriticalLoad, StepRate, step_rates

Decision = Literal["accepted", "not accepted", "hold on", "go on", "cannot be judged"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evaluation:
    """What the readings say, before any limit: for plots, tables and what tests teach.

    points: corrected, as read; cycles: movement of each; creep: of every stay with two timed
    readings or more; held_load: greatest load (kN) held at which nothing failed.
    """

    points: tuple[Point, ...] = ()
    visited: tuple[Stay, ...] = ()
    cycles: tuple[CycleMovement, ...] = ()
    creep: tuple[HoldCreep, ...] = ()
    reloading: Reloading | None = None
    load_loss: LoadLoss | None = None
    rates: tuple[StepRate, ...] = ()
    critical: CriticalLoad | None = None
    held_load: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """A load test judged.

    reason: of the decision, in words with ``{quantity:value}`` placeholders; checks: criteria that
    could be compared; waiting: criteria that could not, with why; next: what the rules allow.
    """

    decision: Decision
    reason: str
    checks: tuple[Check, ...]
    waiting: tuple[Outcome, ...]
    findings: tuple[Finding, ...]
    next: tuple[NextStep, ...]
    evaluation: Evaluation


def judge(record: TestRecord, rules: TestRules, *, residual: float | None = None) -> Judgement:
    """Return the judgement of a load test by the rules of a practice.

    residual: residual movement (m) at the test load of anchors alike, for a procedure that does
    not come back to the alignment load.
    Raises DesignError for a test made by other rules, and for an anchor without a sound tendon.
    """
    _sound(record, rules)
    readings = record.readings
    if odd := not_numbers(readings):
        return _without_points(record, odd)
    placed = places(readings, record.procedure)
    twice, found = repeated(readings, placed)
    findings: list[Finding] = [*found, *sequence_faults(readings, placed)]
    if twice:
        record = replace(
            record, readings=tuple(r for i, r in enumerate(readings) if i not in twice)
        )
        placed = tuple(p for i, p in enumerate(placed) if i not in twice)
    corrected = correct(record, rules, placed)
    findings += corrected.findings
    if not corrected.points:
        return _without_points(record, findings)
    findings += equipment_faults(record, rules, corrected.points)
    findings += unit_faults(record, placed, corrected.points)
    return _judged(record, rules, placed, corrected, findings, residual)


def _sound(record: TestRecord, rules: TestRules) -> None:
    """Refuse what no judgement can stand on: other rules, or lengths and areas that are none."""
    anchor, procedure = record.anchor, record.procedure
    where = f"anchor {anchor.name}"
    if procedure.rules != rules.id:
        raise DesignError(
            f"the test was made by the rules {procedure.rules}, not by the rules {rules.id}", where
        )
    for name in ("area", "modulus", "strength", "free_length"):
        value = getattr(anchor, name)
        if not (isfinite(value) and value > 0.0):
            raise DesignError(f"the {name.replace('_', ' ')} of the tendon must be known", where)
    for name in ("jack_length", "bond_length"):
        value = getattr(anchor, name)
        if not (isfinite(value) and value >= 0.0):
            raise DesignError(f"the {name.replace('_', ' ')} must be known", where)


def _without_points(record: TestRecord, findings: Sequence[Finding]) -> Judgement:
    """Return the judgement of a record that has no readings, or none that can be used."""
    ordered = by_weight(findings)
    if ordered:
        return Judgement(
            decision="cannot be judged", reason=ordered[0].text, checks=(), waiting=(),
            findings=ordered, next=after_refusal(ordered), evaluation=Evaluation(),
        )  # fmt: skip
    if record.closed:
        return Judgement(
            decision="cannot be judged", reason="there are no readings", checks=(), waiting=(),
            findings=(), next=(), evaluation=Evaluation(),
        )  # fmt: skip
    return Judgement(
        decision="go on", reason="the test has not begun", checks=(), waiting=(), findings=(),
        next=on_the_way(record, None, (), ()), evaluation=Evaluation(),
    )  # fmt: skip


def _judged(
    record: TestRecord,
    rules: TestRules,
    placed: Sequence[Place],
    corrected: Corrected,
    findings: list[Finding],
    residual: float | None,
) -> Judgement:
    procedure = record.procedure
    visited = stays(corrected.points, placed, procedure)
    index = top_step(procedure)
    top = next((s for s in reversed(visited) if s.index == index and not s.again), None)
    resolution = rules.dial_graduation.value
    creep = {s: hold_creep(s, resolution) for s in visited if len(s.timed) > 1}
    slow = slow_increments(record, rules, placed)
    hold = JudgedHold(
        record=record, rules=rules, step=procedure.steps[index], stay=top,
        late=late_by(slow, placed, index),
        creep=creep.get(top) if top else None,
        left=record.closed or (top is not None and visited[-1] is not top),
    )  # fmt: skip
    cycles = cycles_of(visited, procedure.alignment_load)
    rates = step_rates(visited, procedure.alignment_load)
    outcomes: list[Outcome] = [load_reached(record, rules, visited, top)]
    loss, critical = None, None
    locked = loss_step(procedure)
    if locked is not None:
        stay = next((s for s in reversed(visited) if s.index == locked), None)
        more, loss = loss_outcomes(record, rules, locked, stay)
    elif procedure.method == "stepped load":
        more, critical = stepped_outcomes(hold, rates)
    else:
        more = creep_outcomes(hold)
    outcomes += more
    over = hold.past(hold.step.hold) and not any(o.state == "waiting" and o.until for o in more)
    if locked is not None:
        over = hold.past(hold.step.hold)
    outcomes += free_length(record, rules, cycles, hold_over=over, residual=residual)
    findings += hold_faults(
        record, rules, visited, frozenset({index, *([locked] if locked else [])})
    )
    findings += pumping_faults(record, rules, slow)
    findings += [f for o in outcomes for f in o.findings]
    evaluation = Evaluation(
        points=corrected.points, visited=visited, cycles=cycles, creep=tuple(creep.values()),
        reloading=reloading(visited, cycles, record.anchor), load_loss=loss, rates=rates,
        critical=critical, held_load=_held_load(visited, outcomes, index, rules, procedure),
    )  # fmt: skip
    return _decide(record, rules, outcomes, by_weight(findings), evaluation)


def _held_load(
    visited: Sequence[Stay],
    outcomes: Sequence[Outcome],
    index: int,
    rules: TestRules,
    procedure: Procedure,
) -> float | None:
    """Return the greatest load (kN) of a step going up that was held and at which nothing failed.

    The judged hold counts only once it is over and met its criteria; a hold in which the load fell
    beyond the tolerance does not count, nor does any at or beyond a load whose creep rate exceeds
    the rate allowed.
    """
    settled = all(o.state == "met" for o in outcomes if not o.id.startswith("test.free-length"))
    rate = rules.stepped_creep if procedure.method == "stepped load" else rules.creep_rate
    resolution = rules.dial_graduation.value
    tolerance = rules.load_tolerance.value
    falls = procedure.method == "lock-off"
    too_much = inf
    found = []
    for stay in visited:
        loads = [p.load for p in (stay.timed or stay.points)]
        if rate is not None and rules.id == "EN" and len(stay.timed) > 2 and stay.step.up:
            fit = hold_creep(stay, resolution).fit
            if fit is not None and fit.slope > rate.value * (1.0 + 1e-9):
                too_much = min(too_much, stay.step.load)
        beyond = stay.step.up and stay.step.load > procedure.alignment_load * (1.0 + 1e-6)
        if not beyond or stay.held < stay.step.hold - 0.05:
            continue
        if stay.index == index and not settled:
            continue
        if loads[0] < stay.step.load * (1.0 - tolerance) * (1.0 - 1e-9):
            continue
        if min(loads) < loads[0] * (1.0 - tolerance) * (1.0 - 1e-9) and not falls:
            continue
        found.append((stay.step.load, min(loads)))
    return max((load for aim, load in found if aim < too_much * (1.0 - 1e-9)), default=None)


def _decide(
    record: TestRecord,
    rules: TestRules,
    outcomes: Sequence[Outcome],
    findings: tuple[Finding, ...],
    evaluation: Evaluation,
) -> Judgement:
    checks = tuple(o.check for o in outcomes if o.check is not None)
    open_ones = tuple(o for o in outcomes if o.check is None)
    failed = [o for o in outcomes if o.state == "failed"]
    visited = evaluation.visited
    again = max((s.again for s in visited), default=0)
    last = visited[-1] if visited else None
    step: tuple[NextStep, ...]
    decision: Decision
    refusals = [f for f in findings if f.consequence == "refused" or f.stop]
    withheld = [f for f in findings if f.withholds]
    running = on_the_way(record, last, outcomes, findings)
    if refusals:
        decision, reason, step = "cannot be judged", refusals[0].text, after_refusal(findings)
    elif failed:
        decision = "not accepted"
        reason = "; ".join(_failure(o) for o in failed)
        step = after_failure(record, rules, failed, evaluation.held_load, again)
    elif running and not record.closed:
        decision = "hold on" if running[0].action in ("hold", "pump back") else "go on"
        reason, step = running[0].words, running
    elif withheld or open_ones:
        decision = "cannot be judged"
        reason = withheld[0].text if withheld else open_ones[0].words
        step = after_unknown(open_ones, findings)
    else:
        decision = "accepted"
        reason = f"all {len(checks)} criteria are met and the test is complete"
        step = after_acceptance(record, rules)
    return Judgement(
        decision=decision, reason=reason, checks=checks, waiting=open_ones, findings=findings,
        next=step, evaluation=evaluation,
    )  # fmt: skip


def _failure(outcome: Outcome) -> str:
    check = outcome.check
    if check is None:
        return outcome.words
    unit = check.quantity.name
    return (
        f"{check.name}: {{{unit}:{check.demand:.9g}}}, {check.sense.value} "
        f"{{{unit}:{check.capacity:.9g}}}"
    )
