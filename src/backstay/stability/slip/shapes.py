"""Polylines of few parameters that a slide may follow: planes, wedges, and blocks along a layer.

Each family turns places (n, d) into surfaces (n, m, 2) of the searching frame (sliding to the left)
and says which of them can move: below the ground, bending upward only, neither steeper at the start
nor rising more toward the end than the limits, and thick enough.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import radians

import numpy as np

from backstay.stability.slip.arcs import above_rock
from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Bools, Floats
from backstay.stability.slip.search_result import Kind

STEEPEST = radians(85.0)
"""Inclination of a base that is not passed at the start: steeper, it is a crack."""
OUTWARD = radians(50.0)
"""Rise of a base toward its end that is not passed."""
FACE = 0.3
"""Share of the height from which a vertical face is one."""
DEPTHS = np.array([0.02, 0.08, 0.15, 0.25, 0.4])
"""Depths of the first corner of bent wedges below a face, as shares of the height."""
ALONG = 16
"""Points along the layer that a block slides on."""
SKIN = 1e-3
"""Height above the bottom of a layer, as a share of the slope's, at which a block slides."""


@dataclass(frozen=True, slots=True, eq=False)
class Family:
    """Surfaces of one kind: build turns places (n, d) into (n, m, 2); axes: of its first grid.

    least: steps (d) below which a descent is done; on_weak_layer: slides on a layer weaker than one
    above, and may bend as the layer lies, whether the mass shears through there or not (as is common).
    """

    kind: Kind
    axes: tuple[Floats, ...]
    build: Callable[[Floats], Floats]
    least: Floats
    on_weak_layer: bool = False


def chord_ends(seen: Frame, places: Floats) -> tuple[Floats, Floats]:
    """Return where surfaces come out and start (n, 2) each, from the first two places."""
    return seen.ground.at(places[:, 0]), seen.ground.at(places[:, 1])


def planes(seen: Frame, exits: Floats, entries: Floats) -> Family:
    """Return planes from a point of the slope up to one behind it."""

    def build(places: Floats) -> Floats:
        return np.stack(chord_ends(seen, places), axis=1)

    step = 1e-4 * seen.ground.height
    return Family("plane", (exits, entries), build, np.array([step, step]))


def wedges(seen: Frame, exits: Floats, entries: Floats) -> Family:
    """Return two planes: places are the ends, where the corner lies between, and its depth.

    The corner lies at a share of the width and as far below the chord as a share of its length.
    """

    def build(places: Floats) -> Floats:
        low, high = chord_ends(seen, places)
        chord = high - low
        turned = np.column_stack((chord[:, 1], -chord[:, 0]))
        share, depth = np.clip(places[:, 2:3], 0.02, 0.98), np.maximum(places[:, 3:4], 0.0)
        return np.stack((low, low + share * chord + depth * turned, high), axis=1)

    step = 1e-4 * seen.ground.height
    axes = (_every(exits, 2), _every(entries, 2), np.array([0.15, 0.35, 0.55]), np.array([0.05, 0.12, 0.22, 0.35]))  # fmt: skip
    return Family("wedge", axes, build, np.array([step, step, 1e-3, 1e-3]))


def feet(seen: Frame) -> Floats:
    """Return the points (k, 2) just in front of the feet of vertical faces."""
    ground, step = seen.ground, np.diff(seen.ground.points, axis=0)
    faces = (step[:, 1] > FACE * ground.height) & (step[:, 0] < 1e-3 * ground.height)
    found: Floats = ground.points[:-1][faces] - np.array([2e-3 * ground.height, 0.0])
    return found


