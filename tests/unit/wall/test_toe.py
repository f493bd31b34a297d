"""The toe: resistance, required embedment, what governs, what is refused."""

from __future__ import annotations

from math import inf, radians

import pytest

from backstay.basis import basis
from backstay.checks import Sense, Verdict
from backstay.errors import DesignError
from backstay.ground import profile
from backstay.model.project import Section
from backstay.trace import Stated
from backstay.wall.toe import LEAST_EMBEDMENT, ToeDesign, design_toe
from backstay.wall.toe_isolated import (
    flow_clay,
    flow_sand,
    flow_sand_gross,
    rock_on_pile,
    threefold_clay,
    wedge_clay,
    wedge_sand,
    wedge_sand_gross,
)
from tests.unit.pressure.grounds import clay, sand

RULES = basis("FHWA-IF-99-015")


def section(*strata: dict[str, object], H: float = 9.0, **more: object) -> Section:
    water = more.pop("water", {})
    return Section.model_validate(
        {
            "name": "A", "wall_length": 30.0,
            "ground": {"top": 0.0, "strata": list(strata), "water": water},
            "cut": {"subgrade": -H},
            "wall": {
                "kind": "soldier piles", "section": "auto", "spacing": 2.4, "hole_diameter": 0.6,
            },
            "anchors": [{"elevation": -2.0}, {"elevation": -5.5}],
            **more,
        }
    )  # fmt: skip


def toe(s: Section, R: float = 40.0, depth: float | None = None, **more: object) -> ToeDesign:
    given = {"pile_width": 0.6, "spacing": 2.4, "isolated": True, **more}
    return design_toe(s, profile(s), reaction=R, toe=depth, basis=RULES, **given)  # type: ignore[arg-type]


def test_the_required_embedment_gives_the_safety_and_no_more() -> None:
    s = section(sand(phi=30.0))
    required = toe(s, 80.0).by_force
    at_required = toe(s, 80.0, 9.0 + required)
    assert at_required.safety == pytest.approx(1.5, abs=1e-4)
    assert toe(s, 80.0, 9.0 + required - 0.05).safety < 1.5


def test_resistance_is_the_sum_that_a_hand_makes() -> None:
    """Sand, three widths govern at depth: 3 Kp gamma b D^2/2 less Ka (gamma (H + D/2)) b D."""
    s = section(sand(phi=30.0, gamma=18.0))
    d = toe(s, 60.0, 13.0)
    threefold = dict(d.resistances)["threefold width"]
    assert threefold == pytest.approx(3 * 3.0 * 18.0 * 0.6 * 4.0**2 / 2, rel=1e-9)
    active = (18.0 * 11.0) / 3.0 * 0.6 * 4.0
    assert d.resistance == pytest.approx(min(v for _, v in d.resistances) - active, rel=1e-9)
    assert d.demand == pytest.approx(144.0)
    assert d.safety == pytest.approx(d.resistance / 144.0)


def test_both_mechanisms_are_shown_and_the_smaller_is_carried() -> None:
    d = toe(section(sand(phi=34.0)), 60.0, 12.0)
    found = dict(d.resistances)
    assert set(found) == {"wedge and flow-around", "threefold width"}
    assert d.mechanism == min(found, key=lambda name: found[name])


def test_close_piles_hold_no_more_than_a_continuous_wall() -> None:
    s = section(sand(phi=34.0))
    piles = toe(s, 10.0, 12.0, pile_width=0.6, spacing=0.7)
    wall = toe(s, 10.0, 12.0, pile_width=0.7, spacing=0.7, isolated=False)
    assert max(v for _, v in piles.resistances) <= wall.resistances[0][1] * (1 + 1e-9)


def test_clay_tries_both_strengths_and_carries_the_worse() -> None:
    both = section(clay(su=60.0, kind="stiff clay", friction_angle=22.0))
    undrained = section(clay(su=60.0, kind="stiff clay"))
    drained = section(
        {**clay(su=60.0, kind="stiff clay", friction_angle=22.0), "undrained_strength": None}
    )
    needs = [toe(s).by_force for s in (undrained, drained)]
    assert toe(both).by_force == pytest.approx(max(needs), abs=1e-5)


def test_no_embedment_suffices_in_very_soft_clay() -> None:
    d = toe(section(clay(su=12.0)), 60.0)
    assert d.embedment_required == inf
    failing = {c.id: c for c in d.checks}
    assert failing["wall.toe-lateral"].verdict is Verdict.FAIL
    assert failing["wall.embedment"].verdict is Verdict.FAIL
    assert "lower the lowest anchor" in failing["wall.embedment"].remedy


