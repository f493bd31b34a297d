"""Layout of rows, and the ground beneath what they bear on, computed by hand."""

from __future__ import annotations

from dataclasses import replace
from math import atan, pi, radians

import numpy as np
import pytest

from backstay.checks import Verdict
from backstay.stability.slip.from_slope import known_surface, slope_model
from backstay.stability.slip.model import SlipModel
from backstay.stability.slope import safety, with_strength
from backstay.stability.slope_anchors import layout
from backstay.stability.slope_design import design_slope
from backstay.stability.slope_face import face_angle, under
from backstay.stability.slope_slips import spread
from tests.unit.report.slips import found
from tests.unit.slopes import CASES, read
from tests.unit.stability.test_slope_design import RULES, changed, designed

ROWS = len(changed().anchors.heads)


@pytest.mark.parametrize(("force", "spacing"), [(100.0, 2.0), (400.0, 2.0), (250.0, 1.5)])
def test_load_of_one_anchor_is_that_of_its_row_over_its_spacing(
    force: float, spacing: float
) -> None:
    shared = layout(changed(spacing=spacing, greatest_load=1000.0), force)
    assert shared.each == pytest.approx(force / ROWS)
    assert shared.check.demand == pytest.approx(force / ROWS * spacing)
    assert shared.check.capacity == 1000.0


def test_the_widest_spacing_is_rounded_down_and_keeps_to_the_greatest_load() -> None:
    slope = changed(
        spacing="widest", greatest_load=500.0, spacing_step=0.25, spacing_least=1.0,
        spacing_greatest=4.0,
    )  # fmt: skip
    each = 190.0
    shared = layout(slope, each * ROWS)
    assert 500.0 / each == pytest.approx(2.63, abs=0.01)
    assert shared.spacing == pytest.approx(2.5)
    assert shared.check.demand == pytest.approx(2.5 * each)
    assert shared.check.verdict is Verdict.PASS
    assert layout(slope, 10.0 * ROWS).spacing == 4.0
    dense = layout(slope, 800.0 * ROWS)
    assert dense.spacing == 1.0
    assert dense.check.verdict is Verdict.FAIL


def test_rows_give_their_load_over_their_spacing() -> None:
    done = designed(changed(spacing=2.5, design_load=400.0, inclination=0.3))
    for row in done.rows:
        assert row.force == pytest.approx(160.0)
        at = row.at(10.0)
        assert abs(at[0] - row.x) == pytest.approx(10.0 * np.cos(0.3))
        assert at[1] - row.y == pytest.approx(-10.0 * np.sin(0.3))


def ground(water: float | None = None) -> SlipModel:
    """Return a face at 1 in 2 through two layers, the lower undrained, with level water."""
    return SlipModel(
        surface=np.array([(-10.0, 0.0), (0.0, 0.0), (20.0, 10.0), (40.0, 10.0)]),
        tops=(np.array([(-10.0, 4.0), (40.0, 4.0)]),),
        gamma=np.array([18.0, 17.0]), gamma_sat=np.array([20.0, 19.0]),
        phi=np.radians([30.0, 0.0]), c=np.array([5.0, 0.0]), su=np.array([0.0, 30.0]),
        su_gradient=np.array([0.0, 2.0]), su_datum=np.array([0.0, 4.0]),
        water=None if water is None else np.array([(-10.0, water), (40.0, water)]),
    )  # fmt: skip


def test_the_ground_under_a_pad_is_that_of_its_place() -> None:
    upper = under(ground(), 14.0, 7.0, 1.5)
    assert (upper.c, upper.gamma) == (5.0, 18.0)
    assert upper.phi == pytest.approx(radians(30.0))
    assert upper.slope == pytest.approx(atan(0.5))
    lower = under(ground(), 2.0, 1.0, 1.5)  # 3 m below the top of its layer
    assert lower.c == pytest.approx(30.0 + 2.0 * 3.0)
    assert (lower.phi, lower.gamma) == (0.0, 17.0)


