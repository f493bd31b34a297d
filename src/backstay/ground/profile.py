"""The ground at one design section, by depth: layers, stresses, water.

Depth z is measured from the top of wall (the ground at the wall), positive down. The retained
side starts at z = 0, the cut side at the level dug to. Vertical stresses are those of level
ground at the wall; sloping ground enters through the wedge and the pressure coefficients.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from math import inf
from typing import Literal

from backstay.model.ground import GroundKind, Stratum, UndrainedStrength
from backstay.model.project import Section

GAMMA_W = 9.81
"""Unit weight of water, kN/m3."""

Side = Literal["retained", "cut"]


@dataclass(frozen=True, slots=True)
class Layer:
    """One stratum by depth (m). su is the undrained strength at its top, su_gradient per metre.

    phi, c: drained; su: None where the layer has no undrained strength (granular, rock);
    phi: None where no drained strength was given.
    """

    name: str
    kind: GroundKind
    top: float
    bottom: float
    gamma: float
    gamma_sat: float
    phi: float | None
    c: float
    su: float | None
    su_gradient: float
    wall_friction_ratio: float
    stratum: Stratum

    def su_at(self, z: float) -> float:
        """Return the undrained strength at depth z (kPa); raise ValueError if it has none."""
        if self.su is None:
            raise ValueError(f"stratum {self.name!r} has no undrained strength")
        return self.su + self.su_gradient * (z - self.top)


@dataclass(frozen=True, slots=True)
class Profile:
    """Layers and water at one section.

    H: height of cut (m); water: depth of the water table behind the wall, or inf; water_cut:
    depth of the water in the cut (not above subgrade unless flooded), or inf; slope: of the
    ground behind (rad); surface: points (x behind the wall, z) of the retained ground, from
    (0, 0) outward and level beyond the last; perched: (level, base) depths.
    """

    H: float
    layers: tuple[Layer, ...]
    water: float
    water_cut: float
    flow: Literal["hydrostatic", "seepage"]
    slope: float
    surface: tuple[tuple[float, float], ...]
    perched: tuple[tuple[float, float], ...]

    def layer_at(self, z: float) -> Layer:
        """Return the layer at depth z; at a boundary, the layer below it."""
        tops = [layer.top for layer in self.layers]
        return self.layers[max(0, bisect_right(tops, z + 1e-9) - 1)]

    def layers_between(self, z1: float, z2: float) -> tuple[tuple[Layer, float, float], ...]:
        """Return (layer, from, to) for each layer that crosses z1..z2."""
        return tuple(
            (layer, max(layer.top, z1), min(layer.bottom, z2))
            for layer in self.layers
            if min(layer.bottom, z2) - max(layer.top, z1) > 1e-9
        )

    def boundaries(self, z1: float, z2: float) -> list[float]:
        """Return the depths in z1..z2 where stresses change slope: layers and water levels."""
        marks = {z1, z2, *(layer.top for layer in self.layers), self.water, self.water_cut}
        marks |= {z for pair in self.perched for z in pair}
        return sorted(z for z in marks if z1 <= z <= z2 and z != inf)

    def total_stress(
        self, z: float, *, side: Side = "retained", dug_to: float | None = None
    ) -> float:
        """Return the total vertical stress at depth z (kPa) from the ground's own weight.

        On the cut side the surface is `dug_to` (default subgrade); water standing above it
        counts.
        """
        start = 0.0 if side == "retained" else (self.H if dug_to is None else dug_to)
        water = self.water if side == "retained" else self.water_cut
        stress = max(0.0, GAMMA_W * (min(z, start) - water)) if water < start else 0.0
        for layer, a, b in self.layers_between(start, z):
            wet = max(0.0, b - max(a, water))
            wet += (
                sum(max(0.0, min(b, base, water) - max(a, level)) for level, base in self.perched)
                if side == "retained"
                else 0.0
            )
            stress += layer.gamma * (b - a - wet) + layer.gamma_sat * wet
        return stress

    def hydrostatic(self, z: float, *, side: Side = "retained") -> float:
        """Return the pore pressure at depth z with water at rest, perched water included (kPa)."""
        water = self.water if side == "retained" else self.water_cut
        pressure = max(0.0, GAMMA_W * (z - water)) if water < inf else 0.0
        if side == "retained":
            for level, base in self.perched:
                if level < z <= base:
                    pressure = max(pressure, GAMMA_W * (z - level))
        return pressure


def profile(section: Section) -> Profile:
    """Return the ground profile of a design section."""
    strata = section.ground.strata
    depth = section.depth
    layers = []
    for i, s in enumerate(strata):
        last = i + 1 == len(strata)
        bottom = inf if last else depth(strata[i + 1].top)
        su, gradient = _undrained(s)
        layers.append(
            Layer(
                s.name, s.kind, depth(s.top), bottom, s.moist_unit_weight, s.saturated_unit_weight,
                s.friction_angle, s.cohesion, su, gradient, s.wall_friction_ratio, s,
            )
        )  # fmt: skip
    H = section.height
    water = section.ground.water
    retained = inf if water.retained is None else depth(water.retained)
    if water.cut is not None:
        cut = depth(water.cut)
    else:
        cut = inf if retained == inf else max(H, retained)
    return Profile(
        H, tuple(layers), retained, cut, water.flow, section.ground.slope, _surface(section),
        tuple((depth(p.level), depth(p.base)) for p in water.perched),
    )  # fmt: skip


def _undrained(stratum: Stratum) -> tuple[float | None, float]:
    given = stratum.undrained_strength
    if isinstance(given, UndrainedStrength):
        return given.at_top, given.gradient
    return given, 0.0


def _surface(section: Section) -> tuple[tuple[float, float], ...]:
    points = [(p.distance, section.depth(p.elevation)) for p in section.ground.profile]
    if not points or points[0][0] > 0.0:
        points.insert(0, (0.0, 0.0))
    return tuple(points)
