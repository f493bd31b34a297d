"""The ground of the staged analysis: zones with weight, strength, pressure at rest and modulus."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, radians
from typing import Any

import numpy as np

from backstay.cite import Citation, common_practice
from backstay.ground import Layer, Profile
from backstay.model.project import Section
from backstay.model.wall import ContinuousWall
from backstay.pressure.lateral import active_ratio, passive_ratio
from backstay.pressure.stresses import at_rest_coefficient
from backstay.quantity import Angle, Ratio, Stress
from backstay.trace import formula, heading, state
from backstay.wall.result import WallDesign
from backstay.wall.staged.result import Floats
from backstay.wall.staged.stiffness import Bearing, SubgradeChoice, subgrade_modulus

SLICE = 2.0
"""Thickness (m) of the zones of clay whose strength changes with depth."""
BELOW = 15.0
"""How far below the toe zones go on (m), for walls that have to be deeper."""
AT_REST = {"soft clay": 0.6, "stiff clay": 0.8, "granular": 0.5, "rock": 0.5}
"""K0 where neither the coefficient nor an angle of friction is given."""
_AT_REST = common_practice("coefficient at rest of clay without an angle of friction")
_ARCHING = Citation("isolated piles in the ground", "0.08 phi (degrees), at most 3", "memory")
_ARCHING_CLAY = common_practice("1 in soft clay to 2 in stiff clay")


@formula("m", _ARCHING)
def arching_in_sand(phi: Angle) -> Ratio:
    """Width of ground that bears on a pile over its width, ground with friction.

    phi: angle of friction
    """
    return max(1, min(phi / radians(12.5), 3))


@formula("m", _ARCHING_CLAY, empirical=True)
def arching_in_clay(s_u: Stress) -> Ratio:
    """Width of ground that bears on a pile over its width, clay.

    s_u: undrained strength, kPa; 1 up to 25 kPa, 2 from 100 kPa
    """
    return 1 + max(0, min((s_u - 25) / 75, 1))


@dataclass(frozen=True, slots=True)
class Zone:
    """A stratum, or part of one, from a depth `top` (m) down to the next zone."""

    layer: Layer
    index: int
    top: float
    choice: SubgradeChoice
    K0: float
    arching: float


def ground_zones(
    section: Section, ground: Profile, bearing: Bearing, wall: WallDesign
) -> tuple[Zone, ...]:
    """Return the zones of the ground with modulus, pressure at rest and arching, top down.

    Strata are divided at the water where sand is stiffer above it, and into slices where clay's
    strength changes with depth. The last zone goes on without end.
    """
    heading("Ground of the staged analysis")
    end = wall.toe + BELOW
    found: list[Zone] = []
    for i, layer in enumerate(ground.layers):
        bottom = min(layer.bottom, end)
        if bottom <= layer.top + 1e-9:
            break
        K0 = _at_rest(layer)
        for top, base in _divided(layer, ground.water, layer.top, bottom, wall.toe):
            depth = 0.5 * (top + min(base, max(wall.toe, top)))
            choice = subgrade_modulus(
                layer, bearing, top=top, depth=depth, submerged=top >= ground.water - 1e-9
            )
            found.append(
                Zone(layer, i, top, choice, K0, _arching(section, layer, depth, bearing, wall))
            )
    return tuple(found)


def _divided(
    layer: Layer, water: float, top: float, bottom: float, toe: float
) -> list[tuple[float, float]]:
    cuts = {top, bottom}
    if layer.kind == "granular" and top < water < bottom:
        cuts.add(water)
    if layer.su is not None and layer.su_gradient and layer.stratum.stiffness is None:
        last = min(bottom, toe)
        pieces = max(1, ceil((last - top) / SLICE))
        cuts |= {top + (last - top) * k / pieces for k in range(1, pieces)}
    ordered = sorted(cuts)
    return list(pairwise(ordered))


def _at_rest(layer: Layer) -> float:
    K0 = at_rest_coefficient(layer)
    if K0 is not None:
        return K0
    return state(
        "K_0", f"Coefficient at rest of {layer.name}", AT_REST[layer.kind], "ratio",
        method="neither the coefficient nor an angle of friction is given", cite=_AT_REST,
    )  # fmt: skip


def _arching(
    section: Section, layer: Layer, depth: float, bearing: Bearing, wall: WallDesign
) -> float:
    """Return the width that bears on a pile over its own; no more than reaches the next pile."""
    if isinstance(section.wall, ContinuousWall):
        return 1.0
    if section.wall.arching is not None:
        m = section.wall.arching
    elif layer.su is not None:
        m = arching_in_clay(layer.su_at(depth))
    elif layer.kind == "rock":
        m = 1.0
    else:
        m = arching_in_sand(layer.phi or 0.0)
    return min(m, wall.spacing / bearing.width)


def strengths(ground: Profile, zones: Sequence[Zone], drained: Sequence[bool]) -> dict[str, Floats]:
    """Return the arrays of weights and strengths; coefficients only where a stage is drained."""

    def of(value: Any) -> Floats:
        return np.array([value(zone) for zone in zones], float)

    ratios = {
        zone.index: (active_ratio(zone.layer, ground.slope), passive_ratio(zone.layer))
        for zone, needed in zip(zones, drained, strict=True)
        if needed
    }
    return {
        "gamma": of(lambda zone: zone.layer.gamma),
        "gamma_sat": of(lambda zone: zone.layer.gamma_sat),
        "Ka": of(lambda zone: ratios.get(zone.index, (1.0, 1.0))[0]),
        "Kp": of(lambda zone: ratios.get(zone.index, (1.0, 1.0))[1]),
        "c": of(lambda zone: zone.layer.c),
        "su": of(lambda zone: 0.0 if zone.layer.su is None else zone.layer.su_at(zone.top)),
        "su_gradient": of(lambda zone: zone.layer.su_gradient),
        "K0": of(lambda zone: zone.K0),
        "arching": of(lambda zone: zone.arching),
    }
