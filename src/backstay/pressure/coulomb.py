"""Coulomb's coefficients: plane wedge, wall friction, batter, sloping ground."""

from __future__ import annotations

from math import cos, sin, sqrt

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.quantity import Angle, Ratio
from backstay.trace import formula

COULOMB = Citation("Coulomb 1776; Mueller-Breslau 1906", "", "formula")


@formula("K_a", COULOMB)
def coulomb_active(phi: Angle, delta: Angle, theta: Angle, beta: Angle) -> Ratio:
    """Active coefficient of the plane wedge, along the inclined thrust.

    phi: angle of friction; delta: angle of wall friction
    theta: batter of the wall's back from vertical; beta: slope of the ground behind
    """
    if beta > phi:
        raise DesignError("the ground is steeper than its angle of friction")
    root: Ratio = sqrt(
        sin(phi + delta) * sin(phi - beta) / (cos(delta + theta) * cos(theta - beta))
    )
    return cos(phi - theta) ** 2 / (cos(theta) ** 2 * cos(delta + theta) * (1 + root) ** 2)


@formula("K_p", COULOMB)
def coulomb_passive(phi: Angle, delta: Angle, theta: Angle, beta: Angle) -> Ratio:
    """Passive coefficient of the plane wedge: unsafe for wall friction above a third of phi.

    phi: angle of friction; delta: angle of wall friction
    theta: batter of the wall's back from vertical; beta: slope of the ground
    """
    product: Ratio = sin(phi + delta) * sin(phi + beta) / (cos(delta - theta) * cos(theta - beta))
    if product < 0 or product > 0.999999:
        raise DesignError("no plane passive wedge exists for these angles")
    return cos(phi + theta) ** 2 / (cos(theta) ** 2 * cos(delta - theta) * (1 - sqrt(product)) ** 2)
