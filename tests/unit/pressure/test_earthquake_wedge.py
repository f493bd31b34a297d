"""Mononobe-Okabe against the force polygon of a plane wedge, turned until it pushes most (resists least).

Vertical wall of unit height, unit weight 1; weight W and k_h W through the wedge; close to the
slope that can no longer stand as well, where a guard must not refuse too early.
"""

from __future__ import annotations

from math import cos, radians, sin, tan

import pytest

from backstay.pressure.earthquake import seismic_active, seismic_angle, seismic_passive


def wedge(phi: float, delta: float, beta: float, k_h: float, *, sign: int) -> float:
    """Return the coefficient along the thrust by trial; sign 1 active, -1 passive. Degrees."""
    f, d, b = radians(phi), radians(delta), radians(beta)
    found = []
    for step in range(1, 16000):
        a = b + radians(0.005 * step)
        turn = a - sign * f
        lever = cos(turn - sign * d)
        if a >= radians(89.9) or lever <= 1e-6:
            break
        weight = 0.5 / (tan(a) - tan(b))
        found.append(weight * (sin(turn) + sign * k_h * cos(turn)) / lever)
    return (max(found) if sign > 0 else min(x for x in found if x > 0.0)) / 0.5


@pytest.mark.parametrize(
    ("phi", "delta", "beta", "k_h"),
    [(30, 0, 0, 0.1), (30, 15, 20, 0.1), (30, 0, 24, 0.1), (36, 18, 10, 0.25), (33, 11, -5, 0.2)],
)
def test_active(phi: float, delta: float, beta: float, k_h: float) -> None:
    psi = seismic_angle(k_h, 0.0)
    computed = seismic_active(radians(phi), radians(delta), 0.0, radians(beta), psi)
    assert computed == pytest.approx(wedge(phi, delta, beta, k_h, sign=1), rel=1e-5)


@pytest.mark.parametrize(
    ("phi", "delta", "beta", "k_h"),
    [(30, 0, 0, 0.1), (30, 0, -20, 0.1), (30, 5, -24, 0.1), (36, 12, 5, 0.2)],
)
def test_passive(phi: float, delta: float, beta: float, k_h: float) -> None:
    psi = seismic_angle(k_h, 0.0)
    computed = seismic_passive(radians(phi), radians(delta), 0.0, radians(beta), psi)
    assert computed == pytest.approx(wedge(phi, delta, beta, k_h, sign=-1), rel=1e-5)
