"""Unit shaft and tip resistance of a pile under vertical load.

Dimensionless forms hold in any consistent units; `empirical` ones are written for m and kPa.
"""

from __future__ import annotations

from math import sin, sqrt, tan

from backstay.cite import Citation, common_practice
from backstay.quantity import Angle, Area, Count, Force, Length, Ratio, Stress
from backstay.trace import formula

ONEILL_REESE = "O'Neill and Reese 1999 (FHWA-IF-99-025), in FHWA-IF-99-015"
API = Citation("API RP 2A (20th ed.)", "6.4.2", "memory")
P_ATM = 101.325
"""Atmospheric pressure, kPa."""


@formula("beta", Citation(ONEILL_REESE, "beta method, sand", "memory"), empirical=True)
def beta_drilled(x: Length) -> Ratio:
    """Shaft coefficient of a drilled shaft in sand, 1.5 less 0.135 root of the depth in ft.

    Holds in m: 0.135 per root foot is 0.2445 per root metre. Between 0.25 and 1.2.
    x: depth below the ground surface in front of the wall (m)
    """
    return max(0.25, min(1.2, 1.5 - 0.2445 * sqrt(x)))


@formula("beta", Citation(ONEILL_REESE, "beta method, N below 15", "memory"), empirical=True)
def beta_drilled_loose(x: Length, N: Count) -> Ratio:
    """Shaft coefficient of a drilled shaft in loose sand, reduced with the blow count.

    x: depth below the ground surface in front of the wall (m)
    N: SPT blow count below 15
    """
    return N / 15 * beta_drilled(x)


@formula("beta", Citation("Burland 1973", "normally consolidated ground", "memory"))
def beta_driven(phi: Angle) -> Ratio:
    """Shaft coefficient of a driven pile by effective stresses, earth pressure at rest.

    phi: angle of friction
    """
    return (1 - sin(phi)) * tan(phi)


@formula("f_s", Citation(ONEILL_REESE, "beta method, limit 200 kPa", "memory"), empirical=True)
def shaft_beta(beta: Ratio, sigma_v_prime: Stress) -> Stress:
    """Resistance of the shaft per area by effective stresses, at most 200 kPa.

    beta: shaft coefficient
    sigma_v_prime: vertical effective stress
    """
    return min(beta * sigma_v_prime, 200)


@formula("alpha", API)
def alpha_driven(s_u: Stress, sigma_v_prime: Stress) -> Ratio:
    """Adhesion factor of a driven pile in clay, at most 1.

    s_u: undrained shear strength
    sigma_v_prime: vertical effective stress
    """
    psi: Ratio = s_u / sigma_v_prime
    if psi <= 1:
        return min(1, 0.5 / sqrt(psi))
    else:
        return 0.5 / sqrt(sqrt(psi))


@formula("f_s", Citation(ONEILL_REESE, "alpha method; 0.55 for drilled shafts", "memory"))
def shaft_alpha(alpha: Ratio, s_u: Stress) -> Stress:
    """Resistance of the shaft per area in clay, undrained.

    alpha: adhesion factor
    s_u: undrained shear strength
    """
    return alpha * s_u


@formula("f_s", Citation("Horvath and Kenney 1979", "smooth socket, 0.65 root", "memory"))
def shaft_rock(q_u: Stress, p_a: Stress) -> Stress:
    """Resistance of the shaft per area of a socket in rock.

    q_u: unconfined compressive strength of the rock
    p_a: atmospheric pressure
    """
    return 0.65 * p_a * sqrt(q_u / p_a)


@formula(
    "q_b", Citation(ONEILL_REESE, "tip in sand, 57.5 N kPa to 2.9 MPa", "memory"), empirical=True
)
def tip_sand_drilled(N: Count) -> Stress:
    """Resistance of the tip per area of a drilled shaft in sand, at most 2900 kPa.

    N: SPT blow count
    """
    return min(57.5 * N, 2900)


@formula(
    "q_b", Citation("Meyerhof 1976", "40 N D/B, at most 400 N (kPa)", "memory"), empirical=True
)
def tip_sand_driven(N: Count, x: Length, b: Length) -> Stress:
    """Resistance of the tip per area of a driven pile in sand.

    N: SPT blow count
    x: embedment
    b: width of pile
    """
    return min(40 * N * x / b, 400 * N)


@formula("q_b", common_practice("tip in sand in full from two widths of embedment"))
def tip_shallow(q_b: Stress, x: Length, b: Length) -> Stress:
    """Resistance of a tip in sand that lies less than two widths deep.

    q_b: unit tip resistance at depth
    x: embedment
    b: width of pile
    """
    return q_b * min(1, x / (2 * b))


@formula("q_b", Citation(ONEILL_REESE, "tip in clay", "memory"))
def tip_clay(s_u: Stress, x: Length, b: Length) -> Stress:
    """Resistance of the tip per area in clay: nine times the strength at depth, less near the surface.

    s_u: undrained shear strength
    x: embedment
    b: width of pile
    """
    N_c: Ratio = min(9, 6 * (1 + 0.2 * x / b))
    return N_c * s_u


@formula("q_b", Citation(ONEILL_REESE, "tip in sound rock, 2.5 qu", "memory"))
def tip_rock(q_u: Stress) -> Stress:
    """Resistance of the tip per area in rock.

    q_u: unconfined compressive strength of the rock
    """
    return 2.5 * q_u


@formula("Q_t", Citation("statics", "", "formula"))
def tip_load(A_t: Area, q_b: Stress) -> Force:
    """Tip resistance.

    A_t: area of the tip
    q_b: unit tip resistance
    """
    return A_t * q_b


@formula("Q_all", common_practice("allowable axial load"))
def allowable_axial(Q_s: Force, Q_t: Force, FS: Ratio) -> Force:
    """Vertical load that is allowed on the pile.

    Q_s: shaft resistance
    Q_t: tip resistance
    FS: factor of safety
    """
    return (Q_s + Q_t) / FS
