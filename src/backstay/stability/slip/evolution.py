"""Minimisation by random trials whose spread learns the shape of the valley, a batch at a time.

Covariance matrix adaptation (Hansen and Ostermeier 2001; constants after Hansen 2016, from memory):
each generation draws trials from a normal distribution, ranks them, and moves mean and covariance
toward the better half. Only ranks count. What a trial is ranked by may differ from its value: trials
that miss a rule by little rank close to those that keep it, so that the spread keeps the shape of a
valley whose floor lies along the limit of the rule; the best is taken among those that count. Many
starts evolve side by side, so that their trials are analysed in one batch. The seed is fixed: the
same problem gives the same answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from backstay.stability.slip.model import Floats

WINDOW = 18
"""Generations over which the last change is taken; a start that gains nothing in them is done."""


@dataclass(frozen=True, slots=True, eq=False)
class Judged:
    """Values (n), infinite where a place does not count, and what places are ranked by (n).

    rank: the value where a place counts; more, and infinite where nothing can be said, elsewhere.
    """

    value: Floats
    rank: Floats

    @classmethod
    def plain(cls, value: Floats) -> Judged:
        """Return values that are ranked by themselves."""
        return cls(value, value)


Objective = Callable[[Floats, NDArray[np.intp]], Judged]
"""Places (n, d) and the start (n) that each belongs to in, values (n) out."""


@dataclass(frozen=True, slots=True, eq=False)
class Evolution:
    """Best place (d) and value; generations done; last_change: relative, over the last WINDOW."""

    place: Floats
    value: float
    generations: int
    last_change: float


@dataclass(frozen=True, slots=True, eq=False)
class Start:
    """A place (d) of known value, and the standard deviation of the first trials about it (d)."""

    place: Floats
    value: float
    spread: Floats


def evolve(
    objective: Objective,
    starts: Sequence[Start],
    *,
    generations: int,
    trials: int,
    seed: int,
    settled: float = 1e-3,
) -> list[Evolution]:
    """Return a minimum near each start.

    trials: per generation and start; settled: relative change over WINDOW generations below which
    a start is done.
    """
    runs = [
        _Run(one, trials=trials, seed=seed + i, settled=settled) for i, one in enumerate(starts)
    ]
    for _ in range(generations):
        busy = [i for i, run in enumerate(runs) if not run.done]
        if not busy:
            break
        places = np.concatenate([runs[i].draw() for i in busy])
        found = objective(places, np.repeat(np.array(busy), trials))
        for k, i in enumerate(busy):
            mine = slice(k * trials, (k + 1) * trials)
            runs[i].learn(found.value[mine], found.rank[mine])
    return [run.result() for run in runs]


class _Run:
    """One evolution: mean, spread and covariance, and what they learn from."""

    def __init__(self, start: Start, *, trials: int, seed: int, settled: float) -> None:
        d = len(start.place)
        self.start, self.trials, self.settled, self.done = start, trials, settled, False
        self.mu = mu = trials // 2
        weights = np.log(mu + 0.5) - np.log(np.arange(1, mu + 1))
        self.weights = weights / weights.sum()
        self.mu_eff = mu_eff = 1.0 / float((self.weights**2).sum())
        self.c_sigma = (mu_eff + 2.0) / (d + mu_eff + 5.0)
        self.d_sigma = (
            1.0 + 2.0 * max(0.0, np.sqrt((mu_eff - 1.0) / (d + 1.0)) - 1.0) + self.c_sigma
        )
        self.c_c = (4.0 + mu_eff / d) / (d + 4.0 + 2.0 * mu_eff / d)
        self.c_1 = 2.0 / ((d + 1.3) ** 2 + mu_eff)
        self.c_mu = min(
            1.0 - self.c_1, 2.0 * (mu_eff - 2.0 + 1.0 / mu_eff) / ((d + 2.0) ** 2 + mu_eff)
        )
        self.expected = np.sqrt(d) * (1.0 - 1.0 / (4.0 * d) + 1.0 / (21.0 * d**2))
        self.rng = np.random.default_rng(seed)
        self.mean, self.sigma, self.C = np.zeros(d), 1.0, np.eye(d)
        self.p_sigma, self.p_c = np.zeros(d), np.zeros(d)
        self.best, self.value = start.place.copy(), start.value
        self.history, self.ranked = [start.value], [start.value]
        self.trial = np.empty((0, d))

    def draw(self) -> Floats:
        """Return the trials of a generation (n, d)."""
        eigen, self.B = np.linalg.eigh(0.5 * (self.C + self.C.T))
        self.D = np.sqrt(np.maximum(eigen, 1e-12))
        self.y = (self.rng.standard_normal((self.trials, len(self.mean))) * self.D) @ self.B.T
        self.trial = self.start.place + (self.mean + self.sigma * self.y) * self.start.spread
        return self.trial

    def learn(self, value: Floats, rank: Floats) -> None:
        """Move mean and spread by values (n) and ranks (n) of the trials."""
        order = np.argsort(rank, kind="stable")
        least = int(value.argmin())
        if value[least] < self.value:
            self.best, self.value = self.trial[least].copy(), float(value[least])
        self.history.append(self.value)
        self.ranked.append(min(self.ranked[-1], float(rank[order[0]])))
        counted = min(self.mu, int(np.isfinite(rank).sum()))
        if not counted:
            self.sigma *= 0.5
        else:
            share = self.weights[:counted] / self.weights[:counted].sum()
            self._adapt(share, self.y[order[:counted]])
        g = len(self.history) - 1
        if g > WINDOW:
            gained = self.ranked[-WINDOW - 1] - self.ranked[-1]
            self.done = bool(gained < self.settled * self.ranked[-1])

    def _adapt(self, share: Floats, chosen: Floats) -> None:
        g, d, B = len(self.history) - 1, len(self.mean), self.B
        step = share @ chosen
        self.mean = self.mean + self.sigma * step
        c = self.c_sigma
        self.p_sigma = (1.0 - c) * self.p_sigma + np.sqrt(c * (2.0 - c) * self.mu_eff) * (
            B @ ((B.T @ step) / self.D)
        )
        length = float(np.linalg.norm(self.p_sigma))
        steady = (
            length / np.sqrt(1.0 - (1.0 - c) ** (2 * g)) < (1.4 + 2.0 / (d + 1.0)) * self.expected
        )
        pull = np.sqrt(self.c_c * (2.0 - self.c_c) * self.mu_eff) * step if steady else 0.0
        self.p_c = (1.0 - self.c_c) * self.p_c + pull
        kept = (
            1.0 - self.c_1 - self.c_mu + (0.0 if steady else self.c_1 * self.c_c * (2.0 - self.c_c))
        )
        self.C = (
            kept * self.C + self.c_1 * np.outer(self.p_c, self.p_c)
            + self.c_mu * (chosen.T * share) @ chosen
        )  # fmt: skip
        self.sigma *= float(
            np.exp(np.clip((c / self.d_sigma) * (length / self.expected - 1.0), -1.0, 1.0))
        )

    def result(self) -> Evolution:
        """Return the best place found."""
        since = self.history[-min(len(self.history), WINDOW + 1)]
        change = (since - self.value) / self.value if np.isfinite(since) else np.inf
        return Evolution(self.best, self.value, len(self.history) - 1, change)
