"""The anchors of a design for the register: those that are new, and those that the design changed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from backstay.design import Design
from backstay.fieldbook.down_rating import is_down_rated
from backstay.records.entries import RegisterLine
from backstay.records.facts import DesignChanged, Planned
from backstay.records.from_plan import planned_anchors
from backstay.records.store import Records
from backstay.stressing.plan import TestPlan, plan_slope_tests, plan_tests
from backstay.stressing.rules import TestRules


@dataclass(frozen=True, slots=True)
class Registering:
    """What a design means for the register.

    new: not in it yet; before: how many are; changed: in it with another design, as it is now;
    down_rated: names of those whose design on record stays as it is; gone: names of those that the
    design no longer has.
    """

    new: tuple[Planned, ...]
    before: int
    changed: tuple[Planned, ...]
    down_rated: tuple[str, ...]
    gone: tuple[str, ...]


def plans(design: Design, rules: TestRules) -> tuple[TestPlan, ...]:
    """Return the plan of tests of every section of wall and slope."""
    walls = [plan_tests(one.section, one.anchors, rules) for one in design.sections]
    slopes = [
        plan_slope_tests(one.slope, [row.anchor for row in one.rows], rules)
        for one in design.slopes
    ]
    return (*walls, *slopes)


def anchors_of(
    design: Design,
    rules: TestRules,
    lines: Iterable[RegisterLine],
    along: Mapping[tuple[str, int, int], float],
) -> Registering:
    """Return what a design means for the register. Nothing is recorded.

    lines: of the register as it is; along: how far along its wall (m) an anchor stands, by part, row and number.
    """
    every = [
        replace(one, design=replace(one.design, station=along.get((one.part, one.row, one.number))))
        if not one.trial
        else one
        for plan in plans(design, rules)
        for one in planned_anchors(plan, design.project.service, rules)
    ]
    there = {line.anchor: line for line in lines}
    kept = tuple(name for name, line in there.items() if is_down_rated(line.design))
    changed = [
        one for one in every
        if one.anchor in there and one.anchor not in kept
        and replace(one.design, project="") != replace(there[one.anchor].design, project="")
    ]  # fmt: skip
    names = {one.anchor for one in every}
    gone = [name for name, line in there.items() if name not in names and not line.replaces]
    new = [one for one in every if one.anchor not in there]
    return Registering(tuple(new), len(there), tuple(changed), kept, tuple(gone))


def put_in(
    found: Registering, records: Records, *, by: str, on: datetime | None, reason: str = ""
) -> int:
    """Put new anchors into the register, all or none; return how many changed designs were recorded.

    reason: why designs changed; without one they stay as they are on record.
    """
    facts = [
        DesignChanged(anchor=one.anchor, design=one.design, reason=reason)
        for one in found.changed
        if reason
    ]
    if found.new or facts:
        with records.together(by=by) as together:
            for one in found.new:
                together.add(one, on=on)
            for fact in facts:
                together.add(fact, on=on)
    return len(facts)
