"""Lines of equal value over a grid, by marching squares with linear interpolation."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Floats = NDArray[np.float64]
_Edge = tuple[int, int, int]
"""Row and column of a node, and 0 for the edge to its right, 1 for that above it."""


def contour(x: Floats, y: Floats, values: Floats, level: float) -> list[list[Point]]:
    """Return the lines on which values (ny, nx) at x (nx), y (ny) equal a level.

    Cells with a corner that is not a number are left out. A closed line ends where it began. In a
    saddle the mean of the corners decides which of them belong together.
    """
    links: dict[_Edge, list[_Edge]] = defaultdict(list)
    above = values >= level
    known = np.isfinite(values)
    for i in range(len(y) - 1):
        for j in range(len(x) - 1):
            if known[i : i + 2, j : j + 2].all():
                for a, b in _cell(above, values, level, i, j):
                    links[a].append(b)
                    links[b].append(a)
    return [
        [_place(edge, x, y, values, level) for edge in chain] for chain in _chains(links)
    ]  # fmt: skip


def _cell(
    above: NDArray[np.bool_], values: Floats, level: float, i: int, j: int
) -> list[tuple[_Edge, _Edge]]:
    """Return the pieces of a line in the cell above and to the right of node (i, j), by its edges."""
    corners = [bool(above[i, j]), bool(above[i, j + 1]), bool(above[i + 1, j + 1]),
               bool(above[i + 1, j])]  # fmt: skip
    edges: list[_Edge] = [(i, j, 0), (i, j + 1, 1), (i + 1, j, 0), (i, j, 1)]
    crossed = [
        e for e, (a, b) in zip(edges, pairwise([*corners, corners[0]]), strict=True) if a != b
    ]
    if len(crossed) == 2:
        return [(crossed[0], crossed[1])]
    if len(crossed) == 4:
        middle = bool(values[i : i + 2, j : j + 2].mean() >= level)
        if middle == corners[0]:
            return [(edges[0], edges[1]), (edges[2], edges[3])]
        return [(edges[3], edges[0]), (edges[1], edges[2])]
    return []


def _chains(links: dict[_Edge, list[_Edge]]) -> list[list[_Edge]]:
    """Join pieces at their edges: open chains first, from their ends, then the closed ones."""
    chains: list[list[_Edge]] = []
    left = {edge: list(to) for edge, to in links.items()}
    starts = [e for e, to in links.items() if len(to) == 1] + list(links)
    for start in starts:
        if not left[start]:
            continue
        chain = [start]
        while left[chain[-1]]:
            following = left[chain[-1]].pop()
            left[following].remove(chain[-1])
            chain.append(following)
        chains.append(chain)
    return chains


def _place(edge: _Edge, x: Floats, y: Floats, values: Floats, level: float) -> Point:
    """Return where a level lies on an edge."""
    i, j, way = edge
    k, m = (i, j + 1) if way == 0 else (i + 1, j)
    a, b = float(values[i, j]), float(values[k, m])
    t = (level - a) / (b - a)
    return (
        float(x[j]) + t * (float(x[m]) - float(x[j])),
        float(y[i]) + t * (float(y[k]) - float(y[i])),
    )
