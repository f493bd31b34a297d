"""A beam along a row of anchors on the face of a slope: ground under it, and the beam itself.

The anchors press the beam on the ground. The ground is taken to press back evenly along the beam,
the stiffer assumption. The beam is then continuous over its anchors and ends in cantilevers; as
the anchors are all stressed to one load, it is looked at that way too, and the larger of both
moments and shears counts. Concrete by ultimate strength, steel by allowable stress, both for the
test load in all anchors at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

import numpy as np

from backstay.cite import STATICS, Citation
from backstay.quantity import (
    Angle,
    Count,
    Force,
    ForcePerLength,
    Length,
    Moment,
    Ratio,
    SectionArea,
    SectionAreaPerLength,
    Strength,
    Stress,
    UnitWeight,
)
from backstay.stability.pads import (
    VESIC,
    cohesion_factor,
    slope_factor,
    weight_factor,
)
from backstay.trace import formula

ACI_SHEAR = Citation(
    "ACI 318", "one-way shear with links: 0.17 sqrt(f'c) b d + A_v f_y d / s", "memory"
)
THREE_MOMENTS = Citation("Clapeyron 1857", "equation of three moments", "formula")
MOST_ANCHORS = 12
"""Anchors of a longer beam change nothing any more."""


@formula("L_beam", STATICS)
def beam_length(n: Count, s: Length, a: Length) -> Length:
    """Length of the beam.

    n: number of anchors; s: their spacing; a: beam beyond the last anchor, at either end
    """
    return (n - 1) * s + 2 * a


@formula("w", STATICS)
def even_reaction(n: Count, P: Force, L_beam: Length) -> ForcePerLength:
    """Reaction of the ground per length of beam.

    n: number of anchors; P: load of each; L_beam: length of the beam
    """
    return n * P / L_beam


@formula("q", STATICS)
def beam_pressure(w: ForcePerLength, B: Length) -> Stress:
    """Pressure under the beam.

    w: reaction per length of beam; B: width of the beam
    """
    return w / B


@formula("q_ult", VESIC)
def strip_bearing(
    c: Stress, gamma: UnitWeight, B: Length, phi: Angle, beta: Angle, delta: Angle
) -> Stress:
    """Bearing capacity under a long beam laid on the face of a slope, without depth.

    c: cohesion, or undrained strength with phi nil; gamma: effective unit weight; B: width
    phi: angle of friction; beta: angle of the slope; delta: of the load from the face's normal
    """
    i_c: Ratio = max(1 - delta / (pi / 2), 0) ** 2
    if phi <= 0:
        return c * cohesion_factor(phi) * i_c
    else:
        i_gamma: Ratio = max(1 - delta / phi, 0) ** 2
        return (
            c * cohesion_factor(phi) * i_c
            + gamma * B / 2 * weight_factor(phi) * slope_factor(phi, beta) * i_gamma
        )


@formula("M_n", STATICS)
def beam_moment_capacity(
    phi_b: Ratio, A_s: SectionArea, f_y: Strength, f_c: Strength, b: Length, d: Length
) -> Moment:
    """Bending capacity of a rectangular beam, reinforcement at yield.

    phi_b: strength reduction; A_s: reinforcement in tension; f_y: its yield stress
    f_c: cylinder strength of the concrete; b: width of the beam; d: effective depth
    """
    return phi_b * A_s * f_y * (d - A_s * f_y / (2 * (17 / 20) * f_c * b))


@formula("v_c", ACI_SHEAR, empirical=True)
def beam_shear_strength(f_c: Strength) -> Stress:
    """One-way shear strength of concrete, kPa.

    f_c: cylinder strength, kPa
    """
    return 0.17 * sqrt(f_c / 1000) * 1000


@formula("V_n", ACI_SHEAR)
def beam_shear_capacity(
    phi_v: Ratio, v_c: Stress, b: Length, d: Length, a_v: SectionAreaPerLength, f_y: Strength
) -> Force:
    """Shear capacity of a rectangular beam.

    phi_v: strength reduction; v_c: shear strength of concrete; b: width of the beam
    d: effective depth; a_v: area of links per length of beam; f_y: their yield stress
    """
    return phi_v * (v_c * b * d + a_v * f_y * d)


@formula("V_d", STATICS)
def shear_beside_anchor(V: Force, w: ForcePerLength, d: Length) -> Force:
    """Shear at the effective depth from the anchor.

    V: shear at the anchor; w: reaction per length of beam; d: effective depth
    """
    return max(V - w * d, 0)


@dataclass(frozen=True, slots=True)
class BeamActions:
    """Moments and shear of a beam under an even reaction, and what is left of equilibrium.

    over: greatest moment at an anchor (kNm), the face away from the ground in compression there;
    between: greatest of the other sign; shear: greatest (kN); residual: over the whole load.
    """

    over: float
    between: float
    shear: float
    residual: float


def continuous_beam(n: int, s: float, a: float, w: float) -> BeamActions:
    """Return the actions of a beam on n supports that do not yield, by the equation of three moments.

    s: spacing; a: overhang at both ends (m); w: even load (kN/m).
    """
    M = np.full(n, -0.5 * w * a * a)
    if n > 2:
        k = n - 2
        matrix = 4.0 * np.eye(k) + np.eye(k, k=1) + np.eye(k, k=-1)
        right = np.full(k, -0.5 * w * s * s)
        right[0] -= M[0]
        right[-1] -= M[-1]
        M[1:-1] = np.linalg.solve(matrix, right)
    left = 0.5 * w * s + np.diff(M) / s  # shear at the left end of each span
    reactions = np.zeros(n)
    reactions[0] += w * a
    reactions[-1] += w * a
    reactions[:-1] += left
    reactions[1:] += w * s - left
    inner = M[:-1] + left * left / (2.0 * w)
    shear = max(w * a, float(np.maximum(abs(left), abs(w * s - left)).max(initial=0.0)))
    whole = w * ((n - 1) * s + 2.0 * a)
    return BeamActions(
        float(-M.min()), max(0.0, float(inner.max(initial=0.0))), shear,
        float(abs(reactions.sum() - whole) / whole),
    )  # fmt: skip


def equal_anchors(n: int, s: float, a: float, w: float) -> BeamActions:
    """Return the actions of a beam with n equal anchor loads that balance an even reaction."""
    P = w * ((n - 1) * s + 2.0 * a) / n
    x = a + s * np.arange(n)
    before = w * x - P * np.arange(n)  # shear just before each anchor
    moment = 0.5 * w * x * x - P * (np.arange(n) * x - np.concatenate(([0.0], np.cumsum(x)[:-1])))
    after = before - P
    # within a span the moment turns where the shear is nil
    turning = np.clip(-after[:-1] / w, 0.0, s)
    inner = moment[:-1] + after[:-1] * turning + 0.5 * w * turning**2
    left = abs(after[-1] + w * a)
    return BeamActions(
        max(0.0, float(moment.max())), max(0.0, float(-inner.min(initial=0.0))),
        float(np.maximum(abs(before), abs(after)).max()), float(left / (n * P)),
    )  # fmt: skip
