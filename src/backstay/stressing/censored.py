"""Distribution of the bond from tests most of which did not fail: lognormal, maximum likelihood.

Every test is an interval of stress in which the bond fails, open above where it did not fail. The
mean and deviation of the logarithm that make these intervals most likely are found by expectation
and maximisation (Dempster, Laird and Rubin 1977): the moments within each interval at the present
values give the next ones; the steps are drawn out where they creep along (Varadhan and Roland
2008), and kept only where the likelihood grows. Where one strength would explain all tests the scatter cannot be told,
and nothing is given.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import erfc, exp, expm1, inf, log, log1p, pi, sqrt

from backstay.errors import DesignError

_ROUNDS = 5_000
_CLOSE = 1e-11
_WIDEST = 3.0
"""Deviation of the logarithm beyond which the scatter has no bound."""
Interval = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class LognormalFit:
    """A lognormal distribution of the bond: mean and deviation of the natural logarithm of kPa.

    mean_error, deviation_error: standard errors, from the curvature of the likelihood; likelihood:
    its logarithm; rounds, change: how the search ended; count, failures: tests behind it.
    """

    mean: float
    deviation: float
    mean_error: float
    deviation_error: float
    likelihood: float
    rounds: int
    change: float
    count: int
    failures: int

    @property
    def median(self) -> float:
        """Return the median (kPa)."""
        return exp(self.mean)

    @property
    def variation(self) -> float:
        """Return the coefficient of variation."""
        return sqrt(expm1(self.deviation**2))


def log_density(z: float) -> float:
    """Return the logarithm of the standard normal density."""
    return -0.5 * z * z - 0.5 * log(2.0 * pi)


def log_above(z: float) -> float:
    """Return the logarithm of the probability that a standard normal value is more than z.

    Beyond what can be had directly, by the asymptotic series (Abramowitz and Stegun 1964, 26.2.12).
    """
    if z == inf:
        return -inf
    if z < 25.0:
        return log(0.5 * erfc(z / sqrt(2.0)))
    w = 1.0 / (z * z)
    return log_density(z) - log(z) + log1p(-w * (1.0 - 3.0 * w * (1.0 - 5.0 * w)))


def log_within(low: float, high: float) -> float:
    """Return the logarithm of the probability that a standard normal value lies between."""
    if low > 0.0 or high == inf:
        return log_above(low) + _log_less(log_above(high) - log_above(low))
    if high < 0.0:
        return log_above(-high) + _log_less(log_above(-low) - log_above(-high))
    return log1p(-exp(log_above(high)) - exp(log_above(-low)))


def _log_less(x: float) -> float:
    """Return log(1 - exp(x)) for x below nil."""
    return 0.0 if x == -inf else log(-expm1(x))


def log_likelihood(tests: Mapping[Interval, int], mean: float, deviation: float) -> float:
    """Return the log likelihood of intervals of log stress with how often each occurred."""
    total = 0.0
    for (low, high), number in tests.items():
        a, b = (low - mean) / deviation, (high - mean) / deviation
        one = log_density(a) - log(deviation) if low == high else log_within(a, b)
        total += number * one
    return total


def logarithms(stresses: Sequence[Interval]) -> Counter[Interval]:
    """Return the intervals of log stress, with how often each occurs."""
    return Counter((log(low) if low > 0.0 else -inf, log(high)) for low, high in stresses)


def lognormal_fit(stresses: Sequence[Interval]) -> LognormalFit:
    """Return the lognormal distribution that makes these tests most likely.

    stresses: (least, greatest) at which the bond of each failed (kPa), inf where it did not.
    Raises DesignError, with the reason, where they do not determine one.
    """
    tests = logarithms(stresses)
    count = sum(tests.values())
    failures = sum(n for (_, high), n in tests.items() if high < inf)
    if not failures:
        raise DesignError(f"none of {count} tests failed: they are lower bounds, and no more")
    exact = {low for low, high in tests if low == high}
    if len(exact) < 2 and max(low for low, _ in tests) <= min(high for _, high in tests):
        raise DesignError(
            f"one strength explains all {count} tests, {failures} of which failed: the scatter cannot "
            "be told"
        )
    mean, deviation = _start(tests)
    change, rounds = inf, 0
    while change > _CLOSE and rounds < _ROUNDS:
        first = _round(tests, count, mean, deviation)
        second = _round(tests, count, *first)
        change = max(abs(first[0] - mean), abs(first[1] - deviation))
        mean, deviation = _drawn_out(tests, (mean, deviation), first, second)
        rounds += 1
        if deviation > _WIDEST:
            raise DesignError(
                f"{count} tests, {failures} failures: the scatter has no bound by them"
            )
    if change > 1e-6:
        raise DesignError(f"the likelihood of {count} tests has no sharp greatest value")
    errors = _errors(tests, mean, deviation)
    return LognormalFit(
        mean=mean, deviation=deviation, mean_error=errors[0], deviation_error=errors[1],
        likelihood=log_likelihood(tests, mean, deviation), rounds=rounds, change=change,
        count=count, failures=failures,
    )  # fmt: skip


def _start(tests: Mapping[Interval, int]) -> tuple[float, float]:
    """Return where the search begins: from the known ends of the intervals."""
    points = []
    for (low, high), number in tests.items():
        ends = [v for v in (low, high) if abs(v) < inf]
        points += [sum(ends) / len(ends)] * number
    mean = sum(points) / len(points)
    scatter = sqrt(sum((p - mean) ** 2 for p in points) / len(points))
    return mean, max(scatter, 0.1)


def _round(
    tests: Mapping[Interval, int], count: int, mean: float, deviation: float
) -> tuple[float, float]:
    """Return the next values: from the moments within each interval at the present ones."""
    moments = [
        (number, *_moments(low, high, mean, deviation)) for (low, high), number in tests.items()
    ]
    after = sum(number * m for number, m, _ in moments) / count
    spread = sum(number * (v + (m - after) ** 2) for number, m, v in moments) / count
    return after, sqrt(spread)


def _drawn_out(
    tests: Mapping[Interval, int],
    start: tuple[float, float],
    first: tuple[float, float],
    second: tuple[float, float],
) -> tuple[float, float]:
    """Return where two steps lead when they are drawn out, or the second where that is no better."""
    a, b, c = ((m, log(d)) for m, d in (start, first, second))
    step = [q - p for p, q in zip(a, b, strict=True)]
    bend = [r - q - s for q, r, s in zip(b, c, step, strict=True)]
    size = sqrt(sum(v * v for v in bend))
    if size <= 1e-14:
        return second
    far = max(sqrt(sum(v * v for v in step)) / size, 1.0)
    mean, log_deviation = (
        p + 2.0 * far * s + far * far * v for p, s, v in zip(a, step, bend, strict=True)
    )
    if far == 1.0 or abs(log_deviation) > 20.0:
        return second
    there = (mean, exp(log_deviation))
    better = log_likelihood(tests, *there) >= log_likelihood(tests, *second)
    return there if better else second


def _moments(low: float, high: float, mean: float, deviation: float) -> tuple[float, float]:
    """Return mean and variance of a normal value that is known to lie in an interval."""
    if low == high:
        return low, 0.0
    a, b = (low - mean) / deviation, (high - mean) / deviation
    within = log_within(a, b)
    at_low = exp(log_density(a) - within) if abs(a) < inf else 0.0
    at_high = exp(log_density(b) - within) if abs(b) < inf else 0.0
    shift = at_low - at_high
    lean = (a * at_low if at_low else 0.0) - (b * at_high if at_high else 0.0)
    return mean + deviation * shift, max(deviation**2 * (1.0 + lean - shift**2), 0.0)


def _errors(tests: Mapping[Interval, int], mean: float, deviation: float) -> tuple[float, float]:
    """Return the standard errors, from second differences of the log likelihood."""
    h = 1e-3 * deviation

    def at(i: int, k: int) -> float:
        return log_likelihood(tests, mean + i * h, deviation + k * h)

    here = at(0, 0)
    mm = (at(1, 0) - 2.0 * here + at(-1, 0)) / h**2
    ss = (at(0, 1) - 2.0 * here + at(0, -1)) / h**2
    ms = (at(1, 1) - at(1, -1) - at(-1, 1) + at(-1, -1)) / (4.0 * h**2)
    det = mm * ss - ms * ms
    if det <= 0.0 or mm >= 0.0:
        return inf, inf
    return sqrt(-ss / det), sqrt(-mm / det)
