"""Sentences as printed."""

from __future__ import annotations

import pytest

from backstay.quantity import UnitSystem
from backstay.report.prose import prose, typeset


@pytest.mark.parametrize(
    ("written", "printed"),
    [
        ("0.65 K_a gamma H^2", "0.65 K_a γ H²"),
        ("plane at 45 degrees + phi/2", "plane at 45° + φ/2"),
        ("gammas and alphabets", "gammas and alphabets"),
        ("1 - 0.636 sqrt(d/H)", "1 - 0.636 √(d/H)"),
        ("residual 0.00003940 kN", "residual 4 × 10⁻⁵ kN"),
        ("last change 5e-11 of the push", "last change 5 × 10⁻¹¹ of the push"),
        ("misses by 0e+00 rad", "misses by 0 rad"),
        ("trough (Ou et al. (1993) (from memory)).", "trough (Ou et al. (1993) †)."),
        ("9.9e-7", "1 × 10⁻⁶"),
        ("HP12x63, A572-50, 0.0005", "HP12x63, A572-50, 0.0005"),
    ],
)
def test_typeset(written: str, printed: str) -> None:
    assert typeset(written) == printed


def test_quantities_are_written_in_the_units() -> None:
    assert prose("needs {length:3.048}", UnitSystem.US) == "needs 10.00 ft"
