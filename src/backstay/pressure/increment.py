"""The earthquake increment of an anchored wall: Mononobe-Okabe, less what acts without it."""

from __future__ import annotations

from math import atan, inf

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.ground import Profile
from backstay.model.loads import Earthquake
from backstay.pressure.averages import average_friction, average_unit_weight
from backstay.pressure.coulomb import coulomb_active
from backstay.pressure.diagram import Diagram
from backstay.pressure.earthquake import seismic_active, seismic_angle
from backstay.quantity import ForcePerLength, Length, Ratio, Stress, UnitWeight
from backstay.trace import formula, heading, remark, state

_INCREMENT = Citation("Mononobe and Matsuo 1929", "thrust with less thrust without", "formula")
_SEED = Citation("Seed and Whitman 1970", "increment acts at 0.6 H above the base", "memory")


@formula("Delta_P", _INCREMENT)
def seismic_increment(
    K_AE: Ratio, K_A: Ratio, k_v: Ratio, gamma: UnitWeight, H: Length
) -> ForcePerLength:
    """Increment of active thrust by the earthquake.

    K_AE: active coefficient with earthquake; K_A: the same without
    k_v: vertical coefficient, positive upward
    gamma: average total unit weight; H: height that loads the wall
    """
    return ((1 - k_v) * K_AE - K_A) * gamma * H**2 / 2


@formula("p_top", _SEED)
def increment_at_top(Delta_P: ForcePerLength, H: Length) -> Stress:
    """Ordinate of the increment at the top, so that it acts at 0.6 H above the base.

    Delta_P: increment; H: height that loads the wall
    """
    return 1.6 * Delta_P / H


@formula("p_base", _SEED)
def increment_at_base(Delta_P: ForcePerLength, H: Length) -> Stress:
    """Ordinate of the increment at the base, so that it acts at 0.6 H above it.

    Delta_P: increment; H: height that loads the wall
    """
    return 0.4 * Delta_P / H


def earthquake_diagram(ground: Profile, height: float, quake: Earthquake) -> Diagram:
    """Return the earthquake increment over 0..height (kPa).

    Raise DesignError where a stratum has no angle of friction, or where the ground behind cannot
    stand by itself in this earthquake.
    """
    heading("Earthquake increment (Mononobe-Okabe)")
    remark("Averages by thickness; no wall friction; saturated ground moves with its water.")
    gamma = average_unit_weight(ground, height)
    phi = average_friction(ground, height)
    beta = state(
        "beta", "Slope of the ground behind", _slope(ground, height), "angle",
        method="steepest line from the top of wall to a point of the ground within 2 H",
    )  # fmt: skip
    try:
        psi = seismic_angle(quake.kh, quake.kv)
        K_AE = seismic_active(phi, 0.0, 0.0, beta, psi)
        K_A = coulomb_active(phi, 0.0, 0.0, beta)
    except ValueError as error:
        raise DesignError(str(error), "earthquake") from error
    increment = seismic_increment(K_AE, K_A, quake.kv, gamma, height)
    top, base = increment_at_top(increment, height), increment_at_base(increment, height)
    return Diagram("Earthquake increment", (0.0, height), (top, base))


def _slope(ground: Profile, height: float) -> float:
    """Return the slope that stands for the ground behind, not less than level (rad)."""
    rises = [
        atan(-z / x) for x, z in (*ground.surface, *_at(ground, 2 * height)) if 0 < x <= 2 * height
    ]
    return max(ground.slope, 0.0, *rises)


def _at(ground: Profile, x: float) -> list[tuple[float, float]]:
    """Return the point of the surface at a distance, where the surface is surveyed there."""
    last = (0.0, 0.0)
    for point in (*ground.surface, (inf, ground.surface[-1][1])):
        if last[0] < x <= point[0] < inf:
            share = (x - last[0]) / (point[0] - last[0])
            return [(x, last[1] + share * (point[1] - last[1]))]
        last = point
    return []
