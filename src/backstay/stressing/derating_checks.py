"""Checks of a wall with one anchor down-rated, the lines before and after, and how far it may be dug."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf

from backstay.basis import Basis
from backstay.checks import Check, Verdict
from backstay.cite import STATICS, Citation, common_practice
from backstay.design import SectionDesign
from backstay.quantity import QUANTITIES, Force
from backstay.stressing.derating_wall import WORDS, Carried, moment_limit, strength_checks
from backstay.stressing.down_rating import DownRated
from backstay.trace import Step, formula, state, trace
from backstay.wall.staged.checks import deflection_check, stands_check, toe_check
from backstay.wall.staged.comparison import (
    greatest,
    greatest_deflection,
    greatest_load,
    greatest_moment,
    greatest_shear,
)

_FORCE = QUANTITIES["force"]
_RATED = common_practice("an anchor carries in service the load held in its test over the factor")
_HALF = Citation("statics", "two neighbours take half each of what an anchor lacks", "formula")
_END = Citation("statics", "the one neighbour of the last anchor takes what it lacks", "formula")


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line before and after, in internal units of `quantity`; None: the wall does not stand.

    limit: what it may be, None where nothing limits it.
    """

    what: str
    where: str
    quantity: str
    before: float | None
    after: float | None
    limit: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RatedAnchor:
    """An anchor beside, above or below, with the load that it may carry (kN).

    held: in its test, None where it has not been tested; rated: held over the test-load factor,
    or its design load where its test is still to come.
    """

    name: str
    row: int
    held: float | None
    rated: float
    wanted: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DigLimit:
    """How deep may be dug with the anchor down-rated: depth below the top of wall (m), and why.

    full: whether the dig may go to its end; stage: the first that may not be, in words.
    """

    depth: float
    full: bool
    stage: str
    why: str


@formula("P_n", STATICS)
def neighbour_load(P_w: Force, Delta_P: Force) -> Force:
    """Load of either neighbour that takes half of what an anchor lacks.

    P_w: load that the wall wants of it already; Delta_P: load that is lacking
    """
    return P_w + Delta_P / 2


@formula("P_n", STATICS)
def only_neighbour_load(P_w: Force, Delta_P: Force) -> Force:
    """Load of the only neighbour, which takes all of what an anchor lacks.

    P_w: load that the wall wants of it already; Delta_P: load that is lacking
    """
    return P_w + Delta_P


def neighbour_check(neighbour: RatedAnchor, lacking: float, *, only: bool) -> Check:
    """Return whether an anchor beside carries what it would have to, if nothing went elsewhere."""
    with trace() as t:
        load = (only_neighbour_load if only else neighbour_load)(neighbour.wanted, lacking)
    return _load_check(
        "derating.neighbour-load", "Load of the anchor beside, by statics", load, neighbour,
        _END if only else _HALF, t.steps, "all of it goes along the wall and none to other rows",
    )  # fmt: skip


def _load_check(
    id: str,
    name: str,
    load: float,
    anchor: RatedAnchor,
    clause: Citation,
    steps: tuple[Step, ...],
    note: str,
) -> Check:
    said = (
        "not tested yet: its design load, which its test has to prove"
        if anchor.held is None
        else f"held {{force:{anchor.held:.9g}}} in its test"
    )
    more = load > anchor.rated * (1 + 1e-9)
    remedy = ""
    if more and anchor.held is None:
        remedy = f"design it for {{force:{load:.6g}}} before it is made"
    elif more:
        remedy = (
            f"it would carry {{force:{load:.6g}}} and its test has proved "
            f"{{force:{anchor.rated:.6g}}}: replace the anchor that failed, or add one"
        )
    return Check(id, name, load, anchor.rated, _FORCE, clause, where=anchor.name, steps=steps,
                 remedy=remedy, note=f"{note}; {said}")  # fmt: skip


def only_row_check(part: SectionDesign, rated: DownRated, name: str) -> Check | None:
    """Return whether statics leave another row to carry what the anchor lacks, None where they do.

    Not asked where the engineer has chosen that the staged analysis stands for the envelope.
    """
    if len(part.anchors) > 1 or part.staged.carry == "staged":
        return None
    return Check(
        "derating.only-row", "Load that no other row carries, by statics", rated.lacking, 0.0, _FORCE,
        STATICS, where=name, steps=rated.steps,
        remedy="the wall has no other row: replace the anchor or add one; the ground in front is not "
        "counted on for it" if rated.lacking > 0.0 else "",
    )  # fmt: skip


