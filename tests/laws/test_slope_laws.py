"""Laws that every slope tied back obeys: more asked is more force; mirrors and units change nothing."""

from __future__ import annotations

from dataclasses import replace
from math import isclose
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.basis import basis
from backstay.checks import Verdict
from backstay.model.slope import Slope
from backstay.quantity import UnitSystem
from backstay.stability.slip.from_slope import slope_model
from backstay.stability.slope import safety
from backstay.stability.slope_design import SlopeDesign, design_slope
from tests.unit.model.test_slopes import slope_text
from tests.unit.slopes import changed, mirrored, read

RULES = basis("FHWA-IF-99-015")
calm = settings(max_examples=12, deadline=None, derandomize=True)


def designed(data: dict[str, Any]) -> SlopeDesign:
    project = read(data)
    return design_slope(project.slopes[0], project.service, RULES)


def force(**changes: Any) -> float:
    return designed(changed(earthquake=None, **changes)).required.force


@pytest.fixture(scope="module")
def plain() -> SlopeDesign:
    return designed(changed())


def water(rise: float) -> list[dict[str, float]]:
    return [{**p, "elevation": p["elevation"] + rise} for p in changed()["slopes"][0]["water"]]


@calm
@given(target=st.floats(1.05, 1.5), more=st.floats(0.01, 0.3))
def test_a_higher_target_asks_for_more_force(target: float, more: float) -> None:
    assert force(target=target + more) > force(target=target)


@calm
@given(rise=st.floats(0.0, 2.0), more=st.floats(0.1, 1.0))
def test_higher_water_to_design_for_is_less_safe_and_asks_for_more_force(
    rise: float, more: float
) -> None:
    low, high = (
        designed(changed(design_water=water(w), earthquake=None)) for w in (rise, rise + more)
    )
    assert high.cases[0].bare.F < low.cases[0].bare.F
    assert high.required.force > low.required.force


@calm
@given(share=st.floats(0.0, 0.08), more=st.floats(0.005, 0.05))
def test_water_that_stood_higher_when_it_moved_means_more_strength(
    share: float, more: float
) -> None:
    low, high = (designed(changed(water=water(10 * w))) for w in (share, share + more))
    assert high.friction > low.friction


@calm
@given(sure=st.floats(0.0, 0.1), more=st.floats(0.005, 0.1))
def test_what_is_less_certain_asks_for_more_force(sure: float, more: float) -> None:
    least = force(movement={"uncertainty": sure})
    assert force(movement={"uncertainty": sure + more}) >= least * (1 - 1e-9)
    assert force(movement={"uncertainty": 0.3}) > least


@calm
@given(kh=st.floats(0.0, 0.1), more=st.floats(0.005, 0.05))
def test_a_stronger_earthquake_is_less_safe(kh: float, more: float) -> None:
    weak, strong = (
        designed(changed(earthquake={"kh": k, "target": 1.1})).cases[1] for k in (kh, kh + more)
    )
    assert strong.bare.F < weak.bare.F
    assert strong.required.force >= weak.required.force


@calm
@given(i=st.floats(10.0, 40.0))
def test_the_force_found_gives_the_target_back_at_any_inclination(i: float) -> None:
    done = designed(changed(anchors={"inclination": i}))
    for case in done.cases:
        assert case.tied.F >= case.target * (1 - 1e-6)
    least = min(case.tied.F - case.target for case in done.cases)
    assert least == pytest.approx(0.0, abs=2e-6)


@calm
@given(load=st.floats(300.0, 900.0))
def test_anchors_share_the_force_whatever_their_load(load: float) -> None:
    done = designed(changed(anchors={"greatest_load": load, "spacing_least": 0.5}))
    assert sum(r.force for r in done.rows) == pytest.approx(done.required.force)
    assert all(r.anchor.design_load <= load * (1 + 1e-9) for r in done.rows)


def test_a_slope_in_a_mirror_is_the_same_slope(plain: SlopeDesign) -> None:
    other = designed(mirrored(changed()))
    assert other.required.force == pytest.approx(plain.required.force, rel=1e-6)
    assert other.required.inclination == plain.required.inclination
    assert other.friction == pytest.approx(plain.friction, rel=1e-9)
    for a, b in zip(plain.rows, other.rows, strict=True):
        assert b.x == pytest.approx(110.0 - a.x)
        assert b.dx == pytest.approx(-a.dx)
        assert b.anchor.unbonded_length == pytest.approx(a.anchor.unbonded_length, rel=1e-6)
        assert b.anchor.bond_length == pytest.approx(a.anchor.bond_length, rel=1e-6)
    assert [(c.id, c.verdict) for c in other.checks] == [(c.id, c.verdict) for c in plain.checks]
    for a, b in zip(plain.checks, other.checks, strict=True):
        assert isclose(a.demand, b.demand, rel_tol=1e-6, abs_tol=1e-9), a.id


