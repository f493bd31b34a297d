"""Ground, arcs and polylines of the search, against geometry worked out by hand."""

from __future__ import annotations

from math import hypot, sqrt

import numpy as np
import pytest

from backstay.errors import DesignError
from backstay.stability.slip.arcs import STEEPEST, arc_points, arc_y, arcs, thickness
from backstay.stability.slip.terrain import mirrored, terrain

SLOPE = np.array([(0.0, 0.0), (20.0, 0.0), (40.0, 10.0), (90.0, 10.0)])
WALL = np.array([(-20.0, -8.0), (0.0, -8.0), (0.0, 0.0), (40.0, 0.0)])


def test_ground_knows_its_slope() -> None:
    ground = terrain(SLOPE)
    assert ground is not None
    assert ground.height == pytest.approx(10.0)
    assert (ground.low, ground.high) == pytest.approx((20.0, 20.0 + sqrt(500.0)))
    assert ground.at(np.array([ground.low]))[0] == pytest.approx((20.0, 0.0))
    assert ground.y(np.array([30.0]))[0] == pytest.approx(5.0)
    assert ground.positions(np.array([45.0]))[0] == pytest.approx(20.0 + sqrt(500.0) + 5.0)


def test_positions_run_up_a_vertical_face() -> None:
    ground = terrain(WALL)
    assert ground is not None
    assert ground.at(np.array([23.0]))[0] == pytest.approx((0.0, -5.0))
    exits = ground.at(ground.exits(24))
    assert ((exits[:, 0] == 0.0) & (exits[:, 1] > -8.0) & (exits[:, 1] < 0.0)).any()
    assert any(np.allclose(point, (0.0, -8.0)) for point in exits)  # the foot
    assert exits[:, 0].min() == pytest.approx(-20.0)


@pytest.mark.parametrize("count", [12, 24, 60])
def test_ends_and_starts_hold_toe_and_crest_and_stay_in_the_ground(count: int) -> None:
    ground = terrain(SLOPE)
    assert ground is not None
    for s in (ground.exits(count), ground.entries(count)):
        assert (np.diff(s) > 0.0).all()
        assert s[0] >= 0.0
        assert s[-1] <= ground.s[-1]
    assert np.isclose(ground.exits(count), ground.low).any()
    assert np.isclose(ground.entries(count), ground.high).any()


def test_starts_reach_behind_the_anchors() -> None:
    near, far = terrain(WALL), terrain(WALL, reach=15.0)
    assert near is not None
    assert far is not None
    assert near.at(near.entries(24))[-1, 0] == pytest.approx(24.0)
    assert far.at(far.entries(24))[-1, 0] == pytest.approx(39.0)


def test_level_ground_has_no_slope_and_ground_may_not_run_back() -> None:
    assert terrain(np.array([(0.0, 1.0), (10.0, 1.0)])) is None
    assert terrain(mirrored(mirrored(SLOPE))) is not None
    assert terrain(mirrored(SLOPE)) is None  # falls to the right: nothing slides to the left
    with pytest.raises(DesignError, match="left to right"):
        terrain(np.array([(0.0, 0.0), (5.0, 1.0), (4.0, 2.0)]))


def test_arcs_pass_through_both_ends_at_the_angles_meant() -> None:
    ground = terrain(SLOPE)
    assert ground is not None
    places = np.array([(18.0, 50.0, 0.3), (20.0, 48.0, 0.6), (10.0, 55.0, 0.9)])
    found = arcs(ground, places, least_depth=0.0)
    low, high = ground.at(places[:, 0]), ground.at(places[:, 1])
    for i, (x, y, R) in enumerate(found.circles):
        assert hypot(low[i, 0] - x, low[i, 1] - y) == pytest.approx(R)
        assert hypot(high[i, 0] - x, high[i, 1] - y) == pytest.approx(R)
    steepest = arcs(ground, places * (1.0, 1.0, 0.0) + (0.0, 0.0, 1.0), least_depth=0.0).circles
    x, y = steepest[:2, 0], steepest[:2, 1]
    assert np.arctan2(high[:2, 0] - x, y - high[:2, 1]) == pytest.approx([STEEPEST] * 2)
    points = arc_points(found.circles, found.ends, 7)
    assert np.hypot(*(points - found.circles[:, None, :2]).transpose(2, 0, 1)) == pytest.approx(
        np.repeat(found.circles[:, 2:], 7, axis=1)
    )
    assert arc_y(found.circles, found.ends)[:, 0] == pytest.approx(low[:, 1])


def test_the_flattest_arc_touches_the_corner_it_must_pass_beneath() -> None:
    ground = terrain(WALL)
    assert ground is not None
    place = np.array([(10.0, 40.0, 0.0), (10.0, 40.0, 0.2), (10.0, 40.0, 0.8)])
    at_wall = arc_y(arcs(ground, place, least_depth=0.0).circles, np.zeros((3, 1)))[:, 0]
    assert at_wall[0] == pytest.approx(-8.0, abs=1e-5)
    assert -8.0 > at_wall[1] > at_wall[2]
    foot = arcs(ground, place, least_depth=0.0, beneath=((0.0, -11.0),))
    assert foot.usable.all()
    at_foot = arc_y(foot.circles, np.zeros((3, 1)))[:, 0]
    assert at_foot[0] == pytest.approx(-11.0, abs=1e-5)
    assert -11.0 > at_foot[1] > at_foot[2]
    deep = arcs(ground, place, least_depth=0.0, beneath=((0.0, -60.0),))
    assert not deep.usable.any()  # no arc within the limits of inclination passes so deep


def test_no_arc_leaves_the_ground_between_its_ends() -> None:
    ridge = terrain(np.array([(0.0, 0.0), (10.0, 10.0), (15.0, 2.0), (30.0, 12.0), (60.0, 12.0)]))
    assert ridge is not None
    rng = np.random.default_rng(2)
    s = np.sort(rng.uniform(0.0, ridge.s[-1], (400, 2)), axis=1)
    found = arcs(ridge, np.column_stack((s, rng.uniform(0.0, 1.0, 400))), least_depth=0.0)
    assert 50 < found.usable.sum() < 400
    t = np.linspace(0.0, 1.0, 60)[None, 1:-1]
    x = found.ends[:, :1] + (found.ends[:, 1:] - found.ends[:, :1]) * t
    above = ridge.y(x) - arc_y(found.circles, x)
    assert (above[found.usable] > -1e-6).all()


def test_thickness_is_across_the_chord_and_thin_slides_are_told() -> None:
    ground = terrain(np.array([(0.0, 0.0), (10.0, 10.0), (11.0, 11.0)]))
    assert ground is not None
    place = np.array([(0.0, 10.0 * sqrt(2.0), 0.5)])
    found = arcs(ground, place, least_depth=0.0)
    R = float(found.circles[0, 2])
    half = np.arcsin(5.0 * sqrt(2.0) / R)
    assert found.thickness[0] == pytest.approx(R * (1.0 - np.cos(half)), rel=0.02)
    assert thickness(ground, found.circles, found.ends)[0] == found.thickness[0]
    assert arcs(ground, place, least_depth=10.0).thin[0]


def test_arcs_keep_above_a_depth() -> None:
    ground = terrain(WALL)
    assert ground is not None
    s = np.array([(10.0, 40.0, 0.3), (10.0, 40.0, 0.9)])
    free = arcs(ground, s, least_depth=0.0)
    assert free.usable.all()
    lowest = free.circles[:, 1] - free.circles[:, 2]
    level = float(lowest.mean())
    assert arcs(ground, s, least_depth=0.0, deepest=level).usable.tolist() == [True, False]
