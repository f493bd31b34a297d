"""Circles through two points of the ground, and whether they are worth analysing.

A circle is laid through the point where it comes out and the point where it starts, and is then
fixed by half its central angle: chord inclination plus that angle is the inclination at the start,
chord inclination minus it that at the end. All of them lie below the ground and none overhangs.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

import numpy as np
from numpy.typing import NDArray

from backstay.stability.slip.terrain import Floats, Terrain

STEEPEST = radians(88.0)
"""Inclination at the start of a slide that is not passed: steeper, it is a crack."""
OUTWARD = radians(70.0)
"""Rise of the surface toward its end that is not passed: deep slides in clay reach 67 degrees."""
FLATTEST = radians(2.0)
"""Least half of the central angle: flatter, the circle is a plane."""
PROBES = 12


@dataclass(frozen=True, slots=True, eq=False)
class Arcs:
    """n circles and their ends.

    circles (n, 3): centre and radius, m; ends (n, 2): x where each comes out and starts, m;
    usable (n): lies below the ground, thick enough, beneath what it must pass; thin (n): set
    aside because it is too thin.
    """

    circles: Floats
    ends: Floats
    usable: NDArray[np.bool_]
    thin: NDArray[np.bool_]
    thickness: Floats


def half_angle(chord: Floats, share: Floats) -> Floats:
    """Return half of the central angle for a share (0 to 1) of what a chord's inclination allows."""
    most = np.minimum(STEEPEST - chord, chord + OUTWARD)
    found: Floats = FLATTEST + np.clip(share, 0.0, 1.0) * (most - FLATTEST)
    return found


def arcs(
    ground: Terrain,
    places: Floats,
    *,
    least_depth: float,
    deepest: float = -np.inf,
    beneath: tuple[tuple[float, float], ...] = (),
) -> Arcs:
    """Return the circles at places (n, 3): position of the end, of the start, share of the angle.

    least_depth: least thickness across the chord, m; deepest: elevation (m) not passed; beneath:
    points that must lie above the circle where it passes them.
    """
    low, high = ground.at(places[:, 0]), ground.at(places[:, 1])
    chord = high - low
    length = np.hypot(chord[:, 0], chord[:, 1])
    usable = (chord[:, 0] > 1e-6) & (chord[:, 1] > 0.0) & (length > 0.0)
    inclination = np.arctan2(chord[:, 1], np.maximum(chord[:, 0], 1e-9))
    half = half_angle(inclination, places[:, 2])
    usable &= half >= FLATTEST
    half = np.maximum(half, FLATTEST)
    R = 0.5 * length / np.sin(half)
    middle = 0.5 * (low + high)
    up = np.stack((-np.sin(inclination), np.cos(inclination)), axis=-1)
    centre = middle + up * (R * np.cos(half))[:, None]
    usable &= centre[:, 1] - R >= deepest
    corners = ground.points[None, :, :]
    inside = (corners[..., 0] >= low[:, None, 0]) & (corners[..., 0] <= high[:, None, 0])
    between = inside & (ground.s > places[:, 0:1] + 1e-9) & (ground.s < places[:, 1:2] - 1e-9)
    usable &= ~(between & (_above(centre, R, corners) < -1e-9)).any(axis=1)
    for x, y in beneath:
        crosses = (low[:, 0] <= x) & (x <= high[:, 0])
        above = _above(centre, R, np.array([[[x, y]]]))[:, 0]
        usable &= ~(crosses & (above < -1e-9))
    thickness = _thickness(ground, low, high, centre, R, inclination)
    thin = usable & (thickness < least_depth)
    circles = np.column_stack((centre, R))
    return Arcs(circles, np.column_stack((low[:, 0], high[:, 0])), usable & ~thin, thin, thickness)


def arc_y(circles: Floats, x: Floats) -> Floats:
    """Return the elevation of the lower half of circles (n, 3) at x (n, k), m."""
    root = np.sqrt(np.maximum(circles[:, 2:3] ** 2 - (x - circles[:, 0:1]) ** 2, 0.0))
    found: Floats = circles[:, 1:2] - root
    return found


def arc_points(circles: Floats, ends: Floats, count: int) -> Floats:
    """Return `count` points along each circle between its ends (n, count, 2), evenly in angle."""
    xc, yc, R = circles[:, 0:1], circles[:, 1:2], circles[:, 2:3]
    first, last = (np.arcsin(np.clip((ends[:, i : i + 1] - xc) / R, -1.0, 1.0)) for i in (0, 1))
    angle = first + (last - first) * np.linspace(0.0, 1.0, count)[None, :]
    return np.stack((xc + R * np.sin(angle), yc - R * np.cos(angle)), axis=-1)


def _above(centre: Floats, R: Floats, points: Floats) -> Floats:
    """Return how far points (1 or n, k, 2) lie above the lower half of n circles (n, k), m."""
    dx = points[..., 0] - centre[:, 0:1]
    root = np.sqrt(np.maximum(R[:, None] ** 2 - dx**2, 0.0))
    found: Floats = points[..., 1] - (centre[:, 1:2] - root)
    return found


def _thickness(
    ground: Terrain, low: Floats, high: Floats, centre: Floats, R: Floats, inclination: Floats
) -> Floats:
    """Return the greatest thickness across the chord (n), m."""
    share = (np.arange(PROBES) + 0.5) / PROBES
    x = low[:, 0:1] + (high[:, 0:1] - low[:, 0:1]) * share
    above = _above(centre, R, np.stack((x, ground.y(x)), axis=-1))
    found: Floats = above.max(axis=1) * np.cos(inclination)
    return found
