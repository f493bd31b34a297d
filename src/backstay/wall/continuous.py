"""A continuous wall, per length: bending and axial stress, and the wall below subgrade."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from backstay.basis import Basis
from backstay.checks import Check
from backstay.cite import STATICS
from backstay.ground import Profile
from backstay.model.project import Section
from backstay.model.wall import ContinuousWall
from backstay.quantity import (
    QUANTITIES,
    ForcePerLength,
    Length,
    MomentPerLength,
    SectionAreaPerLength,
    SectionModulusPerLength,
    Strength,
    Stress,
)
from backstay.trace import formula, heading, remark, state, trace
from backstay.wall.demand import WallActions, pile_demand
from backstay.wall.foot import Foot, FootLoads, design_foot
from backstay.wall.pile import PileDemand
from backstay.wall.vertical import Shaft


@formula("f_b", STATICS)
def bending_stress(M: MomentPerLength, S: SectionModulusPerLength) -> Strength:
    """Bending stress.

    M: moment per length of wall
    S: section modulus per length of wall
    """
    return M / S


@formula("N", STATICS)
def axial_load(T_v: ForcePerLength, w: Stress, H: Length) -> ForcePerLength:
    """Axial load of a continuous wall at subgrade.

    T_v: vertical components of the anchors per length of wall
    w: weight of the wall per area of its face
    H: height of cut
    """
    return T_v + w * H


@formula("f", STATICS)
def greatest_stress(f_b: Strength, N: ForcePerLength, A: SectionAreaPerLength) -> Strength:
    """Bending and axial stress together, both at their greatest.

    f_b: bending stress
    N: axial load per length of wall
    A: cross-section per length of wall
    """
    return f_b + N / A


@dataclass(frozen=True, slots=True)
class ContinuousWallDesign:
    """The wall per metre: what acts on it, its foot, and the check of its stress.

    axial: at subgrade, kN per metre.
    """

    demand: PileDemand
    axial: float
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
        facing_weight=wall.weight, cantilever=(foot.cantilever.moment, foot.cantilever.shear), of="wall",
    )  # fmt: skip
    with trace() as t:
        heading("Stress of the wall")
        remark("Per length of wall. Water tightness and the strength of joints are not checked.")
        f = f_b = bending_stress(demand.moment, wall.section_modulus)
        N = axial_load(loads.anchor_vertical, wall.weight, ground.H)
        if wall.area is None:
            remark("Axial stress is not checked: the wall is given without its area.")
        else:
            remark("The greatest moment and the axial load at subgrade are taken together.")
            f = greatest_stress(f_b, N, wall.area)
        state("F_b", "allowable stress, as given", wall.allowable_stress, "strength")
    left = wall.allowable_stress - (f - f_b)
    needed = demand.moment / left if left > 0.0 else inf
    check = Check(
        "wall.continuous-bending",
        "bending of the continuous wall" if wall.area is None
        else "bending and axial load of the continuous wall",
        f, wall.allowable_stress, QUANTITIES["strength"], STATICS, steps=(*demand.steps, *t.steps),
        note=f"governed by {demand.governing}" + ("" if wall.area else "; axial stress not included"),
        remedy=f"a section modulus of at least {{section modulus per length:{needed:.6g}}}, or another row"
        if needed < inf else "a heavier wall, or flatter anchors: the axial load alone is too much",
    )  # fmt: skip
    return ContinuousWallDesign(demand, N, foot, check)
