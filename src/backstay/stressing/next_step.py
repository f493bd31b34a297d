"""What the rules allow next: the decision tree at the jack, each branch with its clause.

The crew asks one thing: what now? While the test runs it is the next load or the next minute.
When a limit of the first hold is passed it is more time. When an anchor fails it is, in the order
of the tree: run the cycle again where only the free length is short, re-grout once and test again
against the enhanced limit where that is possible, else replace it, or lock it off at a share of
the greatest load that it held. The engineer decides among what is allowed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from backstay.cite import GEC4, Citation, common_practice
from backstay.quantity import Force, Ratio
from backstay.stressing.criteria import Outcome
from backstay.stressing.fault_holds import step_words
from backstay.stressing.findings import Finding
from backstay.stressing.judged_steps import loss_step, timed_step, top_step
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import CreepLimit, TestRules
from backstay.stressing.stays import EXTRA_CYCLES, Stay
from backstay.trace import formula

Action = Literal[
    "stop", "correct the record", "pump back", "hold", "go on", "run the cycle again", "lock off",
    "re-grout and test again", "lower load", "replace", "test again", "give the limit",
    "lift off", "re-stress", "let down",
]  # fmt: skip

_TREE = Citation(GEC4, "section 7.4.5, decision tree of acceptance", "memory")
_AGAIN = Citation(GEC4, "section 7.4.5, reloading up to two times", "memory")
_EN_LOWER = Citation(
    "EN 1537:1999", "9.8, lock-off load reduced to where the limit is met", "published"
)
_RECORD = common_practice("a record that is wrong is corrected before it is judged")
_INCOMPLETE = common_practice("an incomplete test is not accepted; the anchor is tested again")
_STOP = common_practice("a tendon or jack that is overloaded is unloaded before anything else")


@formula("P_lo", _TREE)
def lower_lock_off(r_f: Ratio, P_h: Force) -> Force:
    """Lock-off load of an anchor that fails.

    r_f: share of the greatest load that it held; P_h: greatest load that it held
    """
    return r_f * P_h


@dataclass(frozen=True, slots=True, kw_only=True)
class NextStep:
    """One thing that the rules allow, in words, with its clause.

    minute: until which to hold; load: kN to go to or to lock off at; step: number of the step in
    the procedure.
    """

    action: Action
    words: str
    cite: Citation
    minute: float | None = None
    load: float | None = None
    step: int | None = None


def on_the_way(
    record: TestRecord,
    stay: Stay | None,
    outcomes: Sequence[Outcome],
    findings: Sequence[Finding],
) -> tuple[NextStep, ...]:
    """Return what a test that is not over asks for: the hold, or the next step.

    stay: the last one read; outcomes: of the criteria, some of them waiting; findings: so far.
    """
    procedure = record.procedure
    if stay is None or not stay.points:
        first = procedure.steps[0]
        return (
            NextStep(
                action="go on", words=f"read dials and gauge: {step_words(first)}",
                cite=procedure.clause, load=first.load, step=0,
            ),
        )  # fmt: skip
    low = next((o for o in outcomes if o.id == "test.load-reached" and o.state == "waiting"), None)
    at_top = stay.index == top_step(procedure) and not stay.again
    if low is not None and at_top:
        return (
            NextStep(
                action="pump back", words=low.words, cite=procedure.clause,
                load=procedure.test_load, step=stay.index,
            ),
        )  # fmt: skip
    fallen = [f for f in findings if f.code in ("load drop", "hidden creep") and f.withholds]
    if at_top and fallen:
        return (
            NextStep(
                action="pump back", words="bring the load up again, read it as loading, and hold it "
                f"from the start: {fallen[0].words}", cite=fallen[0].cite or procedure.clause,
                load=procedure.test_load, step=stay.index,
            ),
        )  # fmt: skip
    end = 0.0 if stay.again else _hold_end(stay, outcomes, procedure)
    if stay.held < end - 0.05:
        return (_hold(stay, end, outcomes, procedure),)
    after = procedure.steps[stay.index + 1 :]
    if not after:
        return ()
    step = after[0]
    if stay.index + 1 == loss_step(procedure):
        return (
            NextStep(
                action="go on", words=f"lock the head off, so that {{force:{step.load:.9g}}} is left in "
                "the tendon once it is seated, and read the load that is left at once",
                cite=procedure.clause, step=stay.index + 1,
            ),
        )  # fmt: skip
    return (
        NextStep(
            action="go on", words=f"go to {step_words(step)}", cite=procedure.clause,
            load=step.load, step=stay.index + 1,
        ),
    )  # fmt: skip


def _hold_end(stay: Stay, outcomes: Sequence[Outcome], procedure: Procedure) -> float:
    """Return the minute up to which the present load is held."""
    if stay.index != timed_step(procedure):
        return stay.step.hold
    asked = [o.until for o in outcomes if o.state == "waiting" and o.until is not None]
    return max((stay.step.hold, *asked))


def _hold(stay: Stay, end: float, outcomes: Sequence[Outcome], procedure: Procedure) -> NextStep:
    step = stay.step
    minutes = [m for m in (*step.readings, *step.extended) if m > stay.held + 0.05]
    nearest = min(minutes, default=end)
    locked = loss_step(procedure)
    if locked is not None:  # the length is kept, and the load is read
        kept = f"keep the ram where it is at {{force:{step.load:.9g}}}"
        how = "leave the head locked off" if stay.index == locked else kept
        return NextStep(
            action="hold", words=f"{how} up to minute {end:g}, read the load next at minute "
            f"{nearest:g}; nobody pumps", cite=procedure.clause, minute=end, step=stay.index,
        )  # fmt: skip
    reasons = [
        o.words for o in outcomes
        if o.state == "waiting" and o.until is not None and o.until > step.hold + 0.05
    ]  # fmt: skip
    why = f": {reasons[0]}" if reasons and stay.index == timed_step(procedure) else ""
    return NextStep(
        action="hold", words=f"hold {{force:{step.load:.9g}}} to {end:g} minutes, read next at "
        f"minute {nearest:g}{why}", cite=procedure.clause, minute=end, load=step.load,
        step=stay.index,
    )  # fmt: skip


def after_refusal(findings: Sequence[Finding]) -> tuple[NextStep, ...]:
    """Return what a record that cannot be judged asks for."""
    stop = [f for f in findings if f.stop]
    if stop:
        return (NextStep(action="stop", words=stop[0].effect, cite=stop[0].cite or _STOP),)
    return _once(
        NextStep(action="correct the record", words=f.effect, cite=f.cite or _RECORD)
        for f in findings
        if f.consequence == "refused" or f.withholds
    )


def _once(steps: Iterable[NextStep]) -> tuple[NextStep, ...]:
    """Return each thing to do once: several findings may ask for the same."""
    unique: dict[tuple[Action, str], NextStep] = {}
    for step in steps:
        unique.setdefault((step.action, step.words), step)
    return tuple(unique.values())


def after_unknown(outcomes: Sequence[Outcome], findings: Sequence[Finding]) -> tuple[NextStep, ...]:
    """Return what a test asks for that is over and leaves a criterion open."""
    found: list[NextStep] = []
    for finding in findings:
        if finding.code == "no national limit":
            found.append(NextStep(action="give the limit", words=finding.effect, cite=_RECORD))
        elif finding.withholds:
            action: Action = (
                "pump back"
                if finding.code in ("load drop", "hidden creep")
                else "correct the record"
            )
            if finding.code in ("skipped hold", "short hold"):
                action = "test again"
            found.append(
                NextStep(action=action, words=finding.effect, cite=finding.cite or _RECORD)
            )
    for outcome in outcomes:
        if outcome.state in ("not known", "waiting") and not outcome.findings:
            found.append(
                NextStep(
                    action="test again", words=f"{outcome.words}: test again from the alignment load",
                    cite=_INCOMPLETE,
                )
            )  # fmt: skip
    return _once(found)


def after_acceptance(record: TestRecord, rules: TestRules) -> tuple[NextStep, ...]:
    """Return that the anchor may be locked off."""
    anchor = record.anchor
    rule = rules.lock_off_greatest or rules.lock_off_stress
    if loss_step(record.procedure) is not None:
        return (
            NextStep(
                action="lock off", words="record the lock-off with which the test ended, at "
                f"{{force:{anchor.lock_off_load:.9g}}}, and prove it by a lift-off reading",
                cite=rule.cite, load=anchor.lock_off_load,
            ),
        )  # fmt: skip
    return (
        NextStep(
            action="lock off", words=f"lock off at {{force:{anchor.lock_off_load:.9g}}} and prove it "
            "by a lift-off reading", cite=rule.cite, load=anchor.lock_off_load,
        ),
    )  # fmt: skip


def after_lock_off(rules: TestRules) -> tuple[NextStep, ...]:
    """Return that an anchor that is locked off is proved by a lift-off."""
    rule = rules.lift_off_tolerance
    return (
        NextStep(
            action="lift off", words="lift the head off its seat and write down the load: within "
            f"{{percent:{rule.value:g}}} of the lock-off load", cite=rule.cite,
        ),
    )  # fmt: skip


def after_failure(
    record: TestRecord,
    rules: TestRules,
    failed: Sequence[Outcome],
    held_load: float | None,
    again: int,
) -> tuple[NextStep, ...]:
    """Return the branches of the decision tree for an anchor that fails.

    failed: the criteria that failed; held_load: greatest load (kN) at which nothing failed; again:
    how often the last cycle was run again.
    """
    names = {o.id for o in failed}
    lengths = {"test.free-length-least", "test.free-length-greatest"}
    found: list[NextStep] = []
    if names <= lengths and again < EXTRA_CYCLES:
        found.append(
            NextStep(
                action="run the cycle again", words="run the cycle to the test load and back to the "
                f"alignment load again, {EXTRA_CYCLES - again} times at most, numbered on from the "
                "last: friction may let go, and slip shows by not coming back", cite=_AGAIN,
                load=record.procedure.test_load,
            )
        )  # fmt: skip
    limit = rules.creep_regrouted
    may = record.anchor.regrouted < rules.regroutings.value
    if record.anchor.regroutable and may and limit is not None:
        found.append(_regrout(limit))
    if held_load is not None:
        found.append(_lower(rules, held_load))
    found.append(
        NextStep(
            action="replace",
            words="replace the anchor; the engineer places the new one",
            cite=_TREE,
        )
    )
    return tuple(found)


def _regrout(limit: CreepLimit) -> NextStep:
    return NextStep(
        action="re-grout and test again", words="re-grout it, wait until the grout has its strength, "
        f"and test it again: creep at most {{small length:{limit.movement:.9g}}} from "
        f"{limit.start:g} to {limit.end:g} minutes", cite=limit.cite, minute=limit.end,
    )  # fmt: skip


def _lower(rules: TestRules, held_load: float) -> NextStep:
    rule = rules.failed_lock_off
    load = lower_lock_off(rule.value, held_load)
    words = (
        f"lock off at most at {{force:{load:.9g}}}, {{percent:{rule.value:g}}} of the greatest load "
        f"that it held, {{force:{held_load:.9g}}}; the design is to carry the rest"
    )
    if rules.id == "EN":
        words += f"; the lock-off load is one at which the limit is met ({_EN_LOWER})"
    return NextStep(action="lower load", words=words, cite=rule.cite, load=load)
