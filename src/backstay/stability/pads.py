"""Bearing pads on the face of a slope: ground under the pad, and the concrete of the pad.

The pad lies on the face and the anchor pulls it against the ground. Seen square to the face the
ground is level: cohesion carries in full, the weight only with its part square to the face less
what the slope itself uses up; the load off the normal lowers both. The pad is a square of reinforced concrete loaded by the plate in its middle, designed by statics for punching
and bending under the test load, the greatest it sees.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, cos, exp, pi, sqrt, tan

from backstay.checks import Check, safety_check
from backstay.cite import STATICS, Citation, common_practice
from backstay.model.slope_face import Seat
from backstay.quantity import (
    QUANTITIES,
    Angle,
    Force,
    Length,
    MomentPerLength,
    Ratio,
    SectionAreaPerLength,
    Strength,
    Stress,
    UnitWeight,
)
from backstay.trace import formula, heading, remark, state, trace

VESIC = Citation(
    "Vesic 1973; Meyerhof 1963", "bearing capacity, square; factors of an inclined load", "memory"
)
ACI = Citation("ACI 318", "two-way shear without shear reinforcement", "memory")
BEARING_SAFETY = 2.5
"""Factor of safety of the ground under a pad at design load."""
BEARING_RULE = common_practice("factor of safety 2.5 on the bearing capacity of pads")
LOAD_FACTOR = 1.6
"""On the greatest load of the anchor, for the concrete (common practice)."""
SHEAR_REDUCTION, BENDING_REDUCTION = 0.75, 0.9
WIDEST = 6.0
"""Side of a pad (m) that is still proposed."""
_FORCE_OF_NOTHING = 1e-9


@formula("N_q", Citation("Reissner 1924", "", "formula"))
def surcharge_factor(phi: Angle) -> Ratio:
    """Bearing capacity factor of surcharge.

    phi: angle of friction
    """
    return exp(pi * tan(phi)) * tan(pi / 4 + phi / 2) ** 2


@formula("N_c", Citation("Prandtl 1921", "", "formula"))
def cohesion_factor(phi: Angle) -> Ratio:
    """Bearing capacity factor of cohesion.

    phi: angle of friction
    """
    if phi <= 0:
        return pi + 2
    else:
        return (surcharge_factor(phi) - 1) / tan(phi)


@formula("N_gamma", VESIC)
def weight_factor(phi: Angle) -> Ratio:
    """Bearing capacity factor of weight.

    phi: angle of friction
    """
    return 2 * (surcharge_factor(phi) + 1) * tan(phi)


@formula("g", STATICS)
def slope_factor(phi: Angle, beta: Angle) -> Ratio:
    """Factor on the weight term of a pad on a slope: square to the face, and what the slope uses up.

    phi: angle of friction; beta: angle of the slope
    """
    if phi <= 0:
        return cos(beta)
    else:
        return cos(beta) * max(1 - tan(beta) / tan(phi), 0)


@formula("q_ult", VESIC)
def pad_bearing(
    c: Stress, gamma: UnitWeight, B: Length, phi: Angle, beta: Angle, delta: Angle
) -> Stress:
    """Bearing capacity under a square pad laid on the face of a slope, without depth.

    c: cohesion, or undrained strength with phi nil; gamma: effective unit weight; B: side
    phi: angle of friction; beta: angle of the slope; delta: of the load from the face's normal
    """
    s_c: Ratio = 1 + surcharge_factor(phi) / cohesion_factor(phi)
    i_c: Ratio = max(1 - delta / (pi / 2), 0) ** 2
    if phi <= 0:
        return c * cohesion_factor(phi) * s_c * i_c
    else:
        i_gamma: Ratio = max(1 - delta / phi, 0) ** 2
        return (
            c * cohesion_factor(phi) * s_c * i_c
            + (3 / 5) * gamma * B / 2 * weight_factor(phi) * slope_factor(phi, beta) * i_gamma
        )


@formula("q", STATICS)
def pad_pressure(P: Force, B: Length) -> Stress:
    """Pressure under a square pad.

    P: anchor load; B: side
    """
    return P / B**2


@formula("i_rel", STATICS)
def load_off_normal(beta: Angle, i: Angle) -> Angle:
    """Angle of the anchor from the normal of the face.

    beta: angle of the slope; i: inclination of the anchor below horizontal
    """
    return abs(pi / 2 - beta - i)


@formula("V_u", STATICS)
def punching_force(P_u: Force, B: Length, a: Length, d: Length) -> Force:
    """Force that punches through the pad around the plate, at half the depth from its edge.

    P_u: factored load; B: side of the pad; a: side of the plate; d: effective depth
    """
    return P_u * (1 - min((a + d) / B, 1) ** 2)


@formula("v_c", ACI, empirical=True)
def punching_strength(f_c: Strength) -> Stress:
    """Two-way shear strength of concrete, kPa.

    f_c: cylinder strength, kPa
    """
    return 0.33 * sqrt(f_c / 1000) * 1000


@formula("V_n", ACI)
def punching_capacity(phi_v: Ratio, v_c: Stress, a: Length, d: Length) -> Force:
    """Punching capacity of the pad.

    phi_v: strength reduction; v_c: shear strength; a: side of the plate; d: effective depth
    """
    return phi_v * v_c * 4 * (a + d) * d


@formula("M_u", STATICS)
def pad_moment(P_u: Force, B: Length, a: Length) -> MomentPerLength:
    """Moment of the pad at the face of the plate, per width.

    P_u: factored load; B: side of the pad; a: side of the plate
    """
    return P_u / B**2 * ((B - a) / 2) ** 2 / 2


@formula("M_n", STATICS)
def pad_moment_capacity(
    phi_b: Ratio, A_s: SectionAreaPerLength, f_y: Strength, f_c: Strength, d: Length
) -> MomentPerLength:
    """Bending capacity of the pad, per width, reinforcement at yield.

    phi_b: strength reduction; A_s: reinforcement per width; f_y: its yield stress
    f_c: cylinder strength of the concrete; d: effective depth
    """
    return phi_b * A_s * f_y * (d - A_s * f_y / (2 * (17 / 20) * f_c))


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """A square pad: side, thickness, effective depth, side of the plate (m), strengths (kPa).

    reinforcement: per width in each direction (m2/m).
    """

    side: float
    thickness: float
    depth: float
    plate: float
    concrete: float
    reinforcement: float
    yield_stress: float


@dataclass(frozen=True, slots=True)
class Under:
    """The ground under a pad: c, or undrained strength with phi nil; effective unit weight."""

    c: float
    phi: float
    gamma: float
    slope: float


def seated(ground: Under, inclination: float, seat: Seat) -> tuple[float, float]:
    """Return the angle of the ground beside the bearing face, and of the load off its normal (rad).

    inclination: of the anchor below horizontal. A face cut square to the anchor takes the load
    square; the ground beside it then falls away at the angle between that face and the slope.
    """
    off = load_off_normal(ground.slope, inclination)
    if seat == "on the face":
        return ground.slope, off
    remark(
        "The bearing face is cut into the slope, square to the anchor; the ground beside it falls away."
    )
    return off, 0.0


def check_pad(
    pad: Pad, ground: Under, *, design_load: float, test_load: float, inclination: float,
    seat: Seat = "on the face", where: str = "",
) -> tuple[Check, ...]:  # fmt: skip
    """Check the ground under a pad, its sliding along the face, its punching and its bending.

    Loads in kN per anchor, inclination of the anchor below horizontal (rad). The side that the
    ground asks for stands in the remedy. A pad square to its anchor does not slide.
    """
    with trace() as t:
        heading("Ground under the pad")
        remark("Without depth of embedment.")
        q = pad_pressure(design_load, pad.side)
        beta, delta = seated(ground, inclination, seat)
        q_ult = pad_bearing(ground.c, ground.gamma, pad.side, ground.phi, beta, delta)
        available = q_ult / q
    bearing = safety_check(
        "slope.pad-bearing", "bearing of the ground under the pad", available, BEARING_SAFETY,
        BEARING_RULE, where=where, steps=t.steps,
        remedy="" if available >= BEARING_SAFETY else _larger(pad, ground, design_load, beta, delta),
    )  # fmt: skip
    sliding = (
        (sliding_check("slope.pad-sliding", ground, off=delta, q=q, where=where),)
        if seat == "on the face"
        else ()
    )
    return (bearing, *sliding, *_concrete(pad, test_load, where))


@formula("delta", STATICS)
def cohesive_limit(c: Stress, q: Stress) -> Angle:
    """Angle off the normal that adhesion holds, half the strength under the pressure.

    c: undrained strength or cohesion; q: pressure
    """
    return atan(c / (2 * q))


def sliding_check(id: str, ground: Under, *, off: float, q: float, where: str) -> Check:
    """Return the check that an anchor does not push what it bears on along the face.

    off: angle from the normal of the face (rad); q: pressure on the ground (kPa).
    """
    with trace() as t:
        heading("Sliding along the face")
        if ground.phi > 0.0:
            limit = state("delta", "Friction of concrete cast on ground", ground.phi * 2 / 3,
                          "angle", method="two thirds of phi, common practice")  # fmt: skip
        else:
            limit = cohesive_limit(ground.c, q)
    return Check(
        id, "anchor off the normal of the face", off, limit, QUANTITIES["angle"],
        common_practice("friction of a pad on the face"), where=where, steps=t.steps,
        remedy="" if off <= limit else
        "cut the bearing face into the slope, square to the anchor (seat: square to the anchor), or an "
        "inclination nearer to the normal of the face",
        note="of the load's pull along the face by friction alone",
    )  # fmt: skip


def _concrete(pad: Pad, test_load: float, where: str) -> tuple[Check, Check]:
    with trace() as t:
        heading("The pad itself")
        P_u = state("P_u", "Factored load", LOAD_FACTOR * test_load, "force",
                    method=f"test load times {LOAD_FACTOR:g}")  # fmt: skip
        V_u = punching_force(P_u, pad.side, pad.plate, pad.depth)
        v_c = punching_strength(pad.concrete)
        V_n = punching_capacity(SHEAR_REDUCTION, v_c, pad.plate, pad.depth)
    with trace() as m:
        M_u = pad_moment(P_u, pad.side, pad.plate)
        M_n = pad_moment_capacity(
            BENDING_REDUCTION, pad.reinforcement, pad.yield_stress, pad.concrete, pad.depth
        )
    return (
        Check("slope.pad-punching", "punching of the pad", V_u, V_n, QUANTITIES["force"], ACI,
              where=where, steps=t.steps,
              remedy="a thicker pad, a larger plate, or stronger concrete" if V_u > V_n else ""),
        Check("slope.pad-bending", "bending of the pad", M_u, max(M_n, _FORCE_OF_NOTHING),
              QUANTITIES["moment per length"], STATICS, where=where, steps=m.steps,
              remedy="more reinforcement, or a thicker pad" if M_u > M_n else ""),
    )  # fmt: skip


def _larger(pad: Pad, ground: Under, load: float, beta: float, delta: float) -> str:
    """Return the side that the ground asks for, in words."""
    side = pad.side
    while side < WIDEST:
        side += 0.05
        q_ult = pad_bearing.function(ground.c, ground.gamma, side, ground.phi, beta, delta)
        if q_ult * side**2 >= BEARING_SAFETY * load:
            return f"a pad of {{length:{side:.4g}}} side, or a beam over several anchors"
    return (
        "no pad is large enough on this ground: a beam over several anchors, a bearing face cut square to "
        "the anchor, or more rows"
    )