def carried_checks(
    part: SectionDesign,
    basis: Basis,
    found: Carried,
    rated: DownRated,
    row: int,
    others: Mapping[int, RatedAnchor],
    beside: tuple[RatedAnchor, ...],
) -> tuple[Check, ...]:
    """Return every check of the wall by one bound.

    others: the anchor of each other row at the same place; beside: those of the same row.
    """
    words = WORDS[found.bound]
    with trace() as t:
        state("P_r", "Load counted on in the down-rated anchor", rated.load, "force",
              method="at most", cite=rated.clause)  # fmt: skip
    checks: list[Check | None] = [
        stands_check(found.results, t.steps),
        toe_check(found.mean, basis, t.steps),
        deflection_check(found.results, part.section.targets.wall_movement, t.steps),
    ]
    for other_row, anchor in others.items():
        load = found.load(other_row)
        if load is not None and other_row != row:
            checks.append(
                _load_check(
                    "derating.row-load", "Load of the anchor above or below", load, anchor, _RATED,
                    t.steps, "the larger of the staged analysis, mean ground, and statics",
                )
            )  # fmt: skip
    if found.neighbour is not None:
        checks += [
            _load_check(
                "derating.neighbour-staged", "Load of the anchor beside, staged analysis",
                found.neighbour, anchor, _RATED, t.steps, "the anchors beside and the weak one carry "
                "their spacings together",
            )
            for anchor in beside
        ]  # fmt: skip
    checks += strength_checks(found.wall)
    return tuple(
        replace(c, where=f"{c.where}, {words}" if c.where else words)
        for c in checks
        if c is not None
    )


def lines(
    part: SectionDesign, found: Carried, row: int, others: Mapping[int, RatedAnchor]
) -> tuple[Line, ...]:
    """Return loads, moment, shear and deflections before and after, by one bound."""
    words, staged, wall = WORDS[found.bound], part.staged, part.wall
    per = "" if wall.kind == "soldier piles" else " per length"
    made = [
        Line(
            what="Load of the anchor", where=f"row {a.row}, {words}", quantity="force",
            before=greatest([a.required_load, greatest_load(staged.mean, a.row)]),
            after=found.load(a.row),
            limit=others[a.row].rated if a.row in others and a.row != row else None,
        )
        for a in part.anchors
    ]  # fmt: skip
    before = [greatest(m(r) for r in staged.results) for m in (greatest_moment, greatest_shear)]
    moment, shear = (
        greatest([first, now])
        for first, now in zip((wall.design_moment, wall.design_shear), before, strict=True)
    )
    limit = moment_limit(wall)
    made += [
        Line(
            what="Moment", where=words, quantity=f"moment{per}", before=moment, after=found.moment,
            limit=None if limit == inf else limit,
        ),
        Line(what="Shear", where=words, quantity=f"force{per}", before=shear, after=found.shear),
        Line(
            what="Greatest deflection", where=words, quantity="small length",
            before=greatest_deflection(staged.mean), after=greatest_deflection(found.mean),
            limit=part.section.targets.wall_movement,
        ),
    ]  # fmt: skip
    return tuple(made)


def dig_limit(
    part: SectionDesign, found: Carried, row: int, others: Mapping[int, RatedAnchor]
) -> DigLimit:
    """Return how deep may be dug before the anchor is made good, by the stages in mean ground.

    A stage may be reached if the wall stands in it, in soft, mean and stiff ground, no anchor is
    loaded beyond what it is rated for, and the moment is within the wall's.
    """
    most, depth = moment_limit(part.wall), 0.0
    standing = min(sum(s.status == "stands" for s in r.stages) for r in found.results)
    accidents = {accident.stage for accident in found.mean.accidents}
    for stage in found.mean.stages:
        why = ""
        if stage.number > standing:
            why = "the wall does not stand"
        elif stage.number not in accidents:
            why = _too_much(stage.anchor_loads, row, others)
            moment = float(abs(stage.M).max())
            if not why and moment > most * (1 + 1e-9):
                unit = "moment" if part.wall.kind == "soldier piles" else "moment per length"
                why = f"the moment would be {{{unit}:{moment:.6g}}}, and the wall has {{{unit}:{most:.6g}}}"
        if why:
            return DigLimit(depth=depth, full=False, stage=stage.title, why=why)
        depth = max(depth, stage.dig)
    return DigLimit(depth=depth, full=True, stage="", why="")


def _too_much(loads: tuple[float, ...], row: int, others: Mapping[int, RatedAnchor]) -> str:
    for other, anchor in others.items():
        load = loads[other - 1]
        if other != row and load > anchor.rated * (1 + 1e-9):
            return f"anchor {anchor.name} would carry {{force:{load:.6g}}}, rated {{force:{anchor.rated:.6g}}}"
    return ""


def failing(checks: tuple[Check, ...]) -> tuple[Check, ...]:
    """Return the checks that fail."""
    return tuple(c for c in checks if c.verdict is Verdict.FAIL)
