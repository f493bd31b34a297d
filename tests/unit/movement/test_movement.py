"""Movement: which ground, which trough, what happens to buildings."""

from __future__ import annotations

from math import inf

import pytest

from backstay.checks import Verdict
from backstay.ground import profile
from backstay.model.project import Section
from backstay.movement import MovementDesign, damage_of, movement_of, trough_shape
from backstay.movement.movement import soft_clay_share
from tests.unit.pressure.grounds import clay, sand
from tests.unit.wall.test_toe import section

HOUSE = {"name": "house", "near": 4.0, "far": 14.0, "height": 8.0}


def moved(s: Section, cantilever: float = 0.005, heave: float | None = None) -> MovementDesign:
    return movement_of(s, profile(s), cantilever=cantilever, heave=heave)


def test_stiff_ground_moves_by_its_share() -> None:
    m = moved(section(sand()))
    assert m.ground == "granular"
    assert m.wall_movement == pytest.approx(0.002 * 9.0)
    assert m.settlement == pytest.approx(0.0015 * 9.0)
    assert m.trough_kind == "sand"
    assert m.trough[-1] == (pytest.approx(18.0), 0.0)


def test_the_cantilever_stage_is_carried_where_it_moves_more() -> None:
    m = moved(section(sand()), cantilever=0.04)
    assert m.wall_movement == 0.04
    assert m.settlement == pytest.approx(0.03)
    assert m.trough_kind == "spandrel"


def test_no_cantilever_equilibrium_is_said() -> None:
    m = moved(section(sand()), cantilever=inf)
    assert m.wall_movement < inf
    assert any("no equilibrium" in note for note in m.notes)


def test_soft_clay_moves_by_base_safety() -> None:
    s = section(clay(su=25.0))
    shares = [moved(s, heave=f).by_experience / 9.0 for f in (0.8, 1.0, 1.25, 1.5, 2.0, 5.0)]
    assert shares == sorted(shares, reverse=True)
    assert shares[1] == pytest.approx(0.025)
    assert shares[3] == pytest.approx(0.010)
    assert soft_clay_share(1.75) == pytest.approx(0.008)
    assert moved(s, heave=2.0).trough_kind == "concave"
    assert any("not stable" in n for n in moved(s, heave=0.8).notes)


def test_soft_clay_at_the_base_decides() -> None:
    assert moved(section(sand(), clay(top=-9.0, su=20.0))).ground == "soft clay"
    assert moved(section(clay(su=100.0, kind="stiff clay"))).ground == "stiff clay"


def test_a_building_by_hand() -> None:
    """H 9, sand: settlement 13.5 mm falling to nil at 18 m; slope 0.75e-3, extension 1.0e-3."""
    (b,) = moved(section(sand(), buildings=[HOUSE])).buildings
    assert b.settlement_near == pytest.approx(0.0135 * 14 / 18)
    assert b.distortion == pytest.approx(0.00075)
    assert b.extension == pytest.approx(0.001)
    assert b.strain == pytest.approx(0.0005 + (0.0005**2 + 0.000375**2) ** 0.5)
    assert b.category == "slight"
    assert b.check.verdict is Verdict.PASS


def test_a_strict_limit_fails_with_a_remedy() -> None:
    (b,) = moved(section(sand(), buildings=[{**HOUSE, "limit": "negligible"}])).buildings
    assert b.check.verdict is Verdict.FAIL
    assert "underpin" in b.check.remedy
    assert b.check.where == "house"


def test_a_far_building_is_not_touched() -> None:
    (b,) = moved(section(sand(), buildings=[{**HOUSE, "near": 40.0, "far": 50.0}])).buildings
    assert b.strain == 0.0
    assert b.category == "negligible"


def test_targets_become_checks() -> None:
    m = moved(section(sand(), targets={"wall_movement": 0.015, "settlement": 0.02}))
    verdicts = {c.id: c.verdict for c in m.checks}
    assert verdicts == {
        "movement.wall": Verdict.FAIL,
        "movement.settlement": Verdict.PASS,
    }


def test_troughs_end_and_stay_between_nil_and_one() -> None:
    for kind in ("concave", "spandrel", "sand", "stiff clay", "soft clay"):
        shape = trough_shape(kind)  # type: ignore[arg-type]
        values = [shape.at(0.05 * k) for k in range(100)]
        assert all(0.0 <= v <= 1.0 for v in values)
        assert shape.at(shape.extent) == 0.0
        assert shape.at(99.0) == 0.0


def test_categories_rise() -> None:
    severities = [damage_of(strain).severity for strain in (0.0, 6e-4, 1e-3, 2e-3, 1e-2)]
    assert severities == [0, 1, 2, 3, 4]
