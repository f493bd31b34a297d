"""Least squares of few readings: a line with its confidence, and whether the readings bow.

Written out because the design path loads no scientific library: a line, a parabola in orthogonal
form, and the quantile of Student's distribution for whole degrees of freedom, whose closed form is
in Abramowitz and Stegun (1964), 26.7.3 and 26.7.4.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import atan, cos, inf, pi, sin, sqrt

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class LineFit:
    """A line by least squares: y = intercept + slope x.

    slope_error: standard error of the slope; scatter: standard deviation of the readings off the
    line; freedom: number of readings less two. Errors are infinite where two readings made it.
    """

    slope: float
    intercept: float
    slope_error: float
    scatter: float
    freedom: int
    mean: float
    spread: float

    def interval(self, confidence: float = CONFIDENCE) -> tuple[float, float]:
        """Return the two-sided confidence interval of the slope."""
        if self.freedom < 1:
            return -inf, inf
        half = student(0.5 + confidence / 2.0, self.freedom) * self.slope_error
        return self.slope - half, self.slope + half

    def at(self, x: float) -> float:
        """Return the value of the line."""
        return self.intercept + self.slope * x

    def next_error(self, x: float) -> float:
        """Return the standard error of one more reading at x, off the line."""
        if self.freedom < 1:
            return inf
        n = self.freedom + 2
        return self.scatter * sqrt(1.0 + 1.0 / n + (x - self.mean) ** 2 / self.spread)


@dataclass(frozen=True, slots=True)
class Bow:
    """How far readings bow below the chord of their parabola (m): best value and bounds.

    Positive: the rate grows. The bounds are one-sided, at the confidence asked for.
    """

    value: float
    least: float
    greatest: float


def line_fit(x: Sequence[float], y: Sequence[float]) -> LineFit | None:
    """Return the line through readings, nil where fewer than two differ in x."""
    n = len(x)
    if n < 2:
        return None
    mean_x, mean_y = sum(x) / n, sum(y) / n
    spread = sum((a - mean_x) ** 2 for a in x)
    if spread <= 1e-18 * (1.0 + mean_x**2):
        return None
    slope = sum((a - mean_x) * (b - mean_y) for a, b in zip(x, y, strict=True)) / spread
    intercept = mean_y - slope * mean_x
    if n == 2:
        return LineFit(slope, intercept, inf, 0.0, 0, mean_x, spread)
    off = sum((b - intercept - slope * a) ** 2 for a, b in zip(x, y, strict=True))
    scatter = sqrt(off / (n - 2))
    return LineFit(slope, intercept, scatter / sqrt(spread), scatter, n - 2, mean_x, spread)


def bow(x: Sequence[float], y: Sequence[float], confidence: float = CONFIDENCE) -> Bow | None:
    """Return how far the parabola through readings bows below its chord.

    Nil where fewer than four readings, or fewer than three that differ in x, leave nothing to
    judge its scatter by.
    """
    n = len(x)
    if n < 4 or len({round(a, 9) for a in x}) < 3:
        return None
    mean = sum(x) / n
    first = [a - mean for a in x]
    second_moment = sum(p * p for p in first) / n
    third_moment = sum(p**3 for p in first) / n
    lean = third_moment / second_moment
    second = [p * p - lean * p - second_moment for p in first]
    size = sum(q * q for q in second)
    c = sum(q * b for q, b in zip(second, y, strict=True)) / size
    b1 = sum(p * b for p, b in zip(first, y, strict=True)) / (n * second_moment)
    b0 = sum(y) / n
    off = sum((b - b0 - b1 * p - c * q) ** 2 for b, p, q in zip(y, first, second, strict=True))
    error = sqrt(off / (n - 3) / size)
    reach = (max(x) - min(x)) ** 2 / 4.0
    half = student(confidence, n - 3) * error
    return Bow(c * reach, (c - half) * reach, (c + half) * reach)


def student_probability(t: float, freedom: int) -> float:
    """Return the probability that Student's t is at most t (Abramowitz and Stegun 26.7.3, .4)."""
    theta = atan(t / sqrt(freedom))
    c, s = cos(theta), sin(theta)
    if freedom % 2:
        term = total = c if freedom > 1 else 0.0
        for k in range(3, freedom - 1, 2):
            term *= c * c * (k - 1) / k
            total += term
        inside = 2.0 / pi * (theta + s * total)
    else:
        term = total = 1.0
        for k in range(2, freedom - 1, 2):
            term *= c * c * (k - 1) / k
            total += term
        inside = s * total
    return 0.5 + inside / 2.0


@lru_cache(maxsize=512)
def student(probability: float, freedom: int) -> float:
    """Return the value that Student's t stays below with a probability of a half or more.

    Raises ValueError for a probability outside 0.5 to 1 or no degree of freedom.
    """
    if freedom < 1 or not 0.5 <= probability < 1.0:
        raise ValueError(f"no quantile for probability {probability}, {freedom} degrees of freedom")
    low, high = 0.0, 1.0
    while student_probability(high, freedom) < probability:
        low, high = high, 2.0 * high
    for _ in range(80):
        middle = (low + high) / 2.0
        if student_probability(middle, freedom) < probability:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
