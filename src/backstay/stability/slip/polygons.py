"""Polylines that evolve: general ones from the least safe of other forms, and wedges under a face."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

import numpy as np
from numpy.typing import NDArray

from backstay.stability.slip.admissibility import TOO_THIN
from backstay.stability.slip.corners import corner_place, corner_points, corner_spread
from backstay.stability.slip.evolution import Judged, Start, evolve
from backstay.stability.slip.general import (
    general_place,
    general_points,
    general_spread,
)
from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Bools, Floats
from backstay.stability.slip.search_result import Kind
from backstay.stability.slip.shapes import Movable, feet, movable

TRIALS = 40
CORNERS = 4
"""Corners of the polylines under a face; three find the same valley, but not its floor."""
ROUND = radians(15.0)
"""Bend up to which ground with friction is taken to follow a surface without shearing through."""
GAIN = 3e-3
"""Share by which a general surface must be less safe than its start: with less it is the same surface."""


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A surface (m, 2) of the searching frame with the positions of its ends (2).

    on_weak_layer: see Family.
    """

    kind: Kind
    points: Floats
    ends: Floats
    value: float
    last_change: float
    on_weak_layer: bool = False


@dataclass(frozen=True, slots=True)
class Turn:
    """One turn of an evolution: how many of the best it starts from, how wide, with how many trials.

    spread: over that of a first turn; trials: per generation and start.
    """

    starts: int
    spread: float
    trials: int


TURNS = (Turn(2, 1.0, 60), Turn(3, 0.5, 80), Turn(2, 0.3, 80))
"""Turns of the wedges under a face: the valley is narrow, and a single turn ends anywhere along it."""


def judged(
    seen: Frame, points: Floats, move: Movable, slices: int, weak: Bools, *, rigid: bool = False
) -> Judged:
    """Return safety and rank (n) of surfaces (n, m, 2), infinite where one does not count.

    move: what is known of them; weak (n): slides on a weak layer, and may bend as it likes; rigid: see
    Frame.surface_safety.
    """
    seen.tally.add(TOO_THIN, move.thin)
    found = Judged(np.full(len(points), np.inf), np.full(len(points), np.inf))
    at = np.flatnonzero(move.usable)
    if len(at):
        free = weak[at]
        if not seen.moments_alone:
            free = free | (move.bend[at] <= ROUND)
        sheared = np.where(free, -np.inf, seen.options.admissibility.sheared)
        some = seen.surface_safety(
            seen.turn(points[at]), slices=slices, sheared=sheared, rigid=rigid
        )
        found.value[at], found.rank[at] = some.value, some.rank
    return found


def evolved(seen: Frame, starts: list[Found]) -> list[Found]:
    """Return the general surfaces evolved from starts, side by side, where less safe than those.

    Sharp bends are allowed where the mass shears through above them. From a block that slides on a weak
    layer bends no sharper than its own are. All slices are used from the beginning, because the limits of the
    rules shift with their number.
    """
    if not starts:
        return []
    given = seen.options
    weak = np.array([one.on_weak_layer for one in starts])
    turn = np.where(weak, [_as_it_lies(seen, one).bend[0] + 1e-3 for one in starts], np.inf)
    drawn = [general_place(seen, one.points, one.ends) for one in starts]
    places, shares = (np.array(part) for part in zip(*drawn, strict=True))

    def judge(places: Floats, of: NDArray[np.intp]) -> Judged:
        points = general_points(seen, places, shares[of])
        move = movable(seen, points, convex=True, turn=turn[of])
        return judged(seen, points, move, given.slices, weak[of])

    every = np.arange(len(starts))
    values = judge(places, every).value
    begun = [
        Start(places[i], float(values[i]), general_spread(seen, _thickness(seen, one)))
        for i, one in enumerate(starts)
    ]
    done = evolve(judge, begun, generations=given.generations, trials=TRIALS, seed=given.seed)
    found = []
    for i, (one, run) in enumerate(zip(starts, done, strict=True)):
        if run.value < (1.0 - GAIN) * one.value:
            points = general_points(seen, run.place[None], shares[i : i + 1])[0]
            found.append(
                Found(
                    "general", points, run.place[:2], run.value, run.last_change, one.on_weak_layer
                )
            )
    return found


def under_face(seen: Frame, starts: list[Found], others: list[Found]) -> list[Found]:
    """Return the least safe polyline of few corners under a vertical face; none without a face.

    starts: bent wedges; others: surfaces found already, which later turns may start from too.
    """
    below = feet(seen)
    if not len(below) or not starts:
        return []
    given, pool = seen.options, list(starts)

    def judge(places: Floats, of: NDArray[np.intp]) -> Judged:  # noqa: ARG001 - all are alike
        points = corner_points(seen, places, below)
        move = movable(seen, points, convex=True)
        return judged(seen, points, move, given.slices, np.zeros(len(points), dtype=bool))

    for number, turn in enumerate(TURNS):
        chosen = pool[: turn.starts]
        places = np.array([corner_place(seen, one.points, one.ends, CORNERS) for one in chosen])
        values = judge(places, np.arange(len(places))).value
        begun = [
            Start(
                places[i], float(values[i]),
                turn.spread * corner_spread(seen, _thickness(seen, one), CORNERS),
            )
            for i, one in enumerate(chosen)
        ]  # fmt: skip
        done = evolve(
            judge, begun, generations=given.generations, trials=turn.trials,
            seed=given.seed + 100 * (number + 1),
        )  # fmt: skip
        found = [
            Found(
                "general", corner_points(seen, run.place[None], below)[0], run.place[:2],
                run.value, run.last_change,
            )
            for run in done if np.isfinite(run.value)
        ]  # fmt: skip
        if number == 0:
            pool = []
            found += [one for one in others if one.kind in ("wedge", "general")]
        pool = sorted([*found, *pool], key=lambda one: one.value)
        if not pool:
            return []
    return pool[:1]


def _thickness(seen: Frame, one: Found) -> float:
    return float(_as_it_lies(seen, one).thickness[0])


def _as_it_lies(seen: Frame, one: Found) -> Movable:
    return movable(seen, one.points[None], convex=False)
