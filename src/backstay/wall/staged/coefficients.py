"""Coefficients of earth pressure for many friction angles at once, from a table.

The passive coefficient costs an integration of the plastic zone for each angle. Here it is
integrated once at each node of a table, and the logarithm of the coefficient is interpolated
in between; the active coefficient likewise, so that either is defined in one place. At the nodes
the values are those of `backstay.pressure`; between them they stray by less than `ERROR`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import degrees, pi

import numpy as np

from backstay.errors import DesignError
from backstay.pressure.coulomb import coulomb_active
from backstay.pressure.lateral import PASSIVE_FRICTION_SHARE, horizontal
from backstay.pressure.plasticity import passive_coefficient
from backstay.trace import untraced
from backstay.wall.staged.result import Floats

ERROR = 1e-3
"""Greatest relative error of an interpolated coefficient; the tests look for a greater one."""
NODES = 181
GREATEST = pi / 3 - 1e-9
"""Greatest friction angle (rad) for which the plastic zone is integrated."""


@dataclass(frozen=True, slots=True, eq=False)
class CoefficientTable:
    """Horizontal coefficients over the friction angle, for one wall friction and slope.

    phi (nodes): friction angles, rad; ln_active, ln_passive: logarithms of the coefficients there.
    Nodes stand closer toward the angle of the slope, where the active coefficient turns steeply.
    """

    phi: Floats
    ln_active: Floats
    ln_passive: Floats
    slope: float

    def active(self, phi: Floats) -> Floats:
        """Return the horizontal active coefficient for each friction angle (rad)."""
        return self._at(phi, self.ln_active)

    def passive(self, phi: Floats) -> Floats:
        """Return the horizontal passive coefficient for each friction angle (rad), level ground."""
        return self._at(phi, self.ln_passive)

    def _at(self, phi: Floats, values: Floats) -> Floats:
        if phi.size and not (phi.min() >= self.phi[0] and phi.max() <= self.phi[-1]):
            raise DesignError(
                f"friction angles from {degrees(phi.min()):.4g} to {degrees(phi.max()):.4g} degrees "
                f"were read; the table runs from {degrees(self.phi[0]):.4g} to "
                f"{degrees(self.phi[-1]):.4g}",
                "friction angle",
            )
        found: Floats = np.exp(np.interp(self._stretched(phi), self._stretched(self.phi), values))
        return found

    def _stretched(self, phi: Floats) -> Floats:
        found: Floats = np.sqrt(np.maximum(phi - self.slope, 0.0)) if self.slope > 0.0 else phi
        return found


@lru_cache(maxsize=64)
def coefficient_table(wall_friction_ratio: float, slope: float = 0.0) -> CoefficientTable:
    """Return the table for a wall friction that is a share of phi, and a slope behind (rad).

    On the passive side the share is held to a half, as everywhere in Backstay.
    Raises DesignError for a share out of 0 to 1, or a slope out of 0 to 60 degrees.
    """
    if not 0.0 <= wall_friction_ratio <= 1.0:
        raise DesignError(
            f"wall friction is a share of phi from 0 to 1, not {wall_friction_ratio:.6g}",
            "wall friction ratio",
        )
    if not 0.0 <= slope < GREATEST:
        raise DesignError(
            f"the slope is {degrees(slope):.4g} degrees; it must lie between 0 and 60", "slope"
        )
    t = np.linspace(0.0, 1.0, NODES)
    phi = slope + (GREATEST - slope) * (t * t if slope > 0.0 else t)
    delta_p = min(wall_friction_ratio, PASSIVE_FRICTION_SHARE)

    def active(angle: float) -> float:
        delta = wall_friction_ratio * angle
        return horizontal(coulomb_active(angle, delta, 0.0, min(slope, angle)), delta)

    def passive(angle: float) -> float:
        delta = delta_p * angle
        return horizontal(passive_coefficient(angle, delta), delta)

    def logarithms(coefficient: Callable[[float], float]) -> Floats:
        return np.log([coefficient(float(a)) if a > 0.0 else 1.0 for a in phi])

    with untraced():
        return CoefficientTable(phi, logarithms(active), logarithms(passive), slope)
