"""The least lengths with which a search finds nothing worse: over surfaces that can be counted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from backstay.stability.crossing import missing
from backstay.stability.lengthening import Lengthened
from backstay.stability.longer_anchors import Searched, least_added
from backstay.stability.slip.model import AnchorForce, Circle, Floats, SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import Minimum, SearchResult
from backstay.stability.slope import analysed
from tests.unit.report.slips import found, slope

OPTIONS = SearchOptions(slices=30)
SEARCH = found(water=False)[1]
DEEP, SHALLOW = Circle(6.0, 18.0, 373.0**0.5), Circle(6.0, 14.0, 14.5)


def points(circle: Circle) -> Floats:
    """Return a circle below the ground, where it lies below the ground."""
    line: Floats = circle.x + circle.radius * np.cos(np.linspace(np.pi, 2 * np.pi, 2001))
    y = circle.y - np.sqrt(np.maximum(circle.radius**2 - (line - circle.x) ** 2, 0.0))
    ground = np.interp(line, [-15.0, 0.0, 15.0, 45.0], [0.0, 0.0, 10.0, 10.0])
    below = y < ground
    return np.column_stack((line[below], y[below]))


def row(number: int, x: float, **more: float) -> AnchorForce:
    told = {"total": 150.0, "free": 3.0, "bond": 6.0, "pullout": 25.0} | more
    return AnchorForce(
        x=x, y=x / 1.5, dx=np.cos(0.26), dy=-np.sin(0.26), name=f"row {number}", **told
    )  # fmt: skip


def lengthened(
    rows: Sequence[AnchorForce], *cases: tuple[float, float], rounds: Sequence[Sequence[Circle]],
    most: float = 40.0,
) -> tuple[Lengthened | None, Callable[[dict[int, float], float, Circle], float]]:  # fmt: skip
    """Return the lengths for cases (target, kh), and a function that gives F for lengths, kh, circle.

    rounds: the circles that the searches of each round look at, the last ones ever after.
    """
    bare = replace(slope(water=False), piles=())

    def model(added: dict[int, float], kh: float) -> SlipModel:
        longer = tuple(replace(r, free=r.free + added.get(i, 0.0)) for i, r in enumerate(rows, 1))
        return replace(bare, anchors=longer, kh=kh)

    def minimum(ground: SlipModel, circle: Circle) -> Minimum | None:
        result = analysed(ground, circle, OPTIONS.method, OPTIONS.slices)
        if not result.converged:
            return None
        return replace(
            SEARCH.minima[0], F=result.F, circle=circle, points=points(circle), result=result
        )

    def over(ground: SlipModel, circles: Sequence[Circle]) -> SearchResult:
        made = [m for c in circles if (m := minimum(ground, c)) is not None]
        return replace(SEARCH, minima=tuple(sorted(made, key=lambda m: m.F)))

    calls = 0

    def search(ground: SlipModel, _: SearchOptions) -> SearchResult:
        nonlocal calls
        calls += 1
        return over(ground, rounds[min((calls - 1) // len(cases) + 1, len(rounds) - 1)])

    searched = [
        Searched(lambda added, kh=kh: model(added, kh), target, OPTIONS, over(model({}, kh), rounds[0]))
        for target, kh in cases
    ]  # fmt: skip
    made = least_added(searched, range(1, len(rows) + 1), search, most=most)

    def F(added: dict[int, float], kh: float, circle: Circle) -> float:
        return analysed(model(added, kh), circle, OPTIONS.method, OPTIONS.slices).F

    return made, F


def test_a_row_is_lengthened_until_the_surface_has_its_target_and_no_farther() -> None:
    made, F = lengthened([row(1, 7.5)], (1.8, 0.0), rounds=[[DEEP]])
    assert made is not None
    (added,) = made.added.values()
    assert F({}, 0.0, DEEP) < 1.8 <= F(dict(made.added), 0.0, DEEP)
    assert F({1: added - 0.011}, 0.0, DEEP) < 1.8
    assert made.safety == pytest.approx(F(dict(made.added), 0.0, DEEP) / 1.8)


def test_a_surface_met_by_the_search_anew_counts_too() -> None:
    """The deep one alone asks for less than both together."""
    rows = [row(1, 7.5), row(2, 3.0, total=200.0)]
    alone, _ = lengthened(rows, (2.0, 0.0), rounds=[[SHALLOW]])
    both, F = lengthened(rows, (2.0, 0.0), rounds=[[SHALLOW], [SHALLOW, DEEP]])
    assert alone is not None
    assert both is not None
    assert F(dict(alone.added), 0.0, DEEP) < 2.0 * 0.99
    assert min(F(dict(both.added), 0.0, c) for c in (SHALLOW, DEEP)) >= 2.0 * (1 - 1e-3)
    assert sum(both.added.values()) > sum(alone.added.values())


def test_each_case_has_its_own_target() -> None:
    made, F = lengthened([row(1, 7.5)], (1.5, 0.0), (1.45, 0.1), rounds=[[DEEP]])
    assert made is not None
    shares = F(dict(made.added), 0.0, DEEP) / 1.5, F(dict(made.added), 0.1, DEEP) / 1.45
    assert made.safety == pytest.approx(min(shares))
    assert min(shares) == pytest.approx(1.0, abs=2e-3)


def test_the_row_that_lacks_least_is_lengthened_and_rows_that_need_nothing_are_not_told() -> None:
    """Row 1 gives all it can; row 3 is nearest to giving what it has."""
    rows = [row(1, 13.0, free=25.0), row(2, 7.5, free=1.0), row(3, 4.0, free=8.0)]
    lacks = [missing(r, points(DEEP)) for r in rows]
    assert lacks[0] == 0.0
    assert lacks[1] > lacks[2] > 0.5
    made, F = lengthened(rows, (2.1, 0.0), rounds=[[DEEP]])
    assert F({}, 0.0, DEEP) < 2.1
    assert made is not None
    assert set(made.added) == {3}


def test_a_surface_that_the_longer_anchors_hold_altogether_is_held() -> None:
    """With more force than pushes nothing slides, whatever the target."""
    strong = row(1, 7.5, total=4000.0, pullout=4000.0, bond=1.0, free=3.0)
    made, F = lengthened([strong], (1.7, 0.0), rounds=[[DEEP]])
    assert F({}, 0.0, DEEP) < 1.7
    assert np.isnan(F({1: 30.0}, 0.0, DEEP))
    assert made is not None
    assert not F(dict(made.added), 0.0, DEEP) < 1.7


def test_lengths_out_of_reach_are_none() -> None:
    assert lengthened([row(1, 7.5)], (9.0, 0.0), rounds=[[DEEP]])[0] is None
