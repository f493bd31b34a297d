"""The distribution of bond strengths from bounds, against a general optimiser and draws."""

from __future__ import annotations

from math import exp, inf, log, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, special, stats

from backstay.errors import DesignError
from backstay.stressing.bond_update import _within, log_survival
from backstay.stressing.censored import log_above, log_within, lognormal_fit


def draws(count: int, median: float, scatter: float, seed: int, held: float) -> list[Any]:
    """Return tests to a load that mobilises `held`: failures lie between the steps before it."""
    strengths = np.exp(np.random.default_rng(seed).normal(log(median), scatter, count))
    steps = [0.25, 0.5, 0.75, 1.0]
    found = []
    for x in strengths:
        if x >= held:
            found.append((held, inf))
        else:
            found.append(
                (
                    max((s * held for s in steps if s * held < x), default=0.0),
                    min(s * held for s in steps if s * held >= x),
                )
            )
    return found


def nll(point: Any, tests: list[tuple[float, float]]) -> float:
    m, s = point[0], exp(point[1])
    low = np.array([log(a) if a > 0 else -np.inf for a, _ in tests])
    high = np.array([log(b) for _, b in tests])
    return -float(np.sum(np.log(stats.norm.cdf((high - m) / s) - stats.norm.cdf((low - m) / s))))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_censored_likelihood_against_a_general_optimiser(seed: int) -> None:
    tests = draws(120, 160.0, 0.3, seed, 150.0)
    found = lognormal_fit(tests)
    wanted = optimize.minimize(
        nll, [log(150.0), log(0.3)], args=(tests,), method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-11, "maxiter": 5000},
    )  # fmt: skip
    assert found.mean == pytest.approx(wanted.x[0], abs=1e-6)
    assert found.deviation == pytest.approx(exp(wanted.x[1]), abs=1e-6)
    assert found.likelihood == pytest.approx(-wanted.fun, abs=1e-8)
    assert found.change < 1e-10


def test_exact_failures_give_mean_and_deviation_of_the_logarithms() -> None:
    values = [120.0, 150.0, 180.0, 240.0]
    found = lognormal_fit([(v, v) for v in values])
    logs = np.log(values)
    assert found.mean == pytest.approx(logs.mean())
    assert found.deviation == pytest.approx(logs.std())
    assert found.mean_error == pytest.approx(logs.std() / 2.0, rel=1e-4)
    assert found.deviation_error == pytest.approx(logs.std() / sqrt(8.0), rel=1e-4)
    assert found.variation == pytest.approx(sqrt(exp(logs.std() ** 2) - 1.0))


def test_parameters_come_back_from_draws_within_their_errors() -> None:
    off = []
    for seed in range(60):
        found = lognormal_fit(draws(150, 170.0, 0.25, seed, 160.0))
        off.append((found.mean - log(170.0)) / found.mean_error)
    assert abs(float(np.mean(off))) < 0.5
    assert 0.7 < float(np.std(off)) < 1.35


@pytest.mark.parametrize(
    ("tests", "why"),
    [
        ([(150.0, inf)] * 20, "none of 20 tests failed"),
        ([(150.0, inf), (120.0, 180.0)], "one strength explains"),
        ([(200.0, inf), (0.0, 150.0)], "no bound|no sharp"),
    ],
)
def test_tests_that_tell_no_distribution_are_refused(tests: list[Any], why: str) -> None:
    with pytest.raises(DesignError, match=why):
        lognormal_fit(tests)


@given(st.floats(-30, 30), st.floats(0.001, 20))
def test_probabilities_far_out_against_a_reference(low: float, width: float) -> None:
    assert log_above(low) == pytest.approx(float(stats.norm.logsf(low)), rel=1e-9)
    high = low + width
    right = special.logsumexp([stats.norm.logsf(low), stats.norm.logsf(high)], b=[1.0, -1.0])
    left = special.logsumexp([stats.norm.logcdf(high), stats.norm.logcdf(low)], b=[1.0, -1.0])
    wanted = right if low > 0 else left
    if wanted > -1e3:
        assert log_within(low, low + width) == pytest.approx(float(wanted), rel=1e-6, abs=1e-9)


def test_the_table_of_tails_is_as_good_as_it_says() -> None:
    z = np.random.default_rng(1).uniform(-45.0, 60.0, 4000)
    assert np.allclose(log_survival(z), stats.norm.logsf(z), rtol=2e-6, atol=1e-6)


def test_errors_are_those_of_the_observed_information() -> None:
    """Square roots of the diagonal of the inverse of the Hessian of the log likelihood (Wilks 1938,
    memory), here by scipy's probabilities and central differences of their own step. Many tests
    are lower bounds, so that median and scatter are far from independent."""
    tests = draws(200, 190.0, 0.3, 5, 150.0)
    found = lognormal_fit(tests)

    def at(m: float, s: float) -> float:
        return -nll([m, log(s)], tests)

    m, s, h = found.mean, found.deviation, 4e-4
    mm = (at(m + h, s) - 2 * at(m, s) + at(m - h, s)) / h**2
    ss = (at(m, s + h) - 2 * at(m, s) + at(m, s - h)) / h**2
    ms = (at(m + h, s + h) - at(m + h, s - h) - at(m - h, s + h) + at(m - h, s - h)) / (4 * h**2)
    covariance = np.linalg.inv(-np.array([[mm, ms], [ms, ss]]))
    assert abs(covariance[0, 1]) > 0.3 * sqrt(covariance[0, 0] * covariance[1, 1])
    assert found.mean_error == pytest.approx(sqrt(covariance[0, 0]), rel=1e-3)
    assert found.deviation_error == pytest.approx(sqrt(covariance[1, 1]), rel=1e-3)


@pytest.mark.parametrize(
    ("low", "high"), [(-8.0, -7.5), (-1.0, 1.0), (0.5, 0.6), (6.0, 6.5), (9.0, 20.0)]
)
def test_probability_between_two_strengths_does_not_cancel(low: float, high: float) -> None:
    wanted = stats.norm.logcdf(high) if low < 0 else stats.norm.logsf(low)
    off = stats.norm.logcdf(low) if low < 0 else stats.norm.logsf(high)
    exact = float(special.logsumexp([wanted, off], b=[1.0, -1.0]))
    assert _within(np.array([low]), np.array([high]))[0] == pytest.approx(exact, abs=1e-4)
    assert _within(np.array([low]), None)[0] == pytest.approx(
        float(stats.norm.logsf(low)), abs=1e-6
    )
