"""The total-load envelope: the active thrust of the general wedge times the published factor.

For layered or sloping ground. Wall friction is left out, as it is in the published envelopes, so
that in uniform, level sand this envelope is the envelope of sand. Water and surcharges are
diagrams of their own and do not enter the wedge's thrust here.

A stratum that is stronger than its own push stands by itself, but takes nothing off the push of the
weaker ground above and below it: boards and piles do not pass pull from one stratum to another. Nor
is stiff clay in layered ground, undrained, taken to give nothing: it has at least the low end of
the published range of its own envelope, by its share of the height.
"""

from __future__ import annotations

from dataclasses import replace

from backstay.basis import Basis
from backstay.cite import GEC4, Citation, common_practice
from backstay.ground import GAMMA_W, Layer, Profile
from backstay.pressure.averages import CLAYS, average_unit_weight
from backstay.pressure.envelopes.envelope import Envelope
from backstay.pressure.envelopes.stiff_clay import stiff_clay_ordinate
from backstay.pressure.envelopes.trapezoid import describe, ordinate, trapezoid, trapezoid_total
from backstay.pressure.slices import positive_area
from backstay.pressure.wedge import Strength, active_wedge, state_wedge
from backstay.quantity import ForcePerLength, Length, Ratio
from backstay.trace import formula, heading, remark, state, trace, untraced

_TOTAL = Citation(
    GEC4, "section 5.2, layered ground: total load 1.3 times the active thrust", "memory"
)


_LOW = common_practice("clay in layered ground: low end of its envelope by share of the height")
LOW_SHARE = 0.2
"""Low end of the published range of p / (gamma H) in stiff clay."""


@formula("P_total", _LOW)
def with_low_envelope(
    P: ForcePerLength, P_low: ForcePerLength, h: Length, H: Length, P_own: ForcePerLength
) -> ForcePerLength:
    """Total load with a stratum of clay raised to the low end of its own envelope.

    P: total load so far
    P_low: total load of the low envelope, were all the height clay
    h: thickness of the stratum
    H: height that loads the wall
    P_own: what the total load so far holds of this stratum
    """
    return P + P_low * h / H - P_own


@formula("P_total", _TOTAL)
def factored_thrust(F_a: Ratio, P_h: ForcePerLength) -> ForcePerLength:
    """Total load of the envelope from the active thrust of the general wedge.

    F_a: apparent total load over active thrust
    P_h: horizontal component of the active thrust
    """
    return F_a * P_h


def total_load_envelope(
    ground: Profile,
    rows: tuple[float, ...],
    height: float,
    rules: Basis,
    *,
    strength: Strength = "drained",
    gradient: float = 0.0,
) -> Envelope:
    """Return the total-load envelope over 0..height.

    strength: "undrained" takes the undrained strength of strata that have one, in total stresses;
    gradient: mean hydraulic gradient of water that seeps down behind the wall.

    Raise DesignError where the wedge lacks a strength.
    """
    title = "Total load of the general wedge"
    with trace() as t:
        heading(f"Envelope: {title.lower()}")
        remark(
            "Wall friction is left out, as in the published envelopes. Surcharges are diagrams of"
            " their own, and so is water, wherever the strength is drained."
        )
        undrained = tuple(
            (a, b)
            for layer, a, b in ground.layers_between(0.0, height)
            if strength == "undrained" and layer.su is not None
        )
        if undrained:
            remark("Strata with undrained strength are taken in total stresses, undrained.")
        remark("Strata stronger than their own push take nothing off the push of the others.")
        wedge = active_wedge(
            _pressed_by_seepage(ground, gradient), z_base=height, delta=0.0, strength=strength,
            strong="stands by itself",
        )  # fmt: skip
        state_wedge(wedge)
        total = factored_thrust(rules.apparent_total_factor.value, wedge.thrust)
        for layer, a, b in ground.layers_between(0.0, height):
            if strength == "undrained" and layer.kind in CLAYS and layer.su is not None:
                total = _with_clay(total, ground, layer, a, b, rows, height, rules)
        p = ordinate(total, height, rows)
        diagram = trapezoid(title, p, height, rows)
        describe(diagram)
    return Envelope("total load", title, p, total, diagram, height, undrained, t.steps)


def _with_clay(
    total: float,
    ground: Profile,
    layer: Layer,
    a: float,
    b: float,
    rows: tuple[float, ...],
    height: float,
    rules: Basis,
) -> float:
    """Return the total load with what clay from a to b lacks of the low end of its own envelope."""
    with untraced():
        gamma = average_unit_weight(ground, height)
        low = trapezoid_total(stiff_clay_ordinate(LOW_SHARE, gamma, height), height, rows)
    push = [ground.total_stress(z) - 2 * layer.su_at(z) for z in (a + 1e-9, b - 1e-9)]
    own = factored_thrust.function(
        rules.apparent_total_factor.value, positive_area(push[0], push[1], b - a)
    )
    lacking = low * (b - a) / height - own
    if lacking <= 0.0:
        return total
    remark(f"{layer.name} stands by its undrained strength; its low envelope is counted for it.")
    P_low = state(
        "P_low", f"Envelope of stiff clay with {LOW_SHARE:g} gamma H, were all the height clay", low,
        "force per length", method="lower end of the published range 0.2 to 0.4", cite=_LOW,
    )  # fmt: skip
    P_own = state(
        "P_own", f"Push of {layer.name} itself, times the factor", own, "force per length",
        method="total stress less twice the strength, where that is positive",
    )  # fmt: skip
    return with_low_envelope(total, P_low, b - a, height, P_own)


def _pressed_by_seepage(ground: Profile, gradient: float) -> Profile:
    """Return the ground with the pull of descending water as added weight.

    With pore pressure gamma_w (1 - i) z the vertical effective stress is that of water at rest in
    ground heavier by i gamma_w.
    """
    if not gradient:
        return ground
    added = state(
        "i_gamma_w", "Weight added below water by the pull of descending seepage",
        gradient * GAMMA_W, "unit weight", method="mean hydraulic gradient times that of water",
    )  # fmt: skip
    heavier = tuple(replace(x, gamma_sat=x.gamma_sat + added) for x in ground.layers)
    return replace(ground, layers=heavier)
