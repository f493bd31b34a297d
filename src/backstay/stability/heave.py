"""Formulas for heave of the base of a cut in clay, and for water that flows up into it."""

from __future__ import annotations

from math import pi, sqrt

from backstay.cite import Citation
from backstay.quantity import Length, Ratio, Stress
from backstay.trace import formula

TERZAGHI = Citation("Terzaghi 1943", "base heave, Nc 5.7", "memory")
BJERRUM_EIDE = Citation("Bjerrum and Eide 1956", "base heave", "memory")
SKEMPTON = Citation("Skempton 1951", "Nc by depth and shape", "published")
DAS = Citation(
    "Das, Principles of Foundation Engineering", "heave of a braced cut, Ex 10.3", "published"
)


@formula("B_1", TERZAGHI)
def heave_width(B: Length, T: Length) -> Length:
    """Width of the block beside the cut that pushes the base up.

    B: width of the cut
    T: depth from subgrade to a stiff layer
    """
    return min(0.7 * B, T)


@formula("FS", TERZAGHI)
def terzaghi_heave(s_ub: Stress, s_us: Stress, q_b: Stress, H_c: Length, B_1: Length) -> Ratio:
    """Factor of safety on base heave of a wide cut, with strength on the side of the block.

    s_ub: undrained strength below the base
    s_us: undrained strength along the side of the block
    q_b: vertical stress at base level behind, beyond that in front
    H_c: height of clay along the side of the block
    B_1: width of the block
    """
    return 5.7 * s_ub / (q_b - s_us * H_c / B_1)


@formula("FS", TERZAGHI)
def terzaghi_heave_wide(s_ub: Stress, q_b: Stress) -> Ratio:
    """Factor of safety on base heave of a cut of unknown width, no strength on the side.

    s_ub: undrained strength below the base
    q_b: vertical stress at base level behind, beyond that in front
    """
    return 5.7 * s_ub / q_b


@formula("N_c", SKEMPTON)
def heave_factor(D: Length, B: Length, L: Length) -> Ratio:
    """Bearing capacity factor of the base by depth and shape of the cut.

    The chart of Bjerrum and Eide starts from 5.14 at the surface and ends at the same 7.5
    (strip) and 9.0 (square).
    D: depth of the cut
    B: width of the cut
    L: length of the cut
    """
    return 5 * (1 + 0.2 * min(D / B, 2.5)) * (1 + 0.2 * B / L)


@formula("FS", BJERRUM_EIDE)
def bjerrum_eide_heave(N_c: Ratio, s_ub: Stress, q_b: Stress) -> Ratio:
    """Factor of safety on base heave of a deep cut.

    N_c: bearing capacity factor
    s_ub: undrained strength below the base
    q_b: vertical stress at base level behind, beyond that in front
    """
    return N_c * s_ub / q_b


@formula("FS", DAS)
def shaped_heave(
    s_ub: Stress, s_us: Stress, q_b: Stress, H_c: Length, B: Length, L: Length, T: Length
) -> Ratio:
    """Factor of safety on base heave with shape of the cut, side strength and a stiff layer below.

    s_ub: undrained strength below the base
    s_us: undrained strength along the side
    q_b: vertical stress at base level behind, beyond that in front
    H_c: height of clay along the side
    B: width of the cut
    L: length of the cut
    T: depth from subgrade to a stiff layer
    """
    B_1: Length = min(T, B / sqrt(2))
    B_2: Length = sqrt(2) * B_1
    return (5.14 * s_ub * (1 + 0.2 * B_2 / L) + s_us * H_c / B_1) / q_b


@formula("i_e", Citation("Harr 1962", "single row of sheet piles in deep ground", "formula"))
def exit_gradient_deep(h: Length, D: Length) -> Ratio:
    """Gradient at the exit beside sheet piles in deep ground, level on both sides.

    h: difference of water levels
    D: embedment
    """
    return h / (pi * D)


@formula("FS", Citation("Terzaghi 1943", "piping", "formula"))
def piping_safety(i_c: Ratio, i_e: Ratio) -> Ratio:
    """Factor of safety on piping.

    i_c: critical gradient
    i_e: upward gradient
    """
    return i_c / i_e
