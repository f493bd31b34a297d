"""The subgrade modulus: formulas against values worked outside, and the choice among them."""

from __future__ import annotations

from math import degrees, radians

import pytest

from backstay.errors import DesignError
from backstay.ground import Layer, profile
from backstay.trace import trace
from backstay.wall.staged.stiffness import (
    PILE_GROWTH,
    Bearing,
    confined_modulus,
    density_of,
    growth_for_pile,
    growth_for_wall,
    modulus_for_pile,
    modulus_for_wall,
    modulus_from_cpt,
    modulus_from_spt,
    modulus_of_clay_for_pile,
    modulus_over_width,
    subgrade_modulus,
    undrained_modulus,
)
from backstay.wall.staged.zones import arching_in_clay, arching_in_sand
from tests.unit.wall.staged.site import CLAY, SAND, section

PILE = Bearing(width=0.6, EI=5e4, embedment=4.0, isolated=True)
STRIP = Bearing(width=1.0, EI=5e4, embedment=4.0, isolated=False)


def layer(stratum: dict[str, object], **changes: object) -> Layer:
    return profile(section(ground={"top": 100.0, "strata": [{**stratum, **changes}]})).layers[0]


def chosen(stratum: dict[str, object], bearing: Bearing = PILE, **changes: object):  # type: ignore[no-untyped-def]
    return subgrade_modulus(layer(stratum, **changes), bearing, top=0.0, depth=6.0, submerged=False)


def test_pile_in_elastic_ground() -> None:
    """Vesic's formula worked by hand: E 20 MPa, nu 0.3, B 0.6 m, EI 50,000 kNm2: k B 11,163 kN/m2."""
    assert 0.6 * modulus_for_pile(20000.0, 0.6, 5e4, 0.3) == pytest.approx(11163.0, rel=1e-4)


def test_sand_by_terzaghi() -> None:
    """Terzaghi 1955, from memory: 2.2, 6.6, 17.6 moist and 1.3, 4.4, 10.7 submerged, MN/m3."""
    assert PILE_GROWTH == {
        "loose": (2200.0, 1300.0), "medium": (6600.0, 4400.0), "dense": (17600.0, 10700.0)
    }  # fmt: skip
    assert growth_for_pile(6600.0, 0.6) == 11000.0
    assert growth_for_wall(2510.0, 4.0) == 627.5


def test_terzaghi_agrees_with_itself_in_his_own_units() -> None:
    """7, 21, 56 and 4, 14, 34 short tons per cubic foot, his own figures from memory."""
    ton_per_cubic_foot = 2000 * 4.4482216e-3 / 0.3048**3
    for density, tons in {"loose": (7, 4), "medium": (21, 14), "dense": (56, 34)}.items():
        for ours, his in zip(PILE_GROWTH[density], tons, strict=True):
            assert ours == pytest.approx(his * ton_per_cubic_foot, rel=0.035)


def test_formulas_worked_by_hand() -> None:
    # oedometer: 20 MPa x 0.7 / (1.3 x 0.4) = 26.92 MPa
    assert confined_modulus(20000.0, 0.3) == pytest.approx(26923.08, rel=1e-6)
    # Schmitt in MPa and MN m2/m: 2.1 x 27^(4/3) / 27^(1/3) = 2.1 x 27 = 56.7 MN/m3
    assert modulus_for_wall(27000.0, 27000.0, 1.0) == pytest.approx(56700.0, rel=1e-12)
    assert modulus_of_clay_for_pile(60.0, 0.6) == pytest.approx(6700.0)
    assert modulus_over_width(24000.0, 0.6) == pytest.approx(40000.0)
    assert undrained_modulus(60.0, 400.0) == pytest.approx(24000.0)
    assert modulus_from_spt(25.0) == 20000.0
    assert modulus_from_cpt(8000.0) == 20000.0


def test_vesic_and_width_are_of_one_order() -> None:
    """For usual piles Vesic's modulus is 0.5 to 1 times E / B."""
    for width in (0.4, 0.6, 0.9):
        for E in (5e3, 2e4, 1e5):
            ratio = modulus_for_pile(E, width, 5e4, 0.3) / modulus_over_width(E, width)
            assert 0.4 < ratio < 1.0


