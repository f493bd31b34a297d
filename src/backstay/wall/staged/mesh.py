"""Nodes along the wall: one exactly at every level that matters, closer together near them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from math import ceil, exp, log

import numpy as np

from backstay.wall.staged.result import Floats, StagedInput

ELEMENTS = 165
"""Elements of a usual wall; the division of each interval to whole numbers adds a few."""
NEAR = 0.35
"""Size of the elements at a level that matters, over that of the elements far from any."""
GROWTH = 0.3
"""Growth of the size of elements per distance from such a level."""
SAME = 1e-3
"""m; levels closer together than this are one."""


def distinct(levels: Iterable[float], toe: float) -> list[float]:
    """Return the levels inside 0..toe in order, those that are as good as one given once."""
    found: list[float] = [0.0]
    for level in sorted(levels):
        if SAME < level < toe - SAME and level - found[-1] > SAME:
            found.append(level)
    return [*found, toe]


def nodes(levels: Iterable[float], toe: float, elements: int = ELEMENTS) -> Floats:
    """Return the depths of the nodes from 0 to the toe (m), every level among them.

    elements: about how many; never fewer than one between two levels.
    """
    marks = distinct(levels, toe)
    coarse = _coarse(marks, elements)
    z: list[float] = [0.0]
    for a, b in pairwise(marks):
        half = 0.5 * (b - a)
        n = max(1, ceil(2 * _count(half, coarse) - 1e-9))
        whole = _count(half, coarse)
        for i in range(1, n):
            t = 2 * whole * i / n
            z.append(
                a + _distance(t, coarse) if t <= whole else b - _distance(2 * whole - t, coarse)
            )
        z.append(b)
    return np.array(z)


def _coarse(marks: list[float], elements: int) -> float:
    """Return the size of elements far from any level that gives about so many elements."""
    low, high = 1e-4, marks[-1]
    for _ in range(60):
        size = (low * high) ** 0.5
        if sum(2 * _count(0.5 * (b - a), size) for a, b in pairwise(marks)) > elements:
            low = size
        else:
            high = size
        if high / low < 1.001:
            break
    return high


def _count(distance: float, coarse: float) -> float:
    """Return how many elements (not whole) fit from a level to a distance from it."""
    fine = NEAR * coarse
    reach = min(distance, (coarse - fine) / GROWTH)
    return log(1 + GROWTH * reach / fine) / GROWTH + (distance - reach) / coarse


def _distance(count: float, coarse: float) -> float:
    """Return the distance from a level that so many elements cover: the inverse of `_count`."""
    fine = NEAR * coarse
    most = log(coarse / fine) / GROWTH
    if count <= most:
        return fine * (exp(GROWTH * count) - 1) / GROWTH
    return (coarse - fine) / GROWTH + (count - most) * coarse


def halved(given: StagedInput) -> StagedInput:
    """Return the same wall with every element divided in two, for the error of the mesh.

    The loads on each element are those of the straight line through its two Gauss points.
    """
    n = len(given.h)
    z = np.empty(2 * n + 1)
    z[::2] = given.z
    z[1::2] = given.z[:-1] + 0.5 * given.h
    gauss = 0.5 / 3**0.5
    stages = given.external.shape[0]
    external = np.empty((stages, 2 * n, 2))
    first, second = given.external[:, :, 0], given.external[:, :, 1]
    middle, slope = 0.5 * (first + second), (second - first) / (2 * gauss)
    for part, centre in ((0, -0.25), (1, 0.25)):
        for g, sign in ((0, -1.0), (1, 1.0)):
            external[:, part::2, g] = middle + slope * (centre + 0.5 * sign * gauss)
    return replace(
        given,
        z=z,
        h=np.repeat(0.5 * given.h, 2),
        layer=np.repeat(given.layer, 2),
        EI=np.repeat(given.EI, 2),
        external=external,
        node=2 * given.node,
    )
