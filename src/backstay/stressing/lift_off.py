"""Lift-off: whether the load that was locked off is in the tendon, and what the rules allow next.

Too low: the anchor is re-stressed and lifted off again, so often and no more; an anchor that loses
its load again does not hold it, and is tested anew. Too high: it is let down. A load beyond what a
tendon may be locked off at is let down before anything else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from backstay.anchors.lock_off import draw_in_loss, jacking_load
from backstay.basis import Factor
from backstay.checks import Check, Verdict
from backstay.cite import Citation, common_practice
from backstay.stressing.lift_off_fit import lift_off_fit
from backstay.stressing.loads import tendon_limit
from backstay.stressing.lock_off import (
    Head,
    LiftOff,
    draw_in_of_loss,
    lock_off_limits,
    usual_kind,
)
from backstay.stressing.next_step import NextStep
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules
from backstay.stressing.seating import in_tolerance
from backstay.stressing.strand_rules import (
    let_down_strand,
    lift_off_all,
    set_strands,
    strand_check,
)
from backstay.stressing.strands import StrandLoads, require_sum, strand_loads
from backstay.trace import Step, state, trace

RESTRESSINGS = Factor(
    2.0, common_practice("an anchor that loses its lock-off load twice is tested again")
)
_RESET = Citation("UFGS 02490", "lift-off outside the tolerance: re-stress and repeat", "memory")
_NEW_GRIP = common_practice(
    "wedges that are set anew grip the strand clear of their old marks, or shims are set beneath the head"
)
Standing = Literal["in tolerance", "too low", "too high", "cannot be told"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftOffJudgement:
    """A lift-off judged.

    standing: of the load; short: of the load wanted (kN, negative beyond it); shims: height that
    would make up for it (m, negative: to be taken away); next: what the rules allow; spread: of the
    strands over their mean, None where they were not read one by one.
    """

    standing: Standing
    reason: str
    short: float
    shims: float
    checks: tuple[Check, ...]
    next: tuple[NextStep, ...]
    steps: tuple[Step, ...]
    spread: float | None = None


def lift_off_of(
    readings: Sequence[tuple[float, float]],
    anchor: TestedAnchor,
    rules: TestRules,
    *,
    on: datetime | None = None,
    by: str = "",
) -> LiftOff:
    """Return the lift-off that readings (load kN, movement m) show. Raises DesignError if none."""
    found = lift_off_fit(readings, anchor, rules)
    return LiftOff(
        anchor=anchor.name, load=found.load, least=found.least, greatest=found.greatest,
        movement=found.movement, method="readings", on=on, by=by,
    )  # fmt: skip


def judge_lift_off(
    lift_off: LiftOff,
    anchor: TestedAnchor,
    rules: TestRules,
    *,
    head: Head,
    wanted: float | None = None,
    draw_in: float | None = None,
    restressed: int = 0,
    restressings: Factor = RESTRESSINGS,
    strands: int | None = None,
) -> LiftOffJudgement:
    """Return whether a lift-off load is that of the lock-off, and what the rules allow next.

    wanted: lock-off load, else the design's (kN); draw_in: measured at this head (m), else as the
    design expects it; restressed: how often the anchor was re-stressed before; restressings: how
    often it may be; strands: that the tendon has, None where it is not known. Raises DesignError
    where strands were read one by one and do not carry the load stated.
    """
    load = anchor.lock_off_load if wanted is None else wanted
    found = _strands(lift_off)
    with trace() as t:
        state("P_l", "Lift-off load", lift_off.load, "force", method=_found(lift_off))
        short = load - lift_off.load
        shims = draw_in_of_loss(short, anchor.free_length, anchor.area, anchor.modulus)
    low, high = in_tolerance(lift_off.load, load, rules, anchor, "lift-off", t.steps)
    limits = lock_off_limits(anchor, rules, lift_off.load, t.steps)
    checks: tuple[Check, ...] = (low, high, limits[0])
    if found is not None:
        checks = (*checks, strand_check(found, anchor, rules, strands))
    standing: Standing = "in tolerance"
    if limits[0].verdict is Verdict.FAIL or high.verdict is Verdict.FAIL:
        standing = "too high"
    elif low.verdict is Verdict.FAIL:
        standing = "too low"
    elif _wide(lift_off, low.capacity, high.capacity):
        standing = "cannot be told"
    over = found is not None and checks[-1].verdict is Verdict.FAIL
    if over:
        standing = "too high"
    missed = found is not None and strands is not None and strands != len(found.loads)
    if missed:
        standing = "cannot be told"
    words = (
        f"lift-off at {{force:{lift_off.load:.9g}}}{_interval(lift_off)}, wanted {{force:{load:.9g}}} "
        f"within {{percent:{rules.lift_off_tolerance.value:.9g}}}"
    )
    if found is not None:
        words += f"; {found.words}"
        if missed:
            words += f", and the tendon has {strands}: the load of the others is not known"
        after = _by_strand(found, standing, load, restressed, restressings, anchor, over=over)
        return LiftOffJudgement(
            standing=standing, reason=f"{standing}: {words}", short=short, shims=shims, checks=checks,
            next=after, steps=(*found.steps, *t.steps), spread=found.spread,
        )  # fmt: skip
    after = {
        "in tolerance": (), "too high": (_let_down(load, shims, rules),),
        "cannot be told": (again(rules),),
        "too low": _restress(anchor, rules, load, shims, head, draw_in, restressed, restressings),
    }[standing]  # fmt: skip
    return LiftOffJudgement(
        standing=standing, reason=f"{standing}: {words}", short=short, shims=shims, checks=checks,
        next=after, steps=t.steps,
    )  # fmt: skip


def _strands(lift_off: LiftOff) -> StrandLoads | None:
    """Return the strands that were read one by one. Raises DesignError."""
    if not lift_off.strands:
        return None
    where = f"anchor {lift_off.anchor}"
    found = strand_loads(lift_off.strands, where)
    require_sum(found, lift_off.load, where)
    return found


def _by_strand(
    found: StrandLoads,
    standing: Standing,
    load: float,
    restressed: int,
    restressings: Factor,
    anchor: TestedAnchor,
    *,
    over: bool,
) -> tuple[NextStep, ...]:
    """Return what is allowed where strands are set one by one. over: a strand beyond its limit."""
    if standing == "in tolerance":
        return ()
    if standing == "cannot be told":
        return (lift_off_all(len(found.loads)),)
    if over:
        return (let_down_strand(found, load),)
    if standing == "too low" and restressed >= restressings.value:
        return (_lost(restressed, restressings, anchor),)
    return (set_strands(found, load, down=standing == "too high"),)


def _found(lift_off: LiftOff) -> str:
    if lift_off.strands:
        return f"sum of {len(lift_off.strands)} strands, lifted off one by one"
    if lift_off.method == "readings":
        return "where the line of load and movement turns to the stiffness of the tendon"
    return lift_off.method


def _interval(lift_off: LiftOff) -> str:
    if lift_off.least is None or lift_off.greatest is None:
        return ""
    return f" (95 % between {{force:{lift_off.least:.9g}}} and {{force:{lift_off.greatest:.9g}}})"


def _wide(lift_off: LiftOff, low: float, high: float) -> bool:
    """Say whether the scatter of the readings reaches beyond both ends of the tolerance."""
    if lift_off.least is None or lift_off.greatest is None:
        return False
    return lift_off.least < low and lift_off.greatest > high


def again(rules: TestRules) -> NextStep:
    """Return that it is to be lifted off again, with more readings."""
    return NextStep(
        action="lift off", words="the readings scatter beyond the tolerance on both sides: lift off "
        "again, and read load and movement in finer steps on both sides of it",
        cite=rules.lift_off_tolerance.cite,
    )  # fmt: skip


def _let_down(load: float, shims: float, rules: TestRules) -> NextStep:
    return NextStep(
        action="let down", words=f"let the anchor down to {{force:{load:.9g}}}: take shims of "
        f"{{small length:{-shims:.9g}}} from beneath the head, or let the nut back by as much; lift "
        "off again", cite=rules.lift_off_tolerance.cite, load=load,
    )  # fmt: skip


def _lost(restressed: int, restressings: Factor, anchor: TestedAnchor) -> NextStep:
    return NextStep(
        action="test again", words=f"re-stressed {restressed} times and too low again: the anchor does "
        "not hold its load; find where it goes (head, plate, wall, bond), and test it again from the "
        "alignment load", cite=restressings.cite, load=anchor.design_load,
    )  # fmt: skip


def _restress(
    anchor: TestedAnchor,
    rules: TestRules,
    load: float,
    shims: float,
    head: Head,
    draw_in: float | None,
    restressed: int,
    restressings: Factor,
) -> tuple[NextStep, ...]:
    """Return how a load that is too low may be made up, or that it may not be any more."""
    if restressed >= restressings.value:
        return (_lost(restressed, restressings, anchor),)
    by_shims = NextStep(
        action="re-stress", words=f"lift the head and set shims of {{small length:{shims:.9g}}} beneath "
        f"it, so that {{force:{load:.9g}}} is left; lift off again", cite=_RESET, load=load,
    )  # fmt: skip
    if head == "shims":
        return (by_shims,)
    s = anchor.draw_in if draw_in is None else draw_in
    if s is None:
        return (by_shims,)
    jack = jacking_load(load, draw_in_loss(anchor.area, anchor.modulus, s, anchor.free_length))
    if jack > tendon_limit(anchor, usual_kind(rules), rules).load * (1 + 1e-9):
        return (by_shims,)
    grip = f"; {_NEW_GRIP.clause}" if head == "wedges" else ""
    again = NextStep(
        action="re-stress", words=f"stress it to {{force:{jack:.9g}}} and lock the head again, drawing "
        f"in {{small length:{s:.9g}}}; lift off again{grip}", cite=_RESET, load=jack,
    )  # fmt: skip
    return (by_shims, again)
