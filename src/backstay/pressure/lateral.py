"""What the ground presses at least and resists at most, depth by depth, on either side of a wall.

Drained, pressures are effective: coefficient times effective vertical stress, less or plus the
term of cohesion, and the water is a load of its own (`backstay.pressure.water`). Undrained, they
are total: vertical stress less or plus twice the undrained strength, and water in that ground is
not added again. Active pressure is never tension: a dry crack is open there.

Coefficients are horizontal components: Coulomb's for the active side, that of the plastic zone
for the passive side, where wall friction is held to half of phi.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import cos

from backstay.cite import Citation, common_practice
from backstay.errors import DesignError
from backstay.ground import Layer, Profile
from backstay.pressure.coulomb import coulomb_active
from backstay.pressure.diagram import Diagram
from backstay.pressure.plasticity import passive_coefficient
from backstay.pressure.rankine import active_pressure as drained_active
from backstay.pressure.rankine import passive_pressure as drained_passive
from backstay.pressure.slices import Strength
from backstay.pressure.water import WaterState
from backstay.quantity import Angle, Ratio, Stress
from backstay.trace import formula, untraced

PASSIVE_FRICTION_SHARE = 0.5
"""Wall friction on the passive side is held to this share of phi."""
PASSIVE_FRICTION_RULE = common_practice("passive wall friction not above half of phi")
_UNDRAINED = Citation("Bell 1915", "phi 0", "formula")
_NEAR = 1e-9
"""Depth (m) within which a point counts as on a boundary; perched water jumps there."""


@formula("p_a", _UNDRAINED)
def undrained_active(sigma_v: Stress, s_u: Stress) -> Stress:
    """Active pressure of undrained ground, total, tension included.

    sigma_v: total vertical stress; s_u: undrained strength
    """
    return sigma_v - 2 * s_u


@formula("p_p", _UNDRAINED)
def undrained_passive(sigma_v: Stress, s_u: Stress) -> Stress:
    """Passive pressure of undrained ground, total.

    sigma_v: total vertical stress; s_u: undrained strength
    """
    return sigma_v + 2 * s_u


@formula("K_h", Citation("statics", "", "formula"))
def horizontal(K: Ratio, delta: Angle) -> Ratio:
    """Horizontal component of a coefficient along the inclined thrust.

    K: coefficient along the thrust; delta: angle of wall friction
    """
    return K * cos(delta)


def acts_undrained(layer: Layer, strength: Strength) -> bool:
    """Say whether a layer acts by its undrained strength. Raise DesignError if it has no strength."""
    if layer.su is not None and (strength == "undrained" or (layer.phi is None and not layer.c)):
        return True
    if layer.phi is None and not layer.c:
        raise DesignError("no strength is given", f"stratum {layer.name}")
    return False


def active_ratio(layer: Layer, slope: float) -> float:
    """Return the horizontal active coefficient of a layer, drained; slope of the ground (rad)."""
    phi = layer.phi or 0.0
    if phi <= 0.0:
        return 1.0
    delta = layer.wall_friction_ratio * phi
    return horizontal(coulomb_active(phi, delta, 0.0, slope), delta)


def passive_ratio(layer: Layer) -> float:
    """Return the horizontal passive coefficient of a layer, drained, level ground in front."""
    phi = layer.phi or 0.0
    if phi <= 0.0:
        return 1.0
    delta = min(layer.wall_friction_ratio, PASSIVE_FRICTION_SHARE) * phi
    return horizontal(passive_coefficient(phi, delta), delta)


def active_pressure(
    ground: Profile,
    z: float,
    *,
    strength: Strength = "drained",
    surcharge: float = 0.0,
    toe: float | None = None,
    above: bool = False,
) -> float:
    """Return the active pressure behind the wall at depth z (kPa): effective, or total undrained.

    surcharge: on the whole surface behind (kPa); toe: depth that water seeps around, None for
    water at rest; above: at a boundary, of the layer above it instead of below.

    Raises DesignError where the layer has no strength, or the ground is steeper than its phi.
    """
    layer = ground.layer_at(z - 10 * _NEAR if above else z)
    total = ground.total_stress(z) + surcharge
    if acts_undrained(layer, strength):
        return max(0.0, undrained_active(total, layer.su_at(z)))
    water = _water(ground, toe, ground.H)
    effective = max(0.0, total - water.pressure(z if above else z + _NEAR))
    return max(0.0, drained_active(active_ratio(layer, ground.slope), effective, layer.c))


def passive_pressure(
    ground: Profile,
    z: float,
    *,
    dug_to: float | None = None,
    strength: Strength = "drained",
    surcharge: float = 0.0,
    toe: float | None = None,
    above: bool = False,
) -> float:
    """Return the passive pressure in front at depth z (kPa): effective, or total undrained.

    dug_to: depth of the ground in the cut, default subgrade; above it there is none: 0.
    The other arguments are those of `active_pressure`.
    """
    top = ground.H if dug_to is None else dug_to
    if z < top or (above and z <= top):
        return 0.0
    layer = ground.layer_at(z - 10 * _NEAR if above else z)
    total = ground.total_stress(z, side="cut", dug_to=top) + surcharge
    if acts_undrained(layer, strength):
        return undrained_passive(total, layer.su_at(z))
    effective = max(0.0, total - _water(ground, toe, top).pressure(z, "cut"))
    return drained_passive(passive_ratio(layer), effective, layer.c)


def limit_diagram(
    ground: Profile,
    side: str,
    *,
    to: float,
    dug_to: float | None = None,
    strength: Strength = "drained",
    surcharge: float = 0.0,
    toe: float | None = None,
) -> Diagram:
    """Return the "active" or "passive" pressure from the top (or the dig level) down to `to`.

    Exact: pressures are straight between the boundaries of layers and water, which appear twice
    where they jump, and a point stands where a crack ends. Passive pressure is positive too.
    """
    if side not in ("active", "passive"):
        raise ValueError(f"no side {side!r}; there are: active, passive")
    top = 0.0 if side == "active" else (ground.H if dug_to is None else dug_to)
    if to <= top:
        raise DesignError("the diagram ends above the ground", f"{side} pressure")

    def pressure(z: float, above: bool) -> float:
        if side == "active":
            return active_pressure(
                ground, z, strength=strength, surcharge=surcharge, toe=toe, above=above
            )
        return passive_pressure(
            ground, z, dug_to=top, strength=strength, surcharge=surcharge, toe=toe, above=above
        )

    z: list[float] = []
    p: list[float] = []
    for layer, _, _ in ground.layers_between(top, to):  # the coefficients, for the derivation
        if not acts_undrained(layer, strength):
            active_ratio(layer, ground.slope) if side == "active" else passive_ratio(layer)
    with untraced():
        for a, b in pairwise(ground.boundaries(top, to)):
            if b - a < 1e-9:
                continue
            pa, pb = pressure(a, False), pressure(b, True)
            z.append(a)
            p.append(pa)
            if (pa == 0.0) != (pb == 0.0):
                end = _crack(lambda x: pressure(x, False), a, b, opens_up=pa == 0.0)
                z.append(end)
                p.append(0.0)
            z.append(b)
            p.append(pb)
    return Diagram(f"{side} pressure, {strength}", tuple(z), tuple(p))


def _crack(f: Callable[[float], float], a: float, b: float, *, opens_up: bool) -> float:
    """Return where a pressure that is straight below (or above) a crack comes to nil."""
    low, high = a, b
    for _ in range(60):
        middle = 0.5 * (low + high)
        if (f(middle) == 0.0) == opens_up:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _water(ground: Profile, toe: float | None, bed: float) -> WaterState:
    """Return the water: at rest where the depth of the toe is not given."""
    if toe is None and ground.flow == "seepage":
        raise DesignError("seepage around the toe needs the depth of the toe", "water")
    return WaterState(ground, toe, bed)
