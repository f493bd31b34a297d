"""A continuous wall, per metre: bending stress, and the wall below subgrade."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.basis import Basis
from backstay.checks import Check
from backstay.cite import STATICS
from backstay.ground import Profile
from backstay.model.project import Section
from backstay.model.wall import ContinuousWall
from backstay.quantity import QUANTITIES, Moment, SectionModulus, Strength
from backstay.trace import formula, heading, remark, state, trace
from backstay.wall.demand import WallActions, pile_demand
from backstay.wall.foot import Foot, FootLoads, design_foot
from backstay.wall.pile import PileDemand
from backstay.wall.vertical import Shaft


@formula("f_b", STATICS)
def bending_stress(M: Moment, S: SectionModulus) -> Strength:
    """Bending stress.

    M: moment of one length unit of wall
    S: section modulus of one length unit of wall
    """
    return M / S


@dataclass(frozen=True, slots=True)
class ContinuousWallDesign:
    """The wall per metre: what acts on it, its foot, and the check of its stress."""

    demand: PileDemand
    foot: Foot
    check: Check


def design_continuous_wall(
    section: Section,
    wall: ContinuousWall,
    ground: Profile,
    actions: WallActions,
    loads: FootLoads,
    basis: Basis,
) -> ContinuousWallDesign:
    """Check a continuous wall per metre.

    Both faces carry vertical load below subgrade; the tip is left out, for it may be thin.
    """
    foot = design_foot(
        section, ground, shaft=Shaft("driven", wall.width, 2.0, 0.0, wall.weight), width=1.0,
        spacing=1.0, stiffness=wall.stiffness,
        toe=None if wall.toe == "auto" else section.depth(wall.toe),
        loads=loads, basis=basis, isolated=False,
    )  # fmt: skip
    demand = pile_demand(
        actions, spacing=1.0, H=ground.H, anchor_vertical=loads.anchor_vertical,
        facing_weight=wall.weight, cantilever=(foot.cantilever.moment, foot.cantilever.shear),
    )  # fmt: skip
    with trace() as t:
        heading("Bending of the wall, per metre")
        remark("Axial stress is not checked: the wall is given by its bending properties alone.")
        f_b = bending_stress(demand.moment, wall.section_modulus)
        state("F_b", "allowable bending stress, as given", wall.allowable_stress, "strength")
    needed = demand.moment / wall.allowable_stress
    check = Check(
        "wall.continuous-bending", "bending of the continuous wall", f_b, wall.allowable_stress,
        QUANTITIES["strength"], STATICS, steps=(*demand.steps, *t.steps),
        note=f"governed by {demand.governing}",
        remedy=f"a section modulus of at least {{section modulus per length:{needed:.6g}}}, or another row",
    )  # fmt: skip
    return ContinuousWallDesign(demand, foot, check)
