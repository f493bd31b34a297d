"""Geometry against brute force and closed forms."""

from __future__ import annotations

import random
from math import dist, inf, radians, tan

import pytest

from backstay.anchors.geometry import (
    Axis,
    cover,
    inside,
    length_for_cover,
    length_to_line,
    segment_to_polygon,
    segments_distance,
    surface_depth,
)
from backstay.ground import profile
from tests.unit.anchors.example import section

SQUARE = [(2.0, 2.0), (4.0, 2.0), (4.0, 4.0), (2.0, 4.0)]


def test_segments_distance_is_the_least_of_a_fine_grid() -> None:
    rng = random.Random(7)  # noqa: S311 - a reproducible sample
    for _ in range(200):
        p1, p2, q1, q2 = ([rng.uniform(-5, 5) for _ in range(3)] for _ in range(4))
        grid = [k / 60 for k in range(61)]
        brute = min(
            dist(
                [a + s * (b - a) for a, b in zip(p1, p2, strict=True)],
                [a + t * (b - a) for a, b in zip(q1, q2, strict=True)],
            )
            for s in grid
            for t in grid
        )
        exact = segments_distance(tuple(p1), tuple(p2), tuple(q1), tuple(q2))  # type: ignore[arg-type]
        assert exact <= brute + 1e-12
        assert brute - exact < 0.2


def test_parallel_and_degenerate_segments() -> None:
    assert segments_distance((0, 0, 0), (4, 0, 0), (1, 2, 0), (3, 2, 0)) == pytest.approx(2.0)
    assert segments_distance((0, 0, 0), (0, 0, 0), (3, 4, 0), (3, 4, 0)) == pytest.approx(5.0)
    assert segments_distance((0, 0, 0), (1, 0, 0), (0.5, 0, 0), (2, 0, 0)) == 0.0


def test_distance_from_polygon() -> None:
    assert segment_to_polygon((0.0, 3.0), (1.0, 3.0), SQUARE) == pytest.approx(1.0)
    assert segment_to_polygon((0.0, 3.0), (9.0, 3.0), SQUARE) == 0.0
    assert segment_to_polygon((3.0, 3.0), (3.1, 3.0), SQUARE) == 0.0
    assert segment_to_polygon((5.0, 5.0), (6.0, 5.0), SQUARE) == pytest.approx(2**0.5)
    assert inside((3.0, 3.0), SQUARE)
    assert not inside((5.0, 3.0), SQUARE)


def test_farthest_crossing_of_a_line_counts() -> None:
    zigzag = [(0.0, 10.0), (2.0, 4.0), (3.0, 6.0), (4.0, 2.0)]
    axis = Axis(5.0, 0.0)
    assert length_to_line(axis, zigzag) == pytest.approx(3.25)
    assert length_to_line(Axis(11.0, 0.0), zigzag) is None


def test_ground_surface_between_surveyed_points() -> None:
    points = [{"distance": 4.0, "elevation": 100.0}, {"distance": 8.0, "elevation": 102.0}]
    ground = profile(section(ground={"profile": points}))
    assert surface_depth(ground, 2.0) == 0.0
    assert surface_depth(ground, 6.0) == pytest.approx(-1.0)
    assert surface_depth(ground, 99.0) == pytest.approx(-2.0)


@pytest.mark.parametrize("slope", [-8.0, 0.0, 12.0])
def test_length_for_cover_reaches_the_cover(slope: float) -> None:
    ground = profile(section(ground={"slope": f"{slope} deg"}))
    axis = Axis(1.0, radians(15))
    L = length_for_cover(ground, axis, 4.5)
    assert cover(ground, axis, L) == pytest.approx(4.5)
    assert cover(ground, axis, 0.99 * L) < 4.5


def test_length_for_cover_on_a_surveyed_surface() -> None:
    points = [{"distance": 4.0, "elevation": 100.0}, {"distance": 5.0, "elevation": 103.0}]
    ground = profile(section(ground={"profile": points}))
    axis = Axis(2.0, radians(20))
    L = length_for_cover(ground, axis, 4.5)
    brute = next(k / 1e4 for k in range(200000) if cover(ground, axis, k / 1e4) >= 4.5)
    assert pytest.approx(brute, abs=1.1e-4) == L


def test_level_anchor_in_level_ground_never_gains_cover() -> None:
    assert length_for_cover(profile(section()), Axis(2.0, 0.0), 4.5) == inf
    assert length_for_cover(profile(section()), Axis(5.0, 0.0), 4.5) == 0.0


def test_axis_in_space_has_its_own_length() -> None:
    axis = Axis(1.0, radians(17), radians(23))
    assert dist(axis.in_space(0.0), axis.in_space(12.0)) == pytest.approx(12.0)
    x, z = axis.at(12.0)
    assert (z - 1.0) / x > tan(radians(17))  # steeper in the section, for it is turned away
