"""The order of the work on the wall.

Moments and shears; the pile (given, or the lightest) with its lagging; the wall below subgrade
(lateral and vertical load, cantilever stage); the strength of the pile; the anchor head.
"""

from __future__ import annotations

from dataclasses import replace

from backstay.anchors import AnchorDesign, RowLoads
from backstay.basis import Basis, Factor
from backstay.ground import Profile
from backstay.model.project import Section, Service
from backstay.model.wall import ContinuousWall, SoldierPiles
from backstay.pressure import DesignPressures
from backstay.wall.continuous import design_continuous_wall
from backstay.wall.demand import StagedActions, WallActions, wall_actions
from backstay.wall.foot import FootLoads, local_surcharges
from backstay.wall.head import HeadConnection, Support, design_head
from backstay.wall.member import Member
from backstay.wall.result import WallDesign
from backstay.wall.rolled import METRIC_STEP, plate_step, steel_title
from backstay.wall.soldier import SoldierPileDesign, design_soldier_piles

EVERY_PILE = 1.5
"""Anchors further apart than this many pile spacings leave piles that a waler must hold."""


def design_wall(
    section: Section,
    ground: Profile,
    pressures: DesignPressures,
    loads: RowLoads,
    anchors: tuple[AnchorDesign, ...],
    service: Service,
    basis: Basis,
    *,
    staged: StagedActions | None = None,
) -> WallDesign:
    """Design or check the wall of one section.

    staged: moments and shears of the staged analysis, to be carried as well or instead.

    Raises DesignError where a part of it cannot be computed, with the reason.
    """
    actions = replace(
        wall_actions(pressures.envelope.diagram, pressures.design, loads, ground.H), staged=staged
    )
    carried = FootLoads(
        loads.reaction,
        sum(anchor.vertical for anchor in anchors),
        0.0,
        local_surcharges(section, pressures.surcharges),
        staged.embedment if staged else 0.0,
    )
    bending = basis.steel_bending if service.life == "temporary" else basis.steel_bending_permanent
    wall = section.wall
    if isinstance(wall, ContinuousWall):
        return _continuous(section, wall, ground, actions, carried, anchors, basis, bending)
    hole = max(anchor.hole_diameter for anchor in anchors)
    piles = design_soldier_piles(
        section, wall, ground, pressures, actions, carried, hole, service, basis, bending
    )
    return _soldier_piles(wall, ground, actions, piles, anchors, basis)


def _soldier_piles(
    wall: SoldierPiles,
    ground: Profile,
    actions: WallActions,
    piles: SoldierPileDesign,
    anchors: tuple[AnchorDesign, ...],
    basis: Basis,
) -> WallDesign:
    member, foot, demand = piles.pile.member, piles.foot, piles.demand
    head = _pile_head(wall, member, piles, anchors, basis)
    checks = (*piles.pile.checks, *foot.checks, *piles.lagging.checks, *head.checks)
    return WallDesign(
        kind="soldier piles",
        section_name=member.name,
        arrangement=wall.arrangement,
        spacing=wall.spacing,
        steel_title=steel_title(wall.steel),
        fy=piles.material.F_y,
        closed_form=actions.closed_form,
        continuous=actions.continuous,
        design_moment=demand.moment,
        design_shear=demand.shear,
        axial=piles.pile.axial,
        embedment=foot.embedment,
        toe=ground.H + foot.embedment,
        embedment_required=foot.required,
        toe_width=foot.width,
        hole_diameter=piles.hole,
        lagging=piles.lagging,
        cantilever=foot.cantilever,
        head=head,
        checks=checks,
        steps=(*piles.pile.steps, *foot.toe.steps, *foot.vertical.steps, *foot.cantilever.steps,
               *foot.steps, *head.steps),
    )  # fmt: skip


def _pile_head(
    wall: SoldierPiles,
    member: Member,
    piles: SoldierPileDesign,
    anchors: tuple[AnchorDesign, ...],
    basis: Basis,
) -> HeadConnection:
    support: Support = "waler" if wall.anchor_opening == "bracket" else wall.anchor_opening
    if any(anchor.spacing > EVERY_PILE * wall.spacing for anchor in anchors):
        support = "waler"
    clear = None
    if support == "between pair":
        clear = member.clear
    elif support == "cut through":
        clear = wall.opening_width or max(anchor.hole_diameter for anchor in anchors)
    return design_head(
        anchors, support=support, member=member, F_y=piles.material.F_y,
        pile_shear=piles.demand.shear, pile_spacing=wall.spacing, basis=basis,
        bending=piles.material.bending, step=plate_step(member), clear=clear,
    )  # fmt: skip


def _continuous(
    section: Section,
    wall: ContinuousWall,
    ground: Profile,
    actions: WallActions,
    carried: FootLoads,
    anchors: tuple[AnchorDesign, ...],
    basis: Basis,
    bending: Factor,
) -> WallDesign:
    done = design_continuous_wall(section, wall, ground, actions, carried, basis)
    foot, demand = done.foot, done.demand
    head = design_head(
        anchors, support="waler", member=None, F_y=0.0, pile_shear=0.0, pile_spacing=None,
        bending=bending, basis=basis, step=METRIC_STEP,
    )  # fmt: skip
    return WallDesign(
        kind="continuous",
        section_name=wall.name,
        arrangement="continuous",
        spacing=1.0,
        steel_title="",
        fy=0.0,
        closed_form=actions.closed_form,
        continuous=actions.continuous,
        design_moment=demand.moment,
        design_shear=demand.shear,
        axial=done.axial,
        embedment=foot.embedment,
        toe=ground.H + foot.embedment,
        embedment_required=foot.required,
        toe_width=foot.width,
        hole_diameter=None,
        lagging=None,
        cantilever=foot.cantilever,
        head=head,
        checks=(done.check, *foot.checks, *head.checks),
        steps=(*done.check.steps, *foot.toe.steps, *foot.vertical.steps, *foot.cantilever.steps,
               *foot.steps, *head.steps),
    )  # fmt: skip
