"""Rigorous lower bound of the safety of an undrained slope, by stress fields and linear programming.

Lower-bound theorem of plasticity: a field of stress in equilibrium that nowhere exceeds the strength
shows that the slope stands. Linear stresses in triangles, tractions in balance across every edge
(Lysmer 1970; Sloan 1988, from memory), strength as a polygon inside the circle of Tresca, and the
greatest multiple of the weight that such a field carries, which in undrained ground is the factor of
safety. Nothing of the program is used. The mesh is coarse: the bound is safe, not sharp.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from scipy.optimize import linprog
from scipy.sparse import coo_matrix

SIDES = 24
"""Sides of the polygon that stands for Tresca's circle."""


def triangles(
    columns: Sequence[tuple[float, float, float]], rows: int, bottom: float
) -> np.ndarray:
    """Return triangles (t, 3, 2), four to a cell, between columns (x, ground left, ground right)."""
    found = []
    share = np.linspace(0.0, 1.0, rows + 1)
    for (x1, _, g1), (x2, g2, _) in pairwise(columns):
        y1, y2 = bottom + (g1 - bottom) * share, bottom + (g2 - bottom) * share
        for j in range(rows):
            corner = [(x1, y1[j]), (x2, y2[j]), (x2, y2[j + 1]), (x1, y1[j + 1])]
            middle = tuple(np.mean(corner, axis=0))
            found += [(corner[k], corner[(k + 1) % 4], middle) for k in range(4)]
    return np.array(found)


class _Equations:
    """Rows of a sparse system."""

    def __init__(self) -> None:
        self.rows: list[int] = []
        self.columns: list[int] = []
        self.values: list[float] = []
        self.count = 0

    def add(self, columns: Sequence[int], values: Sequence[float]) -> None:
        self.rows += [self.count] * len(columns)
        self.columns += columns
        self.values += values
        self.count += 1


def lower_bound(
    mesh: np.ndarray, su: float, gamma: float, far: tuple[float, float, float]
) -> float:
    """Return a factor of safety that the slope has at least.

    far: x of the left and right end, and level of the bottom: what lies beyond is taken to hold.
    """
    t = len(mesh)
    weight = 9 * t
    system = _Equations()
    edges: dict[frozenset[tuple[float, float]], list[tuple[int, int]]] = {}
    for i, ((x1, y1), (x2, y2), (x3, y3)) in enumerate(mesh):
        area = (x2 - x1) * (y3 - y1) - (x3 - x1) * (y2 - y1)
        dx = [(y2 - y3) / area, (y3 - y1) / area, (y1 - y2) / area]
        dy = [(x3 - x2) / area, (x1 - x3) / area, (x2 - x1) / area]
        xx, yy, xy = ([9 * i + 3 * k + part for k in range(3)] for part in range(3))
        system.add([*xx, *xy], [*dx, *dy])
        system.add([*xy, *yy, weight], [*dx, *dy, -gamma])
        for k in range(3):
            ends = (tuple(np.round(mesh[i, k], 9)), tuple(np.round(mesh[i, (k + 1) % 3], 9)))
            edges.setdefault(frozenset(ends), []).append((i, k))
    for ends, sides in edges.items():
        a, b = (np.array(end) for end in ends)
        n = np.array([(b - a)[1], -(b - a)[0]]) / np.hypot(*(b - a))
        middle = 0.5 * (a + b)
        beyond = np.isclose(middle[0], far[:2]).any() or np.isclose(
            middle[1], far[2]
        )  # held from outside
        if len(sides) == 1 and beyond:
            continue
        for end in (a, b):
            parts = []
            for i, _ in sides:
                k = int(np.abs(mesh[i] - end).sum(axis=1).argmin())
                parts.append(9 * i + 3 * k)
            across = [[n[0], n[1]], [n[1], n[0]]]
            for row, (one, two) in enumerate(((0, 2), (1, 2))):
                first, second = across[row]
                columns, values = [], []
                for sign, base in zip((1.0, -1.0), parts, strict=False):
                    columns += [base + one, base + two]
                    values += [sign * first, sign * second]
                system.add(columns, values)
    equal = coo_matrix(
        (system.values, (system.rows, system.columns)), shape=(system.count, weight + 1)
    )
    angle = 2.0 * np.pi * np.arange(SIDES) / SIDES
    nodes = np.repeat(3 * np.arange(3 * t), SIDES)
    c, s = np.tile(np.cos(angle), 3 * t), np.tile(np.sin(angle), 3 * t)
    columns = np.stack([nodes, nodes + 1, nodes + 2], axis=1).ravel()
    values = np.stack([0.5 * c, -0.5 * c, s], axis=1).ravel()
    rows = np.repeat(np.arange(len(nodes)), 3)
    strength = coo_matrix((values, (rows, columns)), shape=(len(nodes), weight + 1))
    cost = np.zeros(weight + 1)
    cost[-1] = -1.0
    found = linprog(
        cost, A_ub=strength.tocsr(), b_ub=np.full(len(nodes), su * np.cos(np.pi / SIDES)),
        A_eq=equal.tocsr(), b_eq=np.zeros(system.count),
        bounds=[(None, None)] * weight + [(0.0, None)], method="highs-ipm",
    )  # fmt: skip
    if not found.success:
        raise ValueError(found.message)
    return float(-found.fun)