def test_moving_the_origin_of_the_survey_changes_nothing(plain: SlopeDesign) -> None:
    data = changed()

    def moved(value: Any) -> Any:
        if isinstance(value, list):
            return [moved(v) for v in value]
        if isinstance(value, dict):
            shift = {
                "x": 1000.0,
                "elevation": 400.0,
                "from_x": 1000.0,
                "to_x": 1000.0,
                "top": 400.0,
            }
            return {k: moved(v) + shift[k] if k in shift else moved(v) for k, v in value.items()}
        return value

    data["slopes"] = moved(data["slopes"])
    other = designed(data)
    assert other.required.force == pytest.approx(plain.required.force, rel=1e-5)
    for a, b in zip(plain.checks, other.checks, strict=True):
        assert isclose(a.demand, b.demand, rel_tol=1e-5, abs_tol=1e-7), a.id


def test_a_load_at_the_crest_drives_and_one_at_the_toe_holds() -> None:
    bare = safety(slope_model(_slope()), _line()).F
    crest = [{"kind": "strip", "name": "a", "pressure": 40, "from_x": 58, "to_x": 68}]
    toe = [{"kind": "strip", "name": "a", "pressure": 40, "from_x": 19, "to_x": 26}]
    push = [{"kind": "line", "name": "a", "load": 0, "horizontal": 60, "x": 50}]
    hold = [{"kind": "line", "name": "a", "load": 0, "horizontal": -60, "x": 50}]
    for loads, less in ((crest, True), (toe, False), (push, True), (hold, False)):
        F = safety(slope_model(_slope(surcharges=loads)), _line()).F
        assert (bare > F) is less, loads


def test_piles_hold_and_a_crack_of_water_drives() -> None:
    bare = safety(slope_model(_slope(tension_crack=None)), _line()).F
    piles = [{"name": "a", "x": 40, "top": 110, "bottom": 95, "capacity": 80}]
    assert safety(slope_model(_slope(tension_crack=None, piles=piles)), _line()).F > bare
    dry, full = (
        safety(slope_model(_slope(tension_crack={"depth": 2.0, "water": w})), _line()).F
        for w in (0.0, 1.0)
    )
    assert full < dry


def test_pore_pressure_by_every_way_the_file_can_say_it() -> None:
    """No water, a water line, less where it flows along it, a ratio, and the same by a grid."""
    line = _line()
    none = safety(slope_model(_slope(water=[], design_water=None)), line).F
    table = safety(slope_model(_slope()), line).F
    along = safety(slope_model(_slope(water_flow="along the water line")), line).F
    assert none > along > table
    data = changed(water=[], design_water=None)
    for s in data["slopes"][0]["strata"][:2]:
        s["pore_pressure_ratio"] = 0.25
    assert safety(slope_model(read(data).slopes[0]), line).F < none
    level = [{"x": 0, "elevation": 99.0}, {"x": 37, "elevation": 107.0},
             {"x": 38, "elevation": 108.0}, {"x": 110, "elevation": 108.0}]  # fmt: skip
    grid = {
        "x": [0, 110], "elevations": [88.0, 108.0, 128.0],
        "pressure": [[9.81 * 20] * 2, [0, 0], [0, 0]],
    }  # fmt: skip
    alike = changed()["slopes"][0]["strata"]
    for s in alike:  # a grid does not say what is saturated
        s["saturated_unit_weight"] = s["moist_unit_weight"]
    high = slope_model(_slope(water=level, design_water=None, strata=alike))
    # the same pressures within the slide
    by_grid = slope_model(_slope(water=[], design_water=None, strata=alike, pore_pressures=grid))
    inside = np.array([(38, 108.74), (44, 104), (50, 104.5), (58, 109.9), (66, 117.2), (69, 122)])
    # slices end where a water line meets the base; a grid of pressures has no such places
    assert safety(by_grid, inside).F == pytest.approx(safety(high, inside).F, rel=5e-4)


def test_a_slope_reads_the_same_in_either_unit_system() -> None:
    from backstay.model import read_text

    si, us = (read_text(slope_text(u)).slopes[0] for u in UnitSystem)
    assert si.anchors.tendon == us.anchors.tendon
    assert us.anchors.transfer == pytest.approx(si.anchors.transfer, rel=0.03)
    assert us.pad is not None
    assert si.pad is not None
    assert us.pad.concrete == pytest.approx(si.pad.concrete, rel=0.01)


def test_every_failing_check_says_what_would_help() -> None:
    done = designed(
        changed(anchors={"greatest_load": 60, "bond": {"hole_diameter": 90}}, target=1.6)
    )
    failing = [c for c in done.checks if c.verdict is Verdict.FAIL]
    assert failing
    assert all(c.remedy for c in failing)


def _slope(**changes: Any) -> Slope:
    return read(changed(**changes)).slopes[0]


def _line():  # type: ignore[no-untyped-def]
    from backstay.stability.slip.from_slope import known_surface

    return known_surface(_slope().slip_surface)


def test_the_model_of_a_slope_is_its_file() -> None:
    model = slope_model(
        _slope(surcharges=[{"kind": "uniform", "name": "a", "pressure": 5}]), shaken=True
    )
    assert model.strips.tolist() == [[0.0, 110.0, 5.0]]
    assert model.kh == 0.06
    assert (model.crack, model.crack_water) == (1.5, 0.5)
    assert model.water is not None
    assert model.water[-1].tolist() == [110.0, 118.0]
    wet = slope_model(_slope(), water="to design for").water
    assert wet is not None
    assert wet[-1].tolist() == [110.0, 118.5]
    assert replace(model, kh=0.0).to_left
