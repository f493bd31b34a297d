"""Ultimate lateral resistance of the ground in front of a single pile, per length of pile.

Three views of the same pile below subgrade, each a pressure integrated over the width of the
pile (kN per metre of depth):

- a passive wedge that rises to the ground surface in front of the pile (governs near subgrade),
- ground that flows around the pile in plan (governs at depth),
- the rule that a pile mobilises passive pressure over three times its width.

The wedge and the flow in sand are written as resistance *less* the active pressure on the back
of the pile from ground at the same level; `wedge_sand_gross` and `flow_sand_gross` give it back,
because the active pressure of the higher retained ground is counted separately.

Every form holds for ground of constant unit weight. In layered ground the average effective unit
weight over the depth (vertical effective stress over depth) stands for it, which keeps the
stress at the depth right.

Dimensions: each form is a stress times a length; a print in which one term is a stress alone
has lost a width or a depth.
"""

from __future__ import annotations

from math import cos, pi, sin, sqrt, tan

from backstay.cite import Citation, common_practice
from backstay.pressure.rankine import passive_pressure, rankine_active, rankine_passive
from backstay.quantity import Angle, ForcePerLength, Length, Ratio, Stress
from backstay.trace import formula

REESE_SAND = Citation("Reese, Cox and Koop 1974; Wang and Reese 1986", "sand", "memory")
REESE_CLAY = Citation("Reese, Cox and Koop 1975; Wang and Reese 1986", "clay", "memory")
BROMS_SAND = Citation("Broms 1964 (cohesionless soils)", "3 Kp over the width", "memory")
BROMS_CLAY = Citation("Broms 1964 (cohesive soils)", "9 su below 1.5 widths", "memory")


@formula("p_wedge", REESE_SAND)
def wedge_sand(
    sigma_v_prime: Stress, x: Length, b: Length, phi: Angle, K_0: Ratio
) -> ForcePerLength:
    """Resistance of a passive wedge in sand in front of a pile, less active pressure at its back.

    sigma_v_prime: vertical effective stress at the depth
    x: depth below subgrade
    b: width of pile
    phi: angle of friction
    K_0: at-rest coefficient on the flanks of the wedge (0.4 by the source)
    """
    beta: Angle = pi / 4 + phi / 2
    alpha: Angle = phi / 2
    flanks: Length = K_0 * x * tan(phi) * sin(beta) / (tan(beta - phi) * cos(alpha))
    front: Length = tan(beta) / tan(beta - phi) * (b + x * tan(beta) * tan(alpha))
    sides: Length = K_0 * x * tan(beta) * (tan(phi) * sin(beta) - tan(alpha))
    return sigma_v_prime * (flanks + front + sides - rankine_active(phi) * b)


@formula("p_flow", REESE_SAND)
def flow_sand(sigma_v_prime: Stress, b: Length, phi: Angle, K_0: Ratio) -> ForcePerLength:
    """Resistance of sand that flows around a pile, less active pressure at its back.

    sigma_v_prime: vertical effective stress at the depth
    b: width of pile
    phi: angle of friction
    K_0: at-rest coefficient (0.4 by the source)
    """
    beta: Angle = pi / 4 + phi / 2
    past: Ratio = rankine_active(phi) * (tan(beta) ** 8 - 1)
    beside: Ratio = K_0 * tan(phi) * tan(beta) ** 4
    return sigma_v_prime * b * (past + beside)


@formula("p_wedge_gross", REESE_SAND)
def wedge_sand_gross(
    sigma_v_prime: Stress, x: Length, b: Length, phi: Angle, K_0: Ratio, c: Stress
) -> ForcePerLength:
    """Resistance of a passive wedge in front of a pile, with the active pressure given back.

    Cohesion counts over the width of the pile alone, which understates it.
    sigma_v_prime: vertical effective stress at the depth
    x: depth below subgrade
    b: width of pile
    phi: angle of friction
    K_0: at-rest coefficient
    c: effective cohesion
    """
    return (
        wedge_sand(sigma_v_prime, x, b, phi, K_0)
        + rankine_active(phi) * sigma_v_prime * b
        + 2 * c * sqrt(rankine_passive(phi)) * b
    )


@formula("p_flow_gross", REESE_SAND)
def flow_sand_gross(
    sigma_v_prime: Stress, b: Length, phi: Angle, K_0: Ratio, c: Stress
) -> ForcePerLength:
    """Resistance of ground that flows around a pile, with the active pressure given back.

    Cohesion counts as in the passive pressure on the width of the pile, which understates it.
    sigma_v_prime: vertical effective stress at the depth
    b: width of pile
    phi: angle of friction
    K_0: at-rest coefficient
    c: effective cohesion
    """
    return (
        flow_sand(sigma_v_prime, b, phi, K_0)
        + rankine_active(phi) * sigma_v_prime * b
        + 2 * c * sqrt(rankine_passive(phi)) * b
    )


@formula("p_wedge", REESE_CLAY)
def wedge_clay(sigma_v: Stress, x: Length, b: Length, s_u: Stress) -> ForcePerLength:
    """Resistance of a wedge of clay in front of a pile, undrained.

    The wedge rises at 45 degrees; strength acts on its base and flanks.
    sigma_v: vertical total stress at the depth
    x: depth below subgrade
    b: width of pile
    s_u: undrained shear strength
    """
    return (2 * s_u + sigma_v) * b + 2.83 * s_u * x


@formula("p_flow", REESE_CLAY)
def flow_clay(b: Length, s_u: Stress) -> ForcePerLength:
    """Resistance of clay that flows around a pile, undrained.

    b: width of pile
    s_u: undrained shear strength
    """
    return 11 * s_u * b


@formula("p_3b", BROMS_SAND)
def threefold_sand(sigma_v_prime: Stress, b: Length, phi: Angle, c: Stress) -> ForcePerLength:
    """Passive pressure on three times the width of a pile.

    sigma_v_prime: vertical effective stress at the depth
    b: width of pile
    phi: angle of friction
    c: effective cohesion
    """
    return 3 * b * passive_pressure(rankine_passive(phi), sigma_v_prime, c)


@formula("p_9su", BROMS_CLAY)
def threefold_clay(x: Length, b: Length, s_u: Stress) -> ForcePerLength:
    """Resistance of clay on a pile: none down to 1.5 widths, nine times the strength below.

    x: depth below subgrade
    b: width of pile
    s_u: undrained shear strength
    """
    if x < 1.5 * b:
        return 0 * s_u * b
    else:
        return 9 * s_u * b


@formula(
    "p_rock",
    common_practice("plane passive pressure on the width of the pile, strength of the rock mass"),
)
def rock_on_pile(sigma_v_prime: Stress, b: Length, phi: Angle, c: Stress) -> ForcePerLength:
    """Passive pressure of a rock mass on the width of a pile alone.

    sigma_v_prime: vertical effective stress at the depth
    b: width of pile
    phi: angle of friction of the rock mass (nil where undrained strength is stated)
    c: cohesion (or undrained strength) of the rock mass
    """
    return b * passive_pressure(rankine_passive(phi), sigma_v_prime, c)
