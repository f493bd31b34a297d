"""What acts on the wall: the views of moment and shear, gathered for one pile (or one metre)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isclose
from typing import Literal

from backstay.anchors.loads import RowLoads
from backstay.cite import STATICS
from backstay.pressure.diagram import Diagram
from backstay.trace import Step, heading, remark, state, trace
from backstay.wall.actions import (
    THREE_MOMENTS,
    Actions,
    cantilever_moment,
    continuous_actions,
    hinge_actions,
    interior_span_moment,
)
from backstay.wall.pile import MomentView, PileDemand, pile_moment, pile_shear


@dataclass(frozen=True, slots=True)
class StagedActions:
    """What the staged analysis asks of the wall: kNm and kN per pile or metre, m.

    alone: the engineer has chosen that its moment and shear replace those of the envelope;
    embedment: least embedment that an automatic toe is given for the stages.
    """

    moment: float
    shear: float
    alone: bool = False
    embedment: float = 0.0


@dataclass(frozen=True, slots=True)
class WallActions:
    """Moments and shears of the finished wall per metre, by every view (kNm/m, kN/m)."""

    closed_form: Actions
    continuous: Actions
    interior: float
    span: float
    steps: tuple[Step, ...]
    staged: StagedActions | None = None

    @property
    def shear(self) -> float:
        """Return the greatest shear of both methods (kN/m)."""
        return max(self.closed_form.greatest_shear, self.continuous.greatest_shear)


def wall_actions(envelope: Diagram, design: Diagram, loads: RowLoads, H: float) -> WallActions:
    """Return moments and shears by the closed form and as a continuous beam.

    envelope: apparent earth pressure alone; design: with water, surcharges and earthquake.
    """
    depths = [row.z for row in loads.rows]
    hinges = [*(row.hinge for row in loads.rows), loads.reaction_hinge]
    closed = hinge_actions(design, depths, hinges, H)
    continuous = continuous_actions(design, depths, H)
    interior = 0.0
    with trace() as t:
        heading("Moments and shears per length of wall")
        remark(
            "Closed form: hinges at every row but the first, so that statics give shear and moment. "
            "In both methods a support at subgrade stands for the ground below it."
        )
        _first_row(envelope, depths[0], closed)
        state("M_1", "greatest moment, closed form", closed.greatest_moment, "moment per length",
              method=f"at {{length:{closed.depth_of_greatest_moment:.4f}}} below the top of wall; "
              f"moment left at subgrade {{moment per length:{closed.residual:.2g}}}", cite=STATICS)  # fmt: skip
        for above, below in pairwise(depths):
            p = state(
                "p",
                "greatest pressure on the span",
                _greatest(design, above, below),
                "stress",
                method=f"ordinate of the design diagram between {{length:{above:.4f}}} and "
                f"{{length:{below:.4f}}}",
            )
            L = state("L", "distance between rows", below - above, "length",
                      method=f"{{length:{below:.4f}}} less {{length:{above:.4f}}}")  # fmt: skip
            interior = max(interior, interior_span_moment(p, L))
        state("M_1", "greatest moment, continuous beam", continuous.greatest_moment, "moment per length",
              method=f"at {{length:{continuous.depth_of_greatest_moment:.4f}}} below the top of wall; "
              f"moment left at subgrade {{moment per length:{continuous.residual:.2g}}}",
              cite=THREE_MOMENTS)  # fmt: skip
        state("V_1", "greatest shear, closed form", closed.greatest_shear, "force per length",
              method="beside a row: reactions above it less the area of the design diagram above it",
              cite=STATICS)  # fmt: skip
        state("V_1", "greatest shear, continuous beam", continuous.greatest_shear, "force per length",
              method="beside a row, from the reactions of the continuous beam", cite=THREE_MOMENTS)  # fmt: skip
    supports = (0.0, *depths, H)
    span = max(b - a for a, b in pairwise(supports))
    return WallActions(closed, continuous, interior, span, t.steps)


def _with_staged(
    staged: StagedActions, views: list[MomentView], V: float, per: str
) -> tuple[list[MomentView], float]:
    """Return the views and the shear with those of the staged analysis, or those alone if chosen."""
    state("M", "greatest moment of the staged analysis", staged.moment, f"moment{per}",
          method="over all stages, in soft to stiff ground")  # fmt: skip
    state("V", "greatest shear of the staged analysis", staged.shear, f"force{per}",
          method="over all stages, in soft to stiff ground")  # fmt: skip
    view = MomentView("the staged analysis", staged.moment)
    if staged.alone:
        remark(
            "The engineer has chosen that the staged analysis is carried in place of the envelope."
        )
        return [view], staged.shear
    return [*views, view], max(V, staged.shear)


def _first_row(envelope: Diagram, H_1: float, closed: Actions) -> None:
    """Record the moment at the first row; where only the envelope acts, by its published form."""
    found = -closed.moment_at(H_1)
    p = max(envelope.p)
    if isclose(found, cantilever_moment.function(H_1, p), rel_tol=1e-6):
        cantilever_moment(H_1, p)
    else:
        state("M_cant", "moment at the first row", found, "moment per length",
              method="moment of the design pressure above the row", cite=STATICS)  # fmt: skip


def _greatest(diagram: Diagram, a: float, b: float) -> float:
    return max(diagram.clipped(a, b).p, default=0.0)


def pile_demand(
    actions: WallActions,
    *,
    spacing: float,
    H: float,
    anchor_vertical: float,
    facing_weight: float,
    cantilever: tuple[float, float],
    of: Literal["pile", "wall"] = "pile",
) -> PileDemand:
    """Return what acts on one pile, or on one metre of wall (whose spacing is 1).

    anchor_vertical: kN per metre of wall; facing_weight: kPa of wall face; cantilever: moment
    (kNm) and shear (kN) of a pile or metre before the first row is stressed.
    """
    stage_moment, stage_shear = cantilever
    found = {
        "the closed form": actions.closed_form.greatest_moment,
        "the continuous beam": actions.continuous.greatest_moment,
    }
    if actions.interior:
        found["0.1 p L²"] = actions.interior
    per = "" if of == "pile" else " per length"
    with trace() as t:
        if of == "pile":
            heading("Moment and shear in one pile")
            views = [MomentView(title, pile_moment(M_1, spacing)) for title, M_1 in found.items()]
            V = pile_shear(actions.shear, spacing)
        else:
            heading("Design moment and shear per length of wall")
            views = [MomentView(title, M_1) for title, M_1 in found.items()]
            V = actions.shear
        state("M", "cantilever stage, before the first row is stressed", stage_moment, f"moment{per}",
              method="from its own derivation")  # fmt: skip
        views.append(MomentView("the cantilever stage", stage_moment, "cantilever"))
        state("V", "shear, cantilever stage", stage_shear, f"force{per}",
              method="from its own derivation")  # fmt: skip
        V = max(V, stage_shear)
        if actions.staged is not None and actions.staged.moment > 0.0:
            views, V = _with_staged(actions.staged, views, V, per)
        governing = max(views, key=lambda view: view.value)
        state("M_max", "design moment", governing.value, f"moment{per}",
              method=f"the greatest of those above, that of {governing.title}")  # fmt: skip
        state("V_max", "design shear", V, f"force{per}", method="the greatest of those above")
    depths: Sequence[float] = actions.closed_form.supports[:-1]
    rows = tuple(
        spacing * max(abs(actions.closed_form.moment_at(z)), abs(actions.continuous.moment_at(z)))
        for z in depths
    )
    return PileDemand(
        tuple(views), V, rows, anchor_vertical, facing_weight * spacing, actions.span, spacing, H,
        (*actions.steps, *t.steps),
    )  # fmt: skip
