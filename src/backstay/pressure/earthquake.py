"""Mononobe-Okabe: pseudo-static active and passive pressure, refused where there is no solution."""

from __future__ import annotations

from math import atan, cos, sin, sqrt

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.quantity import Angle, Ratio
from backstay.trace import formula

MONONOBE_OKABE = Citation("Okabe 1926; Mononobe and Matsuo 1929", "", "formula")


@formula("psi", MONONOBE_OKABE)
def seismic_angle(k_h: Ratio, k_v: Ratio) -> Angle:
    """Angle by which the pseudo-static force turns gravity.

    k_h: horizontal coefficient; k_v: vertical coefficient, positive upward
    """
    return atan(k_h / (1 - k_v))


@formula("K_AE", MONONOBE_OKABE)
def seismic_active(phi: Angle, delta: Angle, theta: Angle, beta: Angle, psi: Angle) -> Ratio:
    """Active coefficient with earthquake, along the inclined thrust.

    phi: angle of friction; delta: angle of wall friction
    theta: batter of the wall's back; beta: slope of the ground behind
    psi: seismic angle
    """
    if phi - beta - psi < 0:
        raise DesignError(
            "no Mononobe-Okabe solution: the ground behind cannot stand by itself in this earthquake "
            "(phi is less than the slope plus the seismic angle)"
        )
    root: Ratio = sqrt(
        sin(phi + delta) * sin(phi - beta - psi) / (cos(delta + theta + psi) * cos(beta - theta))
    )
    return cos(phi - theta - psi) ** 2 / (
        cos(psi) * cos(theta) ** 2 * cos(delta + theta + psi) * (1 + root) ** 2
    )


@formula("K_PE", MONONOBE_OKABE)
def seismic_passive(phi: Angle, delta: Angle, theta: Angle, beta: Angle, psi: Angle) -> Ratio:
    """Passive coefficient with earthquake, along the inclined thrust (plane wedge).

    phi: angle of friction; delta: angle of wall friction
    theta: batter of the wall's face; beta: slope of the ground
    psi: seismic angle
    """
    if phi + beta - psi < 0:
        raise DesignError("no Mononobe-Okabe passive solution for these angles")
    root: Ratio = sqrt(
        sin(phi + delta) * sin(phi + beta - psi) / (cos(delta - theta + psi) * cos(beta - theta))
    )
    if root > 0.999999:
        raise DesignError("no plane passive wedge exists for these angles")
    return cos(phi + theta - psi) ** 2 / (
        cos(psi) * cos(theta) ** 2 * cos(delta - theta + psi) * (1 - root) ** 2
    )
