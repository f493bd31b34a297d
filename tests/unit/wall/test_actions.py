"""Moments and shears of the wall, against closed forms and an independent solution."""

from __future__ import annotations

from math import isclose

import numpy as np
import pytest

from backstay.anchors.spans import hinge_reactions
from backstay.errors import DesignError
from backstay.pressure.diagram import Diagram
from backstay.wall.actions import (
    cantilever_moment,
    continuous_actions,
    hinge_actions,
    interior_span_moment,
)


def even(p: float, H: float) -> Diagram:
    return Diagram("even", (0.0, H), (p, p))


def one_row_envelope(p: float, H: float, H1: float) -> Diagram:
    return Diagram("one row", (0, 2 / 3 * H1, H - 2 / 3 * (H - H1), H), (0, p, p, 0))


def rows_envelope(p: float, H: float, H1: float, last: float) -> Diagram:
    return Diagram("rows", (0, 2 / 3 * H1, H - 2 / 3 * last, H), (0, p, p, 0))


def test_two_equal_spans_carry_w_l_squared_over_eight_at_the_middle() -> None:
    # Closed form of every textbook on beams: -w L^2 / 8; reactions 3/8, 10/8, 3/8 of w L.
    actions = continuous_actions(even(7.0, 8.0), (0.0, 4.0), 8.0)
    assert isclose(actions.moment_at(4.0), -7 * 16 / 8, rel_tol=1e-12)
    assert actions.reactions == pytest.approx((10.5, 35.0, 10.5), rel=1e-12)
    assert isclose(max(actions.moment), 9 / 128 * 7 * 16, rel_tol=1e-12)


def test_three_equal_spans_carry_a_tenth_of_w_l_squared() -> None:
    actions = continuous_actions(even(5.0, 9.0), (0.0, 3.0, 6.0), 9.0)
    assert actions.moment_at(3.0) == pytest.approx(-0.1 * 5 * 9, rel=1e-12)
    assert actions.reactions == pytest.approx((6.0, 16.5, 16.5, 6.0), rel=1e-12)
    assert max(actions.moment) == pytest.approx(0.08 * 5 * 9, rel=1e-12)


def test_simple_span_under_a_triangle() -> None:
    # Greatest moment w L^2 / (9 sqrt 3) at L / sqrt 3.
    L, w = 6.0, 30.0
    actions = continuous_actions(Diagram("triangle", (0, L), (0, w)), (0.0,), L)
    assert max(actions.moment) == pytest.approx(w * L**2 / (9 * 3**0.5), rel=1e-12)
    assert actions.depth_of_greatest_moment == pytest.approx(L / 3**0.5, rel=1e-12)


def test_triangle_on_two_spans_matches_a_propped_cantilever_in_the_limit() -> None:
    # A very short second span clamps the beam only in part; a symmetric pair clamps it fully:
    # propped cantilever under a triangle rising from the support, w L^2 / 15 at the clamp.
    L, w = 5.0, 20.0
    mirror = Diagram("mirror", (0, L, 2 * L), (0, w, 0))
    actions = continuous_actions(mirror, (0.0, L), 2 * L)
    assert actions.moment_at(L) == pytest.approx(-w * L**2 / 15, rel=1e-12)


def test_one_row_is_determinate_so_both_methods_agree() -> None:
    # Check values of the envelope for sand with one row: T 173.98, R 33.665, M 71.92, 51.99.
    H, H1, p = 7.6, 2.7, 40.982
    load = one_row_envelope(p, H, H1)
    hinge = hinge_actions(load, (H1,), hinge_reactions([H1, H], load, top=0.0, bottom=H), H)
    beam = continuous_actions(load, (H1,), H)
    assert beam.reactions == pytest.approx((173.98, 33.665), rel=1e-4)
    assert beam.moment == pytest.approx(hinge.moment)
    assert max(beam.moment) == pytest.approx(51.99, rel=1e-4)
    assert -min(beam.moment) == pytest.approx(cantilever_moment(H1, p), rel=1e-12)


