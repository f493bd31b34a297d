"""The envelope of soft to medium clay: 0 to p over the upper quarter, then p to the base.

p = K gamma H. K is the greatest of Peck's 1 - m 4 s_u / (gamma H), Henkel's coefficient where
the base yields, and 0.3, the least ordinate that Peck found in any clay.
"""

from __future__ import annotations

from math import inf

from backstay.cite import GEC4, Citation
from backstay.ground import Profile
from backstay.pressure.averages import CLAYS
from backstay.pressure.envelopes.envelope import Envelope
from backstay.pressure.envelopes.henkel import weak_base
from backstay.pressure.envelopes.trapezoid import describe, soft_shape, soft_total
from backstay.pressure.stability_number import SOFT_FROM, StabilityNumber
from backstay.quantity import Length, Ratio, Stress, UnitWeight
from backstay.trace import formula, heading, remark, state, trace

_SOFT = Citation(
    "Terzaghi and Peck 1967, Peck 1969; " + GEC4, "section 5.2, soft to medium clay", "memory"
)
_DEEP_SHARE = 0.2
"""Soft clay that goes on below subgrade by this share of H is called deep (common practice)."""


@formula("K_m", _SOFT)
def peck_coefficient(m: Ratio, s_u: Stress, gamma: UnitWeight, H: Length) -> Ratio:
    """Coefficient p / (gamma H) of soft to medium clay.

    m: empirical, 1 or 0.4
    s_u: average undrained strength beside the cut
    gamma: average total unit weight beside the cut
    H: height of the cut
    """
    return 1 - m * 4 * s_u / (gamma * H)


@formula("p", _SOFT)
def soft_clay_ordinate(K: Ratio, gamma: UnitWeight, H: Length) -> Stress:
    """Largest ordinate of the envelope of soft to medium clay, not below 0.3 gamma H.

    K: coefficient
    gamma: average total unit weight beside the cut
    H: height of the cut in soil
    """
    return max(K, 0.3) * gamma * H


@formula("K", _SOFT)
def governing_coefficient(K_m: Ratio, K_base: Ratio) -> Ratio:
    """Coefficient that governs over a yielding base.

    K_m: by the empirical m
    K_base: by Henkel
    """
    return max(K_m, K_base)


def soft_clay_envelope(
    ground: Profile,
    number: StabilityNumber,
    height: float,
    *,
    m: float | None,
    width: float | None,
) -> Envelope:
    """Return the envelope of soft to medium clay over 0..height.

    m: chosen by the engineer, None for the rule; width: of the cut (m), None where not given.
    Raise DesignError where the base may yield and its depth cannot be told.
    """
    title = "Soft to medium clay"
    with trace() as t:
        heading(f"Envelope: {title.lower()}")
        remark("Total stresses: pore water is inside this envelope and is not added to it.")
        deep = _goes_deep(ground)
        K = peck_coefficient(_empirical_m(m, deep, number), number.su, number.gamma, height)
        if base_may_yield(ground, number, height):
            base = weak_base(ground, number, width)
            if base is not None:
                K = governing_coefficient(K, base.K)
        if K < 0.3:
            remark(
                "The floor governs: 0.3 gamma H is the least ordinate observed in braced cuts in"
                " clay, and the coefficient is below it."
            )
        p = soft_clay_ordinate(K, number.gamma, height)
        total = soft_total(p, height)
        diagram = soft_shape(title, p, height)
        describe(diagram)
    return Envelope("soft clay", title, p, total, diagram, height, ((0.0, inf),), t.steps)


def base_may_yield(ground: Profile, number: StabilityNumber, height: float) -> bool:
    """Return whether the base enters the coefficient.

    It does where clay lies at subgrade and is weaker than the clay beside the cut, or where the
    stability number shows that the ground below yields (above 6). Not where the cut ends in rock.
    """
    weakest = weakest_below(ground, height)
    return weakest is not None and (weakest < number.su - 1e-9 or number.value > SOFT_FROM)


def weakest_below(ground: Profile, height: float) -> float | None:
    """Return the least undrained strength (kPa) of the clays that follow below subgrade.

    None where subgrade is not clay, or where the cut ends in rock above subgrade.
    """
    if height < ground.H - 1e-9:
        return None
    least = None
    for layer in ground.layers:
        if layer.bottom <= ground.H + 1e-9:
            continue
        if layer.kind not in CLAYS:
            break
        if layer.su is not None:
            here = layer.su_at(max(layer.top, ground.H))
            least = here if least is None else min(least, here)
    return least


def _empirical_m(given: float | None, deep: bool, number: StabilityNumber) -> float:
    if given is not None:
        return state("m", "Empirical m", given, "ratio", method="chosen for this section")
    if deep and number.value > SOFT_FROM:
        return state(
            "m", "Empirical m", 0.4, "ratio", cite=_SOFT,
            method="soft clay goes on well below subgrade and the stability number exceeds 6",
        )  # fmt: skip
    why = (
        "the stability number does not exceed 6"
        if number.value <= SOFT_FROM
        else "soft clay does not go on well below subgrade"
    )
    return state("m", "Empirical m", 1.0, "ratio", method=why, cite=_SOFT)


def _goes_deep(ground: Profile) -> bool:
    """Return whether soft clay follows below subgrade for more than a fifth of the height."""
    depth = ground.H
    for layer in ground.layers:
        if layer.bottom <= ground.H + 1e-9:
            continue
        if layer.kind != "soft clay":
            break
        depth = layer.bottom
    return depth - ground.H > _DEEP_SHARE * ground.H
