"""Criteria of creep at the test load: limits by minutes, limits per tenfold time, and the trend.

Where the first limit is passed the hold goes on, and the limit of the longer hold decides. A load
that falls hides creep, because the tendon shortens as the bond gives: where what may be hidden
would turn the verdict, the anchor is not accepted on it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log10

from backstay.basis import Factor
from backstay.checks import Check, Verdict
from backstay.cite import Citation, common_practice
from backstay.quantity import QUANTITIES
from backstay.stressing.creep import (
    HoldCreep,
    Interval,
    at_minute,
    creep_from_pumping,
    creep_movement,
    creep_rate,
    hidden_movement,
    interval,
)
from backstay.stressing.criteria import Outcome, not_known, outcome_of, waiting
from backstay.stressing.fault_pumping import SlowIncrement, pumping_rule
from backstay.stressing.findings import Finding
from backstay.stressing.procedure import TestStep
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import CreepLimit, TestRules
from backstay.stressing.stays import Stay
from backstay.trace import Step, state, trace

CUT_SHORT = 0.05
_HIDDEN = Citation("Hooke's law", "the tendon shortens as its load falls", "formula")
_PART = {
    "US": (10.0, common_practice("the last log cycle of the hold")),
    "EN": (3.0, Citation("EN ISO 22477-5:2018", "rate at the end of the hold", "memory")),
}  # fmt: skip
"""The rate is taken from the end of the hold over this, to its end: 30 to 300 minutes in the last
log cycle; 5 to 15, 20 to 60, 60 to 180 in EN tests."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedHold:
    """What the criteria of creep look at: the hold at the test load, so far as it was read.

    step: of the procedure; stay, creep: nil before the hold began; left: whether the test has gone
    on from it, or is over; late: the increment to it, where that took too long by the clock.
    """

    record: TestRecord
    rules: TestRules
    step: TestStep
    stay: Stay | None
    creep: HoldCreep | None
    left: bool
    late: SlowIncrement | None = None

    @property
    def longest(self) -> float:
        """Return the minutes of the longer hold, or of the hold where there is no longer one."""
        return max((self.step.hold, *self.step.extended))

    @property
    def held(self) -> float:
        """Return the minutes held so far."""
        return self.stay.held if self.stay else 0.0

    def past(self, minute: float) -> bool:
        """Say whether a minute was held through."""
        return self.stay is not None and self.held >= minute - CUT_SHORT


def creep_outcomes(hold: JudgedHold) -> tuple[Outcome, ...]:
    """Return how the criteria of creep stand."""
    rules, kind = hold.rules, hold.record.procedure.kind
    if hold.record.anchor.regrouted and rules.creep_regrouted is not None:
        limits: tuple[CreepLimit | None, ...] = (rules.creep_regrouted,)
    elif kind == "extended creep":
        limits = ()
    else:
        limits = (rules.creep_first, rules.creep_extended)
    asked = [limit for limit in limits if limit is not None]
    found: list[Outcome] = []
    if asked:
        found.append(_by_minutes(hold, asked))
    if kind == "extended creep" or (rules.id == "EN" and (rules.creep_rate or not asked)):
        found.append(_by_rate(hold))
    found.append(_trend(hold))
    return tuple(found)


def _by_minutes(hold: JudgedHold, limits: list[CreepLimit]) -> Outcome:
    """Return the outcome of limits by minutes: the longest hold that was read decides."""
    said: list[str] = []
    outcome = _one_limit(hold, limits[0])
    for limit in limits[1:]:
        if outcome.state == "waiting" or (outcome.state == "met" and not hold.past(limit.end)):
            return outcome
        said.append(_said(outcome, limits[0]))
        outcome = _one_limit(hold, limit, "; ".join(said))
    return outcome


def _said(outcome: Outcome, limit: CreepLimit) -> str:
    """Return in words what the limit before said."""
    span = f"{limit.start:g} to {limit.end:g} minutes"
    if outcome.check is None:
        return f"{span} not known"
    return (
        f"{span}: {{small length:{outcome.check.demand:.9g}}}, limit "
        f"{{small length:{limit.movement:.9g}}}"
    )


