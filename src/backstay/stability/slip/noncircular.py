"""Search of surfaces that are not circles: planes, wedges, blocks along layers, general polylines.

Families of few parameters are looked over on a grid and descended from their minima, as circles
are. From the least safe of them and from the critical circle general convex polylines are then
evolved, and kept where they are less safe than their starts.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

import numpy as np
from numpy.typing import NDArray

from backstay.stability.slip.admissibility import TOO_THIN
from backstay.stability.slip.analysis import analyse_surface
from backstay.stability.slip.descent import descend, grid_minima, separate, spacing
from backstay.stability.slip.evolution import Start, evolve
from backstay.stability.slip.general import (
    general_place,
    general_points,
    general_spread,
    sharpest,
)
from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Bools, Floats
from backstay.stability.slip.search_result import Kind, Minimum
from backstay.stability.slip.shapes import (
    Family,
    bent_wedges,
    blocks,
    floors,
    movable,
    planes,
    wedges,
)

ROUNDS = 10
KEPT = 2
"""Minima descended from in each family."""
TRIALS = 40
ROUND = radians(15.0)
"""Bend up to which ground with friction is taken to follow a surface without shearing through."""
GAIN = 1e-3
"""Share by which a general surface must be less safe than its start to be kept."""
FEW = 36
"""Slices of surfaces while they evolve."""
BENT = 2
"""Bent wedges under a vertical face that general surfaces are evolved from."""


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


def safety(seen: Frame, family: Family, places: Floats, *, slices: int) -> Floats:
    """Return the safety (n) of a family's surfaces at places (n, d), infinite where none counts."""
    points = family.build(places)
    usable, thin, _ = movable(seen, points, convex=family.kind != "block")
    return _counted(seen, points, usable, thin, slices, np.full(len(places), family.on_weak_layer))


def _counted(
    seen: Frame, points: Floats, usable: Bools, thin: Bools, slices: int, weak: Bools
) -> Floats:
    """Return the safety (n) of surfaces (n, m, 2), infinite where one does not count.

    weak (n): slides on a weak layer, and may bend as it likes.
    """
    seen.tally.add(TOO_THIN, thin)
    F = np.full(len(points), np.inf)
    at = np.flatnonzero(usable)
    if len(at):
        free = weak[at]
        if not seen.moments_alone:
            free = free | (sharpest(points[at]) <= ROUND)
        sheared = np.where(free, -np.inf, seen.options.admissibility.sheared)
        F[at] = seen.surface_safety(seen.turn(points[at]), slices=slices, sheared=sheared)
    return F


def look_over(seen: Frame, family: Family) -> list[Found]:
    """Return the separate minima of a family."""
    given = seen.options
    grid = np.stack(np.meshgrid(*family.axes, indexing="ij"), axis=-1)
    d = grid.shape[-1]
    value = safety(seen, family, grid.reshape(-1, d), slices=given.grid_slices)
    at = grid_minima(value.reshape(grid.shape[:-1]), KEPT)
    if not len(at):
        return []
    starts = grid[tuple(at.T)]
    steps = np.column_stack([0.5 * spacing(axis)[at[:, k]] for k, axis in enumerate(family.axes)])
    again = safety(seen, family, starts, slices=given.slices)
    found = descend(
        lambda p: safety(seen, family, p, slices=given.slices), starts, again, steps,
        rounds=ROUNDS, least=family.least,
    )  # fmt: skip
    surfaces = family.build(found.places)
    return [
        Found(
            family.kind, surfaces[i], found.places[i, :2], float(found.values[i]),
            float(found.change[i]), family.on_weak_layer,
        )
        for i in range(len(at))
        if np.isfinite(found.values[i])
    ]  # fmt: skip


def under_face(seen: Frame, exits: Floats, entries: Floats) -> list[Found]:
    """Return the least safe of the bent wedges under a vertical face on their grid, to evolve from."""
    family = bent_wedges(seen, exits, entries)
    if family is None:
        return []
    grid = np.stack(np.meshgrid(*family.axes, indexing="ij"), axis=-1)
    value = safety(seen, family, grid.reshape(-1, grid.shape[-1]), slices=seen.options.grid_slices)
    at = grid_minima(value.reshape(grid.shape[:-1]), BENT)
    places = grid[tuple(at.T)]
    surfaces, again = family.build(places), safety(seen, family, places, slices=seen.options.slices)
    return [
        Found("wedge", surfaces[i], places[i, :2], float(again[i]), np.inf) for i in range(len(at))
    ]


