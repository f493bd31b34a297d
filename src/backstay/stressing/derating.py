"""An anchor that failed its test: what it may carry, and what that does to the wall around it.

The anchor is down-rated. What it lacks goes to the anchors beside it and to the rows above and
below, each held against the load that its own test has proved. The wall is analysed through its
stages and designed again, as it stands, by two bounds (`backstay.stressing.derating_wall`); the
one that is safe for this wall decides. What the engineer may do about it is said: leave it so,
replace the anchor, add one, or dig no deeper until one of these is done.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from backstay.checks import Check
from backstay.design import Design, SectionDesign
from backstay.errors import DesignError
from backstay.stability.slope_design import SlopeDesign
from backstay.stressing.derating_checks import (
    DigLimit,
    Line,
    RatedAnchor,
    carried_checks,
    dig_limit,
    failing,
    lines,
    neighbour_check,
    only_row_check,
)
from backstay.stressing.derating_slope import slope_checks, slope_lines
from backstay.stressing.derating_wall import Bound, Carried, carried, governing_bound
from backstay.stressing.down_rating import DownRated, Rating, down_rated
from backstay.stressing.plan import PlannedAnchor, plan_slope_tests, plan_tests
from backstay.stressing.rules import TestRules
from backstay.wall.staged.comparison import greatest, greatest_load

__all__ = ["Derating", "DigLimit", "DownRated", "Line", "RatedAnchor", "derate"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Derating:
    """One anchor down-rated, and what follows.

    beside: the anchors next to it in its row; others: those of the other rows at the same place;
    governing: the bound that decides; bounds: of a wall, the safe one first, none of a slope; lines:
    before and after; checks: that decide; other_checks: of the other bound, to be seen beside; was:
    identifiers of checks that fail in the design already; dig: how deep may be dug meanwhile, None of a
    slope; advice: in words, with placeholders.
    """

    anchor: str
    row: int
    rated: DownRated
    beside: tuple[RatedAnchor, ...]
    others: tuple[RatedAnchor, ...]
    governing: Bound | None
    bounds: tuple[Carried, ...]
    lines: tuple[Line, ...]
    checks: tuple[Check, ...]
    other_checks: tuple[Check, ...]
    was: frozenset[str]
    dig: DigLimit | None
    advice: tuple[str, ...]

    @property
    def failing(self) -> tuple[Check, ...]:
        """Return the checks that fail and decide."""
        return failing(self.checks)

    @property
    def new_failures(self) -> tuple[Check, ...]:
        """Return those of them that did not fail in the design."""
        return tuple(c for c in self.failing if c.id not in self.was)

    @property
    def carries(self) -> bool:
        """Say whether the wall carries on with the anchor down-rated."""
        return not self.failing


def derate(
    design: Design,
    name: str,
    held: float | None,
    rules: TestRules,
    *,
    proven: Mapping[str, float] | None = None,
    rate: Rating = "rule",
) -> Derating:
    """Return what follows from an anchor that failed its test.

    name: of the anchor, as the plan of tests calls it; held: greatest load (kN) at which nothing
    failed, None where none; proven: load held by each anchor in its test (kN), by name: those that
    are not there are still to be tested; rate: by the rule of the practice, or by the load proved.
    Raises DesignError for an anchor that the design does not have.
    """
    part, mine, anchors = _find(design, name, rules)
    a = mine.design
    held_by = dict(proven or {})
    wanted = _wanted(part, a.row)
    rated = down_rated(
        held, wanted=wanted, design_load=a.design_load, test_factor=a.test_load / a.design_load,
        rules=rules, rate=rate,
    )  # fmt: skip
    beside = tuple(
        _rated(part, one, held_by) for one in anchors
        if one.identity.row == a.row and abs(one.identity.number - mine.identity.number) == 1
    )  # fmt: skip
    others = {one.identity.row: _rated(part, one, held_by) for one in _at(mine, anchors)}
    sideways = tuple(neighbour_check(n, rated.lacking, only=len(beside) == 1) for n in beside)
    count = len(beside)
    if isinstance(part, SlopeDesign):
        checks = slope_checks(part, a.row, rated, count)
        return Derating(
            anchor=name, row=a.row, rated=rated, beside=beside, others=tuple(others.values()),
            governing=None, bounds=(), lines=slope_lines(part, a.row, rated, count), checks=checks,
            other_checks=sideways, was=_was(part), dig=None,
            advice=_advice(part, rated, failing(checks), None),
        )  # fmt: skip
    first = governing_bound(part.section, a)
    order: tuple[Bound, Bound] = ("alone", "shared") if first == "alone" else ("shared", "alone")
    found = tuple(carried(part, design.project, a.row, rated, bound, count) for bound in order)
    each = [carried_checks(part, design.basis, one, rated, a.row, others, beside) for one in found]
    alone = only_row_check(part, rated, name)
    decide, beyond = [*each[0], *([alone] if alone else [])], list(each[1])
    (beyond if first == "alone" else decide).extend(sideways)
    dig = dig_limit(part, found[0], a.row, others)
    return Derating(
        anchor=name, row=a.row, rated=rated, beside=beside, others=tuple(others.values()),
        governing=first, bounds=found,
        lines=tuple(line for one in found for line in lines(part, one, a.row, others)),
        checks=tuple(decide), other_checks=tuple(beyond), was=_was(part), dig=dig,
        advice=_advice(part, rated, failing(tuple(decide)), dig),
    )  # fmt: skip


def _find(
    design: Design, name: str, rules: TestRules
) -> tuple[SectionDesign | SlopeDesign, PlannedAnchor, tuple[PlannedAnchor, ...]]:
    """Return the part, the anchor, and all anchors of the part that carry the wall."""
    for part in design.parts:
        if isinstance(part, SectionDesign):
            plan = plan_tests(part.section, part.anchors, rules)
        else:
            plan = plan_slope_tests(part.slope, [row.anchor for row in part.rows], rules)
        anchors = tuple(one for one in plan.anchors if not one.identity.trial)
        for one in anchors:
            if one.identity.name == name:
                return part, one, anchors
    raise DesignError("the design has no such anchor", f"anchor {name}")


def _wanted(part: SectionDesign | SlopeDesign, row: int) -> float:
    """Return the load that the wall wants of an anchor of a row: by statics, and by its stages."""
    if isinstance(part, SlopeDesign):
        return part.rows[row - 1].anchor.required_load
    anchor = part.anchors[row - 1]
    found = [anchor.required_load]
    if part.staged.carry != "envelope":
        found.append(greatest_load(part.staged.mean, row) or 0.0)
    return greatest(found) or anchor.required_load


def _at(mine: PlannedAnchor, anchors: tuple[PlannedAnchor, ...]) -> list[PlannedAnchor]:
    """Return the anchor of each other row at the same pile, or nearest along the wall."""
    place = mine.identity.number - 0.5
    rows: dict[int, list[PlannedAnchor]] = {}
    for one in anchors:
        if one.identity.row != mine.identity.row:
            rows.setdefault(one.identity.row, []).append(one)
    return [
        min(
            row,
            key=lambda one: (
                abs((one.identity.number - 0.5) * one.design.spacing - place * mine.design.spacing)
                if one.identity.pile is None or mine.identity.pile is None
                else abs(one.identity.pile - mine.identity.pile)
            ),
        )
        for row in rows.values()
    ]


def _rated(
    part: SectionDesign | SlopeDesign, one: PlannedAnchor, held_by: Mapping[str, float]
) -> RatedAnchor:
    a, name = one.design, one.identity.name
    held = held_by.get(name)
    factor = a.test_load / a.design_load
    return RatedAnchor(
        name=name, row=a.row, held=held, rated=a.design_load if held is None else held / factor,
        wanted=_wanted(part, a.row),
    )  # fmt: skip


def _was(part: SectionDesign | SlopeDesign) -> frozenset[str]:
    return frozenset(c.id for c in failing(part.checks))


def _advice(
    part: SectionDesign | SlopeDesign,
    rated: DownRated,
    failed: tuple[Check, ...],
    dig: DigLimit | None,
) -> tuple[str, ...]:
    """Return what the engineer may do, in words."""
    if rated.load > 0.0:
        said = [
            f"lock the anchor off at {{force:{rated.lock_off:.6g}}} at most, and count on "
            f"{{force:{rated.load:.6g}}}"
        ]
    else:
        said = ["let the anchor down, and count on nothing of it"]
    fresh = [c for c in failed if c.id not in _was(part)]
    if not failed:
        said.append(
            "the rest carries what it lacks: record the down-rating, and watch its neighbours"
        )
        return tuple(said)
    if not fresh:
        said.append(
            "what fails now fails in the design already: settle that first, then judge this again"
        )
    said += [
        f"or replace it: a new anchor for {{force:{rated.wanted:.6g}}}, clear of the old bond, tested "
        "as the first one was",
        f"or add one beside it for {{force:{rated.lacking:.6g}}} or more, with its own head and waler",
    ]
    if dig is not None and not dig.full and isinstance(part, SectionDesign):
        level = part.section.elevation(dig.depth)
        said.append(
            f"until then dig no deeper than elevation {{length:{level:.6g}}}: before "
            f'"{dig.stage}" {dig.why}'
        )
    elif dig is not None:
        said.append(
            "until then dig no deeper than now: the stages in mean ground would stand, the finished "
            "wall would fail the checks that are listed"
        )
    return tuple(said)
