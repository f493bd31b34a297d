"""Mobilised bond: what the load of a test asks of the bond length, on the average."""

from __future__ import annotations

from math import pi

from backstay.cite import STATICS
from backstay.quantity import BondStress, Force, ForcePerLength, Length, SmallLength
from backstay.trace import formula


@formula("t_m", STATICS)
def mobilised_transfer(P: Force, L_b: Length) -> ForcePerLength:
    """Load transferred per length of bond, on the average.

    P: load; L_b: bond length
    """
    return P / L_b


@formula("tau_m", STATICS)
def mobilised_bond(P: Force, d: SmallLength, L_b: Length) -> BondStress:
    """Bond stress between grout and ground, on the average.

    P: load; d: diameter of the hole; L_b: bond length
    """
    return P / (pi * d * L_b)
