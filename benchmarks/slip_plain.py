"""The method of slices in plain numpy: the general formulation as Fredlund and Krahn (1977) wrote it.

An independent second method: strips of mean height, forces and moments of the mass as two factors of
safety that meet at one lambda, side forces carried over from pass to pass. One homogeneous slope whose
ground slides to the left, circles alone.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class PlainSlope:
    """Ground line (n, 2), strength, ru or a level water table, horizontal acceleration."""

    ground: Floats
    gamma: float
    c: float
    phi: float
    ru: float = 0.0
    water: float = -1e9
    kh: float = 0.0
    gamma_w: float = 9.81


def ends(ground: Floats, xc: float, yc: float, R: float) -> tuple[float, float]:
    """Return where the lower half of a circle leaves and enters the ground."""
    found = []
    for (x1, y1), (x2, y2) in itertools.pairwise(ground):
        s = (y2 - y1) / (x2 - x1)
        a, b, c = 1 + s * s, s * (y1 - s * x1 - yc) - xc, (y1 - s * x1 - yc) ** 2 + xc * xc - R * R
        if b * b > a * c:
            for x in ((-b - (b * b - a * c) ** 0.5) / a, (-b + (b * b - a * c) ** 0.5) / a):
                if x1 <= x <= x2 and y1 + s * (x - x1) <= yc:
                    found.append(x)
    if len(found) < 2:
        raise ValueError("the circle does not cut the ground twice")
    return min(found), max(found)


def factors(slope: PlainSlope, xc: float, yc: float, R: float, n: int = 50) -> tuple[float, float]:
    """Return Bishop's and Spencer's factor of safety of one circle."""
    left, right = ends(slope.ground, xc, yc, R)
    side = np.linspace(left, right, n + 1)
    x, b = 0.5 * (side[1:] + side[:-1]), (right - left) / n
    y = yc - np.sqrt(R * R - (x - xc) ** 2)
    h = np.interp(x, slope.ground[:, 0], slope.ground[:, 1]) - y
    alpha = np.arcsin((x - xc) / R)
    sin, cos = np.sin(alpha), np.cos(alpha)
    length, W = b / cos, slope.gamma * h * b
    u = slope.ru * slope.gamma * h
    if slope.ru == 0.0:
        u = np.maximum(slope.water - y, 0.0) * slope.gamma_w
    t, k = np.tan(slope.phi), slope.kh * W
    drive = (W * (x - xc)).sum() + (k * (yc - (y + 0.5 * h))).sum()
    hold = (slope.c - u * t) * length

    def at(lam: float) -> tuple[float, float]:
        """Return F by moments and by forces at one lambda."""
        fm = ff = 1.5
        X = np.zeros(n + 1)
        for _ in range(500):
            values = []
            for F in (fm, ff):
                N = (W + np.diff(X) - hold * sin / F) / (cos + sin * t / F)
                values.append(N)
            new_m = R * (hold + values[0] * t).sum() / drive
            new_f = ((hold + values[1] * t) * cos).sum() / ((values[1] * sin).sum() + k.sum())
            S = (hold + values[1] * t) / ff
            E = np.concatenate([[0.0], np.cumsum(S * cos - values[1] * sin - k)])
            E -= np.linspace(0.0, E[-1], n + 1)
            fresh = lam * E
            done = (
                abs(new_m - fm) + abs(new_f - ff) < 1e-9 and abs(fresh - X).max() < 1e-6 * W.sum()
            )
            fm, ff, X = new_m, new_f, 0.5 * X + 0.5 * fresh
            if done:
                break
        return fm, ff

    bishop = at(0.0)[0]
    one, two = 0.0, 0.3
    gap_one, (fm, ff) = np.subtract(*at(one)), at(two)
    for _ in range(40):
        gap_two = fm - ff
        if abs(gap_two) < 1e-7:
            break
        one, two, gap_one = two, two - gap_two * (two - one) / (gap_two - gap_one), gap_two
        fm, ff = at(two)
    return bishop, fm
