"""Limits of the apparent free length: where the load of the tendon must and may go into the ground.

Shorter than the least, load is lost ahead of the bond (friction in the free length, grout that
bonds it): the anchor pulls on ground that must not carry it. Longer than the greatest, the bond
slips far back, or the tendon is not what it is held to be.
"""

from __future__ import annotations

from dataclasses import dataclass

from backstay.basis import Factor
from backstay.cite import GEC4, Citation
from backstay.quantity import Length, Ratio
from backstay.stressing.record import TestedAnchor
from backstay.stressing.rules import TestRules
from backstay.trace import formula

_US = Citation(GEC4, "section 7.4.5, apparent free length", "memory")
_EN = Citation("EN 1537:1999", "9.10, apparent free length", "memory")


@formula("L_least", _US)
def least_apparent_length(f_u: Ratio, L_u: Length, L_j: Length) -> Length:
    """Least apparent free length.

    f_u: share of the free length that must be free; L_u: free length; L_j: length in the jack
    """
    return f_u * L_u + L_j


@formula("L_most", _US)
def greatest_apparent_length(L_u: Length, f_b: Ratio, L_b: Length, L_j: Length) -> Length:
    """Greatest apparent free length: to a place within the bond.

    L_u: free length; f_b: share of the bond length that the load may reach past; L_b: bond length;
    L_j: length in the jack
    """
    return L_u + f_b * L_b + L_j


@formula("L_most", _EN)
def greatest_apparent_length_or(
    L_u: Length, f_b: Ratio, L_b: Length, f_m: Ratio, L_j: Length
) -> Length:
    """Greatest apparent free length: to a place within the bond, or a multiple of the free length.

    L_u: free length; f_b: share of the bond length that the load may reach past; L_b: bond length;
    f_m: multiple of the free length that is allowed in any case; L_j: length in the jack
    """
    return max(L_u + f_b * L_b, f_m * L_u) + L_j


@dataclass(frozen=True, slots=True)
class FreeLengthLimits:
    """Least and greatest apparent free length (m), jack length included, and what they rest on."""

    least: float
    greatest: float
    least_rule: Factor
    greatest_rule: Factor


def free_length_limits(anchor: TestedAnchor, rules: TestRules) -> FreeLengthLimits:
    """Return the limits of the apparent free length of an anchor."""
    L_u, L_b, L_j = anchor.free_length, anchor.bond_length, anchor.jack_length
    least = least_apparent_length(rules.free_length_least.value, L_u, L_j)
    if rules.free_length_greatest is None:
        most = greatest_apparent_length(L_u, rules.free_length_bond.value, L_b, L_j)
    else:
        most = greatest_apparent_length_or(
            L_u, rules.free_length_bond.value, L_b, rules.free_length_greatest.value, L_j
        )
    return FreeLengthLimits(least, most, rules.free_length_least, rules.free_length_bond)
