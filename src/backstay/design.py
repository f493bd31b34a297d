"""The order of the work: from a project to its design.

`design(project)` carries each design section through ground, pressures, anchor loads, anchors,
wall, base, movement, schedule and quantities, in that order, each from the ones before, and each
slope through strength, force, anchors and slips. The result is plain frozen data. Nothing here reads a file, prints, or knows a unit system.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from backstay.anchors import (
    AnchorDesign,
    CriticalSurface,
    RowLoads,
    Schedule,
    critical_surface,
    design_anchors,
    row_loads,
)
from backstay.anchors.load_tests import US_COUNTS, TestCounts, counts_of
from backstay.anchors.schedule import schedule
from backstay.basis import Basis, basis
from backstay.checks import Check, Verdict, worst_first
from backstay.errors import DesignError
from backstay.ground import Profile, profile
from backstay.model.project import Project, Section, Service
from backstay.movement import MovementDesign, design_movement
from backstay.pressure import DesignPressures, StressPoint, design_pressures, stress_points
from backstay.quantities import Quantities, quantities
from backstay.stability import BaseDesign, DeepSlidingDesign, design_base, design_deep_sliding
from backstay.stability.overall import OverallDesign, design_overall, every_form
from backstay.wall import WallDesign, design_wall
from backstay.wall.demand import StagedActions
from backstay.wall.staged.design import StagedDesign, design_staged

if TYPE_CHECKING:  # a wall needs nothing of slopes, and they take a while to load
    from backstay.stability.slope_design import SlopeDesign

SlipSurfaces = Literal["search", "leave out"]
"""Whether slip surfaces are searched; the search takes longer than all the rest."""


@dataclass(frozen=True, slots=True)
class SectionDesign:
    """Everything computed for one design section; overall is None where it was left out."""

    section: Section
    ground: Profile
    stresses: tuple[StressPoint, ...]
    pressures: DesignPressures
    surface: CriticalSurface
    loads: RowLoads
    anchors: tuple[AnchorDesign, ...]
    wall: WallDesign
    staged: StagedDesign
    deep_sliding: DeepSlidingDesign
    overall: OverallDesign | None
    base: BaseDesign
    movement: MovementDesign
    schedule: Schedule
    quantities: Quantities

    @property
    def title(self) -> str:
        """Return how the section is called."""
        return f"section {self.section.name}"

    @property
    def checks(self) -> tuple[Check, ...]:
        """Return every check of the section, in the order of the work."""
        return (
            *self.pressures.checks,
            *(check for anchor in self.anchors for check in anchor.checks),
            *self.wall.checks,
            *self.staged.checks,
            *self.deep_sliding.checks,
            *(self.overall.checks if self.overall else ()),
            *self.base.checks,
            *self.movement.checks,
        )


Part: TypeAlias = "SectionDesign | SlopeDesign"
"""What is designed by itself: a section of wall, or a slope. Both have a title and checks."""


@dataclass(frozen=True, slots=True)
class Design:
    """The design of a project: its basis, its sections of walls and its slopes."""

    project: Project
    basis: Basis
    sections: tuple[SectionDesign, ...]
    slopes: tuple[SlopeDesign, ...] = ()

    @property
    def parts(self) -> tuple[Part, ...]:
        """Return the sections of walls, then the slopes."""
        return (*self.sections, *self.slopes)

    @property
    def checks(self) -> list[tuple[Part, Check]]:
        """Return every check with the section or slope that it is of, worst first."""
        pairs = [(part, check) for part in self.parts for check in part.checks]
        owner = {id(check): part for part, check in pairs}
        return [(owner[id(check)], check) for check in worst_first(c for _, c in pairs)]

    @property
    def verdict(self) -> Verdict:
        """Return FAIL if any check fails, else SHOW if any is left open, else PASS."""
        verdicts = {check.verdict for _, check in self.checks}
        for worst in (Verdict.FAIL, Verdict.SHOW):
            if worst in verdicts:
                return worst
        return Verdict.PASS


def design(project: Project, *, slip_surfaces: SlipSurfaces = "search") -> Design:
    """Design a project; raise DesignError with the name of the section or slope where that cannot be done.

    slip_surfaces: "leave out" designs without overall stability, and slopes without smaller slips, as
    an editor does between edits.
    """
    rules, service = basis(project.basis), project.service
    counts = counts_of(project.tests)
    search = every_form if slip_surfaces == "search" else None
    done, slopes = [], []
    for section in project.sections:
        with _named(f"section {section.name}"):
            done.append(design_section(section, service, rules, slip_surfaces, counts))
    for slope in project.slopes:
        from backstay.stability.slope_design import design_slope

        with _named(f"slope {slope.name}"):
            slopes.append(design_slope(slope, service, rules, search=search, counts=counts))
    return Design(project, rules, tuple(done), tuple(slopes))


@contextmanager
def _named(part: str) -> Iterator[None]:
    """Put the name of a section or slope before where a design fails."""
    try:
        yield
    except DesignError as error:
        where = f"{part}, {error.where}" if error.where else part
        raise DesignError(error.reason, where) from error


def design_section(
    section: Section,
    service: Service,
    rules: Basis,
    slip_surfaces: SlipSurfaces = "search",
    counts: TestCounts = US_COUNTS,
) -> SectionDesign:
    """Design one section; counts: how many of its anchors have which load test."""
    ground = profile(section)
    pressures = design_pressures(section, ground, service, rules)
    surface = critical_surface(section, ground)
    depths = [section.depth(row.elevation) for row in section.anchors]
    loads = row_loads(depths, ground.H, pressures.design)
    anchors = design_anchors(section, ground, surface, loads, service, rules)
    anchors, wall, staged = _through_stages(
        section, ground, pressures, surface, loads, anchors, service, rules
    )
    deep = design_deep_sliding(section, ground, anchors, wall, service, rules)
    overall = None
    if slip_surfaces == "search":
        overall = design_overall(section, ground, anchors, wall, service, rules)
    base = design_base(section, ground, wall, service, rules)
    movement = design_movement(section, ground, wall, service, rules)
    return SectionDesign(
        section=section,
        ground=ground,
        stresses=stress_points(ground, toe=wall.toe),
        pressures=pressures,
        surface=surface,
        loads=loads,
        anchors=anchors,
        wall=wall,
        staged=staged,
        deep_sliding=deep,
        overall=overall,
        base=base,
        movement=movement,
        schedule=schedule(section, anchors, rules, counts, longer=_longer(deep, overall)),
        quantities=quantities(section, ground, anchors, wall, counts),
    )


def _longer(deep: DeepSlidingDesign, overall: OverallDesign | None) -> dict[int, float]:
    """Return by row the length (m) that it lacks for ground that stays, by either way it may slide."""
    asked: dict[int, float] = {}
    for found in (deep.lengthened, overall.lengthened if overall else None):
        for row, added in (found.added if found else {}).items():
            asked[row] = max(added, asked.get(row, 0.0))
    return asked


ROUNDS = 12
"""Greatest number of times the wall is designed again for what the stages ask of it."""


def _through_stages(
    section: Section,
    ground: Profile,
    pressures: DesignPressures,
    surface: CriticalSurface,
    loads: RowLoads,
    anchors: tuple[AnchorDesign, ...],
    service: Service,
    rules: Basis,
) -> tuple[tuple[AnchorDesign, ...], WallDesign, StagedDesign]:
    """Design the wall for the envelope, carry it through the stages, and for what they ask beyond it.

    Other anchors, another pile or toe answer differently at every stage, so these are repeated until the
    stages ask for nothing more; what is still short after that is a failing check.
    """
    wall = design_wall(section, ground, pressures, loads, anchors, service, rules)
    asked = StagedActions(0.0, 0.0)
    pulls: tuple[float, ...] = ()
    staged = design_staged(section, ground, anchors, wall, service, rules)
    for _ in range(ROUNDS):
        more, pulled = staged.asks(section, wall, asked), staged.pulls(anchors, pulls)
        settled = more == asked or more == StagedActions(0.0, 0.0, alone=more.alone)
        if settled and pulled == pulls:
            break
        asked = asked if settled else more
        before = (wall.section_name, wall.toe, pulls)
        if pulled != pulls:
            pulls = pulled
            anchors = design_anchors(section, ground, surface, loads, service, rules, staged=pulls)
        wall = design_wall(section, ground, pressures, loads, anchors, service, rules, staged=asked)
        if (wall.section_name, wall.toe, pulls) == before:
            break  # the same wall answers the same way
        staged = design_staged(section, ground, anchors, wall, service, rules)
    return anchors, wall, staged