def test_the_ground_under_a_pad_ends_where_an_upper_stratum_cuts_a_lower_one_off() -> None:
    """The third layer comes up over the second's top, behind it: there it is held at that top."""
    told = ground()
    third = np.array([(-10.0, -5.0), (10.0, -5.0), (20.0, 30.0), (40.0, 30.0)])
    three = replace(
        told, tops=(*told.tops, third),
        gamma=np.array([18.0, 17.0, 21.0]), phi=np.radians([30.0, 0.0, 38.0]),
        c=np.array([5.0, 0.0, 40.0]), gamma_sat=None, su=None,
    )  # fmt: skip
    assert under(three, 16.0, 8.0, 1.5).gamma == 18.0
    assert under(three, 16.0, 3.9, 1.5).gamma == 21.0


@pytest.mark.parametrize(("water", "gamma"), [(5.4, 18.0), (5.6, 20.0 - 9.81), (7.5, 20.0 - 9.81)])
def test_ground_is_buoyant_where_water_stands_within_the_width_below(
    water: float, gamma: float
) -> None:
    """A pad 1.5 m wide at 7 m: its wedge reaches down to 5.5 m (common practice, no source)."""
    assert under(ground(water), 14.0, 7.0, 1.5).gamma == pytest.approx(gamma, abs=0.01)


def test_a_face_steeper_than_one_to_one_counts_as_that() -> None:
    steep = SlipModel(
        surface=np.array([(-10.0, 0.0), (0.0, 0.0), (5.0, 10.0), (40.0, 10.0)]),
        gamma=np.array([18.0]), phi=np.radians([35.0]), c=np.array([5.0]),
    )  # fmt: skip
    assert face_angle(steep.surface, 2.0) == pytest.approx(atan(2.0))
    assert under(steep, 2.0, 4.0, 1.0).slope == pytest.approx(pi / 4)


@pytest.mark.parametrize(("uncertainty", "change"), [(0.0, 1.2), (0.2, 0.1)])
def test_the_strength_carried_gives_the_safety_under_the_water_it_was_found_with(
    uncertainty: float, change: float
) -> None:
    """Analysed again with the water as much lower as cannot be told, or with less safety than seen."""
    told = changed()
    moved = told.movement.model_copy(update={"uncertainty": uncertainty, "water_change": change})
    slope = told.model_copy(update={"movement": moved})
    done = designed(slope)
    model = slope_model(slope)
    assert model.water is not None
    wanted = moved.safety
    if uncertainty:
        assert done.carried.title == "safety lower"
        wanted *= 1.0 - uncertainty
    else:
        assert done.carried.title == "water lower"
        model = replace(model, water=model.water - np.array([0.0, change]))
    strong = with_strength(model, done.cohesion, done.friction)
    again = safety(strong, known_surface(slope.slip_surface), slope.method).F
    assert again == pytest.approx(wanted, abs=1e-6)


def test_forces_are_found_with_the_water_to_design_for_not_that_of_the_movement() -> None:
    project = read(CASES["example"])
    (slope,) = project.slopes
    moved, higher = slope_model(slope).water, slope_model(slope, water="to design for").water
    assert moved is not None
    assert higher is not None
    x = np.linspace(slope.profile[0].x, slope.profile[-1].x, 30)
    levels = [np.interp(x, line[:, 0], line[:, 1]) for line in (moved, higher)]
    assert np.abs(levels[1] - levels[0]).min() >= 0.25
    done = design_slope(slope, project.service, RULES)
    assert len(done.cases) == 2
    for case in done.cases:
        assert case.model.water is not None
        used = np.interp(x, case.model.water[:, 0], case.model.water[:, 1])
        assert used == pytest.approx(levels[1])
    rest, shaken = done.cases
    assert rest.model.kh == 0.0
    assert slope.earthquake is not None
    assert shaken.model.kh == slope.earthquake.kh
    assert done.required.force == max(case.required.force for case in done.cases)


@pytest.mark.parametrize("mirrored", [False, True])
def test_what_a_slip_lacks_is_put_on_evenly_over_its_face(mirrored: bool) -> None:
    """At the middles of five equal widths between its ends, on the ground."""
    model, search = found(mirrored)
    least = search.minima[-1]
    places = np.array(spread(model, least))
    x = least.out[0] + (least.start[0] - least.out[0]) * np.array([0.1, 0.3, 0.5, 0.7, 0.9])
    assert places[:, 0] == pytest.approx(x)
    assert places[:, 1] == pytest.approx(np.interp(x, model.surface[:, 0], model.surface[:, 1]))
