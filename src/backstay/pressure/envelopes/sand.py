"""The envelope of sand, and the long-term envelope of clay: both from drained strength.

Total load 0.65 K_a gamma H^2: 1.3 times the active thrust of level ground without wall friction.
Cohesion is not counted. Below water the unit weight is that of the effective stresses; the water
is a diagram of its own.
"""

from __future__ import annotations

from backstay.basis import Basis
from backstay.cite import GEC4, Citation
from backstay.ground import Profile
from backstay.pressure.averages import PorePressure, average_friction, effective_unit_weight
from backstay.pressure.envelopes.envelope import Envelope, EnvelopeKind
from backstay.pressure.envelopes.trapezoid import describe, ordinate, trapezoid
from backstay.pressure.rankine import rankine_active
from backstay.quantity import ForcePerLength, Length, Ratio, UnitWeight
from backstay.trace import formula, heading, remark, trace

_SAND = Citation(f"{GEC4}; AASHTO LRFD 3.11.5.7", "section 5.2, sand: 0.65 K_a gamma H^2", "memory")


@formula("P_total", _SAND)
def drained_total(F_a: Ratio, K_a: Ratio, gamma_e: UnitWeight, H: Length) -> ForcePerLength:
    """Total load of the envelope from drained strength (with F_a 1.3, this is 0.65 K_a gamma H^2).

    F_a: apparent total load over active thrust
    K_a: active coefficient, level ground, no wall friction
    gamma_e: effective unit weight over the height
    H: height that loads the wall
    """
    return F_a * K_a * gamma_e * H**2 / 2


def sand_envelope(
    ground: Profile,
    rows: tuple[float, ...],
    height: float,
    rules: Basis,
    pore: PorePressure | None = None,
) -> Envelope:
    """Return the envelope of sand over 0..height. Raise DesignError without friction angles."""
    return _drained("sand", "Sand", ground, rows, height, rules, pore)


def long_term_envelope(
    ground: Profile,
    rows: tuple[float, ...],
    height: float,
    rules: Basis,
    pore: PorePressure | None = None,
) -> Envelope:
    """Return the long-term envelope of clay over 0..height, from its drained strength."""
    title = "Clay, long term (drained strength)"
    return _drained("stiff clay, long term", title, ground, rows, height, rules, pore)


def _drained(
    kind: EnvelopeKind,
    title: str,
    ground: Profile,
    rows: tuple[float, ...],
    height: float,
    rules: Basis,
    pore: PorePressure | None,
) -> Envelope:
    with trace() as t:
        heading(f"Envelope: {title.lower()}")
        gamma = effective_unit_weight(ground, height, pore)
        K_a = rankine_active(average_friction(ground, height))
        if any(layer.c > 0.0 for layer, _, _ in ground.layers_between(0.0, height)):
            remark("Effective cohesion is not counted in this envelope.")
        total = drained_total(rules.apparent_total_factor.value, K_a, gamma, height)
        p = ordinate(total, height, rows)
        diagram = trapezoid(title, p, height, rows)
        describe(diagram)
    return Envelope(kind, title, p, total, diagram, height, (), t.steps)
