"""Water on the wall: at rest, perched, or seeping around the toe."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.ground import GAMMA_W, Profile, Side
from backstay.pressure.diagram import Diagram
from backstay.quantity import Length, Ratio, Stress, UnitWeight
from backstay.trace import formula, remark, untraced

HYDROSTATICS = Citation("hydrostatics", "", "formula")
LINEAR_LOSS = Citation(
    "Terzaghi 1943", "head lost evenly along the flow path around the toe", "formula"
)


@formula("i", LINEAR_LOSS)
def mean_gradient(z_w: Length, z_j: Length, z_t: Length) -> Ratio:
    """Mean hydraulic gradient along the wall, down behind it and up in front.

    z_w: depth of water behind; z_j: depth of water in the cut; z_t: depth of toe
    """
    if z_t <= z_j or z_t <= z_w:
        raise DesignError("the toe does not reach below the water on both sides", "water")
    return (z_j - z_w) / (2 * z_t - z_w - z_j)


@formula("i", LINEAR_LOSS)
def flooded_gradient(z_w: Length, z_j: Length, z_s: Length, z_t: Length) -> Ratio:
    """Mean hydraulic gradient along the wall where water stands above the ground in the cut.

    z_w: depth of water behind; z_j: depth of water in the cut
    z_s: depth of the ground in the cut; z_t: depth of toe
    """
    if z_t <= z_s or z_t <= z_w:
        raise DesignError("the toe does not reach below the ground and water", "water")
    return (z_j - z_w) / (2 * z_t - z_w - z_s)


@formula("u", HYDROSTATICS)
def pressure_at_rest(gamma_w: UnitWeight, z: Length, z_w: Length) -> Stress:
    """Pore pressure of water at rest.

    gamma_w: unit weight of water; z: depth; z_w: depth of the water level
    """
    return gamma_w * max(z - z_w, 0)


@formula("u_r", LINEAR_LOSS)
def pressure_of_descending_flow(gamma_w: UnitWeight, z: Length, z_w: Length, i: Ratio) -> Stress:
    """Pore pressure behind the wall where water seeps down it.

    gamma_w: unit weight of water; z: depth; z_w: depth of water behind; i: mean gradient
    """
    return gamma_w * max(z - z_w, 0) * (1 - i)


@formula("u_c", LINEAR_LOSS)
def pressure_of_ascending_flow(
    gamma_w: UnitWeight, z: Length, z_j: Length, z_s: Length, i: Ratio
) -> Stress:
    """Pore pressure in front of the wall where water rises to the cut.

    gamma_w: unit weight of water; z: depth; z_j: depth of water in the cut
    z_s: depth where the water leaves the ground; i: mean gradient
    """
    return gamma_w * (max(z - z_j, 0) + i * max(z - z_s, 0))


@formula("i_cr", Citation("Terzaghi 1922", "", "formula"))
def critical_gradient(gamma_sat: UnitWeight, gamma_w: UnitWeight) -> Ratio:
    """Gradient at which rising water carries the ground.

    gamma_sat: saturated unit weight; gamma_w: unit weight of water
    """
    return (gamma_sat - gamma_w) / gamma_w


@dataclass(frozen=True, slots=True)
class WaterState:
    """Pore pressure on both sides, for a given depth of toe where the water seeps.

    toe: depth (m), None where water is at rest; bed: depth of the ground in the cut, which
    matters where the cut is flooded: head is lost in the ground alone. None: not flooded.
    """

    ground: Profile
    toe: float | None
    bed: float | None = None

    @property
    def leaves(self) -> float:
        """Return the depth where water leaves the ground in the cut: the bed, or its own level."""
        bed = self.ground.water_cut if self.bed is None else self.bed
        return max(bed, self.ground.water_cut)

    def gradient(self) -> float:
        """Return the mean gradient along the wall; 0 where water is at rest."""
        g = self.ground
        if (
            g.flow == "hydrostatic"
            or g.water == inf
            or g.water_cut == inf
            or g.water_cut <= g.water
        ):
            return 0.0
        if self.toe is None:
            raise DesignError("seepage around the toe needs the depth of the toe", "water")
        if self.leaves > g.water_cut:
            return flooded_gradient(g.water, g.water_cut, self.leaves, self.toe)
        return mean_gradient(g.water, g.water_cut, self.toe)

    def pressure(self, z: float, side: Side = "retained") -> float:
        """Return the pore pressure at depth z on a side (kPa), perched water included behind."""
        g = self.ground
        i = self.gradient()
        if side == "cut":
            if g.water_cut == inf:
                return 0.0
            return pressure_of_ascending_flow(GAMMA_W, z, g.water_cut, self.leaves, i)
        if g.water == inf:
            general = 0.0
        elif i:
            general = pressure_of_descending_flow(GAMMA_W, z, g.water, i)
        else:
            general = pressure_at_rest(GAMMA_W, z, g.water)
        perched = [GAMMA_W * (z - level) for level, base in g.perched if level < z <= base]
        return max(general, *perched, 0.0)


def net_water_diagram(
    ground: Profile, *, toe: float | None = None, to: float | None = None
) -> Diagram | None:
    """Return the water pressure behind the wall less that in front, from the top down to `to`.

    to: depth (m), default subgrade H. None where no water acts above it.

    Raises DesignError where water seeps and the toe is not given.
    """
    bottom = ground.H if to is None else to
    top = min(ground.water, *(level for level, _ in ground.perched), inf)
    if top >= bottom:
        return None
    water = WaterState(ground, toe, bed=ground.H)
    bases = {base for _, base in ground.perched}
    marks = {*ground.boundaries(0.0, bottom), *(z for z in (water.leaves,) if z < bottom)}
    z: list[float] = []
    p: list[float] = []
    with untraced():
        for mark in sorted(m for m in marks if m >= top):
            z.append(mark)
            p.append(water.pressure(mark) - water.pressure(mark, "cut"))
            if mark in bases and mark < bottom:  # perched water ends with a jump
                z.append(mark)
                p.append(water.pressure(mark + 1e-9) - water.pressure(mark, "cut"))
        i = water.gradient()
    if all(value == 0.0 for value in p):
        return None
    if ground.water < bottom:
        if i:
            water.gradient()
            pressure_of_descending_flow(GAMMA_W, bottom, ground.water, i)
        else:
            pressure_at_rest(GAMMA_W, bottom, ground.water)
    remark("Water pressure behind the wall less that in front, linear between levels.")
    return Diagram("Water", tuple(z), tuple(p))
