"""What a pile may carry by both rules, and how axial load and bending act together."""

from __future__ import annotations

from math import pi

from backstay.cite import AISC360, STATICS, Citation
from backstay.quantity import Count, Force, Inertia, Length, Moment, Ratio, SteelModulus
from backstay.trace import formula


@formula("M_all", STATICS)
def carried_moment(n: Count, M_s: Moment, M_a: Moment) -> Moment:
    """Moment that the pile may carry: the smaller of both rules, for every section.

    n: number of sections side by side
    M_s: at the allowable stress of the basis
    M_a: allowed by AISC 360
    """
    return n * min(M_s, M_a)


@formula("V_all", STATICS)
def carried_shear(n: Count, V_s: Force, V_a: Force) -> Force:
    """Shear that the pile may carry: the smaller of both rules, for every section.

    n: number of sections side by side
    V_s: at the allowable stress of the basis
    V_a: allowed by AISC 360
    """
    return n * min(V_s, V_a)


@formula("P_all", STATICS)
def carried_axial(n: Count, P_s: Force, P_a: Force) -> Force:
    """Axial load that the pile may carry: the smaller of both rules, for every section.

    n: number of sections side by side
    P_s: at the allowable stress of the basis
    P_a: allowed by AISC 360
    """
    return n * min(P_s, P_a)


@formula("p", STATICS)
def axial_share(P: Force, P_all: Force) -> Ratio:
    """Axial load over what the pile may carry.

    P: axial load
    P_all: axial load that the pile may carry
    """
    return P / P_all


@formula("m", STATICS)
def moment_share(B_1: Ratio, M: Moment, M_all: Moment) -> Ratio:
    """Amplified moment over what the pile may carry.

    B_1: amplification by the axial load
    M: moment
    M_all: moment that the pile may carry
    """
    return B_1 * M / M_all


@formula("B_1", Citation(AISC360, "eq. A-8-3, C_m = 1, alpha = 1.6", "memory"))
def amplification(P: Force, I_x: Inertia, L: Length, E: SteelModulus) -> Ratio:
    """Amplification of the span moment by the axial load.

    P: axial load
    I_x: inertia in the plane of bending
    L: span
    E: modulus of steel
    """
    P_e: Force = pi**2 * E * I_x / L**2
    return 1 / (1 - 1.6 * P / P_e)


@formula("U", Citation(AISC360, "eq. H1-1a, H1-1b", "memory"))
def interaction(p: Ratio, m: Ratio) -> Ratio:
    """Utilisation under axial load and bending together.

    p: axial load over its allowable value
    m: moment over its allowable value (sum over both axes)
    """
    if p >= 0.2:
        return p + 8 / 9 * m
    else:
        return p / 2 + m
