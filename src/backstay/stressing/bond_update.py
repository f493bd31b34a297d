"""What the bond is held to be, before and after tests: Bayes' rule on a grid.

The bond stress of anchors in one ground is lognormal, and neither its mean nor its scatter is
known. Before any test the presumptive values speak (`backstay.stressing.bond_priors`). Every test multiplies each pair of mean and scatter by how likely it makes that test: a test that
did not fail only rules out what is too low. The grid is fine enough that closed forms are met.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, inf, log, pi

import numpy as np
from numpy.typing import NDArray

from backstay.stressing.bond_priors import BondPrior, deviation_of
from backstay.stressing.censored import Interval, log_above, logarithms

Floats = NDArray[np.float64]
_COARSE, _MEANS, _SCATTERS = 81, 241, 31
_REACH = 6.0
_END, _STEP = 40.0, 0.002


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BondBelief:
    """What is held of the bond: weights over pairs of mean and scatter of its logarithm.

    means (m, 1), scatters (1, s): the grid; weights (m, s): they add up to one; tests, failures:
    behind it; edge: share of the weight at the ends of the grid, next to nil where it is wide enough.
    """

    prior: BondPrior
    means: Floats
    scatters: Floats
    weights: Floats
    tests: int
    failures: int
    edge: float

    def median(self, share: float = 0.5) -> float:
        """Return the median bond stress (kPa), or what it exceeds with the other share of belief."""
        by_mean = self.weights.sum(axis=1)
        return exp(_quantile(self.means[:, 0], by_mean, share))

    @property
    def scatter(self) -> float:
        """Return the expected coefficient of variation on the site."""
        return float((self.weights * np.sqrt(np.expm1(self.scatters**2))).sum())

    def share_below(self, stress: float) -> float:
        """Return the expected share of anchors whose bond is less than a stress (kPa)."""
        return float((self.weights * self._shares(stress)).sum())

    def share_below_at_most(self, stress: float, belief: float) -> float:
        """Return the share of anchors below a stress (kPa) that is not exceeded with so much belief."""
        shares = self._shares(stress)
        order = np.argsort(shares, axis=None)
        sums = np.cumsum(self.weights.ravel()[order])
        at = int(np.searchsorted(sums, belief))
        return float(shares.ravel()[order[min(at, len(order) - 1)]])

    def fractile(self, share: float) -> float:
        """Return the bond stress (kPa) below which the bond of a share of anchors is expected."""
        low, high = float(self.means[0, 0]) - 20.0, float(self.means[-1, 0]) + 20.0
        return exp(bisected(lambda x: self.share_below(exp(x)) >= share, low, high))

    def _shares(self, stress: float) -> Floats:
        z = (log(stress) - self.means) / self.scatters
        return np.exp(log_survival(-z))


def bisected(true_above: Callable[[float], bool], low: float, high: float) -> float:
    """Return where a condition that is false below and true above begins to hold."""
    for _ in range(100):
        middle = 0.5 * (low + high)
        if true_above(middle):
            high = middle
        else:
            low = middle
    return high


def _quantile(x: Floats, weights: Floats, share: float) -> float:
    """Return the quantile of weights that stand for cells around x, straight within a cell."""
    edges = np.concatenate(([x[0]], 0.5 * (x[1:] + x[:-1]), [x[-1]]))
    return float(np.interp(share, np.concatenate(([0.0], np.cumsum(weights))), edges))


def believed(prior: BondPrior, stresses: Sequence[Interval] = ()) -> BondBelief:
    """Return what is held of the bond after tests, or before any.

    stresses: (least, greatest) at which the bond of each test failed (kPa), inf where it did not.
    """
    tests = logarithms(stresses)
    ends = [v for pair in tests for v in pair if abs(v) < inf]
    low = min([prior.mean - _REACH * prior.spread, *(v - 2.0 * prior.scatter for v in ends)])
    high = max([prior.mean + _REACH * prior.spread, *(v + 4.0 * prior.scatter for v in ends)])
    scatters, off = np.array([[prior.scatter]]), np.zeros((1, 1))
    if prior.scatter_spread > 0.0:
        off = np.linspace(-3.5, 3.5, _SCATTERS)[None, :]
        scatters = prior.scatter * np.exp(deviation_of(prior.scatter_spread) * off)

    def weighed(means: Floats) -> Floats:
        before = -0.5 * off**2 - 0.5 * ((means - prior.mean) / prior.spread) ** 2
        return _normalised(before + _likelihood(tests, means, scatters))

    means = np.linspace(low, high, _COARSE)[:, None]
    for count in (_COARSE, _MEANS):  # the grid closes in on where the weight is
        means = _closer(means, weighed(means), count)
    weights = weighed(means)
    by_mean = weights.sum(axis=1)
    return BondBelief(
        prior=prior, means=means, scatters=scatters, weights=weights, tests=sum(tests.values()),
        failures=sum(n for (_, top), n in tests.items() if top < inf),
        edge=float(by_mean[0] + by_mean[-1]),
    )  # fmt: skip


def _closer(means: Floats, weights: Floats, count: int) -> Floats:
    x, by_mean = means[:, 0], weights.sum(axis=1)
    middle = float((by_mean * x).sum())
    spread = float(np.sqrt((by_mean * (x - middle) ** 2).sum()))
    half = _REACH * max(spread, float(x[1] - x[0]))
    return np.linspace(middle - half, middle + half, count)[:, None]


def _normalised(log_weights: Floats) -> Floats:
    weights = np.exp(log_weights - log_weights.max())
    return np.asarray(weights / weights.sum(), dtype=np.float64)


def _likelihood(tests: dict[Interval, int], means: Floats, scatters: Floats) -> Floats:
    total = np.zeros(np.broadcast_shapes(means.shape, scatters.shape))
    for (low, high), number in tests.items():
        a = (low - means) / scatters
        if low == high:
            total += number * (-0.5 * a * a - np.log(scatters))
            continue
        total += number * _within(a, None if high == inf else (high - means) / scatters)
    return total


def _within(a: Floats, b: Floats | None) -> Floats:
    """Return the log probability of a standard normal value between a and b, without cancelling."""
    above = log_survival(a)
    if b is None:
        return above
    upper = log_survival(b)
    right = above + np.log(-np.expm1(np.minimum(upper - above, -1e-300)))
    below, lower = log_survival(-b), log_survival(-a)
    left = below + np.log(-np.expm1(np.minimum(lower - below, -1e-300)))
    return np.where(a > 0.0, right, left)


@lru_cache(maxsize=1)
def _table() -> tuple[Floats, Floats]:
    z = -_END + _STEP * np.arange(round(2.0 * _END / _STEP) + 2)
    y = np.array([log_above(float(v)) for v in z])
    return y, np.diff(y)


def log_survival(z: Floats) -> Floats:
    """Return the log probability that a standard normal value is more than z, for an array.

    From a table of `log_above` in steps of 0.002, straight between them (error below 5e-7), and
    beyond it by the leading terms of the series.
    """
    y, rise = _table()
    place = (np.clip(z, -_END, _END) + _END) * (1.0 / _STEP)
    cell = place.astype(np.int64)
    found = y[cell] + (place - cell) * rise[cell]
    if float(z.max()) <= _END:
        return np.asarray(found, dtype=np.float64)
    far = np.maximum(z, _END)
    tail = -0.5 * far * far - np.log(far) - 0.5 * log(2.0 * pi) - 1.0 / (far * far)
    return np.where(z > _END, tail, found)