def test_a_short_toe_fails_and_says_what_it_needs() -> None:
    s = section(sand(phi=30.0))
    d = toe(s, 80.0, 10.0)
    check = next(c for c in d.checks if c.id == "wall.embedment")
    assert check.sense is Sense.AT_LEAST
    assert check.verdict is Verdict.FAIL
    assert f"needs {{length:{d.embedment_required:.4f}}}" in check.remedy


def test_the_least_embedment_holds_where_the_toe_has_nothing_to_do() -> None:
    d = toe(section(sand(phi=40.0)), 1.0)
    assert d.embedment_required == LEAST_EMBEDMENT
    assert d.embedment == pytest.approx(LEAST_EMBEDMENT)


def test_rock_needs_a_stated_strength_where_the_toe_reaches_it() -> None:
    bare = {
        "name": "rock", "top": -9.5, "kind": "rock", "moist_unit_weight": 22.0,
        "saturated_unit_weight": 23.0,
    }  # fmt: skip
    with pytest.raises(DesignError, match="states no strength"):
        toe(section(sand(), bare), 60.0)
    with pytest.raises(DesignError, match="states no strength"):
        toe(section(sand(), bare), 60.0, 11.0)
    with pytest.raises(DesignError, match="states no strength"):
        toe(section(sand(), {**bare, "top": -9.0}))
    stated = toe(section(sand(), {**bare, "undrained_strength": 400.0}), 60.0)
    assert stated.by_force < toe(section(sand()), 60.0).by_force
    deep = toe(section(sand(), {**bare, "top": -12.0}), 60.0)
    assert deep.by_force == pytest.approx(toe(section(sand()), 60.0).by_force, rel=1e-3)


def test_water_behind_raises_the_embedment() -> None:
    dry = section(sand(phi=32.0))
    wet = section(sand(phi=32.0), water={"retained": -4.0})
    assert toe(wet).by_force > toe(dry).by_force


def test_seepage_is_followed_to_the_embedment_it_belongs_to() -> None:
    s = section(sand(phi=34.0), H=6.0, water={"retained": -1.0, "flow": "seepage"})
    wall = {"pile_width": 1.0, "spacing": 1.0, "isolated": False}
    required = toe(s, 40.0, **wall).by_force
    assert toe(s, 40.0, 6.0 + required, **wall).safety == pytest.approx(1.5, rel=2e-3)


def test_a_footing_near_the_wall_needs_more_toe() -> None:
    load = {"kind": "strip", "name": "f", "pressure": 150.0, "distance": 1.0, "width": 2.0,
            "elevation": -7.0}  # fmt: skip
    s, loaded = section(sand(phi=32.0)), section(sand(phi=32.0), surcharges=[load])
    assert toe(loaded).by_force > toe(s).by_force


def test_the_derivation_states_the_search_and_its_residual() -> None:
    d = toe(section(sand(phi=30.0)), 80.0)
    stated = next(s for s in d.steps if isinstance(s, Stated) and s.symbol == "D")
    assert "bisection" in stated.method
    assert "residual" in stated.method


def test_gross_forms_give_the_active_pressure_back() -> None:
    phi = radians(32.0)
    K_a = 0.30726
    for net, gross in (
        (wedge_sand(60.0, 3.0, 0.5, phi, 0.4), wedge_sand_gross(60.0, 3.0, 0.5, phi, 0.4, 0.0)),
        (flow_sand(60.0, 0.5, phi, 0.4), flow_sand_gross(60.0, 0.5, phi, 0.4, 0.0)),
    ):
        assert gross - net == pytest.approx(K_a * 60.0 * 0.5, rel=1e-4)


def test_clay_forms() -> None:
    assert threefold_clay(0.8, 0.6, 50.0) == 0.0
    assert threefold_clay(0.9, 0.6, 50.0) == pytest.approx(9 * 50.0 * 0.6)
    assert wedge_clay(36.0, 2.0, 0.6, 50.0) == pytest.approx(136.0 * 0.6 + 283.0)
    assert flow_clay(0.6, 50.0) == pytest.approx(330.0)
    assert rock_on_pile(100.0, 0.6, 0.0, 400.0) == pytest.approx(0.6 * 900.0)


def test_a_foot_that_bears_back_says_so() -> None:
    """A single row below the middle: the reaction at subgrade acts toward the cut."""
    s = section(sand(phi=32.0))
    for reaction, said in ((-20.0, True), (20.0, False)):
        lateral = next(c for c in toe(s, reaction).checks if c.id == "wall.toe-lateral")
        assert ("raise the row" in lateral.note) is said
