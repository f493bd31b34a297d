"""Least squares and Student's distribution against scipy and numpy."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from backstay.stressing.regression import bow, line_fit, student, student_probability

TIMES = np.log10([1, 2, 3, 4, 5, 6, 10])


@pytest.mark.parametrize("freedom", [1, 2, 3, 4, 5, 6, 7, 10, 11, 30, 101])
@pytest.mark.parametrize("probability", [0.6, 0.9, 0.95, 0.975, 0.995, 0.9995])
def test_student_is_that_of_scipy(probability: float, freedom: int) -> None:
    assert student(probability, freedom) == pytest.approx(
        stats.t.ppf(probability, freedom), rel=1e-10
    )


@given(t=st.floats(-30, 30), freedom=st.integers(1, 60))
def test_probability_is_that_of_scipy(t: float, freedom: int) -> None:
    assume(abs(t) > 1e-3)  # next to nil scipy keeps ten digits alone: see the closed form below
    assert student_probability(t, freedom) == pytest.approx(stats.t.cdf(t, freedom), abs=1e-12)


@given(t=st.floats(-30, 30))
def test_probability_of_one_freedom_is_that_of_cauchy(t: float) -> None:
    assert student_probability(t, 1) == pytest.approx(0.5 + np.arctan(t) / np.pi, abs=1e-14)


def test_student_of_a_half_is_nil_and_others_are_refused() -> None:
    assert student(0.5, 3) == pytest.approx(0.0, abs=1e-12)
    for probability, freedom in ((0.4, 3), (1.0, 3), (0.95, 0)):
        with pytest.raises(ValueError, match="no quantile"):
            student(probability, freedom)


@given(y=st.lists(st.floats(-5e-3, 5e-3), min_size=7, max_size=7), scale=st.floats(1e-4, 1.0))
def test_line_and_its_confidence_are_those_of_scipy(y: list[float], scale: float) -> None:
    values = [v * scale for v in y]
    assume(max(values) - min(values) > 1e-9)
    ours, theirs = line_fit(list(TIMES), values), stats.linregress(TIMES, values)
    assert ours is not None
    assert ours.slope == pytest.approx(theirs.slope, rel=1e-8, abs=1e-14)
    assert ours.intercept == pytest.approx(theirs.intercept, rel=1e-8, abs=1e-14)
    assert ours.slope_error == pytest.approx(theirs.stderr, rel=1e-6, abs=1e-9)
    low, high = ours.interval(0.95)
    half = stats.t.ppf(0.975, 5) * theirs.stderr
    assert (low, high) == pytest.approx((theirs.slope - half, theirs.slope + half), abs=1e-8)


def test_two_readings_make_a_line_without_confidence() -> None:
    line = line_fit([0.0, 1.0], [1.0, 3.0])
    assert line is not None
    assert (line.slope, line.intercept) == (2.0, 1.0)
    assert line.interval() == (-inf, inf)
    assert line_fit([1.0, 1.0], [0.0, 1.0]) is None
    assert line_fit([1.0], [0.0]) is None


@given(
    c=st.floats(-1e-3, 1e-3), b=st.floats(-2e-3, 2e-3), seed=st.integers(0, 99),
    scatter=st.sampled_from([0.0, 1e-5, 1e-4]),
)  # fmt: skip
def test_bow_is_that_of_a_parabola_by_numpy(c: float, b: float, seed: int, scatter: float) -> None:
    rng = np.random.default_rng(seed)
    y = 0.01 + b * TIMES + c * TIMES**2 + rng.normal(0.0, scatter, TIMES.size)
    found = bow(list(TIMES), list(y))
    assert found is not None
    fit = np.polyfit(TIMES, y, 2)
    assert found.value == pytest.approx(float(fit[0]) / 4.0, abs=1e-12)
    if scatter:
        _, covariance = np.polyfit(TIMES, y, 2, cov=True)
        half = stats.t.ppf(0.95, 4) * float(np.sqrt(covariance[0, 0])) / 4.0
        assert found.greatest - found.value == pytest.approx(half, rel=1e-6)
        assert found.value - found.least == pytest.approx(half, rel=1e-6)


def test_bow_needs_four_readings_at_three_times() -> None:
    assert bow([0.0, 0.5, 1.0], [0.0, 1.0, 4.0]) is None
    assert bow([0.0, 0.0, 1.0, 1.0], [0.0, 0.1, 1.0, 1.1]) is None


def test_confidence_holds_as_often_as_it_says() -> None:
    """Of 1000 samples about 95 % have the true slope within the interval (binomial: 93 to 97 %)."""
    rng = np.random.default_rng(7)
    inside = 0
    for _ in range(1000):
        line = line_fit(list(TIMES), list(0.5 * TIMES + rng.normal(0.0, 0.1, TIMES.size)))
        assert line is not None
        low, high = line.interval()
        inside += low <= 0.5 <= high
    assert 930 <= inside <= 970


@pytest.mark.parametrize("x", [-0.3, 0.0, 0.5, 1.0, 1.8])
def test_error_of_one_more_reading_is_that_of_the_covariance(x: float) -> None:
    """Variance of a further observation: s2 (1 + v' inv(X'X) v), v = (1, x) (Draper and Smith 1998,
    Applied Regression Analysis, section 3.2, memory; here by numpy)."""
    rng = np.random.default_rng(11)
    y = 0.2 + 0.7 * TIMES + rng.normal(0.0, 0.05, TIMES.size)
    line = line_fit(list(TIMES), list(y))
    assert line is not None
    design = np.column_stack([np.ones_like(TIMES), TIMES])
    beta, squares, _, _ = np.linalg.lstsq(design, y, rcond=None)
    v = np.array([1.0, x])
    variance = (
        float(squares[0]) / (TIMES.size - 2) * (1.0 + v @ np.linalg.inv(design.T @ design) @ v)
    )
    assert line.next_error(x) == pytest.approx(np.sqrt(variance), rel=1e-9)
    assert line.at(x) == pytest.approx(float(v @ beta), rel=1e-9)
