"""Overall stability of an anchored wall: slip surfaces below the cut, at each stage and finally.

Each dig of the sequence is searched with the anchors that are stressed by then, the last with all
of them, undrained and drained where the ground has both, and shaken where the section says so.
Where the safety is short, the least lengths by row that reach the target are found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import inf
from typing import TYPE_CHECKING, Literal

from backstay.anchors import AnchorDesign
from backstay.basis import Basis
from backstay.checks import Check, safety_check
from backstay.cores import over_cores
from backstay.ground import Profile
from backstay.model.project import Section, Service
from backstay.model.sequence import construction_stages
from backstay.pressure.lateral import acts_undrained
from backstay.pressure.slices import Strength
from backstay.stability.least_surface import METHOD_NAMES, state_minimum
from backstay.stability.lengthening import Lengthened
from backstay.stability.longer_anchors import Search, Searched, least_added
from backstay.stability.slip.from_section import Force, StageOfWork, slip_model
from backstay.stability.slip.model import Convention, ShearForce, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.pile_shear import wall_shear
from backstay.stability.slip.search_result import SearchResult
from backstay.trace import Step, heading, remark, trace

if TYPE_CHECKING:
    from backstay.wall import WallDesign

Stages = Literal["all", "final"]


def every_form(model: SlipModel, options: SearchOptions) -> SearchResult:
    """Search surfaces of every form."""
    from backstay.stability.slip.search import search  # compiled kernels: loaded when called

    return search(model, options=options)


BESIDE = 1e-3
"""Surfaces come out in front of the wall by this share of the height at least."""
REACH = 3.0
"""Greatest length added, as a multiple of the height of the cut."""


@dataclass(frozen=True, slots=True, eq=False)
class StageSafety:
    """One stage: its model, the search as it was asked for, and the least safety.

    safety: infinite where nothing slides.
    """

    stage: StageOfWork
    model: SlipModel
    options: SearchOptions
    found: SearchResult
    safety: float


@dataclass(frozen=True, slots=True, eq=False)
class OverallDesign:
    """Overall stability: every stage, and the lengths that reach the target where it is short."""

    target: float
    stages: tuple[StageSafety, ...]
    lengthened: Lengthened | None
    notes: tuple[str, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def stages_of_work(section: Section, ground: Profile, stages: Stages = "all") -> list[StageOfWork]:
    """Return the stages that are searched: after each dig, and the last with every strength."""
    layers = ground.layers
    first: Strength = "undrained" if any(la.su is not None for la in layers) else "drained"
    found: list[StageOfWork] = []
    stressed: list[int] = []
    deepest = 0.0
    for stage in construction_stages(section):
        if stage.stress_row is not None:
            stressed.append(stage.stress_row)
        if stage.dig_to is not None and stage.dig_to > deepest:
            deepest = stage.dig_to
            found.append(
                StageOfWork(
                    title=f"stage {stage.number}", dug_to=deepest, rows=tuple(stressed),
                    strength=first,
                )
            )  # fmt: skip
    last = StageOfWork(
        title="final", dug_to=max(deepest, ground.H), rows=tuple(stressed), strength=first
    )
    if stages == "final" or (found and found[-1].dug_to >= ground.H - 1e-9):
        found = [] if stages == "final" else found[:-1]
    finals = [last]
    drained = all(la.phi is not None or not acts_undrained(la, "drained") for la in layers)
    if first == "undrained" and drained:
        finals[0] = replace(last, title="final, undrained")
        finals.append(replace(last, title="final, drained", strength="drained"))
    if section.earthquake is not None:
        finals.append(replace(finals[0], title="final, earthquake", earthquake=True))
    return [*found, *finals]


def design_overall(
    section: Section,
    ground: Profile,
    anchors: tuple[AnchorDesign, ...],
    wall: WallDesign,
    service: Service,  # noqa: ARG001 - the common face of the checks of a section
    basis: Basis,
    *,
    search: Search = every_form,
    stages: Stages = "all",
    force: Force = "design load",
    convention: Convention = "active",
    options: SearchOptions | None = None,
) -> OverallDesign:
    """Check every stage against slip surfaces below the cut.

    search: how the least safe surfaces of a model are found; force, convention: of the anchors.
    """
    given = options or SearchOptions()
    target = section.targets.overall_safety or basis.overall_safety.value
    site = _Site(section, ground, anchors, wall, force, convention)
    plans: list[_Plan] = []
    shear: list[tuple[Step, ...]] = []
    for stage in stages_of_work(section, ground, stages):
        with trace() as t:
            plans.append((stage, site.piles(stage)))
        shear.append(t.steps)
    done = _searched(site, plans, search, given)
    short = any(s.safety < target for s in done)
    more = site.longer(plans, done, target, search) if short else None
    checks = [
        _check(s, target, basis, more, anchors, steps, force)
        for s, steps in zip(done, shear, strict=True)
    ]
    return OverallDesign(
        target, tuple(done), more, _notes(done), tuple(checks),
        tuple(step for c in checks for step in c.steps),
    )  # fmt: skip


_Plan = tuple[StageOfWork, tuple[ShearForce, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class _Site:
    """One wall, and how its anchors count."""

    section: Section
    ground: Profile
    anchors: tuple[AnchorDesign, ...]
    wall: WallDesign
    force: Force
    convention: Convention

    def piles(self, stage: StageOfWork) -> tuple[ShearForce, ...]:
        """Return the shear of the wall at a stage."""
        return wall_shear(
            self.section.wall, self.wall, self.ground, dug_to=stage.dug_to, strength=stage.strength
        )

    def model(
        self, stage: StageOfWork, piles: tuple[ShearForce, ...], added: dict[int, float]
    ) -> SlipModel:
        """Return the model of a stage with longer anchors."""
        return slip_model(
            self.section, self.ground, self.anchors, stage, force=self.force,
            convention=self.convention, piles=piles, added=added,
        )  # fmt: skip

    def longer(
        self, plans: Sequence[_Plan], done: Sequence[StageSafety], target: float, search: Search
    ) -> Lengthened | None:
        """Return the least lengths by row that reach the target, or None where none within reach does."""
        cases = [
            Searched(partial(self.model, stage, piles), target, one.options, one.found)
            for (stage, piles), one in zip(plans, done, strict=True)
        ]
        rows = [a.row for a in self.anchors]
        found = least_added(cases, rows, search, most=REACH * self.ground.H)
        return None if found is None else replace(found, safety=found.safety * target)


def _searched(
    site: _Site, plans: Sequence[_Plan], search: Search, options: SearchOptions
) -> list[StageSafety]:
    """Search every stage, side by side: what numpy does for one leaves a core to the kernel of another."""
    found: dict[int, StageSafety] = {}

    def some(first: int, end: int) -> None:
        for i in range(first, end):
            stage, piles = plans[i]
            found[i] = _search(site, stage, piles, {}, search, options)

    over_cores(len(plans), 1, some)
    return [found[i] for i in range(len(plans))]


def _search(
    site: _Site, stage: StageOfWork, piles: tuple[ShearForce, ...], added: dict[int, float],
    search: Search, options: SearchOptions,
) -> StageSafety:  # fmt: skip
    model = site.model(stage, piles, added)
    limited = options
    if options.exits is None:  # the face itself is held by the wall
        limited = replace(options, exits=(float(model.surface[0, 0]), -BESIDE * site.ground.H))
    elif not options.beneath:
        limited = replace(options, beneath=((0.0, -stage.dug_to),))
    found = search(model, limited)
    least = found.critical
    return StageSafety(stage, model, limited, found, inf if least is None else least.F)


def _check(
    done: StageSafety, target: float, basis: Basis, more: Lengthened | None,
    anchors: Sequence[AnchorDesign], shear: tuple[Step, ...], force: Force,
) -> Check:  # fmt: skip
    stage, found = done.stage, done.found
    least = found.critical
    with trace() as t:
        heading(f"Slip surfaces, {stage.title}")
        remark(
            f"Dug to {{length:{stage.dug_to:.6g}}} below the top of wall; {stage.strength} "
            f"strength; {_acting(len(stage.rows), force)}."
        )
        if least is None:
            remark("No slip surface that counts was found.")
        else:
            state_minimum(least, found)
    reached = target <= done.safety
    remedy = ""
    if not reached:
        remedy = (
            "lengthening the anchors does not reach the target: lower or more rows, a deeper wall"
        )
        if more is not None:
            parts = ", ".join(
                f"row {a.row} by {{length:{more.added.get(a.row, 0.0):.6g}}} "
                f"to {{length:{a.unbonded_length + more.added.get(a.row, 0.0):.6g}}}"
                for a in anchors
                if more.added.get(a.row, 0.0) > 0.0
            )
            remedy = f"lengthen the unbonded part of {parts}, or the bond by as much"
    return safety_check(
        "stability.overall", "overall stability, slip surfaces", done.safety, target,
        basis.overall_safety.cite, where=stage.title, steps=(*shear, *t.steps), remedy=remedy,
        note="" if least is None else f"{least.kind}, {METHOD_NAMES[least.result.method]}; "
        f"{found.analysed} surfaces",
    )  # fmt: skip


def _acting(rows: int, force: Force) -> str:
    """Say how many rows act, and with what."""
    if rows == 0:
        return "no anchors act"
    if rows == 1:
        return f"1 row of anchors acts with its {force}"
    return f"{rows} rows of anchors act with their {force}"


def _notes(done: Sequence[StageSafety]) -> tuple[str, ...]:
    notes = []
    for s in done:
        least = s.found.critical
        if least is not None and least.at_edge:
            notes.append(
                f"{s.stage.title}: the least safe surface lies at a limit of the search; a less "
                "safe one may lie beyond."
            )
    return tuple(notes)
