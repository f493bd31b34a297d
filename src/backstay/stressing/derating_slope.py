"""A slope with one anchor down-rated: its safety with the force that three spacings then have."""

from __future__ import annotations

from dataclasses import replace

from backstay.checks import Check, safety_check
from backstay.cite import common_practice
from backstay.quantity import Count, Force
from backstay.stability.slope import safety
from backstay.stability.slope_anchors import as_forces
from backstay.stability.slope_design import SlopeCase, SlopeDesign
from backstay.stressing.derating_checks import Line
from backstay.stressing.down_rating import DownRated
from backstay.trace import Step, formula, state, trace, untraced

_SPREAD = common_practice("ground spreads what an anchor lacks over the spacings beside it")


@formula("P_m", _SPREAD)
def mean_load(n: Count, P_d: Force, P_r: Force) -> Force:
    """Mean load of an anchor and its neighbours.

    n: neighbours in the row; P_d: design load of either; P_r: load that the down-rated anchor may
    be given
    """
    return (n * P_d + P_r) / (n + 1)


def slope_checks(part: SlopeDesign, row: int, rated: DownRated, count: int) -> tuple[Check, ...]:
    """Return the checks of the known surface, in each case, with an anchor of a row down-rated.

    count: of its neighbours in the row.
    """
    with trace() as t:
        mean = mean_load(count, part.rows[row - 1].anchor.design_load, rated.load)
    return tuple(_check(part, case, row, mean, t.steps) for case in part.cases)


def slope_lines(part: SlopeDesign, row: int, rated: DownRated, count: int) -> tuple[Line, ...]:
    """Return the safety of the known surface before and after, in each case."""
    with untraced():
        mean = mean_load(count, part.rows[row - 1].anchor.design_load, rated.load)
    return tuple(
        Line(
            what="Safety on the known surface", where=case.title or "at rest", quantity="ratio",
            before=case.tied.F, after=_safety(part, case, row, mean), limit=case.target,
        )
        for case in part.cases
    )  # fmt: skip


def _safety(part: SlopeDesign, case: SlopeCase, row: int, mean: float) -> float:
    rows = tuple(
        replace(r, anchor=replace(r.anchor, design_load=mean)) if r.row == row else r
        for r in part.rows
    )
    model = replace(case.model, anchors=as_forces(part.slope, rows))
    with untraced():
        return safety(model, part.surface, part.slope.method).F


def _check(
    part: SlopeDesign, case: SlopeCase, row: int, mean: float, steps: tuple[Step, ...]
) -> Check:
    found = _safety(part, case, row, mean)
    with trace() as t:
        state("F_0", "Safety with the anchors as designed", case.tied.F, "ratio",
              method=case.tied.method.title())  # fmt: skip
        state("F", "Safety with the anchor down-rated", found, "ratio",
              method=f"row {row} with the mean load of the anchor and its neighbours")  # fmt: skip
    return safety_check(
        "derating.slope-safety", "anchored slope on the known surface, an anchor down-rated", found,
        case.target, _SPREAD, where=case.title or "at rest", steps=(*steps, *t.steps),
        remedy="replace the anchor, or add one" if found < case.target * (1 - 1e-9) else "",
    )  # fmt: skip
