"""Creep: intervals, missed minutes, regression and trend, from creep that is known."""

from __future__ import annotations

from collections.abc import Callable
from math import log10
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.stressing.creep import (
    HoldCreep,
    at_minute,
    creep_rate,
    hidden_movement,
    hold_creep,
    interval,
)
from backstay.stressing.procedure import TestStep
from backstay.stressing.stays import Point, Stay

MINUTES = (1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 10.0)
LONG = (*MINUTES, 15.0, 20.0, 25.0, 30.0, 45.0, 60.0)
DIAL = 2.54e-5


def points(
    law: Callable[[float], float], minutes: tuple[float, ...] = MINUTES, *, load: float = 600.0
) -> tuple[Point, ...]:
    return tuple(
        Point(number=k + 1, cycle=1, minute=t, load=load, movement=law(t))
        for k, t in enumerate(minutes)
    )


def stay(
    law: Callable[[float], float], minutes: tuple[float, ...] = MINUTES, *, load: float = 600.0
) -> Stay:
    step = TestStep(cycle=1, share=1.33, load=load, up=True, hold=minutes[-1], readings=minutes)
    return Stay(step=step, index=0, points=points(law, minutes, load=load))


def straight(rate: float) -> Callable[[float], float]:
    return lambda t: 0.050 + rate * log10(t)


def creep(law: Callable[[float], float], minutes: tuple[float, ...] = LONG) -> HoldCreep:
    return hold_creep(stay(law, minutes), DIAL)


@pytest.mark.parametrize(
    ("moved", "start", "end", "rate"), [(0.2, 2, 5, 0.503), (0.25, 5, 15, 0.524)]
)
def test_rate_is_that_of_the_published_formula(
    moved: float, start: float, end: float, rate: float
) -> None:
    assert creep_rate(0.0, moved, start, end) == pytest.approx(rate, abs=5e-4)


def test_an_interval_between_minutes_read() -> None:
    found = interval(points(straight(0.0009)), 1.0, 10.0)
    assert found is not None
    assert found.movement == pytest.approx(0.0009)
    assert found.rate == pytest.approx(0.0009)
    assert found.note == ""


def test_a_missed_minute_is_found_straight_in_logarithmic_time_and_said() -> None:
    found = interval(points(straight(0.0012), (1.0, 5.0, 10.0, 30.0, 60.0)), 6.0, 60.0)
    assert found is not None
    assert found.movement == pytest.approx(0.0012)
    assert not found.start.read
    assert "minute 6 was not read" in found.note


def test_nothing_is_found_beyond_the_readings_or_across_a_wide_gap() -> None:
    short = points(straight(0.001), (2.0, 3.0, 5.0))
    assert at_minute(short, 1.0) is None
    assert at_minute(short, 6.0) is None
    assert interval(short, 1.0, 5.0) is None
    wide = points(straight(0.001), (1.0, 2.0, 10.0, 60.0))
    assert at_minute(wide, 6.0) is None
    assert at_minute(wide, 30.0) is None
    assert at_minute(points(lambda t: 1e-4 * t, (0.0, 10.0)), 5.0) is None


@given(rate=st.floats(-0.001, 0.005), start=st.floats(1.0, 20.0), ratio=st.floats(1.1, 3.0))
def test_a_straight_creep_is_found_at_any_minute_within(
    rate: float, start: float, ratio: float
) -> None:
    end = start * ratio
    found = interval(points(straight(rate), LONG), start, min(end, 60.0))
    assert found is not None
    assert found.rate == pytest.approx(rate, abs=1e-11)


def test_a_fall_of_load_hides_creep() -> None:
    """1 % of 600 kN over 10 m of three strands hides 0.73 mm: most of the limit of 1 mm."""
    assert hidden_movement(600.0, 594.0, 10.0, 0.0, 420e-6, 195e6) == pytest.approx(
        0.000733, abs=1e-6
    )
    assert hidden_movement(600.0, 600.0, 10.0, 0.0, 420e-6, 195e6) == 0.0


@settings(max_examples=60)
@given(rate=st.floats(0.0001, 0.003), seed=st.integers(0, 500), scatter=st.floats(1e-6, 3e-5))
def test_regression_recovers_the_rate_within_its_confidence(
    rate: float, seed: int, scatter: float
) -> None:
    random = Random(seed)  # noqa: S311
    noise = {t: random.gauss(0.0, scatter) for t in LONG}
    found = creep(lambda t: 0.05 + rate * log10(t) + noise[t])
    assert found.fit is not None
    low, high = found.fit.interval(0.9999)
    assert low <= rate <= high
    assert found.fit.slope == pytest.approx(rate, abs=6 * scatter)


def test_scatter_is_not_called_a_growing_rate() -> None:
    """Readings to a hundredth of a millimetre of a straight creep: 300 samples, none rising."""
    random = Random(3)  # noqa: S311
    for _ in range(300):
        noise = {t: random.gauss(0.0, 1e-5) for t in LONG}
        found = creep(lambda t, n=noise: round(0.05 + 0.0008 * log10(t) + n[t], 5))  # type: ignore[misc]
        assert found.trend != "rising"


@pytest.mark.parametrize(
    ("law", "trend"),
    [
        (straight(0.0008), "straight"),
        (lambda t: 0.05 + 0.0008 * log10(t) + 0.0004 * log10(t) ** 2, "rising"),
        (lambda t: 0.05 + 0.0016 * log10(t) - 0.0004 * log10(t) ** 2, "falling"),
        (lambda t: 0.05 + 0.00003 * t, "rising"),
        (lambda t: 0.05, "straight"),
    ],
)
def test_trend_of_known_creep(law: Callable[[float], float], trend: str) -> None:
    assert creep(law).trend == trend


def test_a_rate_that_grows_at_the_last_reading_alone_is_seen() -> None:
    found = creep(lambda t: 0.05 + 0.0005 * log10(t) + (0.0004 if t > 50 else 0.0))
    assert found.trend == "rising"
    assert found.growth == pytest.approx(0.0004, rel=1e-6)


def test_growth_is_judged_on_both_sides_of_what_dials_show() -> None:
    """Without scatter growth is in proportion to the curvature: scale it to one division."""

    def bent(c: float) -> HoldCreep:
        return creep(lambda t: 0.05 + 0.0005 * log10(t) + c * log10(t) ** 2)

    one = bent(1e-4)
    assert one.bow is not None
    assert one.growth is not None
    assert one.bow.value == pytest.approx(1e-4 * log10(60.0) ** 2 / 4.0, rel=1e-9)
    for times, trend in ((0.999, "straight"), (1.0, "straight"), (1.001, "rising")):
        assert bent(times * DIAL * 1e-4 / one.growth).trend == trend


def test_fewer_than_four_readings_tell_no_trend() -> None:
    assert creep(straight(0.001), (1.0, 2.0, 3.0)).trend == "not known"
    assert creep(straight(0.001), (1.0, 2.0, 3.0, 4.0)).trend == "straight"


def test_points_for_the_plot_are_in_order_of_time() -> None:
    assert [t for t, _ in creep(straight(0.001)).points] == list(LONG)
