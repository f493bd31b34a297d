"""Verification of one soldier pile, and the choice of the lightest."""

from __future__ import annotations

from dataclasses import replace

import pytest

from backstay.basis.gec4 import GEC4_BASIS
from backstay.errors import DesignError
from backstay.wall.member import BATTEN_SPACING
from backstay.wall.pile import (
    MomentView,
    PileDemand,
    PileDesign,
    PileRules,
    flanges_less_opening,
    lightest_pile,
    net_modulus,
    verify_pile,
)
from tests.unit.wall.members import GRADE_50, HP14X73, HP14X89, HP14X117, KIP_FT, W18X50, pair

DEMAND = PileDemand(
    (MomentView("the closed form", 300.0), MomentView("the continuous beam", 320.0)),
    400.0, (280.0, 320.0), 60.0, 1.5, 3.7, 2.4, 9.75,
)  # fmt: skip
BESIDE = PileRules(GRADE_50, "bracket", None, None)


def check(done: PileDesign, id: str):
    return next(c for c in done.checks if c.id == id)


def test_the_larger_view_of_the_moment_governs() -> None:
    done = verify_pile(HP14X89, DEMAND, BESIDE)
    assert check(done, "wall.pile-bending").demand == 320.0
    assert DEMAND.governing == "the continuous beam"
    assert "continuous beam" in check(done, "wall.pile-bending").note


def test_axial_load_is_anchors_and_weights() -> None:
    done = verify_pile(HP14X89, DEMAND, BESIDE)
    weight = 89 * 0.45359237 / 0.3048 * 9.80665e-3
    assert done.axial == pytest.approx(60 * 2.4 + (1.5 + weight) * 9.75)


def test_combined_is_bending_plus_half_the_axial_share_where_that_is_small() -> None:
    done = verify_pile(HP14X89, DEMAND, BESIDE)
    bending = check(done, "wall.pile-bending").utilisation
    share = done.axial / done.strength.axial
    assert share < 0.2
    combined = check(done, "wall.pile-combined").utilisation
    assert bending + share / 2 <= combined <= 1.02 * bending + share / 2


def test_the_cantilever_stage_has_no_load_of_anchors() -> None:
    views = (MomentView("a", 200.0), MomentView("b", 320.0, "cantilever"))
    done = verify_pile(HP14X89, replace(DEMAND, views=views), BESIDE)
    weight = (1.5 + HP14X89.weight) * 9.75
    bending = 320 / done.strength.moment
    combined = check(done, "wall.pile-combined").utilisation
    assert combined == pytest.approx(bending + weight / done.strength.axial / 2, rel=0.02)
    assert done.axial == pytest.approx(60 * 2.4 + weight)


def test_every_failing_check_says_what_would_help() -> None:
    done = verify_pile(
        HP14X73, replace(DEMAND, views=(MomentView("x", 900.0),)), BESIDE, "HP14x117 would do"
    )
    assert not done.passes
    assert all(c.remedy for c in done.checks if c.utilisation > 1)


def test_cut_section_keeps_its_flanges_only() -> None:
    rules = replace(BESIDE, opening="cut through", opening_width=0.15)
    done = verify_pile(HP14X117, DEMAND, rules)
    cut = check(done, "wall.pile-opening")
    m = HP14X117
    by_hand = 2 * (m.b_f - 0.15) * m.t_f * ((m.d - m.t_f) / 2) ** 2 / (m.d / 2)
    assert cut.capacity == pytest.approx(0.66 * GRADE_50.F_y * by_hand)
    assert cut.demand == 320.0
    assert cut.where == "row 2"


def test_cutting_never_strengthens() -> None:
    m = HP14X117
    uncut = net_modulus(flanges_less_opening(m.b_f, 0.0, m.t_f, m.d), m.d)
    assert uncut < m.S_x
    assert net_modulus(flanges_less_opening(m.b_f, 0.1, m.t_f, m.d), m.d) < uncut


def test_between_a_pair_the_clear_way_counts() -> None:
    wide = pair(HP14X89, 0.55)
    rules = replace(BESIDE, opening="between pair", opening_width=0.15)
    assert check(verify_pile(wide, DEMAND, rules), "wall.pile-opening").demand == pytest.approx(
        0.55 - (wide.b_f - wide.t_w)
    )
    narrow = check(verify_pile(pair(HP14X89, 0.4), DEMAND, rules), "wall.pile-opening")
    assert narrow.utilisation > 1
    assert "small length" in narrow.remedy


@pytest.mark.parametrize(
    ("member", "rules", "reason"),
    [
        (HP14X89, replace(BESIDE, opening="between pair", opening_width=0.15), "double"),
        (HP14X89, replace(BESIDE, opening="cut through"), "not known"),
        (
            HP14X89,
            replace(BESIDE, opening="cut through", opening_width=0.5),
            "leaves nothing of the flange",
        ),
        (pair(HP14X89, 0.5), replace(BESIDE, opening="cut through", opening_width=0.1), "single"),
    ],
)
def test_openings_that_make_no_sense_are_refused(member, rules, reason) -> None:
    with pytest.raises(DesignError, match=reason):
        verify_pile(member, DEMAND, rules)


def test_pile_must_fit_its_hole() -> None:
    done = verify_pile(HP14X89, DEMAND, replace(BESIDE, hole=0.5))
    assert check(done, "wall.pile-in-hole").utilisation > 1
    assert verify_pile(HP14X89, DEMAND, replace(BESIDE, hole=0.6)).passes


def test_the_lightest_that_passes_is_chosen() -> None:
    heavy = replace(DEMAND, views=(MomentView("x", 1.02 * 256 * KIP_FT),))
    found = lightest_pile((HP14X117, HP14X89, HP14X73), heavy, lambda _: BESIDE)
    assert found is HP14X89
    none = replace(DEMAND, views=(MomentView("x", 1e5),))
    assert lightest_pile((HP14X117, HP14X89), none, lambda _: BESIDE) is None


def test_no_lighter_section_passes_than_the_one_chosen() -> None:
    sections = (HP14X73, HP14X89, HP14X117, W18X50)
    for moment in (100.0, 250.0, 330.0, 400.0, 500.0):
        demand = replace(DEMAND, views=(MomentView("x", moment),))
        passing = [m for m in sections if verify_pile(m, demand, BESIDE).passes]
        found = lightest_pile(sections, demand, lambda _: BESIDE)
        assert found is (min(passing, key=lambda m: m.mass) if passing else None)


def test_pairs_are_held_by_battens() -> None:
    long = replace(DEMAND, span=4 * BATTEN_SPACING)
    assert check(verify_pile(pair(W18X50, 0.4), long, BESIDE), "wall.pile-bending").capacity > 2 * (
        check(verify_pile(W18X50, long, BESIDE), "wall.pile-bending").capacity
    )


def test_basis_provides_the_limits() -> None:
    assert GRADE_50.bending is GEC4_BASIS.steel_bending
