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
        raise ValueError("the toe does not reach below the water on both sides")
    return (z_j - z_w) / (2 * z_t - z_w - z_j)


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
def pressure_of_ascending_flow(gamma_w: UnitWeight, z: Length, z_j: Length, i: Ratio) -> Stress:
    """Pore pressure in front of the wall where water rises to the cut.

    gamma_w: unit weight of water; z: depth; z_j: depth of water in the cut; i: mean gradient
    """
    return gamma_w * max(z - z_j, 0) * (1 + i)


@formula("i_cr", Citation("Terzaghi 1922", "", "formula"))
def critical_gradient(gamma_sat: UnitWeight, gamma_w: UnitWeight) -> Ratio:
    """Gradient at which rising water carries the ground.

    gamma_sat: saturated unit weight; gamma_w: unit weight of water
    """
    return (gamma_sat - gamma_w) / gamma_w


@dataclass(frozen=True, slots=True)
class WaterState:
    """Pore pressure on both sides, for a given depth of toe where the water seeps."""

    ground: Profile
    toe: float | None

    def gradient(self) -> float:
        """Return the mean gradient along the wall; 0 where water is at rest."""
        g = self.ground
        if g.flow == "hydrostatic" or g.water == inf or g.water_cut == inf or g.water_cut <= g.water:
            return 0.0
        if self.toe is None:
            raise DesignError("seepage around the toe needs the depth of the toe", "water")
        try:
            return mean_gradient(g.water, g.water_cut, self.toe)
        except ValueError as error:
            raise DesignError(str(error), "water") from error

    def pressure(self, z: float, side: Side = "retained") -> float:
        """Return the pore pressure at depth z on a side (kPa), perched water included behind."""
        g = self.ground
        i = self.gradient()
        if side == "cut":
            return 0.0 if g.water_cut == inf else pressure_of_ascending_flow(GAMMA_W, z, g.water_cut, i)
        general = 0.0 if g.water == inf else pressure_of_descending_flow(GAMMA_W, z, g.water, i)
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
    state = WaterState(ground, toe)
    marks = [z for z in ground.boundaries(0.0, bottom) if z >= min(ground.water, _perched_top(ground))]
    if not marks or marks[-1] <= min(ground.water, _perched_top(ground)):
        return None
    z: list[float] = []
    p: list[float] = []
    bases = {base for _, base in ground.perched}
    with untraced():
        for mark in marks:
            value = state.pressure(mark) - _front(state, mark)
            z.append(mark)
            p.append(value)
            if mark in bases:
                z.append(mark)
                p.append(state.pressure(mark + 1e-9) - _front(state, mark))
    if all(value == 0.0 for value in p):
        return None
    i = state.gradient()
    if ground.water < bottom:
        if i:
            pressure_of_descending_flow(GAMMA_W, bottom, ground.water, i)
        else:
            pressure_at_rest(GAMMA_W, bottom, ground.water)
        remark("Water pressure behind the wall less that in front, linear between levels.")
    return Diagram("Water", tuple(z), tuple(p))


def _front(state: WaterState, z: float) -> float:
    """Return the water pressure in front of the wall: in the open cut as well, if flooded."""
    return state.pressure(z, "cut")


def _perched_top(ground: Profile) -> float:
    return min((level for level, _ in ground.perched), default=inf)
