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

from backstay.stability.slip.arrays import MOVES, OUTWARD, STEEPEST, THIN
from backstay.stability.slip.build import kernel
from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Bools, Floats
from backstay.stability.slip.search_result import Kind

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


@dataclass(frozen=True, slots=True, eq=False)
class Movable:
    """What is known of n polylines: usable (n): can move; thin (n): could but for its thickness.

    thickness (n): across the chord, m; bend (n): sharpest upward bend, radians.
    """

    usable: Bools
    thin: Bools
    thickness: Floats
    bend: Floats


def movable(seen: Frame, points: Floats, *, convex: bool, turn: Floats | None = None) -> Movable:
    """Return which surfaces (n, m, 2) can move.

    convex: whether bending downward is refused; a block follows its layer as it lies. turn (n):
    sharpest bends allowed, except under points that surfaces must pass below.
    """
    k = kernel()
    state, found = np.empty(len(points), np.int64), np.empty((len(points), 2))
    allowed = np.full(len(points), np.inf) if turn is None else turn
    k.weigh(points, seen.bounds, convex, allowed, state, found)
    return Movable(state == MOVES, state == THIN, found[:, 0], found[:, 1])


def laid(seen: Frame, places: Floats, shares: Floats, pins: Floats) -> Floats:
    """Return the convex surfaces (n, m, 2) at places (n, d): see `polyline.lay`."""
    inner = places.shape[1] - 3 if shares.shape[1] else (places.shape[1] - 2) // 2
    points = np.empty((len(places), inner + 2, 2))
    kernel().lay(places, shares, pins, seen.bounds, np.empty(inner + 2), points)
    return points


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