def test_hinge_method_has_no_moment_at_lower_rows() -> None:
    H, depths, p = 10.0, (2.5, 6.25), 43.569
    load = rows_envelope(p, H, 2.5, 3.75)
    reactions = hinge_reactions([*depths, H], load, top=0.0, bottom=H)
    actions = hinge_actions(load, depths, reactions, H)
    assert actions.moment_at(6.25) == pytest.approx(0.0, abs=1e-9)
    assert actions.moment_at(2.5) == pytest.approx(-65.55, rel=1e-3)
    assert interior_span_moment(p, 3.75) == pytest.approx(61.27, rel=1e-4)


def test_reactions_out_of_balance_are_refused() -> None:
    with pytest.raises(DesignError, match="at subgrade"):
        hinge_actions(even(10, 6), (2.0,), (40.0, 10.0), 6.0)


@pytest.mark.parametrize("depths", [(3.0, 3.0), (4.0, 2.0), (2.0, 6.0), (-1.0,)])
def test_rows_out_of_order_are_refused(depths: tuple[float, ...]) -> None:
    with pytest.raises(DesignError, match="rows"):
        continuous_actions(even(10, 6), depths, 6.0)


def test_pressure_that_starts_below_the_top_leaves_the_wall_above_it_free() -> None:
    actions = continuous_actions(Diagram("low", (4.0, 8.0), (10.0, 10.0)), (2.0,), 8.0)
    assert actions.moment_at(2.0) == 0.0
    assert sum(actions.reactions) == pytest.approx(40.0)


def stiffness_method(load: Diagram, depths: tuple[float, ...], H: float) -> list[float]:
    """Return reactions by cubic beam elements of 5 mm, loads lumped consistently: independent."""
    n = 1600
    z = np.linspace(0.0, H, n + 1)
    for depth in depths:
        z[np.argmin(abs(z - depth))] = depth
    K = np.zeros((2 * n + 2, 2 * n + 2))
    F = np.zeros(2 * n + 2)
    for i in range(n):
        L = z[i + 1] - z[i]
        k = np.array([
            [12, 6 * L, -12, 6 * L], [6 * L, 4 * L * L, -6 * L, 2 * L * L],
            [-12, -6 * L, 12, -6 * L], [6 * L, 2 * L * L, -6 * L, 4 * L * L],
        ]) / L**3  # fmt: skip
        dofs = slice(2 * i, 2 * i + 4)
        K[dofs, dofs] += k
        a, b = load.at(z[i] + 1e-9), load.at(z[i + 1] - 1e-9)
        F[dofs] += L / 20 * np.array(
            [7 * a + 3 * b, L * (3 * a + 2 * b) / 3, 3 * a + 7 * b, -L * (2 * a + 3 * b) / 3]
        )  # fmt: skip
    fixed = [2 * int(np.argmin(abs(z - s))) for s in (*depths, H)]
    free = np.setdiff1d(np.arange(2 * n + 2), fixed)
    u = np.zeros(2 * n + 2)
    u[free] = np.linalg.solve(K[np.ix_(free, free)], F[free])
    return [float(F[i] - K[i] @ u) for i in fixed]


def test_continuous_beam_against_a_stiffness_solution() -> None:
    load = Diagram("steps", (0, 1.5, 3.0, 3.0, 7.0, 9.0), (0, 20, 35, 50, 30, 5))
    depths = (1.8, 4.2, 6.6)
    actions = continuous_actions(load, depths, 9.0)
    assert actions.reactions == pytest.approx(stiffness_method(load, depths, 9.0), rel=2e-3)


def test_points_of_no_shear_are_sampled() -> None:
    actions = continuous_actions(rows_envelope(40, 10, 2.5, 3.75), (2.5, 6.25), 10.0)
    turning = [m for m, v in zip(actions.moment, actions.shear, strict=True) if abs(v) < 1e-9]
    assert max(actions.moment) in turning
