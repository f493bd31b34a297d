"""Minimisation by random trials whose spread learns the shape of the valley, a batch at a time.

Covariance matrix adaptation (Hansen and Ostermeier 2001; constants after Hansen 2016, from memory):
each generation draws trials from a normal distribution, ranks them, and moves mean and covariance
toward the better half. Only ranks count, so trials that are not admissible simply rank last. The
seed is fixed: the same problem gives the same answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from backstay.stability.slip.model import Floats

WINDOW = 15
"""Generations over which the last change is taken."""
SMALL = 0.05
"""Spread, over the first one, above which a search that finds nothing better still goes on."""


@dataclass(frozen=True, slots=True, eq=False)
class Evolution:
    """Best place (d) and value; generations done; last_change: relative, over the last WINDOW."""

    place: Floats
    value: float
    generations: int
    last_change: float


def evolve(
    objective: Callable[[Floats], Floats],
    place: Floats,
    value: float,
    spread: Floats,
    *,
    generations: int,
    trials: int,
    seed: int,
    settled: float = 2e-5,
) -> Evolution:
    """Return a minimum near a place (d) of known value.

    spread: standard deviation of the first trials (d); trials: per generation; settled: relative
    change over WINDOW generations below which the search ends.
    """
    d = len(place)
    mu = trials // 2
    weights = np.log(mu + 0.5) - np.log(np.arange(1, mu + 1))
    weights /= weights.sum()
    mu_eff = 1.0 / float((weights**2).sum())
    c_sigma = (mu_eff + 2.0) / (d + mu_eff + 5.0)
    d_sigma = 1.0 + 2.0 * max(0.0, np.sqrt((mu_eff - 1.0) / (d + 1.0)) - 1.0) + c_sigma
    c_c = (4.0 + mu_eff / d) / (d + 4.0 + 2.0 * mu_eff / d)
    c_1 = 2.0 / ((d + 1.3) ** 2 + mu_eff)
    c_mu = min(1.0 - c_1, 2.0 * (mu_eff - 2.0 + 1.0 / mu_eff) / ((d + 2.0) ** 2 + mu_eff))
    expected = np.sqrt(d) * (1.0 - 1.0 / (4.0 * d) + 1.0 / (21.0 * d**2))

    rng = np.random.default_rng(seed)
    mean, sigma, C = np.zeros(d), 1.0, np.eye(d)
    p_sigma, p_c = np.zeros(d), np.zeros(d)
    best, best_value = place.copy(), value
    history = [value]
    for g in range(1, generations + 1):
        eigen, B = np.linalg.eigh(0.5 * (C + C.T))
        D = np.sqrt(np.maximum(eigen, 1e-12))
        y = (rng.standard_normal((trials, d)) * D) @ B.T
        trial = place + (mean + sigma * y) * spread
        found = objective(trial)
        order = np.argsort(found, kind="stable")
        if found[order[0]] < best_value:
            best, best_value = trial[order[0]].copy(), float(found[order[0]])
        history.append(best_value)
        counted = min(mu, int(np.isfinite(found).sum()))
        if not counted:
            sigma *= 0.5
            continue
        share = weights[:counted] / weights[:counted].sum()
        chosen = y[order[:counted]]
        step = share @ chosen
        mean = mean + sigma * step
        p_sigma = (1.0 - c_sigma) * p_sigma + np.sqrt(c_sigma * (2.0 - c_sigma) * mu_eff) * (
            B @ ((B.T @ step) / D)
        )
        length = float(np.linalg.norm(p_sigma))
        steady = (
            length / np.sqrt(1.0 - (1.0 - c_sigma) ** (2 * g)) < (1.4 + 2.0 / (d + 1.0)) * expected
        )
        p_c = (1.0 - c_c) * p_c + (np.sqrt(c_c * (2.0 - c_c) * mu_eff) * step if steady else 0.0)
        kept = 1.0 - c_1 - c_mu + (0.0 if steady else c_1 * c_c * (2.0 - c_c))
        C = kept * C + c_1 * np.outer(p_c, p_c) + c_mu * (chosen.T * share) @ chosen
        sigma *= float(np.exp(np.clip((c_sigma / d_sigma) * (length / expected - 1.0), -1.0, 1.0)))
        idle = g > WINDOW and history[-WINDOW - 1] - best_value < settled * best_value
        if idle and sigma * float(D.max()) < SMALL:
            break
    since = history[-min(len(history), WINDOW + 1)]
    change = (since - best_value) / best_value if np.isfinite(since) else np.inf
    return Evolution(best, best_value, g, change)
