"""Formulas of the lower failure plane: how much anchor force the block behind a wall can hold.

The anchors pull a block of ground toward the cut. It is bounded by the back of the wall, by a
plane (or several) from the wall's point of rotation to the middle of the bond, and by a vertical
above that middle, on which the ground behind presses. Each plane resists by friction and
cohesion; forces between two blocks above two planes are taken horizontal, so that they drop out
of the sum. The pull is increased until the block slides: the ratio is the safety.
"""

from __future__ import annotations

from math import atan, cos, sin, tan

from backstay.cite import GEOMETRY, Citation
from backstay.quantity import Angle, ForcePerLength, Length, Ratio
from backstay.trace import formula

KRANZ = Citation("Kranz 1953; Ranke and Ostermayer 1968", "lower failure plane", "formula")


@formula("theta", GEOMETRY)
def plane_rise(z_a: Length, z_b: Length, x_a: Length, x_b: Length) -> Angle:
    """Angle of the lower failure plane above horizontal.

    z_a: depth of its lower end; z_b: depth of its upper end
    x_a, x_b: their distances behind the wall
    """
    return atan((z_a - z_b) / (x_b - x_a))


@formula("R", KRANZ)
def plane_resistance(
    G: ForcePerLength, V: ForcePerLength, U: ForcePerLength, C: ForcePerLength, phi: Angle,
    theta: Angle,
) -> ForcePerLength:  # fmt: skip
    """Horizontal force that the plane under a block holds, of the ground alone.

    G: weight of the block and of the loads counted on it; V: upward force of the wall on it
    U: pore water force on the plane; C: cohesion along the plane
    phi: angle of friction along the plane; theta: angle of the plane above horizontal
    """
    W_n: ForcePerLength = G - V - U * cos(theta) - C * sin(theta)
    return C * cos(theta) - U * sin(theta) + W_n * tan(phi - theta)


@formula("B", KRANZ)
def pull_on_plane(A_h: ForcePerLength, epsilon: Angle, phi: Angle, theta: Angle) -> ForcePerLength:
    """Horizontal pull of an anchor on its block, with what its upward part takes off the friction.

    A_h: horizontal force of the row; epsilon: inclination of the anchor in the section
    phi: angle of friction along the plane; theta: angle of the plane above horizontal
    """
    return A_h * (1 + tan(epsilon) * tan(phi - theta))


@formula("B_sum", KRANZ)
def pull_with(B_others: ForcePerLength, B: ForcePerLength) -> ForcePerLength:
    """Pull of the anchors on the blocks, one row more.

    B_others: of the rows before; B: of this row
    """
    return B_others + B


@formula("R_sum", KRANZ)
def resistance_with(R_others: ForcePerLength, R: ForcePerLength) -> ForcePerLength:
    """Horizontal force that the planes hold, one block more.

    R_others: of the blocks before; R: of this block
    """
    return R_others + R


@formula("eta", KRANZ)
def deep_sliding_safety(
    E_ah: ForcePerLength, W_a: ForcePerLength, E_1: ForcePerLength, W_1: ForcePerLength,
    R_sum: ForcePerLength, B_sum: ForcePerLength,
) -> Ratio:  # fmt: skip
    """Anchor force that would cause sliding over the one applied.

    E_ah: horizontal active force, which the wall gives back; W_a: water force on the wall's back
    E_1: active force on the vertical above the middle of the bond; W_1: water force there
    R_sum: what the planes hold; B_sum: pull of the applied anchor forces
    """
    return (E_ah + W_a - E_1 - W_1 + R_sum) / B_sum


@formula("A", KRANZ)
def sliding_force(eta: Ratio, A_h: ForcePerLength, epsilon: Angle) -> ForcePerLength:
    """Anchor force of the row, along the anchor, that would cause sliding.

    eta: safety; A_h: horizontal force of the row; epsilon: inclination in the section
    """
    return eta * A_h / cos(epsilon)
