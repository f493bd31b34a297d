"""How a force for a target is looked for: its direction, what it is added to, and where none is."""

from __future__ import annotations

from dataclasses import replace
from math import cos, degrees, inf, isinf, radians, sin
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from backstay.errors import DesignError
from backstay.stability import slope_force
from backstay.stability.slip.model import Circle, SlipModel
from backstay.stability.slope import safety
from backstay.stability.slope_force import (
    RequiredForce,
    anchored,
    force_by_inclination,
    least_of,
    required_force,
    rising_root,
    towards,
)

SURFACE = np.array([(-20.0, 0.0), (0.0, 0.0), (15.0, 10.0), (50.0, 10.0)])
SLOPE = SlipModel(
    surface=SURFACE, gamma=np.array([18.0]), phi=np.array([radians(30)]), c=np.array([10.0])
)
CIRCLE = Circle(6.0, 18.0, 373.0**0.5)
HEAD = [(7.5, 5.0)]


def test_a_slope_that_slides_to_the_right_needs_the_same_force_from_the_other_side() -> None:
    turned = replace(SLOPE, surface=SURFACE[::-1] * (-1.0, 1.0))
    i = radians(15)
    assert towards(SLOPE, i) == pytest.approx((cos(i), -sin(i)))
    assert towards(turned, i) == pytest.approx((-cos(i), -sin(i)))
    one = required_force(SLOPE, CIRCLE, HEAD, i, 2.3)
    other = required_force(turned, Circle(-6.0, 18.0, CIRCLE.radius), [(-7.5, 5.0)], i, 2.3)
    assert other.force == pytest.approx(one.force, rel=1e-6)


def test_a_force_comes_on_top_of_the_anchors_there_are() -> None:
    """Two forces in one line are their sum (statics)."""
    i = radians(15)
    whole = required_force(SLOPE, CIRCLE, HEAD, i, 2.3).force
    rest = required_force(anchored(SLOPE, HEAD, i, 40.0), CIRCLE, HEAD, i, 2.3).force
    assert rest == pytest.approx(whole - 40.0, rel=1e-5)


def test_no_force_is_added_where_the_target_is_just_reached() -> None:
    bare = safety(SLOPE, CIRCLE).F
    found = required_force(SLOPE, CIRCLE, HEAD, radians(15), bare - 0.01)
    assert (found.force, found.residual) == (0.0, 0.0)
    assert required_force(SLOPE, CIRCLE, HEAD, radians(15), bare + 0.01).force > 0.0


def told(monkeypatch: pytest.MonkeyPatch, F_of: Any) -> None:
    """Let analyses give F, or words where they have none, by the force that was added."""

    def analysed(model: SlipModel, *_: object) -> SimpleNamespace:
        F = F_of(sum(a.total for a in model.anchors))
        solved = isinstance(F, float)
        return SimpleNamespace(
            F=F if solved else float("nan"), converged=solved, status="converged" if solved else F
        )

    monkeypatch.setattr(slope_force, "analysed", analysed)


def test_a_force_that_leaves_nothing_to_drive_is_more_than_enough(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told(monkeypatch, lambda T: 1.0 + T / 100.0 if T < 60.0 else "does not drive")
    found = required_force(SLOPE, CIRCLE, HEAD, 0.2, 1.3, guess=100.0, now=1.0)
    assert found.force == pytest.approx(30.0, abs=1e-3)


def test_a_target_between_analyses_without_a_solution_is_refused(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    told(monkeypatch, lambda T: 1.0 + T / 1000.0 if T < 50.0 else 3.0)
    with pytest.raises(DesignError, match="no solution lies there"):
        required_force(SLOPE, CIRCLE, HEAD, 0.2, 2.0, now=1.0)
    told(monkeypatch, lambda T: 1.0 + 0.1 * T / (T + 1.0))
    with pytest.raises(DesignError, match="within reach"):
        required_force(SLOPE, CIRCLE, HEAD, 0.2, 2.0, now=1.0)


@pytest.mark.parametrize(
    "f", [lambda x: x**6 - 2.0, lambda x: x**0.2 - 2.0], ids=["hollow", "full"]
)
def test_a_root_of_a_curved_function_takes_few_trials(f: Any) -> None:
    """The end that stays is halved (Illinois): plain false position creeps."""
    tried = 0

    def counted(x: float) -> float:
        nonlocal tried
        tried += 1
        return float(f(x))

    high = 60.0
    x, left = rising_root(counted, 0.0, f(0.0), high, f(high))
    assert f(x) == pytest.approx(0.0, abs=1e-6)
    assert left <= 1e-6
    assert tried < 60


def shaped(i: float, _: float = 0.0) -> RequiredForce:
    """Return a force that is least at 17.3 degrees."""
    return RequiredForce(100.0 + (degrees(i) - 17.3) ** 2, i, 1.5, 0.0, 1)


@pytest.mark.parametrize(("least", "greatest"), [(10.4, 30.6), (-5.0, 45.0), (20.2, 20.2)])
def test_inclinations_are_whole_degrees_within_their_limits(least: float, greatest: float) -> None:
    """The best is the whole degree, or the limit, with the least force of all."""
    found = force_by_inclination(shaped, least=radians(least), greatest=radians(greatest))
    angles = [degrees(f.inclination) for f in found]
    assert min(angles) == pytest.approx(least)
    assert max(angles) == pytest.approx(greatest)
    for a in angles:
        whole = a == pytest.approx(round(a), abs=1e-9)
        assert whole or a == pytest.approx(least) or a == pytest.approx(greatest)
    choices = [least, greatest, *(d for d in range(-90, 91) if least <= d <= greatest)]
    best = min(choices, key=lambda d: shaped(radians(d)).force)
    assert degrees(least_of(found).inclination) == pytest.approx(best)


def test_inclinations_at_which_no_force_does_are_passed_over() -> None:
    def required(i: float, _: float) -> RequiredForce:
        if degrees(i) < 24.5:
            raise DesignError("no anchor force within reach gives the target", "anchors")
        return shaped(i)

    found = force_by_inclination(required, least=radians(10.0), greatest=radians(40.0))
    assert degrees(least_of(found).inclination) == pytest.approx(25.0)
    assert any(isinf(f.force) for f in found)
    with pytest.raises(DesignError, match="at any inclination"):
        least_of([f for f in found if f.force == inf])
