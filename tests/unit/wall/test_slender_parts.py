"""Slender webs and flanges: values worked by hand, Fy 50 ksi and E 29000 ksi unless said."""

from __future__ import annotations

from math import sqrt

import pytest

from backstay.wall import steel
from tests.unit.wall.members import IN, KSI

FY, E = 50 * KSI, 29_000 * KSI


@pytest.mark.parametrize(
    ("lamda", "expected"),
    [(13.4, 1.0), (15.0, 0.9541), (20.0, 0.8005), (24.7, 0.6560), (26.0, 0.5920), (30.0, 0.4447)],
)
def test_slender_flange_by_hand(lamda: float, expected: float) -> None:
    """AISC 360-10 E7.1(a); the limits are 13.49 and 24.81."""
    assert steel.flange_reduction(lamda, FY, E) == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    ("lamda", "expected"),
    [(59.0, 1.0), (65.0, 0.9114), (73.0, 0.8115), (74.5, 0.7890), (100.0, 0.4379)],
)
def test_slender_web_in_shear_by_hand(lamda: float, expected: float) -> None:
    """AISC 360-10 G2.1(b), k_v = 5; the limits are 59.24 and 73.78."""
    assert steel.web_shear_coefficient(lamda, FY, E) == pytest.approx(expected, abs=1e-4)


def test_slender_web_of_the_published_girder() -> None:
    """AISC Design Examples G.8A (from memory): h/tw 105.6, Fy 36 ksi: C_v 0.545."""
    assert steel.web_shear_coefficient(105.6, 36 * KSI, E) == pytest.approx(0.545, abs=5e-4)


@pytest.mark.parametrize(
    ("h", "expected"), [(9.75, 9.75), (11.0, 10.151), (15.0, 10.852), (30.0, 11.817)]
)
def test_effective_web_by_hand(h: float, expected: float) -> None:
    """AISC 360-10 eq. E7-17, web 1/4 in thick, f 40.9 ksi: full up to h/t 39.7."""
    found = steel.effective_web(h * IN, 0.25 * IN, 40.9 * KSI, E) / IN
    assert found == pytest.approx(expected, abs=2e-3)


def test_effective_web_tends_to_a_width_that_does_not_depend_on_its_depth() -> None:
    """Von Karman: the strip along each edge; 1.92 t sqrt(E/f) in this form."""
    strip = 1.92 * 0.25 * sqrt(29_000 / 40.9)
    assert steel.effective_web(1e6 * IN, 0.25 * IN, 40.9 * KSI, E) / IN == pytest.approx(
        strip, rel=1e-4
    )


@pytest.mark.parametrize(("lamda", "expected"), [(53.5, 1.50), (54.5, 1.67), (90.0, 1.67)])
def test_safety_factor_on_shear_of_stocky_and_of_other_webs(lamda: float, expected: float) -> None:
    """AISC 360-10 G2.1(a): 1.50 up to h/tw 2.24 sqrt(E/Fy) = 53.95, else 1.67."""
    assert steel.shear_safety(lamda, FY, E) == expected


@pytest.mark.parametrize(
    ("lamda", "expected"),
    [(20.0, 0.76), (40.0, 0.6325), (100.0, 0.4), (116.0, 0.3714), (160.0, 0.35)],
)
def test_restraint_of_the_flange_by_the_web(lamda: float, expected: float) -> None:
    """AISC 360-10 table B4.1b: 4 over the root of h/tw, between 0.35 and 0.76."""
    assert steel.flange_restraint(lamda) == pytest.approx(expected, abs=1e-4)
