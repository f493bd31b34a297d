"""Line loads: the area of the curve against its closed integral, on both sides of m = 0.4."""

from __future__ import annotations

import numpy as np
import pytest

from backstay.pressure.surcharge import line_pressure, point_pressure


def area(x: float, H: float = 10.0, Q: float = 100.0) -> float:
    z = np.linspace(1e-6, H, 20001)
    return float(np.trapezoid([line_pressure(Q, depth, x, H) for depth in z], z))


@pytest.mark.parametrize("m", [0.401, 0.45, 0.5, 0.7, 1.0])
def test_far_line_load_pushes_by_the_closed_integral(m: float) -> None:
    """NAVFAC DM-7.02 (from memory): 0.64 Q / (m^2 + 1)."""
    assert area(10.0 * m) == pytest.approx(0.64 * 100.0 / (m**2 + 1), rel=1e-4)


@pytest.mark.parametrize("m", [0.05, 0.2, 0.38, 0.4])
def test_near_line_load_does_not_depend_on_its_distance(m: float) -> None:
    """0.203/2 (1/0.16 - 1/1.16) Q = 0.547 Q, which the manual rounds to 0.55 Q (from memory)."""
    assert area(10.0 * m) == pytest.approx(54.69, rel=1e-4)


@pytest.mark.parametrize("m", [0.401, 0.45, 0.6])
def test_far_point_load_falls_with_distance_and_a_near_one_does_not(m: float) -> None:
    """By hand at n = 0.5: 1.77 m^2 n^2 / (m^2 + n^2)^3, and 0.28 n^2 / (0.16 + n^2)^3 = 1.0157."""
    by_hand = {0.401: 1.02638, 0.45: 0.96712, 0.6: 0.70182}[m]
    assert point_pressure(100.0, 5.0, 10.0 * m, 10.0) == pytest.approx(by_hand, rel=1e-4)
    assert point_pressure(100.0, 5.0, 3.8, 10.0) == pytest.approx(1.01566, rel=1e-4)
