"""Criteria of EN methods 2 and 3: load loss after lock-off, and creep rate by stepped load."""

from __future__ import annotations

from collections.abc import Sequence

from backstay.basis import Factor
from backstay.checks import Check, Sense
from backstay.cite import Citation
from backstay.quantity import QUANTITIES
from backstay.stressing.creep import at_minute
from backstay.stressing.creep_criteria import CUT_SHORT, JudgedHold, national_limit
from backstay.stressing.criteria import Outcome, not_known, outcome_of, waiting
from backstay.stressing.load_loss import LoadLoss, load_loss, load_loss_rate, loss_of
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import LossByTime, TestRules
from backstay.stressing.stays import Stay
from backstay.stressing.stepped import CriticalLoad, StepRate, critical_load
from backstay.trace import state, trace

_LOCKED_BELOW = Citation(
    "EN 1537:1999", "annex E.4, lock-off load below the critical creep load", "memory"
)


def loss_outcomes(
    record: TestRecord, rules: TestRules, index: int, stay: Stay | None
) -> tuple[tuple[Outcome, ...], LoadLoss | None]:
    """Return how the criteria of load loss stand, and the load loss. stay: locked off, if begun."""
    step = record.procedure.steps[index]
    names = [
        name
        for name, rule in (
            ("test.load-loss", rules.load_loss), ("test.load-loss-rate", rules.load_loss_rate),
        )
        if rule is not None
    ]  # fmt: skip
    if not names:
        finding = national_limit("load_loss_rate")
        return (not_known("test.load-loss-rate", "no limit of load loss is given", finding),), None
    loss = loss_of(stay, rules.load_loss) if stay else None
    held = stay.held if stay else 0.0
    if stay is None or loss is None or held < step.hold - CUT_SHORT:
        if record.closed:
            return tuple(
                not_known(n, "the load after lock-off was not read to the end") for n in names
            ), loss
        words = f"read the load after lock-off up to {step.hold:g} minutes"
        return tuple(waiting(n, words, step.hold) for n in names), loss
    found = []
    if rules.load_loss is not None:
        found.append(_by_time(record, rules.load_loss, loss, step.hold))
    if rules.load_loss_rate is not None:
        found.append(_loss_rate(record, rules.load_loss_rate, stay, loss))
    return tuple(found), loss


def _by_time(record: TestRecord, table: LossByTime, loss: LoadLoss, hold: float) -> Outcome:
    """Return the check of the time at which most of the allowed loss is used up."""
    name = "test.load-loss"
    wanted = [minute for minute, _ in table.limits if minute <= hold + CUT_SHORT]
    known = {at.minute for at in loss.by_time}
    missed = [m for m in wanted if m not in known]
    if missed or not wanted:
        minutes = ", ".join(f"{m:g}" for m in missed) or "of the rule"
        return not_known(name, f"the load at minute {minutes} was not read")
    worst = max(loss.by_time, key=lambda at: (loss.initial - at.load) / loss.initial / at.limit)
    with trace() as t:
        lost = load_loss(loss.initial, worst.load)
    read = "" if worst.read else ", found between the readings on both sides"
    return outcome_of(
        Check(
            name, "Load lost after lock-off", lost, worst.limit, QUANTITIES["percent"], table.cite,
            where=record.anchor.name, steps=t.steps,
            remedy="see what the rules allow next" if lost > worst.limit * (1 + 1e-9) else "",
            note=f"at {worst.minute:g} minutes{read}, of {{force:{loss.initial:.9g}}} read at minute "
            f"{loss.since:g}; the times of the rule up to {max(known):g} minutes were compared",
        )
    )  # fmt: skip


def _loss_rate(record: TestRecord, limit: Factor, stay: Stay, loss: LoadLoss) -> Outcome:
    name = "test.load-loss-rate"
    end = stay.timed[-1].minute
    first, last = at_minute(stay.timed, end / 10.0), at_minute(stay.timed, end)
    if first is None or last is None:
        return not_known(name, f"the load at minute {end / 10.0:g} was not read")
    with trace() as t:
        rate = load_loss_rate(loss.initial, first.load, last.load, end / 10.0, end)
    return outcome_of(
        Check(
            name, "Load lost per tenfold time", rate, limit.value, QUANTITIES["percent"], limit.cite,
            where=record.anchor.name, steps=t.steps,
            remedy="see what the rules allow next" if rate > limit.value * (1 + 1e-9) else "",
            note=f"from {end / 10.0:g} to {end:g} minutes",
        )
    )  # fmt: skip


def stepped_outcomes(
    hold: JudgedHold, rates: Sequence[StepRate]
) -> tuple[tuple[Outcome, ...], CriticalLoad | None]:
    """Return how the criteria of the stepped-load method stand, and the critical creep load."""
    name = "test.stepped-creep"
    record, rules = hold.record, hold.rules
    if not hold.past(hold.step.hold):
        if hold.left:
            return (not_known(name, "the hold at the proof load was cut short"),), None
        return (waiting(name, f"hold to {hold.step.hold:g} minutes", hold.step.hold),), None
    critical = critical_load(rates, rules.dial_graduation.value)
    outcomes = [_step_rate(hold, rates), _below_critical(record, rates, critical)]
    return tuple(outcomes), critical


def _step_rate(hold: JudgedHold, rates: Sequence[StepRate]) -> Outcome:
    name = "test.stepped-creep"
    limit = hold.rules.stepped_creep
    if limit is None:
        return not_known(name, "the limit of alpha is not given", national_limit("stepped_creep"))
    last = rates[-1] if rates else None
    if last is None or abs(last.share - hold.step.share) > 1e-6:
        return not_known(name, "fewer than three readings in the last part of the hold")
    if last.rate > limit.value * (1 + 1e-9) and not hold.past(hold.longest) and not hold.left:
        return waiting(
            name, f"creep rate beyond its limit: hold on to {hold.longest:g} minutes", hold.longest
        )
    with trace() as t:
        state(
            "alpha_3", "Creep rate at the proof load", last.rate, "small length",
            method="least squares of the readings in the last fourfold of the hold",
        )  # fmt: skip
    return outcome_of(
        Check(
            name, "Creep rate at the proof load, per tenfold time", last.rate, limit.value,
            QUANTITIES["small length"], limit.cite, where=hold.record.anchor.name, steps=t.steps,
            remedy="see what the rules allow next" if last.rate > limit.value * (1 + 1e-9) else "",
            note=f"held {last.minutes:g} minutes",
        )
    )  # fmt: skip


def _below_critical(
    record: TestRecord, rates: Sequence[StepRate], critical: CriticalLoad
) -> Outcome:
    name = "test.critical-creep-load"
    if len(rates) < 4:
        return not_known(name, critical.method)
    with trace() as t:
        found = critical.load
        if found is None:
            found = state(
                "P_c", "Critical creep load, at least", max(r.load for r in rates), "force",
                method=critical.method,
            )  # fmt: skip
        else:
            state("P_c", "Critical creep load", found, "force", method=critical.method)
    return outcome_of(
        Check(
            name, "Critical creep load over the lock-off load", found, record.anchor.lock_off_load,
            QUANTITIES["force"], _LOCKED_BELOW, Sense.AT_LEAST, record.anchor.name, t.steps,
            "lock off below the critical creep load" if found < record.anchor.lock_off_load * (1 - 1e-9) else "",
            note=critical.method,
        )
    )  # fmt: skip
