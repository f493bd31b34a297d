"""Pattern search and evolution on functions whose minima are known."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from backstay.stability.slip.descent import descend, grid_minima, separate, spacing
from backstay.stability.slip.evolution import Judged, Start, evolve
from backstay.stability.slip.model import Floats


def two_valleys(p: Floats) -> Floats:
    """Minima 1 at (1, 2) and 1.5 at (-2, 0)."""
    a = 1.0 + (p[:, 0] - 1.0) ** 2 + 3.0 * (p[:, 1] - 2.0) ** 2
    b = 1.5 + (p[:, 0] + 2.0) ** 2 + (p[:, 1]) ** 2 + (p[:, 0] + 2.0) * p[:, 1]
    return np.minimum(a, b)


def test_each_start_finds_the_minimum_of_its_valley() -> None:
    starts = np.array([(0.3, 1.1), (-1.5, -0.8)])
    found = descend(
        two_valleys, starts, two_valleys(starts), np.full((2, 2), 0.5), rounds=60,
        least=np.full(2, 1e-4),
    )  # fmt: skip
    assert found.values == pytest.approx([1.0, 1.5], abs=1e-6)
    assert found.places == pytest.approx(np.array([(1.0, 2.0), (-2.0, 0.0)]), abs=1e-3)
    assert found.rounds < 60
    assert (found.change < 1e-6).all()


def test_descent_copes_with_a_step_and_with_places_that_do_not_count() -> None:
    def jump(p: Floats) -> Floats:
        F = np.where(p[:, 0] < 0.5, 2.0 + p[:, 0], 1.0 + p[:, 0])
        return np.where(p[:, 0] > 3.0, np.inf, F)

    start = np.array([[2.5]])
    found = descend(jump, start, jump(start), np.array([[1.0]]), rounds=60, least=np.array([1e-5]))
    assert found.values[0] == pytest.approx(1.5, abs=1e-4)


def test_grid_minima_are_not_above_their_neighbours_and_sorted() -> None:
    x, y = np.linspace(-4.0, 4.0, 33), np.linspace(-3.0, 4.0, 29)
    grid = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1)
    value = two_valleys(grid.reshape(-1, 2)).reshape(33, 29)
    at = grid_minima(value, 5)
    assert value[tuple(at.T)] == pytest.approx([1.0, 1.5], abs=0.02)
    assert len(grid_minima(np.full((3, 3), np.inf), 5)) == 0


def test_separate_keeps_the_lowest_of_each_place() -> None:
    features = np.array([[0.0, 0.0], [0.05, 0.0], [1.0, 0.0], [1.0, 0.04], [5.0, 5.0]])
    values = np.array([2.0, 1.0, 3.0, 4.0, np.inf])
    assert separate(features, values, 0.1).tolist() == [1, 2]


def test_spacing_is_the_wider_gap() -> None:
    assert spacing(np.array([0.0, 1.0, 3.0])).tolist() == [1.0, 2.0, 2.0]


def test_evolution_follows_a_bent_valley_from_many_starts_and_repeats_itself() -> None:
    def bent(p: Floats) -> Floats:  # Rosenbrock 1960, with a region that does not count
        F = (100.0 * (p[:, 1:] - p[:, :-1] ** 2) ** 2 + (1.0 - p[:, :-1]) ** 2).sum(axis=1)
        return np.where(p[:, 0] > 1.5, np.inf, 1.0 + F)

    places = (np.zeros(4), np.full(4, 0.6))
    starts = [Start(p, float(bent(p[None])[0]), np.full(4, 0.5)) for p in places]

    def judged(p: Floats, of: Any) -> Judged:
        return Judged.plain(bent(p))

    runs = [
        evolve(judged, starts, generations=600, trials=24, seed=3, settled=1e-12) for _ in range(2)
    ]
    for one, again in zip(*runs, strict=True):
        assert one.value == pytest.approx(1.0, abs=1e-6)
        assert one.place == pytest.approx(np.ones(4), abs=1e-3)
        assert (one.place == again.place).all()
        assert one.last_change < 1e-6
        assert bent(one.place[None])[0] == one.value


def test_evolution_never_ends_above_its_start() -> None:
    def wall(p: Floats, of: Any) -> Judged:
        return Judged.plain(np.where(abs(p).max(axis=1) > 1e-12, np.inf, 7.0))

    start = Start(np.zeros(3), 7.0, np.ones(3))
    (found,) = evolve(wall, [start], generations=20, trials=8, seed=1)
    assert found.value == 7.0
    assert (found.place == 0.0).all()


def test_ranks_lead_along_the_limit_of_a_rule_and_the_best_keeps_it() -> None:
    """The floor of the valley lies on a limit that is not level: x + y / 2 + ... not below nil."""
    slope = np.array([1.0, 0.5, -0.3, 0.2, 0.1])

    def judged(p: Floats, of: Any) -> Judged:
        F = (
            2.0
            + 0.2 * (p @ slope)
            + (p - (p @ slope)[:, None] * slope / (slope @ slope)) ** 2 @ np.ones(5)
        )
        short = np.maximum(-(p @ slope), 0.0)
        return Judged(
            np.where(short > 0.0, np.inf, F), F * (1.0 + np.where(short > 0.0, 0.05, 0.0) + short)
        )

    start = Start(
        np.full(5, 1.0), float(judged(np.full((1, 5), 1.0), None).value[0]), np.full(5, 0.3)
    )
    (found,) = evolve(judged, [start], generations=200, trials=20, seed=4, settled=1e-9)
    assert found.place @ slope >= 0.0
    assert found.value == pytest.approx(2.0, abs=2e-3)
    assert judged(found.place[None], None).value[0] == found.value
