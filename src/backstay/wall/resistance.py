"""Ordinates of what acts on the buried part of a wall: passive in front, active and water behind.

All in kN per metre of depth, on one pile (or on one metre of a continuous wall, whose width and
spacing are 1).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from backstay.errors import DesignError
from backstay.ground import Layer, Profile
from backstay.model.loads import Traffic, Uniform
from backstay.model.project import Section
from backstay.pressure.lateral import (
    active_ratio,
    passive_ratio,
    undrained_active,
    undrained_passive,
)
from backstay.pressure.rankine import active_pressure, passive_pressure
from backstay.pressure.surcharge import surcharge_diagram
from backstay.wall.limits import (
    Condition,
    Level,
    Sums,
    drained_strength,
    is_undrained,
)
from backstay.wall.toe_isolated import (
    flow_clay,
    flow_sand_gross,
    rock_on_pile,
    threefold_clay,
    threefold_sand,
    wedge_clay,
    wedge_sand_gross,
)

Mechanism = Literal["wedge and flow-around", "threefold width", "continuous wall"]
AT_REST = 0.4
"""At-rest coefficient that belongs to the wedge and flow forms for sand."""


def passive_horizontal(layer: Layer, condition: Condition) -> float:
    """Return the horizontal passive coefficient of a layer, level ground in front.

    1 where it acts undrained or has no friction.
    """
    return 1.0 if is_undrained(layer, condition) else passive_ratio(layer)


def active_on(
    levels: Sequence[Level],
    condition: Condition,
    width: float,
    slope: float,
    local: Sequence[float] | None = None,
) -> Sums:
    """Return the active force behind the wall, per depth, on a width.

    local: pressure of local surcharges at each level (kPa), added.
    """
    ordinates = [width * active_at(level, condition, slope) for level in levels]
    if local is not None:
        ordinates = [p + width * q for p, q in zip(ordinates, local, strict=True)]
    return Sums.of([level.z for level in levels], ordinates)


def local_pressures(
    section: Section, ground: Profile, levels: Sequence[Level]
) -> tuple[float, ...] | None:
    """Return the pressure of surcharges that do not cover the whole surface, at each level (kPa).

    None where there are none.
    """
    loads = [s for s in section.surcharges if not isinstance(s, (Uniform, Traffic))]
    if not loads or not levels:
        return None
    bottom = levels[-1].z
    sums = [0.0] * len(levels)
    for load in loads:
        diagram = surcharge_diagram(load, section, ground, to=bottom)
        for i, level in enumerate(levels):
            sums[i] += max(0.0, diagram.at(level.z, below=False))
    return tuple(sums)


def active_at(level: Level, condition: Condition, slope: float) -> float:
    """Return the active pressure of the ground at a level (kPa), never tension.

    Undrained: total stress less twice the strength. Drained: effective, water not included.
    """
    layer = level.layer
    if is_undrained(layer, condition):
        return max(0.0, undrained_active(level.retained, layer.su_at(level.z)))
    phi, c = drained_strength(layer)
    K = active_ratio(layer, min(slope, phi))
    return max(0.0, active_pressure(K, max(0.0, level.retained - level.u_retained), c))


def net_water_on(levels: Sequence[Level], condition: Condition, width: float) -> Sums:
    """Return the water behind less the water in front, per depth, on a width.

    Nil in ground that acts undrained, whose total stresses hold it already.
    """
    ordinates = [
        0.0
        if is_undrained(level.layer, condition)
        else width * max(0.0, level.u_retained - level.u_cut)
        for level in levels
    ]
    return Sums.of([level.z for level in levels], ordinates)


def front(
    levels: Sequence[Level], condition: Condition, *, width: float, spacing: float, isolated: bool
) -> tuple[tuple[Mechanism, Sums], ...]:
    """Return the passive resistance in front, per depth, by every mechanism that applies.

    Raises DesignError where rock states no strength.
    """
    z = [level.z for level in levels]
    wedge, threefold, cap = [], [], []
    layer: Layer | None = None
    K_p = 1.0
    for level in levels:
        if level.layer is not layer:
            layer = level.layer
            K_p = passive_horizontal(layer, condition)
        cap_here = continuous_at(level, condition, K_p) * spacing
        cap.append(cap_here)
        if isolated:
            by_wedge, by_flow, by_width = isolated_at(level, condition, width)
            wedge.append(min(by_wedge, by_flow, cap_here))
            threefold.append(min(by_width, cap_here))
    if not isolated:
        return (("continuous wall", Sums.of(z, cap)),)
    return (
        ("wedge and flow-around", Sums.of(z, wedge)),
        ("threefold width", Sums.of(z, threefold)),
    )


def continuous_at(level: Level, condition: Condition, K_p: float | None = None) -> float:
    """Return the passive pressure of a continuous wall at a level (kPa).

    K_p: of the layer, where it is known already.
    """
    layer = level.layer
    if is_undrained(layer, condition):
        return undrained_passive(level.cut, layer.su_at(level.z))
    _, c = drained_strength(layer)
    K = passive_horizontal(layer, condition) if K_p is None else K_p
    return passive_pressure(K, max(0.0, level.cut - level.u_cut), c)


def isolated_at(level: Level, condition: Condition, width: float) -> tuple[float, float, float]:
    """Return (wedge, flow-around, threefold width) of a single pile at a level, kN/m."""
    layer, x = level.layer, max(0.0, level.x)
    effective = max(0.0, level.cut - level.u_cut)
    if layer.kind == "rock":
        p = _rock(level, width)
        return p, p, p
    if is_undrained(layer, condition):
        su = layer.su_at(level.z)
        return (
            wedge_clay(level.cut, x, width, su),
            flow_clay(width, su),
            threefold_clay(x, width, su),
        )
    phi, c = drained_strength(layer)
    return (
        wedge_sand_gross(effective, x, width, phi, AT_REST, c),
        flow_sand_gross(effective, width, phi, AT_REST, c),
        threefold_sand(effective, width, phi, c),
    )


def _rock(level: Level, width: float) -> float:
    layer = level.layer
    effective = max(0.0, level.cut - level.u_cut)
    if layer.phi is not None or layer.c > 0.0:
        phi, c = drained_strength(layer)
        return rock_on_pile(effective, width, phi, c)
    if layer.su is not None:
        return rock_on_pile(effective, width, 0.0, layer.su_at(level.z))
    raise DesignError(
        f"rock stratum {layer.name!r} states no strength of the rock mass: give friction_angle "
        "and cohesion, or undrained_strength (half the unconfined strength of the mass)",
        "toe",
    )
