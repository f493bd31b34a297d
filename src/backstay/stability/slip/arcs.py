"""Circles through two points of the ground, and whether they are worth analysing.

A circle is laid through the point where it comes out and the point where it starts, and is then
fixed by half its central angle: chord inclination plus that angle is the inclination at the start,
chord inclination minus it that at the end. All of them lie below the ground and none overhangs.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

import numpy as np

from backstay.stability.slip.model import Bools, Floats
from backstay.stability.slip.terrain import Terrain

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
    usable: Bools
    thin: Bools
    thickness: Floats


def arcs(
    ground: Terrain,
    places: Floats,
    *,
    least_depth: float,
    deepest: float = -np.inf,
    beneath: tuple[tuple[float, float], ...] = (),
    rock: tuple[Floats, ...] = (),
) -> Arcs:
    """Return the circles at places (n, 3): position of the end, of the start, share of the angle.

    The share runs from 0, the flattest circle that passes beneath all that it must, to 1, the most
    curved that the limits of inclination allow. least_depth: least thickness across the chord, m;
    deepest: elevation (m) not passed; beneath: points the circle must pass below where it passes
    them, as it must the corners of the ground; rock: lines (k, 2) that slides run along.
    """
    low, high = ground.at(places[:, 0]), ground.at(places[:, 1])
    chord = high - low
    length = np.hypot(chord[:, 0], chord[:, 1])
    usable = (chord[:, 0] > 1e-6) & (chord[:, 1] > 0.0) & (length > 0.0)
    inclination = np.arctan2(chord[:, 1], np.maximum(chord[:, 0], 1e-9))
    corner = (ground.s > places[:, 0:1] + 1e-9) & (ground.s < places[:, 1:2] - 1e-9)
    points = np.concatenate((ground.points, np.reshape(beneath, (-1, 2))))
    extra = points[None, len(ground.s) :, 0]
    pin = (extra > low[:, 0:1]) & (extra < high[:, 0:1])
    over = points[None, len(ground.s) :, 1] < low[:, 1:2]
    usable &= ~((abs(extra - low[:, 0:1]) <= 1e-9) & over).any(axis=1)
    least = _flattest(points, np.column_stack((corner, pin)), low, high)
    most = np.minimum(STEEPEST - inclination, inclination + OUTWARD)
    usable &= most >= least
    half = np.maximum(least + np.clip(places[:, 2], 0.0, 1.0) * (most - least), FLATTEST)
    R = 0.5 * length / np.sin(half)
    up = np.column_stack((-np.sin(inclination), np.cos(inclination)))
    centre = 0.5 * (low + high) + up * (R * np.cos(half))[:, None]
    usable &= centre[:, 1] - R >= deepest
    circles, ends = np.column_stack((centre, R)), np.column_stack((low[:, 0], high[:, 0]))
    thick = thickness(ground, circles, ends, rock)
    thin = usable & (thick < least_depth)
    return Arcs(circles, ends, usable & ~thin, thin, thick)


def _flattest(points: Floats, counts: Bools, low: Floats, high: Floats) -> Floats:
    """Return half of the central angle (n) at which circles pass no point that counts (n, k) above it.

    An arc through both ends sees its chord under the supplement of half of its central angle
    (Euclid III.21): the point nearest beneath the chord's line sees it under the least angle.
    """
    a = low[:, None, :] - points[None, :, :]
    b = high[:, None, :] - points[None, :, :]
    cross = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    dot = a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1]
    below = np.where(counts & (cross < 0.0), np.pi - np.arctan2(-cross, dot), 0.0)
    found: Floats = np.maximum(below.max(axis=1) + 1e-9, FLATTEST)
    return found


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


def thickness(
    ground: Terrain, circles: Floats, ends: Floats, rock: tuple[Floats, ...] = ()
) -> Floats:
    """Return the greatest thickness across the chord (n) of circles between x of their ends, m.

    rock: lines (k, 2) below which there is nothing that slides.
    """
    share = (np.arange(PROBES) + 0.5) / PROBES
    x = ends[:, 0:1] + (ends[:, 1:2] - ends[:, 0:1]) * share
    above = ground.y(x) - above_rock(x, arc_y(circles, x), rock)
    level = arc_y(circles, ends)
    rise = level[:, 1] - level[:, 0]
    width = ends[:, 1] - ends[:, 0]
    found: Floats = above.max(axis=1) * width / np.maximum(np.hypot(rise, width), 1e-12)
    return found


def above_rock(x: Floats, y: Floats, rock: tuple[Floats, ...]) -> Floats:
    """Return the levels y at x, raised to the lines of rock where they lie below them."""
    for line in rock:
        y = np.maximum(y, np.interp(x, line[:, 0], line[:, 1]))
    return y
