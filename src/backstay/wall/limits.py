"""What the ground can do at most, depth by depth, on either side of a wall dug to some level.

`levels` lists depths with the vertical stresses and pore pressures of both sides; `Limits` turns
them into the active pressure that pushes, the net water pressure, and the passive resistance of
a continuous wall or of single piles. Toe and cantilever stage both stand on it.

A condition is "undrained" (clays by their undrained strength, total stresses; the short term) or
"drained" (all ground by effective stresses; the long term). Where a clay states both strengths
both are tried, and the worse governs.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf
from typing import Literal

from backstay.errors import DesignError
from backstay.ground import Layer, Profile
from backstay.model.loads import Traffic, Uniform
from backstay.model.project import Section
from backstay.pressure.lateral import acts_undrained
from backstay.pressure.water import WaterState

Condition = Literal["undrained", "drained"]
ONE_METRE = "Forces and moments are those of {length:1} of wall."
STEP = 0.25
"""Greatest distance between depths, m; pressures are straight in between."""


@dataclass(frozen=True, slots=True)
class Level:
    """One depth z (m), seen from one layer: stresses (kPa) on both sides. x: below the dig level.

    retained, cut: vertical total stress; u_retained, u_cut: pore pressure.
    On the cut side stresses are nil above the dig level.
    """

    z: float
    x: float
    layer: Layer
    retained: float
    u_retained: float
    cut: float
    u_cut: float


def uniform_surcharge(section: Section) -> float:
    """Return the load on the whole surface behind the wall (kPa)."""
    return sum(s.pressure for s in section.surcharges if isinstance(s, (Uniform, Traffic)))


def at_stage(ground: Profile, dug_to: float) -> Profile:
    """Return the ground with the water in front as it stands while the cut is at `dug_to`.

    A flooded cut stays flooded; otherwise the water in front stands as high as behind, but not
    above the dig level.
    """
    if ground.water_cut <= dug_to:
        return ground
    return replace(ground, water_cut=max(dug_to, min(ground.water, ground.water_cut)))


def known_to(ground: Profile, z1: float, z2: float) -> tuple[float, str]:
    """Return the depth down to which strata state a strength, and the name of the one that does not.

    Looks from z1 to z2; the name is empty where all of them do.
    """
    for layer, a, _ in ground.layers_between(z1, z2):
        if layer.phi is None and layer.su is None and layer.c <= 0.0:
            return a, layer.name
    return z2, ""


def unknown_strength(name: str, where: str) -> DesignError:
    """Return the refusal to go into a stratum that states no strength."""
    return DesignError(
        f"stratum {name!r} states no strength: give friction_angle, cohesion or "
        "undrained_strength (rock: of the rock mass)",
        where,
    )


def conditions(ground: Profile, z1: float, z2: float) -> tuple[Condition, ...]:
    """Return the conditions to be tried between two depths."""
    found: list[Condition] = []
    layers = [layer for layer, _, _ in ground.layers_between(z1, z2)]
    if any(layer.su is not None and layer.kind != "granular" for layer in layers):
        found.append("undrained")
    if not found or any(_both(layer) for layer in layers):
        found.append("drained")
    return tuple(found)


def _both(layer: Layer) -> bool:
    return layer.su is not None and (layer.phi is not None or layer.c > 0.0)


def is_undrained(layer: Layer, condition: Condition) -> bool:
    """Say whether a layer acts by its undrained strength in a condition."""
    return layer.su is not None and acts_undrained(layer, condition)


def levels(
    ground: Profile,
    z1: float,
    z2: float,
    *,
    dug_to: float,
    surcharge: float = 0.0,
    toe: float | None = None,
) -> tuple[Level, ...]:
    """Return depths from z1 to z2, no farther apart than STEP, with the stresses of both sides.

    A boundary appears twice, once for the layer on each side of it. toe: depth around which water
    seeps; None, or no seepage in the ground: water at rest.
    """
    water = WaterState(ground, toe, bed=dug_to) if toe is not None and seeps(ground) else None
    marks = sorted({*ground.boundaries(z1, z2), *((dug_to,) if z1 < dug_to < z2 else ())})
    found: list[Level] = []
    for a, b in pairwise(marks):
        if b - a < 1e-9:
            continue
        layer = ground.layer_at(0.5 * (a + b))
        ends = [_stresses(ground, water, z, a, b, dug_to, surcharge) for z in (a, b)]
        pieces = max(1, int((b - a) / STEP + 0.999999))
        for i in range(pieces + 1):
            t = i / pieces
            r, ur, c, uc = (p + (q - p) * t for p, q in zip(*ends, strict=True))
            z = a + (b - a) * t
            found.append(Level(z, z - dug_to, layer, r, ur, c, uc))
    return tuple(found)


def seeps(ground: Profile) -> bool:
    """Say whether water flows around the toe, from a higher level behind to a lower in front."""
    return ground.flow == "seepage" and ground.water < ground.water_cut < inf


def _stresses(
    ground: Profile,
    water: WaterState | None,
    z: float,
    a: float,
    b: float,
    dug_to: float,
    surcharge: float,
) -> tuple[float, float, float, float]:
    """Return retained, u_retained, cut, u_cut at an end z of the piece a..b."""
    inside = z + 1e-9 if z == a else z - 1e-9
    if water is None:
        u, u_cut = ground.hydrostatic(inside), ground.hydrostatic(z, side="cut")
    else:
        u, u_cut = water.pressure(inside), water.pressure(z, "cut")
    cut = 0.0 if b <= dug_to + 1e-9 else ground.total_stress(z, side="cut", dug_to=dug_to)
    return ground.total_stress(z) + surcharge, u, cut, u_cut


@dataclass(frozen=True, slots=True)
class Sums:
    """Running area and first moment about z = 0 of an ordinate given at depths, by straight pieces."""

    z: tuple[float, ...]
    p: tuple[float, ...]
    area: tuple[float, ...]
    moment: tuple[float, ...]

    @classmethod
    def of(cls, z: Sequence[float], p: Sequence[float]) -> Sums:
        """Accumulate ordinates p at depths z (not falling)."""
        area, moment = [0.0], [0.0]
        for i in range(1, len(z)):
            h = z[i] - z[i - 1]
            area.append(area[-1] + 0.5 * h * (p[i - 1] + p[i]))
            moment.append(
                moment[-1]
                + h / 6 * (p[i - 1] * (2 * z[i - 1] + z[i]) + p[i] * (z[i - 1] + 2 * z[i]))
            )
        return cls(tuple(z), tuple(p), tuple(area), tuple(moment))

    def to(self, depth: float) -> tuple[float, float]:
        """Return the area above a depth and its first moment about z = 0."""
        i = min(max(bisect_right(self.z, depth) - 1, 0), len(self.z) - 1)
        if i == len(self.z) - 1 or depth <= self.z[i]:
            return self.area[i], self.moment[i]
        h = depth - self.z[i]
        pa = self.p[i]
        pb = pa + (self.p[i + 1] - pa) * h / (self.z[i + 1] - self.z[i])
        return (
            self.area[i] + 0.5 * h * (pa + pb),
            self.moment[i] + h / 6 * (pa * (2 * self.z[i] + depth) + pb * (self.z[i] + 2 * depth)),
        )

    def about(self, depth: float, pivot: float) -> float:
        """Return the moment about `pivot` of the area above `depth`; positive below the pivot."""
        area, moment = self.to(depth)
        return moment - area * pivot


def first_at_least(
    f: Callable[[float], float], wanted: float, low: float, high: float, step: float
) -> tuple[float, float, int]:
    """Return the least x in low..high where f(x) reaches `wanted`, the residual, and the halvings.

    Marches by `step` to the first interval that holds it, then halves that. x is inf where f
    never gets there.
    """
    a = low
    if f(a) >= wanted:
        return a, f(a) - wanted, 0
    while a < high:
        b = min(a + step, high)
        if f(b) >= wanted:
            halvings = 0
            while b - a > 1e-6:
                middle = 0.5 * (a + b)
                a, b = (a, middle) if f(middle) >= wanted else (middle, b)
                halvings += 1
            return b, f(b) - wanted, halvings
        a = b
    return inf, f(high) - wanted, 0


def drained_strength(layer: Layer) -> tuple[float, float]:
    """Return phi (rad) and c (kPa) of a layer by effective stresses."""
    return layer.phi or 0.0, layer.c
