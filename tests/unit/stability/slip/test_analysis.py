"""Faces of the method of slices: what is refused, what is reported, anchors, rock, faces, flags."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin, tan
from typing import Any

import numpy as np
import pytest

from backstay.errors import DesignError
from backstay.stability.slip import (
    METHODS,
    AnchorForce,
    Circle,
    PressureGrid,
    ShearForce,
    SlipModel,
    analyse_batch,
    analyse_circle,
    analyse_surface,
    analyse_surfaces,
    build_kernel,
    kernel_is_built,
)

GROUND = np.array([(-30.0, 0.0), (0.0, 0.0), (15.0, 10.0), (50.0, 10.0)])
WALL = np.array([(-30.0, -8.0), (0.0, -8.0), (0.0, 0.0), (50.0, 0.0)])
CIRCLE = (6.0, 18.0, 373.0**0.5)


def slope(ground: np.ndarray = GROUND, c: Any = 10.0, phi: Any = 30.0, **more: Any) -> SlipModel:
    given: dict[str, Any] = {
        "gamma": np.array([18.0]),
        "phi": np.radians(np.atleast_1d(phi)),
        "c": np.atleast_1d(c),
    }
    return SlipModel(surface=ground, **(given | more))


def row(**changes: Any) -> AnchorForce:
    t = radians(15.0)
    given: dict[str, Any] = {"x": 7.5, "y": 5.0, "dx": cos(t), "dy": -sin(t), "total": 100.0}
    return AnchorForce(**(given | changes))


def used(**changes: Any) -> float:
    return float(analyse_circle(slope(anchors=(row(**changes),)), CIRCLE).anchors[0])


def cut_at() -> float:
    """Return the length at which the row meets the circle."""
    t = radians(15.0)
    x, y = 7.5 - CIRCLE[0], 5.0 - CIRCLE[1]
    b = x * cos(t) - y * sin(t)
    return -b + (b * b - (x * x + y * y - CIRCLE[2] ** 2)) ** 0.5


def test_an_anchor_gives_what_the_surface_leaves() -> None:
    s = cut_at()
    assert used() == 100.0
    assert used(free=s + 1.0, bond=5.0, pullout=30.0) == 100.0
    assert used(free=s + 1.0, bond=2.0, pullout=30.0) == pytest.approx(60.0)
    assert used(free=s - 1.0, bond=3.0, pullout=30.0) == pytest.approx(60.0, rel=1e-9)
    assert used(free=s - 5.0, bond=4.9, pullout=30.0) == 0.0
    assert used(free=s + 1.0, bond=5.0, pullout=30.0, plate=25.0) == pytest.approx(25.0)
    assert used(free=s - 1.0, bond=9.0, pullout=30.0, plate=25.0) == pytest.approx(55.0, rel=1e-9)


def test_an_anchor_that_does_not_cross_gives_nothing() -> None:
    assert used(y=-9.0) == 0.0  # its head lies below the surface
    assert used(x=40.0) == 0.0
    up = radians(60.0)
    assert used(dx=-cos(up), dy=sin(up)) == 0.0


def test_head_and_base_turn_the_mass_alike() -> None:
    clay = {"c": 0.0, "phi": 0.0, "su": np.array([40.0])}
    for method in METHODS:
        one, two = (
            analyse_circle(slope(anchors=(row(total=200.0, acts=a),), **clay), CIRCLE, method).F
            for a in ("base", "head")
        )
        assert one == pytest.approx(two, rel=1e-9)


def test_a_vertical_anchor_and_a_pile_are_met() -> None:
    down = row(dx=0.0, dy=-1.0)
    assert analyse_circle(slope(anchors=(down,)), CIRCLE).anchors[0] == 100.0
    plain = analyse_circle(slope(), CIRCLE).F
    at = {"x": 5.0, "capacity": 50.0}
    through = analyse_circle(slope(piles=(ShearForce(top=3.0, bottom=-8.0, **at),)), CIRCLE).F
    above = analyse_circle(slope(piles=(ShearForce(top=3.0, bottom=0.0, **at),)), CIRCLE).F
    assert through > plain * 1.01
    assert above == plain


@pytest.mark.parametrize(
    ("circle", "status"),
    [
        ((6.0, 40.0, 10.0), "does not cut the ground"),
        ((12.0, 8.0, 9.0), "overhangs"),
        ((6.0, 18.0, 60.0), "leaves the section"),
        ((-20.0, 10.0, 12.0), "does not drive"),
    ],
)
def test_a_circle_without_a_factor_says_why(
    circle: tuple[float, float, float], status: str
) -> None:
    for method in METHODS:
        found = analyse_circle(slope(), circle, method)
        assert found.status == status
        assert np.isnan(found.F)
        assert not found.admissible
        assert found.reasons[0] == status
        assert found.slices is None


def test_a_shallow_circle_lies_within_the_crack() -> None:
    assert analyse_circle(slope(crack=30.0), CIRCLE).status == "within the tension crack"
    found = analyse_circle(slope(crack=2.0), CIRCLE)
    assert found.crack == pytest.approx(2.0)
    assert found.right == pytest.approx(6.0 + (CIRCLE[2] ** 2 - 10.0**2) ** 0.5)


def test_ground_without_solution_by_one_inclination_is_not_given_a_number() -> None:
    clay = slope(c=0.0, phi=0.0, su=np.array([40.0]), anisotropy=np.array([(1.0, 0.75, 0.5)]))
    found = analyse_circle(clay, CIRCLE, "spencer")
    assert found.status == "not converged"
    assert np.isnan(found.F)
    assert analyse_batch(clay, [CIRCLE], "spencer").status[0] == 1
    assert analyse_circle(clay, CIRCLE, "morgenstern-price").converged


def test_rock_turns_a_circle_into_a_composite_surface() -> None:
    def layered(level: float) -> SlipModel:
        return slope(
            tops=(np.array([(-30.0, level), (50.0, level)]),), gamma=np.array([18.0, 18.0]),
            phi=[30.0, 45.0], c=[10.0, 500.0], impenetrable=np.array([False, True]),
        )  # fmt: skip

    deep = analyse_circle(layered(-5.0), CIRCLE)
    assert deep.F == pytest.approx(analyse_circle(slope(), CIRCLE).F, rel=1e-12)
    found = analyse_circle(layered(-0.5), CIRCLE, slices=200)
    assert found.converged
    assert found.slices is not None
    assert found.surface[:, 1].min() == pytest.approx(-0.5)
    assert (found.slices.layer == 0).all()
    x = 6.0 + np.array([-1.0, 1.0]) * (CIRCLE[2] ** 2 - 18.5**2) ** 0.5
    left, right = np.linspace(-3.0, x[0], 60), np.linspace(x[1], 24.0, 400)
    arc = np.concatenate([left, right])
    line = np.column_stack([arc, CIRCLE[1] - np.sqrt(CIRCLE[2] ** 2 - (arc - 6.0) ** 2)])
    assert found.F == pytest.approx(analyse_surface(slope(), line, slices=400).F, rel=0.002)


def test_a_plane_through_a_weak_seam_takes_its_strength() -> None:
    seam = slope(
        tops=(np.array([(-30.0, 0.05), (50.0, 0.05)]), np.array([(-30.0, -0.05), (50.0, -0.05)])),
        gamma=np.full(3, 18.0), phi=[30.0, 8.0, 30.0], c=[10.0, 0.0, 10.0],
    )  # fmt: skip
    line = [(-0.1, 0.0), (12.0, 0.0), (20.0, 10.5)]
    found = analyse_surface(seam, line, "morgenstern-price")
    assert found.slices is not None
    flat = found.slices.base_x < 12.0
    assert (found.slices.layer[flat & (found.slices.base_x > 0.1)] == 1).all()
    assert found.F < 0.9 * analyse_surface(slope(), line, "morgenstern-price").F


def test_water_stands_against_a_vertical_face() -> None:
    """A block on a plane behind a wall: water in front, and in the ground, by hand."""
    b, c, phi, pond = radians(40.0), 20.0, radians(30.0), -5.0
    model = slope(WALL, c=c, water=np.array([(-30.0, pond), (0.0, pond), (50.0, pond)]))
    found = analyse_surface(model, [(0.0, -8.0), (8.0 / tan(b), 0.0)])
    W = 18.0 * 0.5 * 64.0 / tan(b)
    U, V = 0.5 * 9.81 * 9.0 / sin(b), 0.5 * 9.81 * 9.0  # on the plane, and on the face
    normal = W * cos(b) + V * sin(b) - U
    F = (c * 8.0 / sin(b) + normal * tan(phi)) / (W * sin(b) - V * cos(b))
    assert found.F == pytest.approx(F, rel=1e-4)


def test_a_surface_may_leave_through_the_face() -> None:
    b = radians(45.0)
    found = analyse_surface(slope(WALL), [(0.0, -5.0), (5.0, 0.0)])
    W, length = 18.0 * 12.5, 5.0 / sin(b)
    F = (10.0 * length + W * cos(b) * tan(radians(30.0))) / (W * sin(b))
    assert found.F == pytest.approx(F, rel=1e-9)
    assert analyse_circle(slope(WALL), (-4.0, 3.0, 8.0)).left == pytest.approx(0.0)


def test_pull_beyond_cohesion_is_flagged() -> None:
    t = radians(15.0)
    sand = slope(
        WALL, c=0.0, phi=34.0, anchors=(row(x=0.0, y=-3.0, dx=cos(t), dy=-sin(t), total=200.0),)
    )
    found = analyse_circle(sand, (-4.0, 6.0, 14.56))
    assert found.converged
    assert "tension between slices" in found.flags
    assert not found.admissible
    pressed = replace(sand, anchors=(replace(sand.anchors[0], acts="head"),))
    assert "tension between slices" not in analyse_circle(pressed, (-4.0, 6.0, 14.56)).flags


def test_side_shear_that_lifts_what_lies_in_front_is_flagged() -> None:
    """Two wedges in clay far below a cut: equilibrium has a root far below the safety of any mechanism.

    The wedge behind sinks, so that it cannot hold up the one in front; the shear between them would
    have to. Taylor's number (1937, from memory) gives the circle's safety.
    """
    clay = slope(WALL, c=0.0, phi=0.0, su=np.array([60.0]))
    deep = analyse_surface(clay, [(-8.0, -8.0), (2.0, -20.0), (22.0, 0.0)])
    assert deep.converged
    assert deep.slices is not None
    assert deep.slices.X.sum() < -0.1 * deep.slices.E.sum()
    assert "side shear against the movement" in deep.flags
    assert deep.F < 0.8 * 60.0 / (18.0 * 8.0 * 0.261)


def test_ru_stands_in_place_of_the_table_and_a_grid_over_it() -> None:
    water = np.array([(-30.0, 0.0), (50.0, 0.0)])
    by_ru = analyse_circle(slope(ru=np.array([0.2]), water=water), CIRCLE).slices
    assert by_ru is not None
    np.testing.assert_allclose(by_ru.u, 0.2 * by_ru.weight / by_ru.width)
    grid = PressureGrid(x=np.array([-30.0, 50.0]), y=np.array([-9.0, 9.0]), u=np.full((2, 2), 7.0))
    by_grid = analyse_circle(slope(grid=grid, water=water), CIRCLE).slices
    assert by_grid is not None
    np.testing.assert_allclose(by_grid.u, 7.0)


def test_faces_refuse_what_makes_no_sense() -> None:
    one = np.array([1.0])
    for bad in (
        lambda: analyse_circle(slope(), (0.0, 1.0, -2.0)),
        lambda: analyse_circle(slope(), (0.0, np.nan, 2.0)),
        lambda: analyse_circle(slope(), CIRCLE, "janbu"),  # type: ignore[arg-type]
        lambda: analyse_circle(slope(), CIRCLE, slices=1),
        lambda: analyse_circle(slope(), CIRCLE, cut="at will"),  # type: ignore[arg-type]
        lambda: analyse_circle(slope(), CIRCLE, "morgenstern-price", side_force="flat"),  # type: ignore[arg-type]
        lambda: analyse_circle(slope(), CIRCLE, "morgenstern-price", side_force=[(0.0, 1.0)]),
        lambda: analyse_surface(slope(), [(0.0, 0.0)]),
        lambda: analyse_surface(slope(), [(0.0, 0.0), (0.0, 5.0)]),
        lambda: analyse_surfaces(slope(), [(0.0, 0.0), (1.0, 5.0)]),
        lambda: analyse_batch(slope(), [(0.0, 1.0)]),
        lambda: analyse_circle(slope(phi=90.0), CIRCLE),
        lambda: analyse_circle(slope(c=-1.0), CIRCLE),
        lambda: analyse_circle(slope(su=np.array([1.0, 2.0])), CIRCLE),
        lambda: analyse_circle(slope(ground=GROUND[::-1]), CIRCLE),
        lambda: analyse_circle(slope(water=np.array([(0.0, 0.0), (10.0, 0.0)])), CIRCLE),
        lambda: analyse_circle(slope(anchors=(row(dx=1.0),)), CIRCLE),
        lambda: analyse_circle(slope(anchors=(row(total=-1.0),)), CIRCLE),
        lambda: analyse_circle(slope(crack=-1.0), CIRCLE),
        lambda: analyse_circle(slope(crack_water=2.0), CIRCLE),
        lambda: analyse_circle(slope(strips=np.array([(5.0, 2.0, 1.0)])), CIRCLE),
        lambda: analyse_circle(slope(grid=PressureGrid(x=one, y=one, u=np.ones((1, 1)))), CIRCLE),
    ):
        with pytest.raises(DesignError):
            bad()


def test_a_circle_may_be_named_and_a_batch_may_be_empty() -> None:
    assert analyse_circle(slope(), Circle(*CIRCLE)).F == analyse_circle(slope(), CIRCLE).F
    assert len(analyse_batch(slope(), np.empty((0, 3))).F) == 0


def test_building_leaves_the_kernel_built() -> None:
    build_kernel()
    assert kernel_is_built()
    with pytest.raises(ValueError, match="no kernel"):
        kernel_is_built("other")
