"""Averages over the height that loads the wall: unit weight, friction, undrained strength.

The published envelopes are written for one ground. Over several layers they take averages by
thickness; each average is built layer by layer, so that every line can be followed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from backstay.cite import Citation, common_practice
from backstay.errors import DesignError
from backstay.ground import Layer, Profile
from backstay.quantity import Angle, ForcePerLength, Length, Stress, UnitWeight
from backstay.trace import formula, remark, state

PorePressure = Callable[[float], float]
"""Pore pressure behind the wall (kPa) by depth (m)."""

CLAYS = ("stiff clay", "soft clay")
_BY_THICKNESS = common_practice("average by thickness")
_STRESS = Citation("effective stress principle", "", "formula")


@formula("gamma_avg", _BY_THICKNESS)
def average_with_weight(
    gamma_above: UnitWeight, h_above: Length, gamma: UnitWeight, h: Length
) -> UnitWeight:
    """Average unit weight, one layer more.

    gamma_above: average of the layers above
    h_above: their thickness
    gamma: unit weight of this layer, saturated below water
    h: its thickness
    """
    return (gamma_above * h_above + gamma * h) / (h_above + h)


@formula("phi_avg", _BY_THICKNESS)
def average_with_friction(phi_above: Angle, h_above: Length, phi: Angle, h: Length) -> Angle:
    """Average angle of friction, one layer more.

    phi_above: average of the layers above
    h_above: their thickness
    phi: angle of friction of this layer
    h: its thickness
    """
    return (phi_above * h_above + phi * h) / (h_above + h)


@formula("s_u_avg", _BY_THICKNESS)
def average_with_strength(su_above: Stress, h_above: Length, su: Stress, h: Length) -> Stress:
    """Average undrained strength, one layer more.

    su_above: average of the clays above
    h_above: their thickness
    su: undrained strength of this layer at its middle
    h: its thickness
    """
    return (su_above * h_above + su * h) / (h_above + h)


@formula("sigma_v_prime", _STRESS)
def effective_stress(sigma_v: Stress, u: Stress) -> Stress:
    """Vertical effective stress.

    sigma_v: vertical total stress
    u: pore pressure
    """
    return sigma_v - u


@formula("V", Citation("integration", "trapezoid of each layer, exact", "formula"))
def effective_area(
    V_above: ForcePerLength, sigma_top: Stress, sigma_base: Stress, h: Length
) -> ForcePerLength:
    """Area of the diagram of vertical effective stress, one layer more.

    V_above: area above
    sigma_top: vertical effective stress at the top of the layer
    sigma_base: the same at its base
    h: its thickness
    """
    return V_above + (sigma_top + sigma_base) / 2 * h


@formula("gamma_e", Citation("equal area of vertical effective stress", "", "formula"))
def equivalent_unit_weight(V: ForcePerLength, H: Length) -> UnitWeight:
    """Effective unit weight: of dry, uniform ground with the same area of vertical effective stress.

    V: area of the diagram of vertical effective stress over H
    H: height
    """
    return 2 * V / H**2


@dataclass(frozen=True, slots=True)
class _Slice:
    """A part of one layer on one side of the water table."""

    layer: Layer
    top: float
    bottom: float
    wet: bool

    @property
    def gamma(self) -> float:
        return self.layer.gamma_sat if self.wet else self.layer.gamma


def _slices(ground: Profile, height: float) -> Iterator[_Slice]:
    marks = ground.boundaries(0.0, height)
    for a, b in pairwise(marks):
        middle = 0.5 * (a + b)
        yield _Slice(ground.layer_at(middle), a, b, ground.hydrostatic(middle) > 0.0)


def average_unit_weight(ground: Profile, height: float) -> float:
    """Return the average total unit weight over 0..height (kN/m3), saturated below water."""
    average, thickness = 0.0, 0.0
    for s in _slices(ground, height):
        h = s.bottom - s.top
        gamma = state(
            "gamma", f"Unit weight of {s.layer.name}, {'saturated' if s.wet else 'moist'}",
            s.gamma, "unit weight", method=f"over {{length:{h:.6g}}}",
        )  # fmt: skip
        average = average_with_weight(average, thickness, gamma, h) if thickness else gamma
        thickness += h
    return average


def average_friction(ground: Profile, height: float) -> float:
    """Return the average effective angle of friction over 0..height (rad).

    Raise DesignError naming the first stratum that has none.
    """
    average, thickness = 0.0, 0.0
    for layer, a, b in ground.layers_between(0.0, height):
        if layer.phi is None:
            raise DesignError(
                "no angle of friction is given (friction_angle), and the envelope needs one",
                f"stratum {layer.name}",
            )
        phi = state(
            "phi", f"Effective angle of friction of {layer.name}", layer.phi, "angle",
            method=f"over {{length:{b - a:.6g}}}",
        )  # fmt: skip
        average = average_with_friction(average, thickness, phi, b - a) if thickness else phi
        thickness += b - a
    return average


def average_strength(ground: Profile, z1: float, z2: float) -> float:
    """Return the average undrained strength of the clays in z1..z2 (kPa).

    Raise DesignError naming a clay without undrained strength, or where there is no clay.
    """
    average, thickness = 0.0, 0.0
    for layer, a, b in ground.layers_between(z1, z2):
        if layer.kind not in CLAYS:
            continue
        if layer.su is None:
            raise DesignError(
                "no undrained strength is given (undrained_strength), and the clay envelopes"
                " need one",
                f"stratum {layer.name}",
            )
        su = state(
            "s_u", f"Undrained strength of {layer.name} at the middle of its height there",
            layer.su_at(0.5 * (a + b)), "stress", method=f"over {{length:{b - a:.6g}}}",
        )  # fmt: skip
        average = average_with_strength(average, thickness, su, b - a) if thickness else su
        thickness += b - a
    if thickness == 0.0:
        raise DesignError("there is no clay in the height that loads the wall", "clay envelope")
    return average


def effective_unit_weight(
    ground: Profile, height: float, pore: PorePressure | None = None
) -> float:
    """Return the unit weight that gives the vertical effective force of 0..height (kN/m3).

    pore: pore pressure by depth; default the water at rest. In dry uniform ground this is the
    moist unit weight.
    """
    u = pore or ground.hydrostatic
    slices = list(_slices(ground, height))
    if len(slices) == 1 and not slices[0].wet:
        return average_unit_weight(ground, height)
    remark(
        "Below water the effective stress counts (buoyant weight); the water itself is a diagram of"
        " its own."
    )
    area = 0.0
    for s in slices:
        top, base = (
            effective_stress(ground.total_stress(z), _limit(u, s.top, s.bottom, z == s.bottom))
            for z in (s.top, s.bottom)
        )
        area = effective_area(area, top, base, s.bottom - s.top)
    return equivalent_unit_weight(area, height)


def _limit(u: PorePressure, top: float, bottom: float, at_bottom: bool) -> float:
    """Return the pore pressure at the end of a slice as seen from inside it.

    Perched water ends with a jump at its base, so the end is reached along the straight line
    through two inner points.
    """
    first, second = u(top + 0.25 * (bottom - top)), u(top + 0.75 * (bottom - top))
    return max(0.0, 1.5 * second - 0.5 * first if at_bottom else 1.5 * first - 0.5 * second)
