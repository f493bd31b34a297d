"""Passive coefficients of ground without weight: for surcharge, and through it for cohesion.

In ground without weight the slip lines are straight lines and logarithmic spirals and the answer
is closed. It is the form of EN 1997-1 Annex C. For the ground's own weight it is safe but low;
`backstay.pressure.plasticity` gives that.
"""

from __future__ import annotations

from math import asin, cos, exp, sin, sqrt, tan

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.quantity import Angle, Ratio
from backstay.trace import formula

PRANDTL = Citation(
    "Prandtl 1920; Lancellotta 2002; EN 1997-1:2004 Annex C", "weightless ground", "formula"
)


@formula("K_q", PRANDTL)
def surcharge_passive_coefficient(phi: Angle, delta: Angle, beta: Angle) -> Ratio:
    """Passive coefficient, normal to the wall, of a load on ground without weight.

    phi: angle of friction; delta: angle of wall friction; beta: slope of the ground
    """
    if abs(delta) > phi + 1e-9 or phi <= 0:
        raise DesignError("wall friction exceeds the friction of the ground", "passive coefficient")
    ratio: Ratio = min(sin(delta) / sin(phi), 1)
    turn: Angle = asin(ratio) + delta + 2 * beta
    root: Ratio = sqrt(max(sin(phi) ** 2 - sin(delta) ** 2, 0))
    return cos(delta) * (cos(delta) + root) / (1 - sin(phi)) * exp(turn * tan(phi))


@formula("K_pc", Citation("Caquot 1934", "theorem of corresponding states", "formula"))
def cohesion_passive_coefficient(phi: Angle, K_q: Ratio) -> Ratio:
    """Passive coefficient of cohesion, normal to the wall, adhesion c tan(delta)/tan(phi).

    phi: angle of friction
    K_q: passive coefficient of a load on ground without weight, normal to the wall
    """
    return (K_q - 1) / tan(phi)
