"""The anchor head, by statics."""

from __future__ import annotations

from dataclasses import replace
from math import acos, cos, pi, radians, sin, sqrt
from types import SimpleNamespace

import pytest

from backstay.basis.gec4 import GEC4_BASIS
from backstay.checks import Verdict
from backstay.wall import plates
from backstay.wall.head import HeadConnection, Support, design_head
from backstay.wall.member import Member
from tests.unit.wall.members import HP14X89, pair


def anchor(
    row: int = 1,
    test_load: float = 600.0,
    inclination: float = 20.0,
    skew: float = 0.0,
    spacing: float = 2.4,
):
    return SimpleNamespace(
        row=row, test_load=test_load, inclination=radians(inclination), skew=radians(skew),
        spacing=spacing, hole_diameter=0.15, tendon=SimpleNamespace(area=560e-6),
    )  # fmt: skip


def head(
    *anchors,
    support: Support = "waler",
    member: Member | None = HP14X89,
    clear: float | None = None,
) -> HeadConnection:
    return design_head(
        anchors, support=support, member=member, F_y=344_738.0, pile_shear=400.0,
        pile_spacing=2.4 if member else None, bending=GEC4_BASIS.steel_bending, basis=GEC4_BASIS, step=0.003175,
        clear=clear,
    )  # fmt: skip


def test_plate_thickness_and_stress_are_inverse() -> None:
    M = plates.plate_moment(700.0, 0.2, 0.08)
    t = plates.plate_thickness(M, 0.3, 0.08, 186_000.0)
    assert plates.plate_stress(M, 0.3, 0.08, t) == pytest.approx(186_000.0)


def test_half_rim_has_its_centroid_at_two_radii_over_pi() -> None:
    # Statics: a half circle of radius r has its centroid 2 r / pi from the diameter.
    n, r = 100_000, 0.04
    angles = [-pi / 2 + pi * (k + 0.5) / n for k in range(n)]
    assert sum(r * cos(a) for a in angles) / n == pytest.approx(2 * r / pi, rel=1e-6)
    assert plates.plate_moment(2.0, 0.4, 2 * r) == pytest.approx(0.1 * 2 - 2 * r / pi, rel=1e-9)


def test_plate_carries_the_greatest_test_load() -> None:
    done = head(anchor(1, 500.0), anchor(2, 900.0))
    assert (done.row, done.force) == (2, 900.0)
    assert all(c.utilisation <= 1 for c in done.checks)


def test_wedge_turns_the_plate_square_to_the_tendon() -> None:
    done = head(anchor(inclination=20.0, skew=10.0))
    # Independent: the angle between unit vectors of the tendon and of the wall's normal.
    i, psi = radians(20), radians(10)
    tendon = (cos(i) * cos(psi), cos(i) * sin(psi), sin(i))
    assert done.wedge_angle == pytest.approx(acos(tendon[0]))
    thin, thick = done.wedge_depths
    assert thick - thin == pytest.approx(done.plate_height * sin(done.wedge_angle))


def test_weld_stress_without_eccentricity_is_force_over_throat() -> None:
    assert plates.weld_stress(100.0, 0.0, 0.2, 0.006) == pytest.approx(
        100 / (4 * 0.2 * 0.707 * 0.006)
    )
    eccentric = plates.weld_stress(100.0, 0.1, 0.2, 0.006)
    direct, bending = 100 / 0.8, 100 * 0.1 / (4 * 0.2**2 / 6)
    assert eccentric == pytest.approx(sqrt(direct**2 + bending**2) / (0.707 * 0.006))


def test_a_flat_anchor_asks_nothing_of_the_weld() -> None:
    assert head(anchor(inclination=0.0)).checks[1].demand == pytest.approx(0.0, abs=1e-6)


def test_more_load_never_thins_the_plate() -> None:
    thicknesses = [head(anchor(test_load=T)).plate_thickness for T in range(200, 2000, 100)]
    assert thicknesses == sorted(thicknesses)


def test_plate_and_weld_that_cannot_carry_fail_in_words() -> None:
    done = head(anchor(test_load=12_000.0, inclination=40))
    assert [c.id for c in done.checks if c.utilisation > 1] == ["wall.head-plate", "wall.head-weld"]
    assert all(c.remedy for c in done.checks)


def test_anchor_beside_a_pile_hangs_on_a_waler_between_two() -> None:
    done = head(anchor())
    N = 600 * cos(radians(20))
    e = (HP14X89.b_f + 0.15) / 2 + 0.05
    assert done.waler_modulus == pytest.approx(N * e * (2.4 - e) / 2.4 / (0.66 * 248_211), rel=1e-9)


@pytest.mark.parametrize("between", [1, 2, 3, 4])
def test_waler_over_piles_is_never_short(between: int) -> None:
    # Simple span with the reactions of the piles between as loads, by statics.
    n, s, q = between + 1, 2.0, 50.0
    end = between * q * s / 2
    greatest = max(end * k * s - sum(q * s * (k - j) * s for j in range(1, k)) for k in range(1, n))
    assert plates.waler_over_piles(q * n * s, n * s) >= greatest - 1e-9
    if n == 2:
        assert plates.waler_over_piles(q * n * s, n * s) == pytest.approx(greatest)


def test_pair_needs_no_waler_and_cut_section_gets_side_plates() -> None:
    two = head(anchor(), support="between pair", member=pair(HP14X89, 0.5))
    assert two.waler_modulus == 0.0
    assert two.plate_span == pytest.approx(0.5 + HP14X89.t_w)
    cut = head(anchor(), support="cut through")
    needed = 400 / (2 * (HP14X89.d - 2 * HP14X89.t_f) * 0.4 * 248_211)
    assert cut.web_plate_thickness >= needed
    assert any("Side plates" in note for note in cut.notes)


def test_stiffeners_come_where_the_web_yields() -> None:
    assert head(anchor(test_load=300.0)).stiffener_thickness == 0.0
    assert head(anchor(test_load=2500.0)).stiffener_thickness > 0.0


def test_continuous_wall_has_a_continuous_waler() -> None:
    done = head(anchor(spacing=3.0), member=None)
    N = 600 * cos(radians(20))
    assert done.waler_modulus == pytest.approx(N * 3 / 10 / (0.66 * 248_211))


def test_a_pair_too_close_for_the_tendon_fails_and_its_plate_gets_the_gap_needed() -> None:
    tight = replace(HP14X89, form="channel", count=2, gap=0.0)
    done = head(anchor(), support="between pair", member=tight, clear=0.0)
    passage = done.checks[0]
    assert (passage.id, passage.verdict) == ("wall.head-opening", Verdict.FAIL)
    assert passage.capacity == pytest.approx(done.opening)
    assert done.plate_span == pytest.approx(done.opening + HP14X89.t_w)
    assert done.plate_thickness > 0.0


def test_a_flange_cut_narrower_than_the_trumpet_fails() -> None:
    wide = head(anchor(), support="cut through", clear=0.15)
    assert wide.checks[0].verdict is Verdict.PASS
    narrow = head(anchor(), support="cut through", clear=0.05)
    assert narrow.checks[0].verdict is Verdict.FAIL
    assert "opening_width" in narrow.checks[0].remedy
