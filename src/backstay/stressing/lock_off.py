"""Lock-off: the load at the jack that leaves the load wanted, and what the head then took of it.

Wedges draw in with the strand, a nut with its thread, and a head lowered on shims beds on them:
the free length shortens by so much and loses the load of it (`backstay.anchors.lock_off`). So the
jack is brought beyond the lock-off load. The draw-in of the first anchors, as measured, takes the
place of the usual one. What was really left in the tendon is judged in `backstay.stressing.seating`
and, once the head was lifted off its seat, in `backstay.stressing.lift_off`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from math import sqrt
from typing import Literal

from backstay.anchors.lock_off import DRAW_IN, draw_in_loss, jacking_load
from backstay.anchors.tendon import allowable_load
from backstay.basis import Factor
from backstay.checks import Check, Sense
from backstay.cite import Citation, common_practice
from backstay.errors import DesignError
from backstay.quantity import (
    QUANTITIES,
    Force,
    Length,
    Ratio,
    SectionArea,
    SmallLength,
    SteelModulus,
)
from backstay.stressing.loads import tendon_limit
from backstay.stressing.procedure import TestKind
from backstay.stressing.record import TestedAnchor
from backstay.stressing.regression import student
from backstay.stressing.rules import TestRules
from backstay.trace import Step, formula, state, trace

Head = Literal["wedges", "shims", "nut"]
ELASTIC = Citation("Hooke's law", "", "formula")
TOLERANCE = Citation("definition", "tolerance of the lock-off load", "formula")
BEDDING = 0.001
"""Draw-in (m) of a head lowered on shims: they bed, the jack lets the head down by no more."""
_USUAL: dict[Head, tuple[float, Citation]] = {
    "wedges": (DRAW_IN["strand"], common_practice("draw-in of wedges, 6 to 10 mm for bare strand")),
    "nut": (DRAW_IN["bar"], common_practice("a nut turned tight under load draws in 1 to 2 mm")),
    "shims": (BEDDING, common_practice("a head lowered on shims beds by about 1 mm")),
}  # fmt: skip
_TESTED = common_practice("an anchor is not loaded beyond what its test has proved")
_FORCE = QUANTITIES["force"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LockOff:
    """The load was handed to the anchor head.

    wanted: the load that was to be left; jack_load: by the jack when the head was locked; load: in
    the tendon once it was seated, None where it was not read; draw_in: as measured at the head (m),
    None where it was not; on: when; by: who.
    """

    anchor: str
    head: Head
    wanted: float
    jack_load: float
    load: float | None = None
    draw_in: float | None = None
    on: datetime | None = None
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftOff:
    """The head was lifted off its seat by the jack.

    load: at which it came off (kN); least, greatest: between which that load lies by the scatter of
    the readings, None where it is not known; movement: of the head or the ram there (m); method: by
    readings of load and movement, or as the crew stated it; strands: load of each (kN), where they
    were lifted off one by one; on: when; by: who.
    """

    anchor: str
    load: float
    least: float | None = None
    greatest: float | None = None
    movement: float | None = None
    method: Literal["readings", "stated by the crew"] = "stated by the crew"
    strands: tuple[float, ...] = ()
    on: datetime | None = None
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawIn:
    """Draw-in at the heads of a job as measured (m): mean and standard deviation of `count` anchors."""

    mean: float
    scatter: float
    greatest: float
    count: int

    @property
    def spread(self) -> float | None:
        """Return by how much the next one may be off the mean (95 %, m); None from one anchor."""
        if self.count < 2:
            return None
        return student(0.975, self.count - 1) * self.scatter * sqrt(1.0 + 1.0 / self.count)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedLockOff:
    """How an anchor is to be locked off. Loads kN, lengths m.

    wanted: load to be left; draw_in: that is expected, by its head; loss: that it takes; jack_load:
    at which to lock the head; lift_off_least, lift_off_greatest: between which the lift-off must lie.
    """

    anchor: str
    head: Head
    wanted: float
    draw_in: float
    loss: float
    jack_load: float
    lift_off_least: float
    lift_off_greatest: float
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


@formula("s", ELASTIC)
def draw_in_of_loss(Delta_P: Force, L_u: Length, A: SectionArea, E: SteelModulus) -> SmallLength:
    """Draw-in that a loss of load speaks of; shims of this height give it back.

    Delta_P: load lost; L_u: free length; A: area of the tendon; E: modulus of elasticity of the
    tendon
    """
    return Delta_P * L_u / (A * E)


@formula("P_min", TOLERANCE)
def least_in_tolerance(P_lo: Force, r: Ratio) -> Force:
    """Least load within the tolerance.

    P_lo: lock-off load wanted; r: tolerance, over it
    """
    return P_lo * (1.0 - r)


@formula("P_max", TOLERANCE)
def greatest_in_tolerance(P_lo: Force, r: Ratio) -> Force:
    """Greatest load within the tolerance.

    P_lo: lock-off load wanted; r: tolerance, over it
    """
    return P_lo * (1.0 + r)


def plan_lock_off(
    anchor: TestedAnchor,
    rules: TestRules,
    *,
    head: Head,
    draw_in: float | DrawIn | None = None,
    test_load: float | None = None,
    wanted: float | None = None,
) -> PlannedLockOff:
    """Return the load at the jack that leaves the lock-off load, and whether it may be so.

    draw_in: expected (m), or as measured at other heads of the job; else that of the anchor, or the
    usual one of such a head. test_load: that the anchor has proved; wanted: lock-off load other than
    the design's, of an anchor that was down-rated (kN). Raises DesignError where the load is none.
    """
    load = anchor.lock_off_load if wanted is None else wanted
    if load <= 0.0:
        raise DesignError("there is no load to lock off at", f"anchor {anchor.name}")
    A, E, L_u = anchor.area, anchor.modulus, anchor.free_length
    with trace() as t:
        s = _expected(anchor, head, draw_in)
        loss = draw_in_loss(A, E, s, L_u)
        P_j = jacking_load(load, loss)
        low = least_in_tolerance(load, rules.lift_off_tolerance.value)
        high = greatest_in_tolerance(load, rules.lift_off_tolerance.value)
    checks = [
        *lock_off_limits(anchor, rules, load, t.steps),
        _jack_check(anchor, rules, P_j, head, t.steps),
    ]
    if test_load is not None:
        checks.append(
            Check(
                "lock-off.tested-load", "Load at the jack at lock-off, against the test load", P_j,
                test_load, _FORCE, _TESTED, where=anchor.name, steps=t.steps,
                remedy="lock off on shims or with less draw-in, so that the jack need not go beyond "
                "the test load" if P_j > test_load * (1 + 1e-9) else "",
            )
        )  # fmt: skip
    if isinstance(draw_in, DrawIn) and draw_in.spread is not None:
        checks.append(_scatter_check(anchor, rules, load, draw_in, draw_in.spread))
    return PlannedLockOff(
        anchor=anchor.name, head=head, wanted=load, draw_in=s, loss=loss, jack_load=P_j,
        lift_off_least=low, lift_off_greatest=high, checks=tuple(checks), steps=t.steps,
    )  # fmt: skip


def _expected(anchor: TestedAnchor, head: Head, draw_in: float | DrawIn | None) -> float:
    """Return the draw-in to expect (m), and record where it is from."""
    if isinstance(draw_in, DrawIn):
        number = "one head" if draw_in.count == 1 else f"{draw_in.count} heads"
        value, method, cite = draw_in.mean, f"mean of {number} of this job, as measured", None
    elif draw_in is not None:
        value, method, cite = draw_in, "given", None
    elif anchor.draw_in is not None and head != "shims":
        value, method, cite = anchor.draw_in, "as the design expects", None
    else:
        value, source = _USUAL[head]
        method, cite = "not known: the usual value", source
    if value < 0.0:
        raise DesignError("a draw-in is not negative", f"anchor {anchor.name}")
    return state("s", f"Draw-in expected, {head}", value, "small length", method=method, cite=cite)


@formula("P_lim", Citation("rule of the practice", "lock-off load over design load", "formula"))
def share_of_design(r: Ratio, P_d: Force) -> Force:
    """Limit of the lock-off load.

    r: share of the design load; P_d: design load
    """
    return r * P_d


def lock_off_limits(
    anchor: TestedAnchor, rules: TestRules, load: float, steps: tuple[Step, ...] = ()
) -> tuple[Check, ...]:
    """Return the checks of a load left in the tendon (kN): by its strength and the design load."""
    limit = rules.lock_off_stress
    with trace() as t:
        most = allowable_load(limit.value, anchor.strength)
    found = [
        Check(
            "lock-off.stress", "Load left in the tendon, against its strength", load, most, _FORCE,
            limit.cite, where=anchor.name, steps=(*steps, *t.steps),
            remedy="let the anchor down to a lower lock-off load" if load > most * (1 + 1e-9) else "",
            note=f"at most {{percent:{limit.value:.9g}}} of the guaranteed strength",
        )
    ]  # fmt: skip
    low, high = rules.lock_off_least, rules.lock_off_greatest
    if low is not None:
        found.append(_of_design("least", Sense.AT_LEAST, low, anchor, load, steps))
    if high is not None:
        found.append(_of_design("greatest", Sense.AT_MOST, high, anchor, load, steps))
    return tuple(found)


def _of_design(
    name: Literal["least", "greatest"],
    sense: Sense,
    rule: Factor,
    anchor: TestedAnchor,
    load: float,
    steps: tuple[Step, ...],
) -> Check:
    with trace() as t:
        limit = share_of_design(rule.value, anchor.design_load)
    low = name == "least"
    fails = load < limit * (1 - 1e-9) if low else load > limit * (1 + 1e-9)
    remedy = (
        "lock off at more, or let the engineer state why less will do"
        if low
        else "lock off at less: you cannot pull harder than the ground can push back"
    )
    return Check(
        f"lock-off.{name}", f"{name.capitalize()} lock-off load, against the design load", load,
        limit, _FORCE, rule.cite, sense, anchor.name, (*steps, *t.steps), remedy if fails else "",
        f"{{percent:{rule.value:.9g}}} of the design load {{force:{anchor.design_load:.9g}}}",
    )  # fmt: skip


def _jack_check(
    anchor: TestedAnchor, rules: TestRules, P_j: float, head: Head, steps: tuple[Step, ...]
) -> Check:
    limit = tendon_limit(anchor, usual_kind(rules), rules)
    less = {
        "wedges": "lock off on shims, or seat the wedges by power",
        "shims": "thinner steps of shims, so that the head comes down by less",
        "nut": "turn the nut tight under load, or set shims beneath it",
    }[head]
    return Check(
        "lock-off.jacking-stress", "Load at the jack that leaves the lock-off load", P_j, limit.load,
        _FORCE, limit.clause, where=anchor.name, steps=steps,
        remedy=f"{less}; or a lower lock-off load" if P_j > limit.load * (1 + 1e-9) else "",
        note=limit.unchecked,
    )  # fmt: skip


def usual_kind(rules: TestRules) -> TestKind:
    """Return the test that every anchor of a practice has: its limits of the tendon hold at lock-off."""
    return "acceptance" if rules.id == "EN" else "proof"


def _scatter_check(
    anchor: TestedAnchor, rules: TestRules, load: float, measured: DrawIn, spread: float
) -> Check:
    """Return whether heads that draw in as unevenly as these can be locked off in tolerance."""
    allowed = rules.lift_off_tolerance
    with trace() as t:
        state(
            "s", "Spread of the draw-in", spread, "small length",
            method=f"95 % for the next head, from the scatter of {measured.count}",
        )  # fmt: skip
        off = draw_in_loss(anchor.area, anchor.modulus, spread, anchor.free_length)
        limit = share_of_design(allowed.value, load)
    return Check(
        "lock-off.scatter", "Load that the spread of the draw-in makes uncertain", off, limit, _FORCE,
        allowed.cite, where=anchor.name, steps=t.steps,
        remedy="the draw-in is too uneven to hit the lock-off load: seat the wedges by power, lock "
        "off on shims, and lift every anchor off" if off > limit * (1 + 1e-9) else "",
        note=f"tolerance {{percent:{allowed.value:.9g}}} of the lock-off load",
    )  # fmt: skip
