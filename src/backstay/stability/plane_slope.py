"""Plane failure of a slope with an anchor: closed forms.

A plane rises from the toe of the face at an angle; the block on it ends at a vertical tension
crack behind the crest, which water may fill in part. The anchor pulls the block back onto the
plane; its force is taken off the driving side.
"""

from __future__ import annotations

from math import atan, cos, sin, tan

from backstay.cite import GEOMETRY, STATICS, Citation
from backstay.quantity import Angle, ForcePerLength, Length, Ratio, Stress, UnitWeight
from backstay.trace import formula

PLANE_FAILURE = Citation("Wyllie and Mah, Rock Slope Engineering", "plane failure", "memory")


@formula("z_c", GEOMETRY)
def crack_depth(H: Length, b: Length, psi_f: Angle, psi_p: Angle) -> Length:
    """Depth of a vertical tension crack behind the crest, from level ground down to the plane.

    H: height of the face; b: distance of the crack behind the crest
    psi_f: angle of the face; psi_p: angle of the plane
    """
    return H - (b + H / tan(psi_f)) * tan(psi_p)


@formula("A", GEOMETRY)
def plane_area(H: Length, z_c: Length, psi_p: Angle) -> Length:
    """Length of the plane below the block.

    H: height of the face; z_c: depth of the crack; psi_p: angle of the plane
    """
    return (H - z_c) / sin(psi_p)


@formula("W", GEOMETRY)
def block_weight(
    gamma: UnitWeight, H: Length, z_c: Length, psi_f: Angle, psi_p: Angle
) -> ForcePerLength:
    """Weight of the block.

    gamma: unit weight; H: height of the face; z_c: depth of the crack
    psi_f: angle of the face; psi_p: angle of the plane
    """
    return gamma / 2 * ((H**2 - z_c**2) / tan(psi_p) - H**2 / tan(psi_f))


@formula("V", STATICS)
def crack_water(gamma_w: UnitWeight, z_w: Length) -> ForcePerLength:
    """Force of the water in the crack.

    gamma_w: unit weight of water; z_w: depth of water in the crack
    """
    return gamma_w * z_w**2 / 2


@formula("U", PLANE_FAILURE)
def uplift(gamma_w: UnitWeight, z_w: Length, A: Length) -> ForcePerLength:
    """Uplift on the plane, falling from the water in the crack to nil at the toe.

    gamma_w: unit weight of water; z_w: depth of water in the crack; A: length of the plane
    """
    return gamma_w * z_w * A / 2


@formula("FS", PLANE_FAILURE)
def plane_safety(
    c: Stress, A: Length, W: ForcePerLength, U: ForcePerLength, V: ForcePerLength,
    T: ForcePerLength, phi: Angle, psi_p: Angle, i: Angle,
) -> Ratio:  # fmt: skip
    """Safety of the block on its plane with an anchor.

    c: cohesion; A: length of the plane; W: weight; U: uplift; V: water in the crack
    T: anchor force; phi: angle of friction; psi_p: angle of the plane
    i: inclination of the anchor below horizontal
    """
    return (c * A + (W * cos(psi_p) - U - V * sin(psi_p) + T * sin(psi_p + i)) * tan(phi)) / (
        W * sin(psi_p) + V * cos(psi_p) - T * cos(psi_p + i)
    )


@formula("T", PLANE_FAILURE)
def plane_force(
    FS: Ratio, c: Stress, A: Length, W: ForcePerLength, U: ForcePerLength, V: ForcePerLength,
    phi: Angle, psi_p: Angle, i: Angle,
) -> ForcePerLength:  # fmt: skip
    """Anchor force that gives the block a safety; nil or less where it has that already.

    FS: safety wanted; c: cohesion; A: length of the plane; W: weight; U: uplift
    V: water in the crack; phi: angle of friction; psi_p: angle of the plane
    i: inclination of the anchor below horizontal
    """
    return (
        FS * (W * sin(psi_p) + V * cos(psi_p))
        - c * A
        - (W * cos(psi_p) - U - V * sin(psi_p)) * tan(phi)
    ) / (sin(psi_p + i) * tan(phi) + FS * cos(psi_p + i))


@formula("i_best", PLANE_FAILURE)
def best_inclination(phi: Angle, psi_p: Angle, FS: Ratio) -> Angle:
    """Inclination below horizontal at which the least force gives a safety; negative: upward.

    phi: angle of friction; psi_p: angle of the plane
    FS: safety wanted; 1 gives the usual phi - psi_p
    """
    return atan(tan(phi) / FS) - psi_p