@pytest.mark.parametrize(
    ("changes", "method", "k", "growth"),
    [
        ({"subgrade_modulus": "20 MN/m3"}, "given", 20000.0, 0.0),
        ({"subgrade_gradient": "5 MN/m4"}, "given", 0.0, 5000.0),
        ({"stiffness": "20 MPa"}, "Vesic, from Young's modulus", 11163.0 / 0.6, 0.0),
        ({}, "Terzaghi, medium sand", 0.0, 11000.0),
        ({"density": None}, "Terzaghi, medium sand", 0.0, 11000.0),
        ({"density": None, "spt_n": 25}, "Vesic, from SPT", 11163.0 / 0.6, 0.0),
        ({"spt_n": 25}, "Terzaghi, medium sand", 0.0, 11000.0),
        ({"density": None, "cpt_resistance": "8 MPa", "spt_n": 3}, "Vesic, from CPT", 11163.0 / 0.6, 0.0),
    ],
)  # fmt: skip
def test_what_is_known_best_is_taken(
    changes: dict[str, object], method: str, k: float, growth: float
) -> None:
    found = chosen(SAND, **changes)
    assert (found.method, found.growth) == (method, growth)
    assert found.k_h == pytest.approx(k, rel=1e-4)
    assert found.reason


def test_clay_goes_by_its_strength_at_the_depth_asked_for() -> None:
    found = chosen(CLAY)  # 80 + 2 x 6 = 92 kPa
    assert found.method == "Davisson, from undrained strength"
    assert found.k_h == pytest.approx(67 * 92 / 0.6)
    strip = chosen(CLAY, STRIP)
    assert strip.method == "Schmitt, from undrained strength"
    assert strip.k_h == pytest.approx(
        modulus_for_wall(confined_modulus(400 * 92.0, 0.4), 5e4, 1.0), rel=1e-12
    )


def test_other_methods_are_told_for_comparison() -> None:
    found = chosen(SAND, stiffness="20 MPa", spt_n=25)
    assert found.others == (
        ("Terzaghi, medium sand", pytest.approx(66000.0)),
        ("Vesic, from SPT", pytest.approx(11163.0 / 0.6, rel=1e-4)),
    )


def test_the_choice_is_in_the_derivation() -> None:
    with trace() as t:
        found = chosen(SAND, stiffness="20 MPa", spt_n=25)
    said = [step.formula.id for step in t.steps if hasattr(step, "formula")]
    assert said == ["wall.staged.stiffness.modulus_for_pile"]  # the others are not worked there
    assert found.steps


def test_rock_without_a_modulus_is_taken_as_weak() -> None:
    rock = {**SAND, "kind": "rock", "name": "Rock", "density": None, "moist_unit_weight": 23.0,
            "saturated_unit_weight": 24.0}  # fmt: skip
    assert chosen(rock).method == "Vesic, from the modulus of weak rock"
    stiff = chosen(rock, stiffness="2 GPa")
    assert stiff.k_h > chosen(rock).k_h


def test_clay_without_strength_or_modulus_is_refused() -> None:
    weightless = {**CLAY, "undrained_strength": {"at_top": 0.0, "gradient": 0.0}}
    with pytest.raises(DesignError, match="stiffness"):
        chosen(weightless)


def test_density_by_friction_angle() -> None:
    assert [density_of(radians(a)) for a in (28, 33, 38)] == ["loose", "medium", "dense"]
    assert density_of(None) == "loose"


def test_arching() -> None:
    """0.08 phi in degrees, at most 3 (from memory); clay 1 to 2 (common practice)."""
    for phi in (15.0, 25.0, 35.0):
        assert arching_in_sand(radians(phi)) == pytest.approx(max(1.0, 0.08 * phi))
    assert degrees(radians(37.5)) * 0.08 == pytest.approx(arching_in_sand(radians(37.5)))
    assert arching_in_sand(radians(45.0)) == 3.0
    assert [arching_in_clay(s) for s in (10.0, 25.0, 62.5, 100.0, 300.0)] == [1, 1, 1.5, 2, 2]
