"""The toe of the wall below subgrade, and whether the ground in front holds its reaction.

For single piles the resistance at each depth is the least of a passive wedge, ground flowing
around the pile, and the passive pressure of a continuous wall over the full spacing; and,
separately, the passive pressure on three pile widths under the same cap. Both sums are computed
and shown, the smaller is carried. A continuous wall has its passive pressure per metre.

Single piles: active pressure (on the pile width, from the full height of retained ground) and
net water pressure below subgrade are taken off the resistance; what is left, over the reaction
at subgrade, is the factor of safety. Continuous walls: active pressure acts on the whole wall
and is as large as the reaction, so the factor stands on the passive pressure itself, as is usual
for sheet piles. Moments about the lowest anchor are checked in the same way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil, inf

from backstay.basis import Basis
from backstay.checks import Check, Sense, safety_check
from backstay.cite import common_practice
from backstay.ground import Profile
from backstay.model.project import Section
from backstay.quantity import QUANTITIES
from backstay.trace import Step, heading, remark, state, trace, untraced
from backstay.wall.limits import (
    ONE_METRE,
    STEP,
    Condition,
    conditions,
    first_at_least,
    known_to,
    levels,
    seeps,
    uniform_surcharge,
    unknown_strength,
)
from backstay.wall.resistance import (
    Mechanism,
    active_on,
    front,
    local_pressures,
    net_water_on,
)
from backstay.wall.toe_case import ToeCase, record_ordinates
from backstay.wall.toe_safety import (
    kick_out_safety,
    net_resistance,
    passive_kick_out_safety,
    passive_safety,
    toe_demand,
    toe_safety,
)

LEAST_EMBEDMENT = 1.5
"""Least embedment below subgrade (m), common practice."""
LEAST_EMBEDMENT_RULE = common_practice("least embedment below subgrade, 1.5 m (5 ft)")
ROUNDING = 0.1
"""An automatic embedment is rounded up to this (m)."""
BEARS_BACK = (
    "the pressure acts above the row, so that the foot bears back against the retained ground and "
    "the top leans toward the cut: the envelopes were measured on walls held nearer their top; raise the row, "
    "or add one above it"
)
DEEPEST = 3.0
"""The search for an embedment ends at this many heights of cut, or at 20 m if that is more."""


@dataclass(frozen=True, slots=True)
class ToeDesign:
    """The toe. Forces in kN per pile (per metre for a continuous wall), depths in m.

    embedment_required: below subgrade, inf where no embedment suffices: the largest of by_force,
    by_moment (about the lowest anchor) and the least rule; embedment: provided, or chosen; resistance: passive less active and net water over `embedment`; demand: reaction at
    subgrade; safety: resistance over demand; moment_safety: about the lowest anchor;
    mechanism: the carried sum; resistances: passive sum of every mechanism that was computed;
    condition: that governs.
    """

    embedment_required: float
    by_force: float
    by_moment: float
    embedment: float
    resistance: float
    demand: float
    safety: float
    moment_safety: float
    mechanism: Mechanism
    resistances: tuple[tuple[Mechanism, float], ...]
    condition: Condition
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class _Need:
    """The embedment that one condition needs, and how well the search met it."""

    case: ToeCase
    by_force: float
    by_moment: float
    residual: float
    halvings: int

    @property
    def depth(self) -> float:
        """Return the larger of both."""
        return max(self.by_force, self.by_moment)


def design_toe(
    section: Section,
    ground: Profile,
    *,
    reaction: float,
    pile_width: float,
    spacing: float,
    toe: float | None,
    basis: Basis,
    isolated: bool = True,
    lowest_anchor: float | None = None,
) -> ToeDesign:
    """Design or check the toe of a wall.

    reaction: at subgrade, kN per metre of wall; pile_width: width that bears on the ground
    (flange of a driven pile, hole of a drilled one), m; spacing: of piles, m; toe: depth of the
    toe below the top of wall, or None to choose it; isolated: single piles (else a continuous
    wall: give pile_width = spacing = 1); lowest_anchor: depth, by default of the lowest row.

    Where no embedment suffices the result says so by a failing check. Raises DesignError where a
    stratum below subgrade states no strength.
    """
    H = ground.H
    pivot = (
        max(section.depth(row.elevation) for row in section.anchors)
        if lowest_anchor is None
        else lowest_anchor
    )
    wanted = section.targets.toe_safety or basis.toe_lateral_safety.value
    T = reaction * spacing
    provided = 0.0 if toe is None else toe - H

    deepest, unknown = known_to(ground, H, H + max(DEEPEST * H, 20.0, provided))
    if unknown and (deepest <= H + 1e-9 or provided > deepest - H + 1e-9):
        raise unknown_strength(unknown, "toe")

    def needed(flow_toe: float) -> list[_Need]:
        found: list[_Need] = []
        for reach in (min(deepest - H, max(0.5 * H, 4.0, provided)), deepest - H):
            cases = _cases(section, ground, pile_width, spacing, isolated, H + reach, flow_toe)
            found = [_need(case, wanted, T, H, pivot, reach) for case in cases]
            if all(need.depth < inf for need in found):
                break
        return found

    with untraced():
        needs = needed(H + (provided or 0.5 * H))
        if seeps(ground):
            needs = _with_seepage(needed, needs, H)
        required = max(LEAST_EMBEDMENT, *(need.depth for need in needs))
        if required == inf and unknown:
            raise unknown_strength(unknown, "toe")
        if toe is not None:
            embedment = provided
        elif required < inf:
            embedment = ceil(required / ROUNDING - 1e-6) * ROUNDING
        else:
            embedment = deepest - H
        if seeps(ground):
            cases = _cases(
                section, ground, pile_width, spacing, isolated, H + embedment, H + embedment
            )
            needs = [replace(n, case=c) for n, c in zip(needs, cases, strict=False)]
        need = min(needs, key=lambda n: n.case.spare(H + embedment, T, wanted))
    return _result(
        need, needs, basis, wanted,
        reaction=reaction, width=pile_width, spacing=spacing, pivot=pivot, H=H,
        embedment=embedment, required=required, chosen=toe is None,
    )  # fmt: skip


def _cases(
    section: Section,
    ground: Profile,
    width: float,
    spacing: float,
    isolated: bool,
    deepest: float,
    flow_toe: float,
) -> list[ToeCase]:
    found = []
    points = levels(
        ground,
        ground.H,
        deepest,
        dug_to=ground.H,
        surcharge=uniform_surcharge(section),
        toe=flow_toe,
    )
    local = local_pressures(section, ground, points)
    for condition in conditions(ground, ground.H, deepest):
        found.append(
            ToeCase(
                condition,
                ground.slope,
                points,
                front(points, condition, width=width, spacing=spacing, isolated=isolated),
                active_on(points, condition, width, ground.slope, local),
                net_water_on(points, condition, width),
            )
        )
    return found


def _with_seepage(
    needed: Callable[[float], list[_Need]], needs: list[_Need], H: float
) -> list[_Need]:
    """Search again with the water seeping around the embedment found, until that stands."""
    for _ in range(30):
        depth = max(need.depth for need in needs)
        if depth == inf:
            return needs
        needs = needed(H + depth)
        if abs(max(need.depth for need in needs) - depth) < 1e-3:
            break
    return needs


def _need(case: ToeCase, wanted: float, T: float, H: float, pivot: float, reach: float) -> _Need:
    by_force, residual, halvings = first_at_least(
        lambda D: case.spare(H + D, T, wanted), 0.0, 0.0, reach, 0.25
    )
    by_moment, _, _ = first_at_least(
        lambda D: case.spare_moment(H + D, T, wanted, pivot, H), 0.0, 0.0, reach, 0.25
    )
    return _Need(case, by_force, by_moment, residual, halvings)


def _result(
    need: _Need,
    needs: list[_Need],
    basis: Basis,
    wanted: float,
    *,
    reaction: float,
    width: float,
    spacing: float,
    pivot: float,
    H: float,
    embedment: float,
    required: float,
    chosen: bool,
) -> ToeDesign:
    case, z = need.case, H + embedment
    mechanism = case.least(z)[0]
    with trace() as t:
        heading("Toe below subgrade")
        if not case.isolated:
            remark(ONE_METRE)
        for tried in needs:
            if len(needs) > 1:
                remark(
                    f"{tried.case.condition.capitalize()} strength below subgrade needs an "
                    f"embedment of {{length:{tried.depth:.4f}}}."
                )
        remark(f"Carried below: {case.condition} strength, {mechanism}.")
        T = toe_demand(reaction, spacing)
        D = state("D", "Embedment below subgrade", embedment, "length", method=_how(need, chosen))
        state("b", "Width that bears on the ground", width, "length",
              method="of the hole where it is filled with concrete, else of the flange; 1 m of a continuous wall")  # fmt: skip
        record_ordinates(case, z, width, mechanism)
        sums = {}
        for name, front_sums in case.fronts:
            sums[name] = state(
                "P_p", f"Passive resistance, {name}", front_sums.to(z)[0], "force",
                method="area of its ordinates over the embedment, straight between depths "
                f"{{length:{STEP:g}}} apart at most",
            )  # fmt: skip
        if len(sums) > 1:
            remark(f"The smaller sum is carried: {mechanism}.")
        P_a = state(
            "P_a", "Active force below subgrade", case.active.to(z)[0], "force",
            method="on the width that bears, from the full height of retained ground and surcharges",
        )  # fmt: skip
        P_w = state(
            "P_w", "Net water force below subgrade", case.water.to(z)[0], "force",
            method="on the width that bears: pore pressure behind less that in front",
        )  # fmt: skip
        R_net = net_resistance(sums[mechanism], P_a, P_w)
        if case.isolated:
            FS = toe_safety(R_net, T) if T > 0.0 else inf
            other = sums[mechanism] / max(T + P_a + P_w, 1e-9)
            remark(
                "With the factor on the passive resistance instead (active and water added to "
                f"the reaction) the ratio is {other:.2f}."
            )
        else:
            FS = passive_safety(sums[mechanism], P_a, P_w, T) if T + P_a + P_w > 0.0 else inf
    with trace() as m:
        heading("Moments about the lowest anchor")
        a = state("a", "Depth of subgrade below the lowest anchor", H - pivot, "length",
                  method=f"{{length:{H:.4f}}} less {{length:{pivot:.4f}}}")  # fmt: skip
        toe_demand(reaction, spacing)
        by, moment = case.least_moment(z, pivot)
        M_p = state(
            "M_p", f"Moment of the passive resistance, {by}", moment,
            "moment", method="first moment of the same area about the lowest anchor",
        )  # fmt: skip
        M_a = state(
            "M_a",
            "Moment of the active force",
            case.active.about(z, pivot),
            "moment",
            method="first moment of the active pressure below subgrade about the lowest anchor",
        )
        M_w = state("M_w", "Moment of net water", case.water.about(z, pivot), "moment",
                    method="first moment of the net water pressure about the lowest anchor")  # fmt: skip
        if T * a <= 0.0:
            FS_M = inf
        elif case.isolated:
            FS_M = kick_out_safety(M_p, M_a, M_w, T, a)
        else:
            FS_M = passive_kick_out_safety(M_p, M_a, M_w, T, a)
    remedy = _remedy(embedment, required)
    checks = (
        safety_check(
            "wall.toe-lateral", "lateral resistance of the toe", FS, wanted,
            basis.toe_lateral_safety.cite, steps=t.steps, remedy=remedy,
            note=BEARS_BACK if T < 0.0 else "",
        ),
        safety_check(
            "wall.toe-kick-out", "moments about the lowest anchor (kick-out of the toe)", FS_M,
            wanted, basis.toe_lateral_safety.cite, steps=m.steps, remedy=remedy,
        ),
        Check(
            "wall.embedment", "embedment below subgrade", embedment, required,
            QUANTITIES["length"], LEAST_EMBEDMENT_RULE if required == LEAST_EMBEDMENT
            else basis.toe_lateral_safety.cite, Sense.AT_LEAST, steps=t.steps, remedy=remedy,
        ),
    )  # fmt: skip
    return ToeDesign(
        required, max(n.by_force for n in needs), max(n.by_moment for n in needs), D, R_net, T, FS, FS_M, mechanism, tuple(sums.items()), case.condition,
        checks, t.steps + m.steps,
    )  # fmt: skip


def _how(need: _Need, chosen: bool) -> str:
    if need.by_force == inf:
        return "no embedment within the depth searched gives the factor of safety"
    found = (
        f"least embedment by force {{length:{need.by_force:.4f}}} by bisection, "
        f"{need.halvings} halvings, residual {{force:{need.residual:.3g}}}; "
        f"by moments {{length:{need.by_moment:.4f}}}"
    )
    if chosen:
        return f"chosen, rounded up to {{length:{ROUNDING}}}: {found}"
    return f"given; {found}"


def _remedy(embedment: float, required: float) -> str:
    if required == inf:
        return (
            "no embedment within reach holds the toe: lower the lowest anchor, add a row, close "
            "the spacing, or widen the pile"
        )
    if embedment >= required - 1e-9:
        return ""
    return (
        f"embedment {{length:{embedment:.4f}}}, needs {{length:{required:.4f}}}; "
        "or lower the lowest anchor, close the spacing, or widen the pile"
    )
