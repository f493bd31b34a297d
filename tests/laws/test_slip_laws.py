"""Laws that the method of slices obeys, whatever the ground: equilibrium, symmetry, scale, order."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin, tan
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.stability.slip import (
    METHODS,
    AnchorForce,
    Method,
    PressureGrid,
    ShearForce,
    SlipModel,
    SlipResult,
    analyse_batch,
    analyse_circle,
    analyse_surface,
    analyse_surfaces,
)

FULL: tuple[Method, ...] = ("spencer", "morgenstern-price")
CIRCLE = np.array([6.0, 18.0, 373.0**0.5])
LINE = np.array([(-4.0, 1.0), (-1.0, -1.2), (6.0, -1.0), (14.0, 4.0), (20.0, 8.5), (22.5, 11.0)])
THREE_BLOCKS = np.array([(-1.5, 0.0), (4.0, -2.0), (15.0, 1.0), (21.0, 10.5)])


def line(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points)


def row(total: float, convention: Any = "active", dip: float = 15.0) -> AnchorForce:
    t = radians(dip)
    return AnchorForce(
        x=7.5, y=5.0, dx=cos(t), dy=-sin(t), total=total, free=20.0, bond=8.0, pullout=100.0,
        convention=convention,
    )  # fmt: skip


def ground(**changes: Any) -> SlipModel:
    """Return a slope of two layers with water, load, earthquake, crack, anchors and piles."""
    model = SlipModel(
        surface=line((-30, 0), (0, 0), (15, 10), (50, 10)),
        tops=(line((-30, 0), (0, 1), (50, 4)),),
        gamma=np.array([18.0, 19.0]), gamma_sat=np.array([19.5, 20.5]),
        phi=np.radians([30.0, 26.0]), c=np.array([10.0, 14.0]),
        water=line((-30, -1), (0, -0.5), (15, 4), (50, 6)), strips=line((17.0, 20.0, 15.0)),  # type: ignore[arg-type]
        kh=0.05, kv=0.02, crack=1.5, crack_water=0.6,
        anchors=(row(60.0), row(40.0, "passive")),
        piles=(ShearForce(x=4.0, top=3.0, bottom=-6.0, capacity=20.0),),
        forces=line((18.0, 10.0, -3.0, -8.0)),  # type: ignore[arg-type]
    )  # fmt: skip
    return replace(model, **changes)


def mirrored(model: SlipModel) -> SlipModel:
    def turned(points: np.ndarray | None) -> Any:
        return None if points is None else points[::-1] * np.array([-1.0, 1.0])

    return replace(
        model, surface=turned(model.surface), tops=tuple(turned(t) for t in model.tops),
        water=turned(model.water), strips=model.strips[:, [1, 0, 2]] * np.array([-1, -1, 1]),
        forces=model.forces * np.array([-1, 1, -1, 1]),
        anchors=tuple(replace(a, x=-a.x, dx=-a.dx) for a in model.anchors),
        piles=tuple(replace(p, x=-p.x) for p in model.piles),
    )  # fmt: skip


def moved(model: SlipModel, x: float, y: float) -> SlipModel:
    by = np.array([x, y])
    return replace(
        model, surface=model.surface + by, tops=tuple(t + by for t in model.tops),
        water=None if model.water is None else model.water + by,
        strips=model.strips + np.array([x, x, 0.0]), forces=model.forces + np.array([x, y, 0, 0]),
        anchors=tuple(replace(a, x=a.x + x, y=a.y + y) for a in model.anchors),
        piles=tuple(replace(p, x=p.x + x, top=p.top + y, bottom=p.bottom + y) for p in model.piles),
    )  # fmt: skip


def both(model: SlipModel, method: Method) -> tuple[SlipResult, SlipResult]:
    return analyse_circle(model, CIRCLE, method), analyse_surface(model, LINE, method)


def unbalanced(result: SlipResult, way: float = 1.0) -> tuple[float, float, float]:
    """Return the greatest unbalanced force, moment and excess of shear of a slice, over the mean weight.

    way: 1 where the ground slides to the left, -1 to the right.
    """
    t = result.slices
    assert t is not None
    N = t.normal - t.standing * t.length
    s, c = np.sin(t.alpha), np.cos(t.alpha)
    x = t.E[:-1] - t.E[1:] + t.load_x - way * (N * s - t.shear * c)
    y = t.X[:-1] - t.X[1:] + t.load_y + N * c + t.shear * s
    strength = (t.c * t.length + t.effective_normal * np.tan(t.phi)) / result.F
    thrust = np.where(np.isnan(t.thrust_y), t.base_y[0], t.thrust_y)
    left, right = slice(0, -1), slice(1, None)
    turning = (
        t.load_moment
        + (t.side_x[left] - t.base_x) * t.X[left]
        - (thrust[left] - t.base_y) * t.E[left]
        - (t.side_x[right] - t.base_x) * t.X[right]
        + (thrust[right] - t.base_y) * t.E[right]
    )
    mean = t.weight.mean()
    return (
        float(np.hypot(x, y).max() / mean),
        float(abs(turning).max() / (mean * t.width.mean())),
        float(abs(t.shear - strength).max() / mean),
    )


@pytest.mark.parametrize("method", FULL)
@pytest.mark.parametrize("case", ["whole", "plain", "pond", "polyline", "blocks"])
def test_every_slice_is_in_equilibrium(method: Method, case: str) -> None:
    model = ground()
    if case == "plain":
        model = ground(
            water=None, strips=np.empty((0, 3)), kh=0.0, kv=0.0, crack=0.0, anchors=(), piles=()
        )
    if case == "pond":
        model = ground(water=line((-30, 3), (4.5, 3), (15, 5), (50, 6)))
    if case == "blocks":
        result = analyse_surface(model, THREE_BLOCKS, method)
    elif case == "polyline":
        result = analyse_surface(model, LINE, method)
    else:
        result = analyse_circle(model, CIRCLE, method)
    assert result.converged
    force, moment, shear = unbalanced(result)
    assert force < 1e-8
    assert moment < 1e-8
    assert shear < 1e-8
    assert abs(result.residual_force) < 1e-9
    assert abs(result.residual_moment) < 1e-9
    assert result.slices is not None
    assert abs(result.slices.E[-1]) < 1e-8 * result.weight


@pytest.mark.parametrize("method", METHODS)
def test_a_mirror_changes_nothing(method: Method) -> None:
    table = np.array([(0.0, 0.2), (0.3, 1.0), (1.0, 0.5)])
    turned = table[::-1] * np.array([-1.0, 1.0]) + np.array([1.0, 0.0])
    model, image = ground(), mirrored(ground())
    one = analyse_circle(model, CIRCLE, method, side_force=table)
    two = analyse_circle(image, CIRCLE * np.array([-1, 1, 1]), method, side_force=turned)
    assert two.F == pytest.approx(one.F, rel=1e-11)
    assert two.left == pytest.approx(-one.right)
    assert one.slices is not None
    assert two.slices is not None
    np.testing.assert_allclose(two.slices.E, one.slices.E[::-1], atol=1e-8)
    np.testing.assert_allclose(two.slices.X, -one.slices.X[::-1], atol=1e-8)
    np.testing.assert_allclose(two.slices.load_x, -one.slices.load_x[::-1], atol=1e-8)
    np.testing.assert_allclose(two.anchors, one.anchors)
    if method in FULL:
        assert max(unbalanced(two, -1.0)) < 1e-8
    one = analyse_surface(model, LINE, method, side_force=table)
    two = analyse_surface(image, LINE[::-1] * np.array([-1, 1]), method, side_force=turned)
    assert two.F == pytest.approx(one.F, rel=1e-11)


@settings(max_examples=25, deadline=None)
@given(x=st.floats(-500, 500), y=st.floats(-500, 500))
def test_moving_everything_changes_nothing(x: float, y: float) -> None:
    one, two = ground(), moved(ground(), x, y)
    for method in METHODS:
        expected = analyse_circle(one, CIRCLE, method).F
        assert analyse_circle(two, CIRCLE + np.array([x, y, 0]), method).F == pytest.approx(
            expected, rel=1e-8
        )
        expected = analyse_surface(one, LINE, method).F
        assert analyse_surface(two, LINE + np.array([x, y]), method).F == pytest.approx(
            expected, rel=1e-6
        )


@settings(max_examples=25, deadline=None)
@given(scale=st.floats(0.05, 20.0))
def test_forces_scale_together(scale: float) -> None:
    model = ground()
    scaled = replace(
        model, c=model.c * scale, gamma=model.gamma * scale, gamma_sat=model.gamma_sat * scale,  # type: ignore[operator]
        gamma_w=model.gamma_w * scale, strips=model.strips * np.array([1, 1, scale]),
        forces=model.forces * np.array([1, 1, scale, scale]),
        anchors=tuple(replace(a, total=a.total * scale, pullout=a.pullout * scale) for a in model.anchors),
        piles=tuple(replace(p, capacity=p.capacity * scale) for p in model.piles),
    )  # fmt: skip
    for method in METHODS:
        for one, two in zip(both(model, method), both(scaled, method), strict=True):
            assert two.F == pytest.approx(one.F, rel=1e-9)


@settings(max_examples=25, deadline=None)
@given(scale=st.floats(0.05, 20.0))
def test_lengths_scale_together(scale: float) -> None:
    plain = ground(anchors=(), piles=(), forces=np.empty((0, 4)))
    larger = replace(
        plain, surface=plain.surface * scale, tops=tuple(t * scale for t in plain.tops),
        water=plain.water * scale, c=plain.c * scale, crack=plain.crack * scale,  # type: ignore[operator]
        strips=plain.strips * scale,
    )  # fmt: skip
    for method in METHODS:
        one, two = (
            analyse_circle(plain, CIRCLE, method),
            analyse_circle(larger, CIRCLE * scale, method),
        )
        assert two.F == pytest.approx(one.F, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(
    c=st.floats(2.0, 40.0), phi=st.floats(5.0, 40.0),
    more_c=st.floats(0.0, 20.0), more_phi=st.floats(0.0, 5.0),
)  # fmt: skip
def test_more_strength_never_lowers_safety(
    c: float, phi: float, more_c: float, more_phi: float
) -> None:
    for method in METHODS:
        weak = ground(c=np.full(2, c), phi=np.radians([phi, phi]))
        strong = ground(c=np.full(2, c + more_c), phi=np.radians([phi + more_phi] * 2))
        one, two = analyse_circle(weak, CIRCLE, method), analyse_circle(strong, CIRCLE, method)
        if one.converged and two.converged:
            assert two.F >= one.F * (1 - 1e-9)


@pytest.mark.parametrize("method", METHODS)
def test_safety_is_that_of_strength_reduced_to_one(method: Method) -> None:
    model = ground(anchors=(row(60.0),))
    F = analyse_circle(model, CIRCLE, method).F
    reduced = replace(model, c=model.c / F, phi=np.arctan(np.tan(model.phi) / F))
    assert analyse_circle(reduced, CIRCLE, method).F == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize("method", METHODS)
def test_depth_of_water_over_a_drowned_slope_does_not_matter(method: Method) -> None:
    def drowned(level: float) -> SlipModel:
        return ground(water=line((-30, level), (50, level)), crack_water=1.0, kh=0.0)

    dry = ground(water=None, crack_water=0.0, kh=0.0, kv=0.0)
    dry = replace(dry, gamma=dry.gamma_sat - dry.gamma_w)  # type: ignore[operator]
    dry = replace(dry, gamma_sat=dry.gamma)
    for k, point in ((0, CIRCLE), (1, LINE)):

        def safety(model: SlipModel, k: int = k, point: np.ndarray = point) -> float:
            return (analyse_circle, analyse_surface)[k](replace(model, kv=0.0), point, method).F

        buoyant = safety(dry)
        for level in (10.0, 11.0, 40.0):
            assert safety(drowned(level)) == pytest.approx(buoyant, rel=1e-10)


@pytest.mark.parametrize("method", METHODS)
def test_table_and_grid_of_the_same_pressure_agree(method: Method) -> None:
    level = -1.0
    table = ground(water=line((-30, level), (50, level)), gamma_sat=ground().gamma, crack_water=0.0)
    y = np.array([-10.0, level, 20.0])
    u = np.maximum(level - y, 0.0) * 9.81
    grid = PressureGrid(x=np.array([-30.0, 50.0]), y=y, u=np.column_stack([u, u]))
    given_by_grid = replace(table, water=None, grid=grid)
    for one, two in zip(both(table, method), both(given_by_grid, method), strict=True):
        # the table ends slices where it meets the base, the grid does not
        assert two.F == pytest.approx(one.F, rel=1e-3)


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("convention", ["active", "passive"])
def test_the_force_found_for_a_target_gives_the_target(method: Method, convention: Any) -> None:
    def safety(force: float) -> float:
        held = (replace(row(force, convention), free=np.inf),)
        return analyse_circle(ground(anchors=held, water=None), CIRCLE, method).F

    target, low, high = 2.0, 0.0, 600.0
    assert safety(low) < target < safety(high)
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if safety(middle) < target else (low, middle)
    assert safety(0.5 * (low + high)) == pytest.approx(target, rel=1e-9)


@pytest.mark.parametrize("method", METHODS)
def test_more_slices_close_in_at_the_second_order(method: Method) -> None:
    plain = ground(
        tops=(), gamma=np.array([18.0]), gamma_sat=None, phi=np.radians([30.0]), c=np.array([10.0]),
        water=None, anchors=(), piles=(), forces=np.empty((0, 4)),
    )  # fmt: skip
    F = [analyse_circle(plain, CIRCLE, method, n, cut="at kinks").F for n in (25, 50, 100, 1600)]
    errors = [abs(f - F[-1]) for f in F[:-1]]
    assert errors[0] < 0.01
    assert errors[1] < 0.4 * errors[0]
    assert errors[2] < 0.4 * errors[1]


@pytest.mark.parametrize("method", METHODS)
def test_the_batch_is_the_single_analysis(method: Method) -> None:
    rng = np.random.default_rng(3)
    circles = CIRCLE + rng.normal(0.0, 1.5, (60, 3))
    batch = analyse_batch(ground(), circles, method)
    for i, circle in enumerate(circles):
        one = analyse_circle(ground(), circle, method)
        assert (batch.status[i] == 0) == one.converged
        np.testing.assert_array_equal(batch.F[i], one.F)
        np.testing.assert_array_equal(batch.admissible[i], one.admissible)
    lines = LINE + np.array([0.0, 1.0]) * rng.normal(0.0, 0.4, (40, len(LINE), 1))
    many = analyse_surfaces(ground(), lines, method)
    for i, points in enumerate(lines):
        np.testing.assert_array_equal(many.F[i], analyse_surface(ground(), points, method).F)
    assert many.converged.sum() > 20


@pytest.mark.parametrize("method", ["bishop", *FULL])
def test_a_fine_polyline_on_a_circle_is_the_circle(method: Method) -> None:
    x = np.linspace(-4.0, 23.5, 400)
    arc = np.column_stack([x, CIRCLE[1] - np.sqrt(CIRCLE[2] ** 2 - (x - CIRCLE[0]) ** 2)])
    model = ground(anchors=(), piles=())
    circle = analyse_circle(model, CIRCLE, method, 400).F
    assert analyse_surface(model, arc, method, 400).F == pytest.approx(circle, rel=0.001)


def test_any_inclination_along_a_plane_gives_the_same() -> None:
    model = SlipModel(
        surface=line((-20, 0), (0, 0), (8, 12), (60, 12)), gamma=np.array([20.0]),
        phi=np.radians([32.0]), c=np.array([12.0]),
    )  # fmt: skip
    t = radians(38.0)
    points = line((0, 0), (12 / tan(t), 12))
    weight = 20.0 * 0.5 * 12.0 * (12 / tan(t) - 8.0)
    F = (12.0 * 12 / sin(t) + weight * cos(t) * tan(radians(32.0))) / (weight * sin(t))
    for method in FULL:
        assert analyse_surface(model, points, method).F == pytest.approx(F, rel=1e-9)
