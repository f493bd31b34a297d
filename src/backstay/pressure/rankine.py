"""Rankine's coefficients, cohesion, and the tension crack."""

from __future__ import annotations

from math import cos, radians, sqrt, tan

from backstay.cite import Citation
from backstay.errors import DesignError
from backstay.quantity import Angle, ForcePerLength, Length, Ratio, Stress, UnitWeight
from backstay.trace import formula

RANKINE = Citation("Rankine 1857", "", "formula")
BELL = Citation("Bell 1915", "", "formula")


@formula("K_a", RANKINE)
def rankine_active(phi: Angle) -> Ratio:
    """Active earth pressure coefficient, level ground.

    phi: effective angle of friction
    """
    return tan(radians(45) - phi / 2) ** 2


@formula("K_p", RANKINE)
def rankine_passive(phi: Angle) -> Ratio:
    """Passive earth pressure coefficient, level ground.

    phi: effective angle of friction
    """
    return tan(radians(45) + phi / 2) ** 2


@formula("K_a", RANKINE)
def rankine_active_sloping(phi: Angle, beta: Angle) -> Ratio:
    """Active coefficient along the slope of the ground.

    phi: effective angle of friction; beta: slope of the ground behind
    """
    if abs(beta) > phi:
        raise DesignError("the ground is steeper than its angle of friction")
    root: Ratio = sqrt(cos(beta) ** 2 - cos(phi) ** 2)
    return cos(beta) * (cos(beta) - root) / (cos(beta) + root)


@formula("K_p", RANKINE)
def rankine_passive_sloping(phi: Angle, beta: Angle) -> Ratio:
    """Passive coefficient along the slope of the ground.

    phi: effective angle of friction; beta: slope of the ground
    """
    if abs(beta) > phi:
        raise DesignError("the ground is steeper than its angle of friction")
    root: Ratio = sqrt(cos(beta) ** 2 - cos(phi) ** 2)
    return cos(beta) * (cos(beta) + root) / (cos(beta) - root)


@formula("p_a", BELL)
def active_pressure(K_a: Ratio, sigma_v_prime: Stress, c_prime: Stress) -> Stress:
    """Active pressure with cohesion, tension included.

    K_a: active coefficient; sigma_v_prime: vertical stress
    c_prime: cohesion
    """
    return K_a * sigma_v_prime - 2 * c_prime * sqrt(K_a)


@formula("p_p", BELL)
def passive_pressure(K_p: Ratio, sigma_v_prime: Stress, c_prime: Stress) -> Stress:
    """Passive pressure with cohesion.

    K_p: passive coefficient; sigma_v_prime: vertical stress
    c_prime: cohesion
    """
    return K_p * sigma_v_prime + 2 * c_prime * sqrt(K_p)


@formula("z_c", BELL)
def tension_crack_depth(c_prime: Stress, gamma: UnitWeight, K_a: Ratio) -> Length:
    """Depth to which active pressure is tensile, and a crack may open.

    c_prime: cohesion; gamma: unit weight; K_a: active coefficient
    """
    return 2 * c_prime / (gamma * sqrt(K_a))


@formula("P_a", BELL)
def active_thrust_before_crack(
    K_a: Ratio, gamma: UnitWeight, H: Length, c_prime: Stress
) -> ForcePerLength:
    """Active thrust before a crack opens, tension counted.

    K_a: active coefficient; gamma: unit weight; H: height; c_prime: cohesion
    """
    return K_a * gamma * H**2 / 2 - 2 * c_prime * sqrt(K_a) * H


@formula("P_a", BELL)
def active_thrust_after_crack(
    K_a: Ratio, gamma: UnitWeight, H: Length, z_c: Length
) -> ForcePerLength:
    """Active thrust once the crack has opened: below the crack alone.

    K_a: active coefficient; gamma: unit weight; H: height; z_c: depth of crack
    """
    return K_a * gamma * max(H - z_c, 0) ** 2 / 2
