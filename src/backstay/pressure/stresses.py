"""Stresses in the ground beside the wall before anything moves: total, pore, effective, at rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from backstay.ground import Layer, Profile, Side
from backstay.pressure.at_rest import at_rest_normal, at_rest_overconsolidated
from backstay.pressure.water import WaterState


@dataclass(frozen=True, slots=True)
class StressPoint:
    """Stresses at one depth on one side (kPa).

    K_0: at rest, None where the stratum has neither a given value nor an angle of friction;
    horizontal: total horizontal stress at rest, None likewise.
    """

    depth: float
    side: Side
    stratum: str
    total: float
    pore: float
    effective: float
    K_0: float | None
    horizontal: float | None


def stress_points(ground: Profile, *, toe: float) -> tuple[StressPoint, ...]:
    """Return the stresses at every change of layer or water, from the ground to the toe, both sides.

    At the boundary of two strata both are given, the upper first. Water seeps or rests as the
    project says; toe in m below the top of wall. In front the ground is dug to subgrade.
    """
    water = WaterState(ground, toe, bed=ground.H)
    return tuple(
        point
        for side, start in (("retained", 0.0), ("cut", ground.H))
        for point in _side(ground, water, side, start, toe)  # type: ignore[arg-type]
    )


def at_rest_coefficient(layer: Layer) -> float | None:
    """Return K0 of a stratum: given, from its overconsolidation ratio, or normally consolidated."""
    stratum = layer.stratum
    if stratum.at_rest_coefficient is not None:
        return stratum.at_rest_coefficient
    if layer.phi is None:
        return None
    if stratum.overconsolidation_ratio is not None:
        return at_rest_overconsolidated(layer.phi, stratum.overconsolidation_ratio)
    return at_rest_normal(layer.phi)


def _side(
    ground: Profile, water: WaterState, side: Side, start: float, toe: float
) -> Sequence[StressPoint]:
    points: list[StressPoint] = []
    levels = {start, toe, *ground.boundaries(start, toe)} - {inf}
    for layer, top, bottom in ground.layers_between(start, toe):
        for z in sorted(level for level in levels if top - 1e-9 <= level <= bottom + 1e-9):
            total = ground.total_stress(z, side=side)
            pore = water.pressure(z, side)
            K_0 = at_rest_coefficient(layer)
            effective = total - pore
            horizontal = None if K_0 is None else K_0 * effective + pore
            points.append(StressPoint(z, side, layer.name, total, pore, effective, K_0, horizontal))
    return points
