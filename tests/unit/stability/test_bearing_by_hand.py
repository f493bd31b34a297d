"""Ground under pads and beams: loads off the normal, sliding along the face, what is asked for."""

from __future__ import annotations

import re
from dataclasses import replace
from math import atan, cos, exp, pi, radians, tan

import pytest

from backstay.stability.pads import Pad, Under, check_pad, pad_bearing, slope_factor
from backstay.stability.waler import strip_bearing

PAD = Pad(side=1.5, thickness=0.4, depth=0.32, plate=0.3, concrete=30e3, reinforcement=1.6e-3,
          yield_stress=420e3)  # fmt: skip


@pytest.mark.parametrize("off", [0.0, 5.0, 12.0])
@pytest.mark.parametrize("slope", [0.0, 20.0])
def test_bearing_capacity_by_hand(off: float, slope: float) -> None:
    """Vesic 1973 (factors, square 1 + N_q / N_c and 0.6), Meyerhof 1963 (inclined load), from memory."""
    phi, beta, c, gamma, B = radians(30.0), radians(slope), 8.0, 19.0, 1.6
    N_q = exp(pi * tan(phi)) * (
        1 + 2 * tan(phi) ** 2 + 2 * tan(phi) / cos(phi)
    )  # = tan^2(45 + phi/2)
    N_c, N_g = (N_q - 1) / tan(phi), 2 * (N_q + 1) * tan(phi)
    i_c, i_g = (1 - off / 90.0) ** 2, (1 - off / 30.0) ** 2
    g = cos(beta) * (1 - tan(beta) / tan(phi))
    square = c * N_c * (1 + N_q / N_c) * i_c + 0.6 * 0.5 * gamma * B * N_g * g * i_g
    strip = c * N_c * i_c + 0.5 * gamma * B * N_g * g * i_g
    delta = radians(off)
    assert pad_bearing(c, gamma, B, phi, beta, delta) == pytest.approx(square)
    assert strip_bearing(c, gamma, B, phi, beta, delta) == pytest.approx(strip)


def test_bearing_capacity_of_clay_under_an_inclined_load() -> None:
    """Strength times 2 + pi (strip) or 3 + pi (square), times (1 - delta / 90 degrees)^2."""
    less = (1 - 18.0 / 90.0) ** 2
    delta = radians(18.0)
    assert pad_bearing(40.0, 18.0, 1.0, 0.0, 0.3, delta) == pytest.approx(40.0 * (3 + pi) * less)
    assert strip_bearing(40.0, 18.0, 1.0, 0.0, 0.3, delta) == pytest.approx(40.0 * (2 + pi) * less)
    assert slope_factor(0.0, radians(60.0)) == pytest.approx(0.5)  # the part square to the face


@pytest.mark.parametrize(
    ("ground", "limit"),
    [
        (Under(c=5.0, phi=radians(33.0), gamma=19.0, slope=radians(25.0)), radians(22.0)),
        (Under(c=60.0, phi=0.0, gamma=18.0, slope=radians(25.0)), atan(0.5 * 60.0 / (180.0 / 2.25))),
    ],
    ids=["two thirds of phi", "half the strength as adhesion"],
)  # fmt: skip
def test_the_angle_at_which_a_pad_slides(ground: Under, limit: float) -> None:
    """Common practice, no source; the normal of a face at 25 degrees points 65 below horizontal."""
    sliding = check_pad(
        PAD, ground, design_load=180.0, test_load=240.0, inclination=radians(50.0)
    )[1]  # fmt: skip
    assert sliding.id == "slope.pad-sliding"
    assert sliding.demand == pytest.approx(radians(15.0))
    assert sliding.capacity == pytest.approx(limit)


def test_the_side_asked_for_has_the_safety_and_one_step_less_has_not() -> None:
    ground = Under(c=5.0, phi=radians(32.0), gamma=19.0, slope=radians(25.0))

    def safety(side: float) -> tuple[float, str]:
        check = check_pad(
            replace(PAD, side=side), ground, design_load=300.0, test_load=400.0,
            inclination=radians(60.0),
        )[0]  # fmt: skip
        return check.demand, check.remedy

    asked = re.search(r"\{length:([\d.]+)\}", safety(0.8)[1])
    assert asked
    side = float(asked[1])
    assert safety(side)[0] >= 2.5 * (1 - 1e-3)
    assert safety(side - 0.05)[0] < 2.5
