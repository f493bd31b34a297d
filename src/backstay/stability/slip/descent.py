"""Pattern search from many starts at once, and which of the minima are separate.

Every round lays a small lattice of trial places around each start, has all of them analysed in one
batch, and moves each start to its best neighbour or halves its steps. No derivative is needed,
which matters where the safety jumps: at the ends of anchors, at rock, at the edge of a load.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from backstay.stability.slip.model import Floats

Objective = Callable[[Floats], Floats]
"""Places (n, d) in, values (n) out; infinite where a place does not count."""


@dataclass(frozen=True, slots=True, eq=False)
class Descent:
    """Minima of k starts: places (k, d), values (k), last relative change (k), rounds done."""

    places: Floats
    values: Floats
    change: Floats
    rounds: int


def grid_minima(values: Floats, most: int) -> NDArray[np.intp]:
    """Return up to `most` indices (k, d) of cells not above any neighbour, the lowest first."""
    least = values
    for axis in range(
        values.ndim
    ):  # the least of a box is that of its lines, one axis after the other
        along = np.moveaxis(least, axis, 0)
        lower = along.copy()
        np.minimum(lower[1:], along[:-1], out=lower[1:])
        np.minimum(lower[:-1], along[1:], out=lower[:-1])
        least = np.moveaxis(lower, 0, axis)
    at = np.argwhere(np.isfinite(values) & (values <= least))
    order = np.argsort(values[tuple(at.T)], kind="stable")
    return at[order[:most]]


def separate(features: Floats, values: Floats, distance: float) -> NDArray[np.intp]:
    """Return indices of places that are further apart than `distance`, the lowest of each kept.

    features: (k, f) scaled so that one distance serves all; not finite values are left out.
    """
    kept: list[int] = []
    for i in np.argsort(values, kind="stable"):
        if not np.isfinite(values[i]):
            break
        if all(np.max(abs(features[i] - features[j])) > distance for j in kept):
            kept.append(int(i))
    return np.array(kept, dtype=np.intp)


def descend(
    objective: Objective,
    places: Floats,
    values: Floats,
    steps: Floats,
    *,
    rounds: int,
    least: Floats,
) -> Descent:
    """Return the minima near k starts (k, d) by pattern search with halving steps.

    values: of the starts; steps: first step of each start and direction (k, d); least: steps (d)
    below which a start is done; rounds: most rounds.
    """
    places, values, steps = places.copy(), values.copy(), steps.copy()
    d = places.shape[1]
    pattern = np.array([p for p in product((-1.0, 0.0, 1.0), repeat=d) if any(p)])
    change = np.full(len(values), np.inf)
    done = 0
    for _ in range(rounds):
        busy = np.flatnonzero((steps > least).any(axis=1))
        if not len(busy):
            break
        done += 1
        trial = places[busy, None, :] + pattern[None, :, :] * steps[busy, None, :]
        found = objective(trial.reshape(-1, d)).reshape(len(busy), -1)
        best = found.argmin(axis=1)
        for row, start in enumerate(busy):
            value = found[row, best[row]]
            if value < values[start]:
                change[start] = (
                    (values[start] - value) / value if np.isfinite(values[start]) else np.inf
                )
                places[start], values[start] = trial[row, best[row]], value
            else:
                change[start] = 0.0
                steps[start] *= 0.5
    return Descent(places, values, change, done)


def spacing(values: Floats) -> Floats:
    """Return the wider gap beside each of the values of an axis: the first step from there."""
    if len(values) < 2:
        return np.full(len(values), 0.1)
    gap = np.diff(values)
    wider: Floats = np.maximum(np.append(gap, gap[-1]), np.append(gap[:1], gap))
    return wider
