"""Factors of safety of the toe: force and moment, for single piles and for continuous walls."""

from __future__ import annotations

from backstay.cite import STATICS
from backstay.quantity import Force, ForcePerLength, Length, Moment, Ratio
from backstay.trace import formula


@formula("T", STATICS)
def toe_demand(R: ForcePerLength, s: Length) -> Force:
    """Reaction at subgrade per pile.

    R: reaction at subgrade per metre of wall
    s: spacing of piles
    """
    return R * s


@formula("R_net", STATICS)
def net_resistance(P_p: Force, P_a: Force, P_w: Force) -> Force:
    """Resistance of the toe after active and net water pressure below subgrade.

    P_p: passive resistance
    P_a: active force on the back of the toe
    P_w: net water force on the toe
    """
    return P_p - P_a - P_w


@formula("FS", STATICS)
def toe_safety(R_net: Force, T: Force) -> Ratio:
    """Factor of safety of the toe against its reaction.

    R_net: resistance after active and net water pressure
    T: reaction at subgrade
    """
    return R_net / T


@formula("FS", STATICS)
def passive_safety(P_p: Force, P_a: Force, P_w: Force, T: Force) -> Ratio:
    """Factor of safety on the passive pressure of a continuous wall.

    P_p: passive resistance
    P_a: active force below subgrade
    P_w: net water force below subgrade
    T: reaction at subgrade
    """
    return P_p / (T + P_a + P_w)


@formula("FS_M", STATICS)
def kick_out_safety(M_p: Moment, M_a: Moment, M_w: Moment, T: Force, a: Length) -> Ratio:
    """Factor of safety of moments about the lowest anchor.

    M_p: moment of the passive resistance
    M_a: moment of the active force below subgrade
    M_w: moment of the net water force below subgrade
    T: reaction at subgrade
    a: depth of subgrade below the lowest anchor
    """
    return (M_p - M_a - M_w) / (T * a)


@formula("FS_M", STATICS)
def passive_kick_out_safety(M_p: Moment, M_a: Moment, M_w: Moment, T: Force, a: Length) -> Ratio:
    """Factor of safety on the moment of passive pressure about the lowest anchor.

    M_p: moment of the passive resistance
    M_a: moment of the active force below subgrade
    M_w: moment of the net water force below subgrade
    T: reaction at subgrade
    a: depth of subgrade below the lowest anchor
    """
    return M_p / (T * a + M_a + M_w)
