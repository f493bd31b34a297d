"""Spencer's method by another way, for ground in layers with water: a second method for any surface.

Forces of 400 thin slices at the middle of each, weights by steps of depth, and the resultants Q of
the side forces as unknowns (Spencer 1967; the form for any surface from memory): each slice gives its Q
from forces along and across the base, and F and the inclination are solved for by scipy from
sum Q = 0 and sum Q (x sin - y cos) = sum of the moments of the loads about the bases. Nothing of the
program is used. The ground slides to the left.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import atan2, cos, sin, sqrt, tan

import numpy as np
from scipy.optimize import root

Line = Sequence[tuple[float, float]]


@dataclass(frozen=True)
class Section:
    """Ground line; layers from the top as (line of the top, gamma, c, phi or 0, su or None).

    water: line; gamma_w; ru; kh; crack: depth at the upper end, crack_water: height of water in it.
    su: of the layer at a level y. standing: level of the water that stands in front, or None.
    """

    ground: Line
    layers: Sequence[tuple[Line, float, float, float]]
    water: Line = ()
    gamma_w: float = 9.81
    ru: float = 0.0
    kh: float = 0.0
    crack_water: float = 0.0
    su: Callable[[float], float] | None = None
    standing: float | None = None
    forces: Sequence[tuple[float, float, float, float]] = field(default_factory=tuple)


def at(line: Line, x: float) -> float:
    """Return the level of a line."""
    return float(np.interp(x, [p[0] for p in line], [p[1] for p in line]))


def arc(x0: float, y0: float, R: float) -> Callable[[float], float]:
    """Return the lower half of a circle."""
    return lambda x: y0 - sqrt(max(R * R - (x - x0) ** 2, 0.0))


def spencer(section: Section, base: Callable[[float], float], left: float, right: float,
            n: int = 400) -> tuple[float, float]:  # fmt: skip
    """Return F and the inclination of the side forces (rad) of the surface between two places."""
    b = (right - left) / n
    rows = []
    for i in range(n):
        x1, x2 = left + i * b, left + (i + 1) * b
        y1, y2, x = base(x1), base(x2), 0.5 * (x1 + x2)
        top, y = at(section.ground, x), 0.5 * (y1 + y2)
        alpha, length = atan2(y2 - y1, b), sqrt(b * b + (y2 - y1) ** 2)
        weight, about = 0.0, 0.0
        tops = [min(at(line, x), top) for line, *_ in section.layers]
        for k, (_, gamma, _, _) in enumerate(section.layers):
            high = max(tops[k], y)
            low = max(tops[k + 1], y) if k + 1 < len(tops) else y
            weight += gamma * (high - low) * b
            about += gamma * (high - low) * b * (0.5 * (high + low) - y)
        here = max(k for k in range(len(tops)) if tops[k] >= y - 1e-9)
        _, _, c, phi = section.layers[here]
        if section.su is not None:
            c, phi = section.su(y), 0.0
        u = section.ru * weight / b
        if section.water:
            u = section.gamma_w * max(at(section.water, x) - y, 0.0)
        fh, fv, moment = -section.kh * weight, -weight, section.kh * about
        if section.standing is not None and section.standing > top:
            rise = at(section.ground, x2) - at(section.ground, x1)
            p = section.gamma_w * (section.standing - top)
            fh, fv = fh + p * rise, fv - p * b
            moment -= p * rise * (top - y)
        for fx, fy, gx, gy in section.forces:
            if x1 <= fx < x2:
                fh, fv = fh + gx, fv + gy
                moment += (fx - x) * gy - (fy - y) * gx
        rows.append([x, y, alpha, length, fh, fv, moment, u, c, tan(phi)])
    x, y, alpha, length, fh, fv, moment, u, c, t = np.array(rows).T
    if section.crack_water:
        z = section.crack_water
        push = 0.5 * section.gamma_w * z * z
        fh[-1] -= push
        moment[-1] += push * (base(right) + z / 3.0 - y[-1])

    def left_over(unknown: np.ndarray) -> list[float]:
        F, theta = unknown
        m = np.cos(alpha - theta) + np.sin(alpha - theta) * t / F
        Q = -(
            fh * np.cos(alpha) + fv * np.sin(alpha) + c * length / F
            + (fh * np.sin(alpha) - fv * np.cos(alpha) - u * length) * t / F
        ) / m  # fmt: skip
        turning = (Q * (x * sin(theta) - y * cos(theta))).sum() - moment.sum()
        size = abs(fv).sum()
        return [float(Q.sum()) / size, float(turning) / (size * (right - left))]

    found = root(left_over, [1.5, 0.2], tol=1e-12)
    if not found.success:
        raise ValueError("no solution")
    return float(found.x[0]), float(found.x[1])