def bent_wedges(seen: Frame, exits: Floats, entries: Floats) -> Family | None:
    """Return three planes from under the foot of a vertical face; None where the ground has none.

    Places: the ends, depth of the first corner below the foot, and where the second corner lies on the
    way from there to the start, and how steeply the way to it rises, against the straight line.
    """
    ground, below = seen.ground, feet(seen)
    if not len(below):
        return None
    foot = below[0]
    piles = [foot[1] - p.bottom for p in seen.model.piles if p.bottom < foot[1]]
    depths = np.unique([*(np.array(piles) + 1e-3 * ground.height), *(ground.height * DEPTHS)])

    def build(places: Floats) -> Floats:
        low, high = chord_ends(seen, places)
        corner = np.column_stack((np.full(len(places), foot[0]), foot[1] - places[:, 2]))
        way = high - corner
        share, flat = np.clip(places[:, 3], 0.05, 0.95), np.clip(places[:, 4], 0.05, 1.0)
        second = corner + way * np.column_stack((share, share * flat))
        return np.stack((low, corner, second, high), axis=1)

    outs = exits[ground.at(exits)[:, 0] < foot[0]]
    axes = (_every(outs, 3), _every(entries, 3), depths, np.array([0.5, 0.75, 0.9]), np.array([0.6, 0.8, 1.0]))  # fmt: skip
    d = 1e-4 * ground.height
    return Family("wedge", axes, build, np.array([d, d, d, 1e-3, 1e-3]))


@dataclass(frozen=True, slots=True, eq=False)
class Floor:
    """The line (k, 2) just above the bottom of a layer; weak: weaker than a layer above it."""

    line: Floats
    weak: bool


def floors(seen: Frame) -> tuple[Floor, ...]:
    """Return the floor of each layer that lies on another.

    Layers are compared under the weight of the ground at the foot of the slope's height.
    """
    model = seen.model
    rise = np.array([0.0, SKIN * seen.ground.height])
    stress = float(model.gamma[0]) * seen.ground.height
    strength = model.c + stress * np.tan(model.phi)
    if model.su is not None:
        strength = np.where(model.su > 0.0, model.su, strength)
    return tuple(
        Floor(seen.turn(np.asarray(top, dtype=float)) + rise, bool((strength[:i] > strength[i]).any()))
        for i, top in enumerate(model.tops)
    )  # fmt: skip


def blocks(seen: Frame, exits: Floats, entries: Floats, on: Floor) -> Family:
    """Return blocks on a layer: places are the ends, and inclinations of passive and active plane."""
    ground, floor = seen.ground, on.line

    def build(places: Floats) -> Floats:
        low, high = chord_ends(seen, places)
        passive = np.tan(np.clip(places[:, 2], radians(5.0), OUTWARD))
        active = np.tan(np.clip(places[:, 3], radians(20.0), STEEPEST))
        x1, x2 = low[:, 0].copy(), high[:, 0].copy()
        for _ in range(4):
            x1 = low[:, 0] + np.maximum(low[:, 1] - _line(floor, x1), 0.0) / passive
            x2 = high[:, 0] - np.maximum(high[:, 1] - _line(floor, x2), 0.0) / active
        x = x1[:, None] + (x2 - x1)[:, None] * np.linspace(0.0, 1.0, ALONG)
        base = np.stack((x, _line(floor, x)), axis=-1)
        return np.concatenate((low[:, None], base, high[:, None]), axis=1)

    crossing = np.flatnonzero(
        np.diff(np.sign(ground.points[:, 1] - _line(floor, ground.points[:, 0])))
    )
    daylight = [_meeting(ground.points[i : i + 2], ground.s[i : i + 2], floor) for i in crossing]
    outs = np.unique(np.concatenate((_every(exits, 2), np.array(daylight, dtype=float))))
    angles = (np.radians([20.0, 30.0, 42.0]), np.radians([45.0, 57.0, 68.0]))
    step = 1e-4 * ground.height
    return Family(
        "block", (outs, _every(entries, 2), *angles), build, np.array([step, step, 2e-3, 2e-3]),
        on.weak,
    )  # fmt: skip