def evolved(seen: Frame, starts: list[Found]) -> list[Found]:
    """Return the general surfaces evolved from starts, side by side, where less safe than those.

    Sharp bends are allowed where the mass shears through above them. From a block that slides on a weak
    layer bends no sharper than its own are. The last trials are judged again with all slices.
    """
    if not starts:
        return []
    given = seen.options
    weak = np.array([one.on_weak_layer for one in starts])
    turn = np.where(weak, [sharpest(one.points[None])[0] + 1e-3 for one in starts], np.inf)
    drawn = [general_place(seen, one.points, one.ends) for one in starts]
    places, shares = (np.array(part) for part in zip(*drawn, strict=True))

    def judged(places: Floats, of: NDArray[np.intp], slices: int = FEW) -> Floats:
        points = general_points(seen, places, shares[of])
        usable, thin, _ = movable(seen, points, convex=True, turn=turn[of])
        return _counted(seen, points, usable, thin, slices, weak[of])

    every = np.arange(len(starts))
    values = judged(places, every)
    begun = []
    for i, one in enumerate(starts):
        thick = float(movable(seen, one.points[None], convex=False)[2][0])
        begun.append(Start(places[i], float(values[i]), general_spread(seen, thick)))
    done = evolve(judged, begun, generations=given.generations, trials=TRIALS, seed=given.seed)
    last = np.concatenate([run.last for run in done])
    of = np.repeat(every, [len(run.last) for run in done])
    again = judged(last, of, given.slices)
    found = []
    for i, (one, run) in enumerate(zip(starts, done, strict=True)):
        mine = np.flatnonzero(of == i)
        best = mine[again[mine].argmin()]
        if again[best] < (1.0 - GAIN) * one.value:
            points = general_points(seen, last[best : best + 1], shares[i : i + 1])[0]
            found.append(
                Found(
                    "general", points, last[best, :2], float(again[best]), run.last_change,
                    one.on_weak_layer,
                )
            )  # fmt: skip
    return found


def search_shapes(seen: Frame, exits: Floats, entries: Floats, circles: list[Found]) -> list[Found]:
    """Return minima that are not circles; circles: the minima of the search of circles."""
    found = []
    families = [
        planes(seen, exits, entries),
        wedges(seen, exits, entries),
        *(blocks(seen, exits, entries, floor) for floor in floors(seen)),
    ]
    for family in families:
        found += look_over(seen, family)
    starts = [*_starts(found, circles), *under_face(seen, exits, entries)]
    return [*found, *evolved(seen, starts)]


def _starts(found: list[Found], circles: list[Found]) -> list[Found]:
    """Return what general surfaces are evolved from: the best circle, and the best of the others."""
    order = sorted(found, key=lambda one: one.value)
    best = [one for one in order if one.kind in ("block", "wedge")][: 1 if circles else 2]
    return [*sorted(circles, key=lambda one: one.value)[:1], *best]


def separate_shapes(seen: Frame, found: list[Found]) -> list[Found]:
    """Return the least safe of surfaces of one kind that lie in the same place."""
    kept: list[Found] = []
    for kind in dict.fromkeys(one.kind for one in found):
        same = [one for one in found if one.kind == kind]
        features = np.array(
            [
                np.concatenate((one.points[0], one.points[-1], [one.points[:, 1].min()]))
                for one in same
            ]
        )
        order = separate(
            features / seen.ground.height, np.array([one.value for one in same]), seen.options.apart
        )
        kept.extend(same[i] for i in order)
    return kept


def shape_minimum(seen: Frame, one: Found) -> Minimum:
    """Return a surface as a minimum with its slices."""
    given = seen.options
    points = seen.turn(one.points[None])[0]
    result = analyse_surface(
        seen.model, points, given.method, given.slices, side_force=given.side_force
    )
    thickness = float(movable(seen, one.points[None], convex=False)[2][0])
    low, high = one.points[0], one.points[-1]
    return Minimum(
        F=result.F,
        kind=one.kind,
        circle=None,
        points=points,
        out=(seen.sign * float(low[0]), float(low[1])),
        start=(seen.sign * float(high[0]), float(high[1])),
        thickness=thickness,
        last_change=one.last_change,
        at_edge=seen.at_edge(np.array([low[0], high[0]])),
        result=result,
    )
