"""Allowable strength of rolled sections, against the AISC design examples and the Manual."""

from __future__ import annotations

from dataclasses import replace
from math import pi, sqrt

import pytest

from backstay.errors import DesignError
from backstay.wall import steel
from backstay.wall.interaction import interaction
from backstay.wall.member import Steel, member_strength, pair_inertia
from tests.unit.wall.members import (
    GRADE_50,
    HP12X53,
    HP14X73,
    HP14X117,
    KIP,
    KIP_FT,
    KSI,
    W14X99,
    W18X50,
    pair,
)

E, FY = 29_000 * KSI, 50 * KSI


def code_only(material: Steel) -> Steel:
    """Return the steel with a basis that allows everything, so that AISC 360 governs."""
    free = replace(material.bending, value=9.0)
    return replace(material, bending=free, shear=free, axial=free)


@pytest.mark.parametrize(
    ("member", "lrfd"), [(HP12X53, 246), (HP14X73, 385), (HP14X117, 726)], ids=lambda v: str(v)
)
def test_hp_flanges_that_are_not_compact(member: object, lrfd: float) -> None:
    # Manual tables, phi Mp' (from memory): the nominal moment is 0.9 of it away.
    strength = member_strength(member, code_only(GRADE_50), 0.5)  # type: ignore[arg-type]
    assert strength.moment / KIP_FT == pytest.approx(lrfd / 0.9 / 1.67, rel=0.004)
    assert strength.moment_rule == "AISC 360"


def test_lateral_buckling_of_a_beam_in_the_design_examples() -> None:
    # AISC Design Examples F.1-2 (published): 203 kip-ft ASD at 11.67 ft with Cb 1.01.
    strength = member_strength(W18X50, code_only(GRADE_50), 35 / 3 * 0.3048)
    assert 1.01 * strength.moment / KIP_FT == pytest.approx(203, rel=0.005)


def test_column_of_the_design_examples() -> None:
    # AISC Design Examples H.1B (published): W14x99, 14 ft: 751 kip and 428 kip-ft ASD.
    strength = member_strength(W14X99, code_only(GRADE_50), 14 * 0.3048)
    assert strength.axial / KIP == pytest.approx(751, rel=0.005)
    assert strength.moment / KIP_FT == pytest.approx(428, rel=0.005)


def test_interaction_of_the_design_example() -> None:
    # H.1B: 267 kip, 167 and 53.3 kip-ft against 751, 428, 207: 0.931 (published 0.931).
    assert interaction(267 / 751, 167 / 428 + 53.3 / 207) == pytest.approx(0.931, abs=0.001)


def test_shear_of_a_rolled_web() -> None:
    # Manual table 3-2 (from memory): W18x50 Vn/Omega 128 kip.
    assert member_strength(W18X50, code_only(GRADE_50), 1).shear / KIP == pytest.approx(
        128, rel=0.005
    )


def test_basis_governs_where_the_section_is_compact() -> None:
    strength = member_strength(HP14X117, GRADE_50, 3.0)
    assert strength.moment == pytest.approx(0.66 * FY * HP14X117.S_x)
    assert strength.moment_rule == "allowable stress"
    assert member_strength(HP14X73, GRADE_50, 3.0).moment_rule == "AISC 360"


def test_strength_never_rises_with_unbraced_length() -> None:
    lengths = [0.5 * k for k in range(1, 40)]
    moments = [member_strength(W18X50, GRADE_50, L).moment for L in lengths]
    axials = [member_strength(W18X50, GRADE_50, L).axial for L in lengths]
    assert moments == sorted(moments, reverse=True)
    assert axials == sorted(axials, reverse=True)


def test_elastic_and_inelastic_buckling_meet() -> None:
    L_p = steel.full_plastic_length(W18X50.r_y, FY, E)
    r_ts = steel.effective_gyration(W18X50.I_y, W18X50.d - W18X50.t_f, W18X50.S_x)
    h_0 = W18X50.d - W18X50.t_f
    L_r = steel.elastic_length(r_ts, FY, E, W18X50.J, W18X50.S_x, h_0)
    # Manual table 3-2 (from memory): Lp 5.83 ft, Lr 16.9 ft.
    assert L_p / 0.3048 == pytest.approx(5.83, rel=0.005)
    assert L_r / 0.3048 == pytest.approx(16.9, rel=0.005)
    below, above = (
        steel.lateral_torsional_moment(
            FY * W18X50.Z_x, FY, E, W18X50.S_x, L_r * f, L_p, L_r, 1.0, r_ts, W18X50.J, h_0
        )
        for f in (1 - 1e-9, 1 + 1e-9)
    )
    assert below == pytest.approx(above, rel=2e-3)


def test_column_curves_meet_and_tend_to_euler() -> None:
    F_e = FY / 2.25
    assert steel.critical_stress(1.0, FY, F_e * 1.0000001) == pytest.approx(0.877 * F_e, rel=5e-3)
    assert steel.elastic_buckling_stress(5.0, 0.05, E) == pytest.approx(pi**2 * E / 1e4)


@pytest.mark.parametrize("limit", [0.56, 1.03])
def test_flange_reduction_is_continuous(limit: float) -> None:
    edge = limit * sqrt(E / FY)
    low, high = (steel.flange_reduction(edge * f, FY, E) for f in (1 - 1e-9, 1 + 1e-9))
    assert low == pytest.approx(high, rel=0.01)


def test_slender_web_loses_area() -> None:
    # W18x50: h/tw 45.2 exceeds 1.49 sqrt(E/Fy) = 35.9.
    h = 45.2 * W18X50.t_w
    b_e = steel.effective_web(h, W18X50.t_w, FY, E)
    assert b_e < h
    Q_a = steel.web_reduction(W18X50.A, h, b_e, W18X50.t_w)
    assert 0.9 < Q_a < 1.0


def test_a_pair_carries_twice_the_moment_and_is_stiffer_sideways() -> None:
    one, two = (
        member_strength(HP14X117, GRADE_50, 3.0),
        member_strength(pair(HP14X117, 0.5), GRADE_50, 3.0),
    )
    assert two.moment == pytest.approx(2 * one.moment, rel=0.02)
    assert two.shear == pytest.approx(2 * one.shear)
    assert two.axial >= 2 * one.axial
    assert pair_inertia(1.0, 2.0, 3.0) == 2 * (1 + 18)


def test_a_web_that_is_not_compact_is_refused() -> None:
    with pytest.raises(DesignError, match="web"):
        member_strength(replace(W18X50, lamda_w=120.0), GRADE_50, 3.0)