def _one_limit(hold: JudgedHold, limit: CreepLimit, before: str = "") -> Outcome:
    name = f"test.creep-{limit.start:g}-{limit.end:g}"
    span = f"{limit.start:g} to {limit.end:g} minutes"
    note = f" ({before})" if before else ""
    if hold.stay is None:
        return waiting(name, f"creep from {span}", limit.end)
    timed = hold.stay.timed
    found = interval(timed, limit.start, limit.end)
    if found is None:
        start = at_minute(timed, limit.start)
        if hold.left or hold.past(limit.end) or (start is None and hold.past(limit.start)):
            return not_known(name, f"creep from {span} cannot be had from the minutes read{note}")
        words = f"hold to {limit.end:g} minutes, creep counts from {span}{note}"
        if start is not None and timed[-1].movement - start.movement > limit.movement * (1 + 1e-9):
            words += "; it is already more than the limit"
        return waiting(name, words, limit.end)
    with trace() as t:
        _stated(found)
        moved = creep_movement(found.start.movement, found.end.movement)
    remedy = "" if moved <= limit.movement * (1 + 1e-9) else "see what the rules allow next"
    notes = [n for n in (found.note, before, _regression(hold)) if n]
    check = Check(
        name, f"Creep from {span}", moved, limit.movement, QUANTITIES["small length"],
        limit.cite, where=hold.record.anchor.name, steps=t.steps, remedy=remedy,
        note="; ".join(notes),
    )  # fmt: skip
    return outcome_of(check, *_hidden(hold, found, check, 1.0), *_late(hold, found, check))


def _by_rate(hold: JudgedHold) -> Outcome:
    """Return the outcome of the limit per tenfold time, at the end of the hold."""
    name = "test.creep-rate"
    rules = hold.rules
    if rules.creep_rate is None:
        return not_known(
            name, "the limit of the creep rate is not given", national_limit("creep_rate")
        )
    if not hold.past(hold.step.hold):
        if hold.left:
            return not_known(name, "the hold was cut short")
        return waiting(name, f"hold to {hold.step.hold:g} minutes", hold.step.hold)
    end = hold.longest if hold.past(hold.longest) else hold.step.hold
    outcome = _rate_at(hold, end, name, rules.creep_rate)
    if outcome.state == "failed" and not hold.past(hold.longest) and not hold.left:
        return waiting(
            name, f"creep rate beyond its limit at {end:g} minutes: hold on to {hold.longest:g}",
            hold.longest,
        )  # fmt: skip
    return outcome


def _rate_at(hold: JudgedHold, end: float, name: str, limit: Factor) -> Outcome:
    part, rule = _PART[hold.rules.id]
    timed = hold.stay.timed if hold.stay else ()
    found = interval(timed, end / part, end)
    if found is None:
        return not_known(
            name,
            f"creep from {end / part:g} to {end:g} minutes cannot be had from the minutes read",
        )
    with trace() as t:
        _stated(found)
        rate = creep_rate(found.start.movement, found.end.movement, end / part, end)
    notes = [
        n
        for n in (f"from {end / part:g} to {end:g} minutes ({rule})", found.note, _regression(hold))
        if n
    ]
    check = Check(
        name, "Creep rate, per tenfold time", rate, limit.value, QUANTITIES["small length"],
        limit.cite, where=hold.record.anchor.name, steps=t.steps,
        remedy="" if rate <= limit.value else "see what the rules allow next", note="; ".join(notes),
    )  # fmt: skip
    return outcome_of(check, *_hidden(hold, found, check, log10(part)), *_late(hold, found, check))


def _trend(hold: JudgedHold) -> Outcome:
    """Return whether the creep rate is straight or falling against log time."""
    name = "test.creep-trend"
    if not hold.past(hold.step.hold):
        if hold.left:
            return not_known(name, "the hold was cut short")
        return waiting(name, f"hold to {hold.step.hold:g} minutes", hold.step.hold)
    creep = hold.creep
    if creep is None or creep.growth is None:
        return not_known(
            name, "fewer than four readings of the hold: whether the rate grows is not known"
        )
    if creep.trend == "rising" and not hold.past(hold.longest) and not hold.left:
        return waiting(
            name, f"the creep rate grows: hold on to {hold.longest:g} minutes", hold.longest
        )
    check = Check(
        name, "Growth of the creep rate, as a movement", creep.growth, creep.resolution,
        QUANTITIES["small length"], hold.rules.rate_falls, where=hold.record.anchor.name,
        steps=_trend_steps(creep),
        remedy="the bond is failing in creep: the anchor is not locked off at its load"
        if creep.trend == "rising" else "",
        note=f"rate {creep.trend} against log time, beyond scatter and the division of the dials; "
        + _regression(hold),
    )  # fmt: skip
    return outcome_of(check)