def movable(
    seen: Frame, points: Floats, *, convex: bool, turn: Floats | None = None
) -> tuple[Bools, Bools, Floats]:
    """Return which surfaces (n, m, 2) can move, which are only too thin, and their thickness (n), m.

    convex: whether bending downward is refused; a block follows its layer as it lies. turn (n):
    sharpest bends allowed, except under points that surfaces must pass below.
    """
    ground, given = seen.ground, seen.options
    step = np.diff(points, axis=1)
    usable: Bools = (step[..., 0] > 1e-9).all(axis=1) & (points[:, -1, 1] > points[:, 0, 1])
    angle = np.arctan2(step[..., 1], np.maximum(step[..., 0], 1e-12))
    usable &= (angle[:, -1] <= STEEPEST + 1e-9) & (angle[:, 0] >= -OUTWARD - 1e-9)
    if convex:
        bend = np.diff(angle, axis=1)
        usable &= (bend >= -1e-6).all(axis=1)
        if turn is not None:
            for x, _ in given.beneath:
                bend = np.where(abs(points[:, 1:-1, 0] - seen.sign * x) < 1e-6, 0.0, bend)
            usable &= (bend <= turn[:, None]).all(axis=1)
    else:
        usable &= angle[:, 0] <= angle[:, 1:-1].max(axis=1, initial=-9.0) + 0.2
    usable &= seen.within(points[:, [0, -1], 0])
    usable &= (points[:, 0, 0] > ground.points[0, 0]) & (points[:, -1, 0] < ground.points[-1, 0])
    if given.deepest is not None:
        usable &= points[..., 1].min(axis=1) >= given.deepest - 1e-9
    level = ground.y(points[..., 0])
    over = level - points[..., 1]
    usable &= (over[:, 1:-1] >= -1e-6 * ground.height).all(axis=1)
    corner = ground.points[1:-1]
    span = (corner[None, :, 0] > points[:, :1, 0] + 1e-9) & (
        corner[None, :, 0] < points[:, -1:, 0] - 1e-9
    )
    at_corner = _levels(points, corner[:, 0])
    usable &= ~(span & (corner[None, :, 1] < at_corner - 1e-6 * ground.height)).any(axis=1)
    for x, y in given.beneath:
        x_seen = np.array([seen.sign * x])
        crosses = (points[:, 0, 0] <= x_seen) & (points[:, -1, 0] >= x_seen)
        usable &= ~(crosses & (_levels(points, x_seen)[:, 0] > y + 1e-9))
    chord = points[:, -1] - points[:, 0]
    cos = np.abs(chord[:, 0]) / np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)
    base = above_rock(points[..., 0], points[..., 1], seen.rock)
    lifted = above_rock(np.broadcast_to(corner[:, 0], at_corner.shape), at_corner, seen.rock)
    at_corners = np.where(span, corner[None, :, 1] - lifted, 0.0).max(axis=1, initial=0.0)
    deep = np.maximum((level - base).max(axis=1), at_corners)
    thickness = deep * cos
    thin = usable & (thickness < seen.least_depth)
    return usable & ~thin, thin, thickness


def _levels(points: Floats, x: Floats) -> Floats:
    """Return the level of surfaces (n, m, 2) at x (k), as (n, k); held beyond their ends."""
    px, py = points[..., 0], points[..., 1]
    seg = np.clip((px[:, :, None] <= x[None, None, :]).sum(axis=1) - 1, 0, px.shape[1] - 2)
    x0, x1 = np.take_along_axis(px, seg, 1), np.take_along_axis(px, seg + 1, 1)
    y0, y1 = np.take_along_axis(py, seg, 1), np.take_along_axis(py, seg + 1, 1)
    w = np.clip((x[None, :] - x0) / np.where(x1 > x0, x1 - x0, 1.0), 0.0, 1.0)
    found: Floats = y0 + w * (y1 - y0)
    return found


def _line(line: Floats, x: Floats) -> Floats:
    found: Floats = np.interp(x, line[:, 0], line[:, 1])
    return found


def _meeting(segment: Floats, s: Floats, floor: Floats) -> float:
    """Return the position where a piece of the ground (2, 2) crosses a floor."""
    gap = segment[:, 1] - _line(floor, segment[:, 0])
    share = gap[0] / (gap[0] - gap[1])
    return float(s[0] + share * (s[1] - s[0]))


def _every(values: Floats, n: int) -> Floats:
    """Return every n-th of the values, the last included."""
    return values[(len(values) - 1) % n :: n]
