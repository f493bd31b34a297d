"""Loads of the rows of anchors and the reaction at subgrade, from any pressure diagram.

Two methods, both recorded. Tributary area: each row takes the pressure from mid-span to mid-span;
the first row takes all above it; below the last row the lower half of the bottom span goes to
the reaction at subgrade. Hinge method: the wall has a hinge at every row below the first, so that
every span is statically determinate; subgrade is the lowest support. With one row the wall on
that row and on subgrade is determinate already, and moments about subgrade give the one answer.

Every row, and the subgrade, is designed for the larger of the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isclose

from backstay.anchors import envelope_loads as published
from backstay.anchors.spans import hinge_reactions, tributary_reactions
from backstay.cite import GEC4, Citation
from backstay.errors import DesignError
from backstay.pressure.diagram import Diagram
from backstay.pressure.rows import refuse_bad_rows
from backstay.quantity import ForcePerLength
from backstay.trace import Step, formula, heading, remark, state, trace

METHODS = Citation(GEC4, "section 5.3, tributary area and hinge methods", "memory")


@dataclass(frozen=True, slots=True)
class RowLoad:
    """The horizontal load of one row (kN per m of wall).

    row: from 1, top down; z: depth (m); tributary, hinge: by either method; horizontal: the
    larger, which is carried into the design.
    """

    row: int
    z: float
    tributary: float
    hinge: float
    horizontal: float


@dataclass(frozen=True, slots=True)
class RowLoads:
    """The loads of all rows and the reaction at subgrade (kN per m of wall), by both methods."""

    rows: tuple[RowLoad, ...]
    reaction_tributary: float
    reaction_hinge: float
    reaction: float
    steps: tuple[Step, ...]


@formula("T_h", METHODS)
def carried(T_tributary: ForcePerLength, T_hinge: ForcePerLength) -> ForcePerLength:
    """Horizontal load carried into the design: the larger of the two methods.

    T_tributary: by tributary area
    T_hinge: by the hinge method
    """
    return max(T_tributary, T_hinge)


def row_loads(depths: Sequence[float], H: float, diagram: Diagram) -> RowLoads:
    """Return the horizontal load of each row and the reaction at subgrade (kN per m of wall).

    depths: of the rows, from the top down (m); H: depth of subgrade (m); diagram: design pressure
    toward the cut (kPa); what lies below H is left to the toe.

    Raise DesignError for rows out of 0 < z < H or out of order, and for a row without load.
    """
    refuse_bad_rows(depths, H)
    pressure = diagram.clipped(0.0, H)
    supports = [*depths, H]
    with trace() as t:
        area = state(
            "P_total", "Design pressure from the top of wall to subgrade", pressure.resultant(),
            "force per length", method="area of the design diagram",
        )  # fmt: skip
        heading("Hinge method")
        hinge = hinge_reactions(supports, pressure, top=0.0, bottom=H)
        if len(depths) == 1:
            remark(
                "With one row the wall is determinate; moments about subgrade give both methods."
            )
            tributary = hinge
        else:
            heading("Tributary area method")
            tributary = tributary_reactions(supports, pressure, top=0.0, bottom=H)
        if published.is_pure_envelope(depths, H, pressure):
            _compare_with_published(depths, H, pressure, tributary, hinge)
        heading("Loads carried into the design")
        rows = tuple(
            _row(i, z, tributary[i - 1], hinge[i - 1]) for i, z in enumerate(depths, start=1)
        )
        remark("Reaction at subgrade:")
        reaction = carried(tributary[-1], hinge[-1])
        if reaction < 0.0:
            remark(
                "It acts toward the cut: the pressure acts above the row, and the foot bears back"
                " against the retained ground. Raise the row, or add one above it."
            )
        for name, loads in (("tributary area", tributary), ("hinge", hinge)):
            if not isclose(sum(loads), area, rel_tol=1e-9, abs_tol=1e-9):
                raise DesignError(f"the loads of the {name} method do not add up to the pressure")
    return RowLoads(rows, tributary[-1], hinge[-1], reaction, t.steps)


def _row(row: int, z: float, tributary: float, hinge: float) -> RowLoad:
    remark(f"Row {row}:")
    horizontal = carried(tributary, hinge)
    if horizontal <= 0.0:
        raise DesignError(
            "the design pressure gives this row no load toward the cut; move or omit it",
            f"row {row}",
        )
    return RowLoad(row, z, tributary, hinge, horizontal)


def _compare_with_published(
    depths: Sequence[float],
    H: float,
    diagram: Diagram,
    tributary: Sequence[float],
    hinge: Sequence[float],
) -> None:
    """Record the published closed forms; raise DesignError unless they give the same loads."""
    p = max(diagram.p)
    heading("The same by the published closed forms of the envelope")
    pairs = [(hinge, published.hinge_loads(p, depths, H))]
    if len(depths) > 1:
        pairs.append((tributary, published.tributary_loads(p, depths, H)))
    worst = 0.0
    for integrated, closed in pairs:
        for a, b in zip(integrated, closed, strict=True):
            worst = max(worst, abs(a - b) / (p * H))
    if worst > 1e-9:
        raise DesignError(f"closed forms and integration of the envelope differ by {worst:.3g} pH")
    remark(f"They agree with the integrated diagram to {worst:.1g} of p H.")
