"""Passive resistance by a logarithmic spiral that passes into Rankine's wedge: a second method.

The surface of failure rises from the foot of the wall as a spiral r = r0 exp(theta tan phi) and
ends in the straight slip line of Rankine's zone of level ground (Terzaghi 1943). The resultant of
normal stress and friction on every element of the spiral passes through its pole, so moments
about the pole of the ground's weight, of Rankine's thrust on the vertical where the spiral ends,
and of the passive thrust (at a third of the height) give the thrust. The pole lies on the slip
line through the top of the wall; the place that makes the thrust least is taken.

It stands beside `backstay.pressure.plasticity`, which is the default, so that two methods of
different kind agree.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, exp, inf, log, pi, sin, sqrt, tan

from backstay.errors import DesignError

_POINTS = 60
_PLACES = 24
_GOLDEN = (sqrt(5) - 1) / 2


@dataclass(frozen=True, slots=True)
class SpiralSolution:
    """K along the thrust; pole: (x, z) in heights of the wall; residual: of the search, relative."""

    K: float
    pole: tuple[float, float]
    residual: float


def log_spiral_passive(phi: float, delta: float) -> SpiralSolution:
    """Return the least passive coefficient by log spiral, vertical wall, level ground (rad).

    Raises DesignError for angles outside 0 < phi, 0 <= delta <= phi.
    """
    if not 0.0 < phi < pi / 3 or not 0.0 <= delta <= phi + 1e-12:
        raise DesignError("no log spiral for these angles", "log spiral")
    places = [log(0.05) + (log(2000.0) - log(0.05)) * k / _PLACES for k in range(_PLACES + 1)]
    values = [_thrust(phi, delta, place) for place in places]
    best = min(range(len(places)), key=values.__getitem__)
    low, high = places[max(best - 1, 0)], places[min(best + 1, _PLACES)]
    a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    fa, fb = _thrust(phi, delta, a), _thrust(phi, delta, b)
    while high - low > 1e-5:
        if fa <= fb:
            high, b, fb = b, a, fa
            a = high - _GOLDEN * (high - low)
            fa = _thrust(phi, delta, a)
        else:
            low, a, fa = a, b, fb
            b = low + _GOLDEN * (high - low)
            fb = _thrust(phi, delta, b)
    K, place = min((fa, a), (fb, b))
    if inf == K:
        raise DesignError("no log spiral for these angles", "log spiral")
    return SpiralSolution(K, _pole(phi, place), abs(fa - fb) / K)


def _pole(phi: float, place: float) -> tuple[float, float]:
    """Return the pole: before the wall and above it, on the slip line through the top of the wall.

    place: logarithm of its distance from there. The line falls into the ground at 45 - phi/2.
    """
    angle, distance = pi / 4 - phi / 2, exp(place)
    return -distance * cos(angle), -distance * sin(angle)


def _thrust(phi: float, delta: float, place: float) -> float:
    """Return K for one pole; height of the wall 1, unit weight 1. inf where no spiral fits."""
    t = tan(phi)
    x0, z0 = _pole(phi, place)
    # directions from the pole, from level outward turning down (z is down)
    start = atan2(1.0 - z0, -x0)
    end = pi / 4 - phi / 2
    radius = sqrt(x0**2 + (1.0 - z0) ** 2)
    if start <= end:
        return inf
    points = []
    for k in range(_POINTS + 1):
        a = start + (end - start) * k / _POINTS
        length = radius * exp((start - a) * t)
        points.append((x0 + length * cos(a), z0 + length * sin(a)))
    x_end, depth = points[-1]
    if depth <= 0.0 or x_end <= 0.0:
        return inf
    # ground between wall, spiral, vertical at its end, and surface: area and moment about the pole
    area = moment = 0.0
    corners = [*points, (x_end, 0.0), (0.0, 0.0)]
    for (xa, za), (xb, zb) in zip(corners, [*corners[1:], corners[0]], strict=True):
        cross = xa * zb - xb * za
        area += cross / 2
        moment += cross * (xa + xb) / 6
    weight = abs(area) * (moment / area - x0)
    rankine = 0.5 * tan(pi / 4 + phi / 2) ** 2 * depth**2
    beyond = rankine * (2 * depth / 3 - z0)
    # thrust of the wall at two thirds of the height: into the ground, and downward on it
    arm = cos(delta) * (2 / 3 - z0) + sin(delta) * x0
    return 2 * (weight + beyond) / arm if arm > 0.0 else inf
