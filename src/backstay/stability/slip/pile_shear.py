"""Shear that soldier piles or a wall give where a slip surface passes through them.

The part below the surface is held by ground that stays, the part above moves with the slide. The
shear is limited by the section's own shear, by the bearing of the ground on the part below (a
rigid pile that turns in it), and by the bending that this bearing makes. The bearing is taken to
grow from nil at the surface to twice its mean at the toe: that gives less than bearing that is
even, or that starts above nil.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, isfinite, sqrt
from typing import TYPE_CHECKING

from backstay.checks import Check
from backstay.cite import STATICS, Citation
from backstay.ground import Profile
from backstay.model.wall import ContinuousWall, SoldierPiles
from backstay.pressure.lateral import acts_undrained, passive_ratio
from backstay.pressure.slices import Strength
from backstay.quantity import Force, ForcePerLength, Length, Moment, Ratio
from backstay.stability.slip.model import ShearForce
from backstay.trace import formula, heading, remark, state, untraced
from backstay.wall.toe_isolated import threefold_clay, threefold_sand

if TYPE_CHECKING:
    from backstay.wall import WallDesign

PIECES = 6
"""Pieces of the embedment, each with the shear of its lower end."""
SAMPLES = 8
"""Places at which the bearing of the part below is averaged."""
NO_LIMIT = 1e9
"""Shear (kN) of a wall whose section states no limit of its own."""
TURNING = Citation("statics", "rigid pile, free head, bearing growing from nil", "formula")


@formula("H_g", TURNING)
def shear_by_ground(p: ForcePerLength, L: Length) -> Force:
    """Shear at which the part of a pile below the slip surface turns in the ground.

    p: mean bearing of the ground on the pile below the surface
    L: length of pile below the surface
    """
    share: Ratio = 2 ** (1 / 3) - 1
    return share * p * L


@formula("H_b", TURNING)
def shear_by_bending(p: ForcePerLength, L: Length, M: Moment) -> Force:
    """Shear at which the pile reaches its moment where the bearing has taken the shear up.

    p: mean bearing of the ground on the pile below the surface
    L: length of pile below the surface; M: moment that the pile may take
    """
    H: Force = (3 / 2 * M * sqrt(p / L)) ** (2 / 3)
    return H


@formula("H_p", STATICS)
def pile_shear(V: Force, H_g: Force, H_b: Force, s: Length) -> ForcePerLength:
    """Shear of the wall on the slip surface, per length of wall.

    V: shear that the section may take; H_g: by bearing of the ground; H_b: by bending
    s: spacing of piles
    """
    return min(V, H_g, H_b) / s


def wall_shear(
    wall_model: SoldierPiles | ContinuousWall, wall: WallDesign, ground: Profile, *, dug_to: float,
    strength: Strength,
) -> tuple[ShearForce, ...]:  # fmt: skip
    """Return what the buried part of the wall gives, from the dig level down to its toe."""
    V, M = section_limits(wall_model, wall)
    if isinstance(wall_model, SoldierPiles):
        spacing, width = wall_model.spacing, wall.toe_width
    else:
        spacing = width = 1.0
    if wall.toe <= dug_to + 0.1:
        return ()
    heading("Shear of the wall where a slip surface passes through it")
    remark("Above the dig level the wall gives nothing of its own: the anchors hold it.")
    state("M", "Moment that the section may take", M, "moment", method="from the check of bending")
    if isfinite(V):
        state("V", "Shear that the section may take", V, "force", method="from the check of shear")
    step = (wall.toe - dug_to) / PIECES
    made = []
    for i in range(PIECES):
        top, bottom = dug_to + i * step, dug_to + (i + 1) * step
        L = wall.toe - bottom
        if L <= 1e-9:
            break  # nothing is left below
        with untraced():
            p = (
                sum(
                    bearing(
                        ground, bottom + (k + 0.5) * L / SAMPLES, dug_to, width, spacing, strength
                    )
                    for k in range(SAMPLES)
                )
                / SAMPLES
            )
        if p > 0.0:
            state("p", "Mean bearing below the surface", p, "force per length",
                  method=f"surface between {{length:{top:.5g}}} and {{length:{bottom:.5g}}} below "
                  "the top of wall, taken at the lower")  # fmt: skip
            capacity = pile_shear(
                min(V, NO_LIMIT), shear_by_ground(p, L), shear_by_bending(p, L, M), spacing
            )
            made.append(ShearForce(x=0.0, top=-top, bottom=-bottom, capacity=capacity))
    return tuple(made)


def section_limits(
    wall_model: SoldierPiles | ContinuousWall, wall: WallDesign
) -> tuple[float, float]:
    """Return shear and moment that the section may take, per pile or per metre (kN, kNm)."""
    if isinstance(wall_model, ContinuousWall):
        return inf, wall_model.section_modulus * wall_model.allowable_stress
    return _capacity(wall.checks, "wall.pile-shear"), _capacity(wall.checks, "wall.pile-bending")


def _capacity(checks: Sequence[Check], name: str) -> float:
    return min((c.capacity for c in checks if c.id == name), default=0.0)


def bearing(
    ground: Profile, z: float, dug_to: float, width: float, spacing: float, strength: Strength
) -> float:
    """Return the bearing of the ground in front on a pile at depth z (kN/m of depth).

    Nine times the strength below 1.5 widths in clay undrained, passive pressure on three widths
    drained (Broms 1964); not more than passive pressure on the whole spacing.
    """
    layer = ground.layer_at(z)
    total = ground.total_stress(z, side="cut", dug_to=dug_to)
    if acts_undrained(layer, strength):
        su = layer.su_at(z)
        alone = threefold_clay(max(0.0, z - dug_to), width, su) if width < spacing else inf
        return min(alone, (total + 2 * su) * spacing)
    effective = max(0.0, total - ground.hydrostatic(z, side="cut"))
    phi = layer.phi or 0.0
    whole = (passive_ratio(layer) * effective + 2 * layer.c) * spacing
    return min(threefold_sand(effective, width, phi, layer.c), whole) if width < spacing else whole
