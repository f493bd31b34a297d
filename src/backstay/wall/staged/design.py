"""The staged analysis of a section: three runs over the range of the ground, judged and compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from backstay.anchors import AnchorDesign
from backstay.basis import Basis
from backstay.checks import Check, Verdict
from backstay.ground import Profile
from backstay.model.project import Section, Service
from backstay.trace import Step, heading, remark, state, trace
from backstay.wall.demand import StagedActions
from backstay.wall.result import WallDesign
from backstay.wall.staged.analysis import analyse
from backstay.wall.staged.checks import (
    accident_checks,
    anchor_checks,
    deflection_check,
    overstress_checks,
    stands_check,
    toe_check,
)
from backstay.wall.staged.comparison import (
    Carry,
    Compared,
    compared,
    greatest,
    greatest_deflection,
    greatest_load,
    greatest_moment,
    greatest_shear,
)
from backstay.wall.staged.inputs import staged_input, with_stiffness
from backstay.wall.staged.result import StagedResult
from backstay.wall.staged.stiffness import HIGH_FACTOR, LOW_FACTOR

DEEPER = 1.1
"""Factor on the embedment of an automatic toe from one trial to the next."""


@dataclass(frozen=True, slots=True, eq=False)
class StagedDesign:
    """The wall through every stage of the dig.

    soft, mean, stiff: the analysis over the honest range of the subgrade modulus; comparison: with the
    design envelope.
    """

    soft: StagedResult
    mean: StagedResult
    stiff: StagedResult
    carry: Carry
    comparison: tuple[Compared, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]

    @property
    def results(self) -> tuple[StagedResult, StagedResult, StagedResult]:
        """Return the three analyses, soft to stiff."""
        return self.soft, self.mean, self.stiff

    def pulls(
        self, anchors: Sequence[AnchorDesign], before: tuple[float, ...]
    ) -> tuple[float, ...]:
        """Return the load of one anchor of each row that the stages ask for (kN); `before` if no more.

        The greatest in mean ground, where the engineer does not carry the envelope alone.
        """
        if self.carry == "envelope":
            return before
        now = before or (0.0,) * len(anchors)
        found = tuple(
            load if (load := greatest_load(self.mean, anchor.row) or 0.0)
            > anchor.design_load * (1 + 1e-9) else was
            for anchor, was in zip(anchors, now, strict=True)
        )  # fmt: skip
        return before if found == now else found

    def asks(self, section: Section, wall: WallDesign, before: StagedActions) -> StagedActions:
        """Return what the stages ask of the wall beyond `before`; equal to it where that is nothing.

        Moment and shear as the engineer has chosen to carry them; of an automatic toe, a tenth more
        embedment where the ground in front is called upon too far, or the wall does not stand.
        """
        moment, shear = before.moment, before.shear
        most = greatest(greatest_moment(r) for r in self.results)
        push = greatest(greatest_shear(r) for r in self.results)
        if most is not None and push is not None and self.carry != "envelope":
            exceeds = most > wall.design_moment * (1 + 1e-9) or push > wall.design_shear * (
                1 + 1e-9
            )
            if exceeds or self.carry == "staged":
                moment, shear = most, push
        embedment = before.embedment
        below = ("wall.staged-toe", "wall.staged-equilibrium")
        if section.wall.toe == "auto" and any(
            c.id in below and c.verdict is Verdict.FAIL for c in self.checks
        ):
            embedment = DEEPER * wall.embedment
        return StagedActions(moment, shear, self.carry == "staged", embedment)


def design_staged(
    section: Section,
    ground: Profile,
    anchors: tuple[AnchorDesign, ...],
    wall: WallDesign,
    service: Service,
    basis: Basis,
) -> StagedDesign:
    """Carry the wall of one section through its stages and judge it.

    Raises DesignError where an input of the analysis is missing, with the reason. A wall that does not
    stand is a result: a failing check with stage, mechanism, depth and the nearest remedy.
    """
    with trace() as t:
        heading("Model of the staged analysis")
        mean_input = staged_input(section, ground, anchors, wall, service=service)
    soft = analyse(with_stiffness(mean_input, LOW_FACTOR), mesh_error="left out")
    mean = analyse(mean_input)
    stiff = analyse(with_stiffness(mean_input, HIGH_FACTOR), mesh_error="left out")
    results = (soft, mean, stiff)
    carry = section.carry
    comparison = _comparison(anchors, wall, results, carry)
    with trace() as found:
        _numbers(mean)
    steps = (*t.steps, *found.steps)
    checks = [
        stands_check(results, steps),
        toe_check(mean, basis, ()),
        *anchor_checks(results, anchors, ()),
        *overstress_checks(mean, anchors, basis, ()),
        *accident_checks(mean, anchors, ()),
        deflection_check(results, section.targets.wall_movement, ()),
    ]
    return StagedDesign(
        soft, mean, stiff, carry, comparison, tuple(c for c in checks if c is not None), steps
    )


def _comparison(
    anchors: Sequence[AnchorDesign],
    wall: WallDesign,
    results: Sequence[StagedResult],
    carry: Carry,
) -> tuple[Compared, ...]:
    per = "" if wall.kind == "soldier piles" else " per length"
    spacing = wall.spacing
    found = [
        compared(
            "Load of the anchor", f"row {anchor.row}", "force", anchor.required_load,
            [greatest_load(r, anchor.row) for r in results], carry,
        )
        for anchor in anchors
    ]  # fmt: skip
    moment = spacing * max(wall.closed_form.greatest_moment, wall.continuous.greatest_moment)
    shear = spacing * max(wall.closed_form.greatest_shear, wall.continuous.greatest_shear)
    found += [
        compared("Moment", "", f"moment{per}", max(moment, wall.cantilever.moment),
                 [greatest_moment(r) for r in results], carry),
        compared("Shear", "", f"force{per}", max(shear, wall.cantilever.shear),
                 [greatest_shear(r) for r in results], carry),
        compared("Deflection of the cantilever stage", "", "small length", wall.cantilever.deflection,
                 [_first_deflection(r) for r in results], carry),
        compared("Greatest deflection", "", "small length", 0.0,
                 [greatest_deflection(r) for r in results], "staged"),
    ]  # fmt: skip
    return tuple(found)


def _first_deflection(result: StagedResult) -> float | None:
    """Return the deflection of the top when the first dig is done (m)."""
    first = result.stages[0] if result.stages else None
    return float(first.w[0]) if first is not None and first.status == "stands" else None


def _numbers(result: StagedResult) -> None:
    """Record how the analysis was made and how well it closed."""
    heading("Credibility of the analysis, mean ground")
    state(
        "n",
        "Nodes of the wall",
        float(len(result.input.z)),
        "count",
        method="cubic elements between them",
    )
    state("r", "Greatest unbalanced force of any stage over the sum of all forces",
          max((s.residual for s in result.stages), default=0.0), "ratio",
          method=f"Newton's method with line search, {result.solves} banded solutions")  # fmt: skip
    state("b", "Greatest error of force or moment balance of any stage over the load",
          max((max(abs(s.force_balance), abs(s.moment_balance)) for s in result.stages), default=0.0),
          "ratio", method="shear and moment left at the toe")  # fmt: skip
    if result.mesh_error is not None:
        state("e", "Change of moment and deflection with every element halved", result.mesh_error,
              "percent", method="the analysis repeated on the finer mesh")  # fmt: skip
    remark(
        "Pressures start at rest, move along the subgrade modulus between active and passive limits that "
        "follow from the effective stresses of the stage, and keep plastic movement in memory."
    )