def _trend_steps(creep: HoldCreep) -> tuple[Step, ...]:
    with trace() as t:
        if creep.fit is not None:
            state(
                "alpha", "Creep rate by regression", creep.fit.slope, "small length",
                method=f"least squares of {len(creep.points)} readings against log10 of the minute",
            )  # fmt: skip
        if creep.bow is not None:
            state(
                "s_b", "Bow of the readings below their chord, at least", creep.bow.least,
                "small length", method="parabola by least squares, one-sided 95 % bound",
            )  # fmt: skip
    return t.steps


def _regression(hold: JudgedHold) -> str:
    """Return the rate by regression in words, with its confidence."""
    fit = hold.creep.fit if hold.creep else None
    if fit is None or fit.freedom < 1:
        return ""
    low, high = fit.interval()
    return (
        f"by regression {{small length:{fit.slope:.9g}}} per log cycle, 95 % between "
        f"{{small length:{low:.9g}}} and {{small length:{high:.9g}}}"
    )


def _stated(found: Interval) -> None:
    """Record the movements that a limit is taken between."""
    for symbol, at in (("s_1", found.start), ("s_2", found.end)):
        state(
            symbol, f"Movement at minute {at.minute:g}", at.movement, "small length",
            method="read" if at.read else "between the readings on both sides, straight in log time",
        )  # fmt: skip


def _hidden(hold: JudgedHold, found: Interval, check: Check, logs: float) -> Iterator[Finding]:
    """Yield the finding that a fall of the load may hide creep enough to turn the verdict."""
    if check.verdict is not Verdict.PASS:
        return
    anchor = hold.record.anchor
    hides = hidden_movement(
        found.start.load, found.end.load, anchor.free_length, anchor.jack_length, anchor.area,
        anchor.modulus,
    )  # fmt: skip
    if hides <= 0.0 or check.demand + hides / logs <= check.capacity * (1.0 + 1e-9):
        return
    yield Finding(
        code="hidden creep", words=f"the load fell by {{force:{found.start.load - found.end.load:.9g}}} "
        f"while creep was measured, which may hide {{small length:{hides:.9g}}} of it",
        effect="as read; acceptance waits: pump back to the load, and read the hold anew",
        readings=(), withholds=True, cite=_HIDDEN,
    )  # fmt: skip


def _late(hold: JudgedHold, found: Interval, check: Check) -> Iterator[Finding]:
    """Yield the finding that creep passed while the load came up, enough to turn the verdict."""
    if hold.late is None or check.verdict is not Verdict.PASS or check.demand <= 0.0:
        return
    full = creep_from_pumping(check.demand, found.start.minute, found.end.minute, hold.late.taken)
    if full <= check.capacity * (1.0 + 1e-9):
        return
    rule = pumping_rule(hold.rules)
    yield Finding(
        code="hidden creep", words=f"the load was up to {hold.late.taken:.3g} minutes on its way, and "
        f"creep may have begun as long before: the {{small length:{check.demand:.9g}}} read may stand "
        f"for {{small length:{full:.9g}}}", effect="as read; acceptance waits: let the load down to "
        "the one before, bring it up in time, and read the hold anew",
        readings=(hold.late.number,), withholds=True, cite=rule.cite if rule else None,
    )  # fmt: skip


def national_limit(key: str) -> Finding:
    """Return the finding that a limit set nationally was not given."""
    return Finding(
        code="no national limit", words=f"the practice leaves `{key}` to national choice, and the "
        "project does not give it", effect="without it; acceptance waits: give it under `tests` in "
        "the project file, with the clause of the national annex", withholds=True,
    )  # fmt: skip
