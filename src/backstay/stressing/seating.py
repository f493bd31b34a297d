"""Seating: what a lock-off left in the tendon, held against what was wanted.

The load lost is known from the load after seating, or from the draw-in as measured at the head.
Both together tell whether plate and wall gave way as well. The load that counts in the end is that
of the lift-off (`backstay.stressing.lift_off`).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt
from typing import Literal

from backstay.anchors.lock_off import draw_in_loss
from backstay.checks import Check, Sense
from backstay.errors import DesignError
from backstay.quantity import QUANTITIES, Force, Ratio
from backstay.stressing.lock_off import (
    ELASTIC,
    TOLERANCE,
    DrawIn,
    LockOff,
    PlannedLockOff,
    draw_in_of_loss,
    greatest_in_tolerance,
    least_in_tolerance,
    lock_off_limits,
)
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules
from backstay.trace import Step, formula, state, trace

_FORCE = QUANTITIES["force"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatedLoad:
    """What a lock-off left in the tendon.

    load: as read, or by the draw-in that was measured; lost: of the load at the jack; draw_in:
    that the loss speaks of (m); predicted: loss foreseen for this load at the jack.
    """

    load: float
    lost: float
    draw_in: float
    predicted: float
    read: bool
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


@formula("Delta_P", TOLERANCE)
def load_lost(P_j: Force, P_s: Force) -> Force:
    """Load lost on seating.

    P_j: load at the jack when the head was locked; P_s: load in the tendon after seating
    """
    return P_j - P_s


@formula("P_s", ELASTIC)
def load_after_seating(P_j: Force, Delta_P: Force) -> Force:
    """Load in the tendon after seating.

    P_j: load at the jack when the head was locked; Delta_P: load lost by draw-in
    """
    return P_j - Delta_P


@formula("Delta_max", TOLERANCE)
def most_loss(Delta_P: Force, r: Ratio, P_lo: Force) -> Force:
    """Greatest loss on seating that leaves the lock-off load within its tolerance.

    Delta_P: loss foreseen; r: tolerance, over the lock-off load; P_lo: lock-off load wanted
    """
    return Delta_P + r * P_lo


def draw_in_of(measured: Iterable[float | None]) -> DrawIn | None:
    """Return the draw-in that was measured at some heads (m), None where at none of them."""
    found = [s for s in measured if s is not None]
    if not found:
        return None
    mean = sum(found) / len(found)
    off = sum((s - mean) ** 2 for s in found)
    scatter = sqrt(off / (len(found) - 1)) if len(found) > 1 else 0.0
    return DrawIn(mean=mean, scatter=scatter, greatest=max(found), count=len(found))


def seated_load(
    lock_off: LockOff, anchor: TestedAnchor, rules: TestRules, planned: PlannedLockOff
) -> SeatedLoad:
    """Return what a lock-off left in the tendon, held against what was wanted.

    The load is as read; where it was not read, that of the draw-in as measured. Raises DesignError
    where neither was: then only a lift-off can tell.
    """
    where = f"anchor {anchor.name}"
    A, E, L_u = anchor.area, anchor.modulus, anchor.free_length
    if lock_off.load is None and lock_off.draw_in is None:
        raise DesignError(
            "neither the load after seating nor the draw-in was measured: lift the anchor off",
            where,
        )
    if lock_off.load is not None and lock_off.load > lock_off.jack_load * (1 + 1e-9):
        raise DesignError(
            f"the load after seating, {{force:{lock_off.load:.9g}}}, is more than the jack gave, "
            f"{{force:{lock_off.jack_load:.9g}}}: one of them is misread", where,
        )  # fmt: skip
    with trace() as t:
        if lock_off.load is not None:
            load = state("P_s", "Load after seating", lock_off.load, "force", method="read")
            lost = load_lost(lock_off.jack_load, load)
            draw_in = draw_in_of_loss(lost, L_u, A, E)
        else:
            measured = lock_off.draw_in or 0.0
            draw_in = state("s", "Draw-in", measured, "small length", method="measured at the head")
            lost = draw_in_loss(A, E, draw_in, L_u)
            load = load_after_seating(lock_off.jack_load, lost)
    checks = [
        *in_tolerance(load, lock_off.wanted, rules, anchor, "lock-off", t.steps),
        *lock_off_limits(anchor, rules, load, t.steps),
        _loss_check(lock_off, anchor, rules, planned, lost, draw_in, t.steps),
    ]
    return SeatedLoad(
        load=load, lost=lost, draw_in=draw_in, predicted=planned.loss,
        read=lock_off.load is not None, checks=tuple(checks), steps=t.steps,
    )  # fmt: skip


def in_tolerance(
    load: float,
    wanted: float,
    rules: TestRules,
    anchor: TestedAnchor,
    of: Literal["lock-off", "lift-off"],
    steps: tuple[Step, ...],
) -> tuple[Check, Check]:
    """Return the checks that a load lies neither below nor above the load wanted, by the tolerance."""
    rule = rules.lift_off_tolerance
    with trace() as t:
        low = least_in_tolerance(wanted, rule.value)
        high = greatest_in_tolerance(wanted, rule.value)
    missing = draw_in_of_loss.function(
        abs(wanted - load), anchor.free_length, anchor.area, anchor.modulus
    )
    note = f"wanted {{force:{wanted:.9g}}}, within {{percent:{rule.value:.9g}}}"
    title = "Load after seating" if of == "lock-off" else "Lift-off load"
    shims = f"{{small length:{missing:.9g}}}"
    return (
        Check(
            f"{of}.load-least", f"{title}, at least", load, low, _FORCE, rule.cite, Sense.AT_LEAST,
            anchor.name, (*steps, *t.steps),
            f"re-stress and lift off again; or shims of {shims} beneath the head"
            if load < low * (1 - 1e-9) else "", note,
        ),
        Check(
            f"{of}.load-greatest", f"{title}, at most", load, high, _FORCE, rule.cite, Sense.AT_MOST,
            anchor.name, (*steps, *t.steps),
            f"let the anchor down and lift off again; the head has to come down by {shims}"
            if load > high * (1 + 1e-9) else "", note,
        ),
    )  # fmt: skip


def _loss_check(
    lock_off: LockOff,
    anchor: TestedAnchor,
    rules: TestRules,
    planned: PlannedLockOff,
    lost: float,
    draw_in: float,
    steps: tuple[Step, ...],
) -> Check:
    """Return whether seating took no more than foreseen, by what the tolerance leaves."""
    rule = rules.lift_off_tolerance
    with trace() as t:
        limit = most_loss(planned.loss, rule.value, lock_off.wanted)
    note = f"foreseen {{force:{planned.loss:.9g}}} at {{small length:{planned.draw_in:.9g}}}"
    if lock_off.load is not None and lock_off.draw_in is not None:
        note += (
            f"; measured at the head {{small length:{lock_off.draw_in:.9g}}}, by the loss "
            f"{{small length:{draw_in:.9g}}}"
        )
    return Check(
        "lock-off.seating-loss", "Load lost on seating", lost, limit, _FORCE, rule.cite,
        where=anchor.name, steps=(*steps, *t.steps),
        remedy=f"the head drew in by {{small length:{draw_in:.9g}}}: count on that at the next heads, "
        "clean and seat the wedges, and look whether plate and wall gave way"
        if lost > limit * (1 + 1e-9) else "", note=note,
    )  # fmt: skip
