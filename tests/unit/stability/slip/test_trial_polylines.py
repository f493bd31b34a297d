"""Polylines that a search tries: how they are laid, and which of them can move, against plain geometry."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, hypot

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from backstay.stability.slip import SearchOptions, SlipModel
from backstay.stability.slip.corners import corner_place, corner_points
from backstay.stability.slip.general import EVEN, VERTICES, general_place, general_points
from backstay.stability.slip.ground_frame import Frame, frame
from backstay.stability.slip.model import Floats
from backstay.stability.slip.shapes import feet, movable

WALL = SlipModel(
    surface=np.array([(-40.0, -8.0), (0.0, -8.0), (0.0, 0.0), (50.0, 2.0)]),
    gamma=np.array([19.0, 20.0]), phi=np.radians([30.0, 34.0]), c=np.zeros(2),
    tops=(np.array([(-40.0, -12.0), (50.0, -11.0)]),),
    impenetrable=np.array([False, True]),
)  # fmt: skip
TO_RIGHT = SlipModel(
    surface=np.array([(-50.0, 2.0), (0.0, 0.0), (0.0, -8.0), (40.0, -8.0)]),
    gamma=np.array([19.0]), phi=np.radians([30.0]), c=np.zeros(1), slides="right",
)  # fmt: skip
FREE = replace(WALL, impenetrable=None)


def seen_of(model: SlipModel = FREE, **options: object) -> Frame:
    return frame(model, SearchOptions(**options))  # type: ignore[arg-type]


def can(seen: Frame, *points: tuple[float, float], convex: bool = True) -> bool:
    return bool(movable(seen, np.array([points], dtype=float), convex=convex).usable[0])


def random_places(seen: Frame, count: int, inner: int) -> Floats:
    rng = np.random.default_rng(7)
    last = seen.ground.s[-1]
    ends = np.column_stack((rng.uniform(5.0, 38.0, count), rng.uniform(52.0, last - 5.0, count)))
    return np.column_stack((ends, rng.uniform(-0.3, 0.3, (count, 1)), rng.uniform(0.0, 0.6, (count, inner))))  # fmt: skip


def test_general_surfaces_are_the_lower_hull_of_their_vertices() -> None:
    """The greatest convex line below some points is the lower side of their convex hull (Qhull)."""
    seen = seen_of()
    places = random_places(seen, 200, VERTICES)
    found = general_points(seen, places, np.tile(EVEN, (200, 1)))
    for place, points in zip(places, found, strict=True):
        low, high = seen.ground.at(place[:1])[0], seen.ground.at(place[1:2])[0]
        shift = min(max(place[2], -0.2), 0.2)
        t = EVEN + 4.0 * shift * EVEN * (1.0 - EVEN)
        raw = low + (high - low) * t[:, None]
        raw[1:-1, 1] -= seen.ground.height * place[3:]
        raw[1:-1, 1] = np.minimum(raw[1:-1, 1], seen.ground.y(raw[1:-1, 0]))
        roof = np.array([raw[0] + (0.0, 99.0), raw[-1] + (0.0, 99.0)])
        hull = ConvexHull(np.concatenate((raw, roof)))
        corners = np.sort([v for v in hull.vertices if v < len(raw)])
        lower = np.interp(raw[:, 0], raw[corners, 0], raw[corners, 1])
        assert points[:, 0] == pytest.approx(raw[:, 0], abs=1e-7)
        assert points[:, 1] == pytest.approx(lower, abs=1e-7)


def test_a_vertex_stands_under_each_point_to_pass_below_and_no_higher_than_it() -> None:
    seen = seen_of(beneath=((0.0, -10.0),))
    points = general_points(seen, random_places(seen, 100, VERTICES), np.tile(EVEN, (100, 1)))
    for surface in points:
        at = int(abs(surface[:, 0]).argmin())
        assert surface[at, 0] == pytest.approx(0.0, abs=1e-9)
        assert surface[at, 1] <= -10.0 + 1e-9


def test_a_corner_stands_at_the_foot_of_a_face_and_corners_keep_their_order() -> None:
    seen = seen_of()
    foot = feet(seen)
    assert foot[0] == pytest.approx((-2e-3 * 8.0, -8.0))
    rng = np.random.default_rng(11)
    ends = np.column_stack((rng.uniform(20.0, 38.0, 80), rng.uniform(53.0, 70.0, 80)))
    places = np.column_stack((ends, rng.uniform(0.0, 1.0, (80, 4)), rng.uniform(0.0, 0.4, (80, 4))))
    found = corner_points(seen, places, foot)
    assert (np.diff(found[..., 0], axis=1) > 0.0).all()
    assert (abs(found[:, 1:-1, 0] - foot[0, 0]).min(axis=1) < 1e-9).all()
    slope = np.diff(found[..., 1], axis=1) / np.diff(found[..., 0], axis=1)
    assert (np.diff(slope, axis=1) > -1e-6).all()


def test_corners_that_fall_together_or_beyond_an_end_still_follow_each_other() -> None:
    seen = seen_of()
    together, beyond = [0.4, 0.4, 0.4, 0.4], [-0.5, 0.3, 1.0, 1.5]
    depths = [0.1, 0.2, 0.3, 0.1]
    places = np.array([[34.0, 60.0, *shares, *depths] for shares in (together, beyond)])
    for surface in corner_points(seen, places, feet(seen)):
        assert (np.diff(surface[:, 0]) > 0.0).all()
    ends = seen.ground.at(places[1, :2])[:, 0]
    inner = corner_points(seen, places[1:], feet(seen))[0, 1:-1, 0]
    assert inner.min() > ends[0] + 1e-3 * (ends[1] - ends[0])
    assert inner.max() < ends[1] - 1e-3 * (ends[1] - ends[0])


def test_no_vertex_goes_to_a_foot_that_the_surface_does_not_pass() -> None:
    seen = seen_of()
    behind = np.array([[50.0, 70.0, 0.2, 0.4, 0.6, 0.8, 0.1, 0.2, 0.2, 0.1]])
    surface = corner_points(seen, behind, feet(seen))[0]
    assert (np.diff(surface[:, 0]) > 0.0).all()
    assert (surface[:, 0] > 0.0).all()


def test_a_surface_has_a_place_that_lays_it_again() -> None:
    seen = seen_of()
    points = np.array([(-6.0, -8.0), (-0.016, -10.0), (4.0, -7.0), (6.0, -4.5), (8.0, -1.5), (9.0, 0.36)])  # fmt: skip
    ends = seen.ground.positions(points[[0, -1], 0])
    again = corner_points(seen, corner_place(seen, points, ends, 4)[None], feet(seen))[0]
    assert again == pytest.approx(points, abs=1e-4)  # corners keep apart
    place, shares = general_place(seen, points, ends)
    laid = general_points(seen, place[None], shares[None])[0]
    assert laid[:, 1] == pytest.approx(np.interp(laid[:, 0], points[:, 0], points[:, 1]), abs=1e-6)


def test_which_polylines_can_move() -> None:
    seen = seen_of(least_depth=0.5)
    wedge = ((-6.0, -8.0), (0.0, -10.0), (8.0, 0.32))
    assert can(seen, *wedge)
    assert not can(seen, (-6.0, -8.0), (0.0, -7.0), (8.0, 0.32))  # above the ground in front
    assert not can(seen, (-6.0, -8.0), (-1.0, -8.5), (8.0, 0.32), (7.0, 0.4))  # runs back
    assert not can(seen, (-6.0, -8.0), (0.0, -10.0), (0.5, 0.02))  # steeper than 85 degrees
    assert not can(seen, (-6.0, -8.0), (-1.0, -14.5), (8.0, 0.32))  # rises out at more than 50
    flatter = ((-6.0, -8.0), (-2.0, -11.5), (2.0, -7.0), (10.0, 0.4))
    assert not can(seen, *flatter)  # bends downward
    assert can(seen, *flatter, convex=False)
    assert not can(
        seen, (-40.0, -8.0), (0.0, -11.0), (8.0, 0.32)
    )  # leaves at the end of the ground
    assert not can(seen, (-6.0, -8.0), (0.0, -11.0), (30.0, -5.0), (50.0, 2.0))  # or at the other
    assert not can(seen, (-6.0, -8.0), (-2.0, -8.2), (2.0, -7.0), (8.0, 0.32))  # over the foot
    over = ((-6.0, -8.0), (-4.0, -7.5), (0.0, -9.0), (4.0, -7.0), (8.0, 0.32))
    assert not can(seen, *over, convex=False)
    upright = ((-6.0, -8.0), (-2.0, -11.5), (2.0, -11.4), (2.0, -7.0), (10.0, 0.4))
    assert not can(seen, *upright, convex=False)
    thin = movable(seen, np.array([[(-6.0, -8.0), (-5.9, -8.05), (-5.0, -8.0)]]), convex=True)
    assert not thin.usable[0]
    assert not thin.thin[0]  # it does not rise: that comes first
    shallow = movable(seen, np.array([[(2.0, 0.08), (5.0, 0.0), (9.0, 0.36)]]), convex=True)
    assert (shallow.usable[0], shallow.thin[0]) == (False, True)


def test_limits_of_the_search_hold_for_polylines() -> None:
    wedge = ((-6.0, -8.0), (0.0, -10.0), (8.0, 0.32))
    assert can(seen_of(exits=(-7.0, -5.0), entries=(7.0, 9.0), deepest=-10.5), *wedge)
    assert not can(seen_of(exits=(-5.0, -1.0)), *wedge)
    assert not can(seen_of(entries=(9.0, 12.0)), *wedge)
    assert not can(seen_of(deepest=-9.5), *wedge)
    assert not can(seen_of(beneath=((0.0, -10.5),)), *wedge)
    assert can(seen_of(beneath=((0.0, -9.5),)), *wedge)
    turned = tuple((x, y) for x, y in wedge)  # the frame slides to the left whatever the model says
    assert can(seen_of(TO_RIGHT, exits=(5.0, 7.0)), *turned[:2], (8.0, 0.32))
    assert not can(seen_of(TO_RIGHT, exits=(-7.0, -5.0)), *turned[:2], (8.0, 0.32))


def test_sharp_bends_are_refused_where_told_but_not_under_what_is_passed() -> None:
    points = np.array([[(-6.0, -8.0), (0.0, -10.0), (8.0, 0.32)]])
    bend = atan2(10.32, 8.0) - atan2(-2.0, 6.0)
    free, bound = seen_of(), seen_of(beneath=((0.0, -9.0),))
    assert movable(free, points, convex=True).bend[0] == pytest.approx(bend)
    for seen, less in ((free, False), (bound, True)):
        for turn, usable in ((bend + 1e-3, True), (bend - 1e-3, less)):
            found = movable(seen, points, convex=True, turn=np.array([turn]))
            assert found.usable[0] == usable


def test_thickness_is_above_rock_and_across_the_chord() -> None:
    """The deepest point lies under the top of the face: 8 m and 2 m below it, or down to the rock."""
    points = np.array([[(-6.0, -8.0), (0.0, -13.0), (10.0, 0.4)]])
    rise, width = 8.4, 16.0
    for model, bottom in ((FREE, -13.0), (WALL, -12.0 + 40.0 / 90.0)):
        found = movable(seen_of(model), points, convex=True)
        assert found.thickness[0] == pytest.approx(-bottom * width / hypot(rise, width), rel=1e-6)


def test_thickness_at_a_vertex_is_above_rock_too_and_the_sharpest_bend_may_be_the_first() -> None:
    rock = replace(WALL, surface=np.array([(-20.0, 0.0), (0.0, 0.0), (30.0, 30.0), (60.0, 30.0)]), tops=(np.array([(-20.0, -1.0), (60.0, -1.0)]),))  # fmt: skip
    points = np.array([[(2.0, 2.0), (16.0, -4.0), (30.0, 15.0), (40.0, 30.0)]])
    found = movable(seen_of(rock), points, convex=True)
    assert found.thickness[0] == pytest.approx(17.0 * 38.0 / hypot(38.0, 28.0), rel=1e-9)
    assert found.bend[0] == pytest.approx(atan2(19.0, 14.0) - atan2(-6.0, 14.0))


def test_a_block_may_not_rise_out_more_than_its_layer() -> None:
    slope = replace(FREE, surface=np.array([(-20.0, 0.0), (0.0, 0.0), (30.0, 30.0), (60.0, 30.0)]), tops=(np.array([(-20.0, -9.0), (60.0, -9.0)]),))  # fmt: skip
    seen = seen_of(slope)
    out, up = (2.0, 2.0), (40.0, 30.0)
    assert can(seen, out, (12.0, 4.0), (20.0, 6.5), up, convex=False)  # 0.197 up, then 0.303
    assert can(
        seen, out, (12.0, 4.0), (20.0, 4.2), up, convex=False
    )  # 0.197, then 0.025: 0.17 less
    assert not can(seen, out, (12.0, 5.0), (20.0, 5.2), up, convex=False)  # 0.291, then 0.025
