"""Formulas for the movement of wall and ground, and for what it does to a building."""

from __future__ import annotations

from math import sqrt

from backstay.cite import GEOMETRY, Citation, common_practice
from backstay.quantity import Length, Ratio, SmallLength, Strain
from backstay.trace import formula

EXPERIENCE = Citation("Clough and O'Rourke (1990)", "typical largest movements", "memory")


@formula("delta_h", EXPERIENCE)
def wall_movement(r_h: Ratio, H: Length) -> SmallLength:
    """Largest wall movement that experience leads to expect, with good workmanship.

    r_h: share of the height of the cut
    H: height of the cut
    """
    return r_h * H


@formula("delta_v", EXPERIENCE)
def largest_settlement(r_v: Ratio, r_h: Ratio, delta_h: SmallLength) -> SmallLength:
    """Largest settlement of the ground behind the wall, in proportion to the wall movement.

    r_v: typical settlement over height of cut
    r_h: typical wall movement over height of cut
    delta_h: wall movement
    """
    return r_v / r_h * delta_h


@formula("s", GEOMETRY)
def settlement_at(eta: Ratio, delta_v: SmallLength) -> SmallLength:
    """Settlement at a distance from the wall.

    eta: ordinate of the trough
    delta_v: largest settlement
    """
    return eta * delta_v


@formula("epsilon_h", common_practice("ground movement toward the cut falls as its envelope"))
def horizontal_strain(u_near: SmallLength, u_far: SmallLength, l: Length) -> Strain:  # noqa: E741
    """Extension of the ground below a building.

    u_near: horizontal movement toward the cut at the near face
    u_far: horizontal movement at the far face
    l: length of the building square to the wall
    """
    return (u_near - u_far) / l


@formula("beta", common_practice("steepest part below the building, rigid tilt not deducted"))
def angular_distortion(s_1: SmallLength, s_2: SmallLength, l: Length) -> Strain:  # noqa: E741
    """Angular distortion of a building: steepest slope of the trough below it.

    s_1: settlement at one end of the steepest part
    s_2: settlement at its other end
    l: length of that part
    """
    return abs(s_1 - s_2) / l


@formula(
    "epsilon_p",
    Citation(
        "Boscardin and Cording 1989; Son and Cording 2005", "principal tensile strain", "memory"
    ),
)
def principal_strain(epsilon_h: Strain, beta: Strain) -> Strain:
    """Largest tensile strain in a building from extension and angular distortion.

    epsilon_h: horizontal strain
    beta: angular distortion
    """
    return epsilon_h / 2 + sqrt((epsilon_h / 2) ** 2 + (beta / 2) ** 2)
