"""The total-load envelope: the active thrust of the general wedge times the published factor.

For layered or sloping ground. Wall friction is left out, as it is in the published envelopes, so
that in uniform, level sand this envelope is the envelope of sand. Water and surcharges are
diagrams of their own and do not enter the wedge's thrust here.

Strong ground low on the wall holds a wedge that passes through it, but not the weaker ground above
it: a wedge may come out of the wall at the top of any stratum, and the one that pushes most counts.
"""

from __future__ import annotations

from dataclasses import replace

from backstay.basis import Basis
from backstay.cite import GEC4, Citation
from backstay.ground import GAMMA_W, Profile
from backstay.pressure.envelopes.envelope import Envelope
from backstay.pressure.envelopes.trapezoid import describe, ordinate, trapezoid
from backstay.pressure.wedge import Strength, active_wedge, state_wedge
from backstay.quantity import ForcePerLength, Ratio
from backstay.trace import formula, heading, remark, state, trace

_TOTAL = Citation(
    GEC4, "section 5.2, layered ground: total load 1.3 times the active thrust", "memory"
)


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
        pressed = _pressed_by_seepage(ground, gradient)
        wedges = [
            active_wedge(pressed, z_base=foot, delta=0.0, strength=strength)
            for foot in _feet(ground, height, strength)
        ]
        wedge = max(wedges, key=lambda w: w.thrust)
        foot = wedge.points[0][1]
        if foot < height:
            remark(
                f"The ground below {{length:{foot:.6g}}} is strong and holds a wedge through the"
                " bottom of the cut, but not the ground above: the wedge with its foot there pushes"
                " more, and counts."
            )
        state_wedge(wedge)
        total = factored_thrust(rules.apparent_total_factor.value, wedge.thrust)
        p = ordinate(total, height, rows)
        diagram = trapezoid(title, p, height, rows)
        describe(diagram)
    return Envelope("total load", title, p, total, diagram, height, undrained, t.steps)


def _feet(ground: Profile, height: float, strength: Strength) -> list[float]:
    """Return the depths at which a wedge may come out of the wall: the base, and strong strata.

    In ground without cohesion the push only grows with depth, so its own top is no foot.
    """
    pieces = ground.layers_between(0.0, height)
    strong = [
        top
        for layer, top, _ in pieces[1:]
        if layer.c > 0.0 or (strength == "undrained" and layer.su is not None)
    ]
    return [height, *strong]


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
