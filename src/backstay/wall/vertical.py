"""Vertical load on the wall, and what carries it below subgrade.

Inclined anchors push the wall down; pile, concrete and lagging add their weight. Shaft and tip
below subgrade carry all of it; friction between the wall and the retained ground above subgrade
is left out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, inf, pi
from typing import Literal

from backstay.basis import Basis
from backstay.checks import Check
from backstay.cite import STATICS
from backstay.ground import Layer, Profile
from backstay.pressure.water import WaterState
from backstay.quantity import QUANTITIES, Force, ForcePerLength, Length, Stress
from backstay.trace import Step, formula, heading, remark, state, trace, untraced
from backstay.wall.axial import (
    P_ATM,
    allowable_axial,
    alpha_driven,
    beta_drilled,
    beta_drilled_loose,
    beta_driven,
    shaft_alpha,
    shaft_beta,
    shaft_rock,
    tip_clay,
    tip_load,
    tip_rock,
    tip_sand_drilled,
    tip_sand_driven,
    tip_shallow,
)
from backstay.wall.limits import ONE_METRE, Sums, first_at_least, is_undrained, seeps

ALPHA_DRILLED = 0.55
STEP = 0.25


@dataclass(frozen=True, slots=True)
class Shaft:
    """The pile as the ground below subgrade sees it.

    width: diameter of the hole, or the flange width of a driven pile (m); perimeter: that bears
    on the ground (m; the box perimeter of a driven section); tip_area: m2; weight: of pile and
    filling, kN per metre.
    """

    installation: Literal["driven", "drilled"]
    width: float
    perimeter: float
    tip_area: float
    weight: float


@dataclass(frozen=True, slots=True)
class VerticalDesign:
    """Vertical load per pile (per metre for a continuous wall), kN; lengths in m.

    embedment_required: inf where no embedment within reach suffices.
    """

    demand: float
    shaft: float
    tip: float
    capacity: float
    embedment: float
    embedment_required: float
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


@formula("Q", STATICS)
def vertical_demand(
    V: ForcePerLength, s: Length, w_pile: ForcePerLength, L: Length, w_face: Stress, H: Length
) -> Force:
    """Vertical load per pile.

    V: vertical components of all anchors, per metre of wall
    s: spacing of piles
    w_pile: weight of the pile and its filling per length
    L: length of the pile
    w_face: weight of the facing per area
    H: height of the cut
    """
    return V * s + w_pile * L + w_face * H * s


def drilled_shaft(diameter: float, weight: float) -> Shaft:
    """Return the shaft of a pile in a drilled, filled hole; weight: kN/m."""
    return Shaft("drilled", diameter, pi * diameter, pi * diameter**2 / 4, weight)


def driven_shaft(depth: float, flange: float, weight: float) -> Shaft:
    """Return the shaft of a driven I section: box perimeter and box area; weight: kN/m."""
    return Shaft("driven", flange, 2 * (depth + flange), depth * flange, weight)


def design_vertical(
    ground: Profile,
    *,
    shaft: Shaft,
    embedment: float,
    spacing: float,
    anchor_vertical: float,
    facing_weight: float,
    basis: Basis,
    of: Literal["pile", "wall"] = "pile",
) -> VerticalDesign:
    """Check the vertical capacity of the wall below subgrade.

    shaft: the pile; embedment: below subgrade (m); spacing: of piles (m; 1 for a continuous
    wall); anchor_vertical: vertical components of all rows, kN per metre of wall; facing_weight:
    of lagging or facing, kPa of wall face; of: whether a pile or a metre of wall is checked.
    """
    H = ground.H
    FS = basis.axial_safety.value

    def demand(D: float) -> float:
        return vertical_demand(anchor_vertical, spacing, shaft.weight, H + D, facing_weight, H)

    with untraced():
        needed, residual, halvings = _required(ground, shaft, embedment, FS, demand)
        sums = _shaft_sums(ground, shaft, embedment, H + embedment)
    with trace() as t:
        heading("Vertical capacity below subgrade")
        remark("Friction on the wall above subgrade is left out.")
        if of == "wall":
            remark(ONE_METRE)
        Q = demand(embedment)
        state("D", "Embedment below subgrade", embedment, "length", method="as for the toe")
        state("perimeter", "Perimeter that bears on the ground", shaft.perimeter, "length",
              method="round the hole, or the box round the steel")  # fmt: skip
        for layer, a, b in ground.layers_between(H, H + embedment):
            remark(
                f"{layer.name}, middle of the layer, {{length:{0.5 * (a + b) - H:.4f}}} below subgrade."
            )
            unit_shaft(ground, shaft, layer, 0.5 * (a + b), H + embedment)
        Q_s = state(
            "Q_s", "Shaft resistance", sums.to(H + embedment)[0], "force",
            method="perimeter times unit resistance, added up along the embedment by straight pieces",
        )  # fmt: skip
        Q_t = tip_load(shaft.tip_area, unit_tip(ground, shaft, H + embedment))
        Q_all = allowable_axial(Q_s, Q_t, FS)
        state(
            "D_req", "Embedment that the vertical load needs", needed, "length",
            method=f"bisection, {halvings} halvings, residual {{force:{residual:.3g}}}"
            if needed < inf else "not found within the depth searched",
        )  # fmt: skip
    remedy, check_fails = "", Q_all < Q
    if check_fails:
        remedy = (
            f"needs an embedment of {{length:{needed:.4f}}} below subgrade"
            if needed < inf
            else "no embedment within reach carries it: flatter anchors, a wider hole, or a tip in "
            "stronger ground (a stratum without strength or SPT values carries nothing here)"
        )
    check = Check(
        "wall.vertical-capacity", f"vertical load on the {of}", Q, Q_all,
        QUANTITIES["force" if of == "pile" else "force per length"],
        basis.axial_safety.cite, steps=t.steps, remedy=remedy,
    )  # fmt: skip
    return VerticalDesign(Q, Q_s, Q_t, Q_all, embedment, needed, (check,), t.steps)


def _required(
    ground: Profile, shaft: Shaft, embedment: float, FS: float, demand: Callable[[float], float]
) -> tuple[float, float, int]:
    result = (inf, 0.0, 0)
    for reach in (max(embedment, 3.0), max(2.0 * embedment, ground.H), max(4 * embedment, 25.0)):
        sums = _shaft_sums(ground, shaft, reach, ground.H + embedment)

        def spare(D: float, sums: Sums = sums) -> float:
            carried = sums.to(ground.H + D)[0] + shaft.tip_area * unit_tip(
                ground, shaft, ground.H + D
            )
            return carried - FS * demand(D)

        result = first_at_least(spare, 0.0, 0.0, reach, 2 * STEP)
        if result[0] < inf:
            break
    return result


def _shaft_sums(ground: Profile, shaft: Shaft, embedment: float, toe: float) -> Sums:
    z: list[float] = []
    p: list[float] = []
    for layer, a, b in ground.layers_between(ground.H, ground.H + embedment):
        pieces = max(1, ceil((b - a) / STEP - 1e-6))
        for i in range(pieces + 1):
            depth = a + (b - a) * i / pieces
            z.append(depth)
            p.append(shaft.perimeter * unit_shaft(ground, shaft, layer, depth, toe))
    return Sums.of(z, p) if z else Sums.of((ground.H,), (0.0,))


def effective_in_front(ground: Profile, z: float, toe: float) -> float:
    """Return the vertical effective stress in front of the wall at depth z (kPa).

    toe: depth around which water seeps, where it does; rising water takes weight off the ground.
    """
    if seeps(ground):
        u = WaterState(ground, toe, bed=ground.H).pressure(z, "cut")
    else:
        u = ground.hydrostatic(z, side="cut")
    return max(0.0, ground.total_stress(z, side="cut") - u)


def unit_shaft(ground: Profile, shaft: Shaft, layer: Layer, z: float, toe: float) -> float:
    """Return the unit shaft resistance at depth z in a layer (kPa); nil where nothing is known.

    toe: depth of the toe (m), around which water may seep.
    """
    x = z - ground.H
    effective = effective_in_front(ground, z, toe)
    if layer.kind == "rock":
        return shaft_rock(2 * layer.su_at(z), P_ATM) if layer.su is not None else 0.0
    if is_undrained(layer, "undrained"):
        su = layer.su_at(z)
        if shaft.installation == "drilled":
            return shaft_alpha(ALPHA_DRILLED, su)
        return shaft_alpha(alpha_driven(su, effective), su) if effective > 0.0 else 0.0
    if layer.phi is None:
        return 0.0
    N = layer.stratum.spt_n
    if shaft.installation == "driven" or layer.kind != "granular":
        return shaft_beta(beta_driven(layer.phi), effective)
    if N is not None and N < 15:
        return shaft_beta(beta_drilled_loose(x, N), effective)
    return shaft_beta(beta_drilled(x), effective)


def unit_tip(ground: Profile, shaft: Shaft, z: float) -> float:
    """Return the unit tip resistance at depth z (kPa); nil where nothing is known."""
    x = z - ground.H
    layer = ground.layer_at(z)
    if layer.kind == "rock":
        return tip_rock(2 * layer.su_at(z)) if layer.su is not None else 0.0
    if is_undrained(layer, "undrained"):
        return tip_clay(layer.su_at(z), x, shaft.width)
    N = layer.stratum.spt_n
    if layer.kind != "granular" or N is None:
        return 0.0
    if shaft.installation == "drilled":
        full = tip_sand_drilled(N)
        return full if x >= 2 * shaft.width else tip_shallow(full, x, shaft.width)
    return tip_sand_driven(N, x, shaft.width)
