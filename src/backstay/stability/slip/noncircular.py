"""Search of surfaces that are not circles: planes, wedges, blocks along layers, general polylines.

Families of few parameters are looked over on a grid and descended from their minima, as circles
are. From the least safe of them and from the critical circle a general convex polyline is then
evolved, and kept where it is less safe than its start.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from backstay.stability.slip.admissibility import TOO_THIN
from backstay.stability.slip.analysis import analyse_surface
from backstay.stability.slip.descent import descend, grid_minima, separate, spacing
from backstay.stability.slip.evolution import evolve
from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Floats
from backstay.stability.slip.search_result import Kind, Minimum
from backstay.stability.slip.shapes import (
    TURN,
    Family,
    blocks,
    floors,
    general,
    general_place,
    movable,
    planes,
    sharpest,
    wedges,
)

ROUNDS = 10
KEPT = 2
"""Minima descended from in each family."""
TRIALS = 64


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A surface (m, 2) of the searching frame with the positions of its ends (2)."""

    kind: Kind
    points: Floats
    ends: Floats
    value: float
    last_change: float


def safety(
    seen: Frame, family: Family, places: Floats, *, slices: int, turn: float = np.inf
) -> Floats:
    """Return the safety (n) of a family's surfaces at places (n, d), infinite where none counts."""
    points = family.build(places)
    usable, thin, _ = movable(seen, points, convex=family.kind != "block", turn=turn)
    seen.tally.add(TOO_THIN, thin)
    F = np.full(len(places), np.inf)
    at = np.flatnonzero(usable)
    if len(at):
        F[at] = seen.surface_safety(seen.turn(points[at]), slices=slices)
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
        Found(family.kind, surfaces[i], found.places[i, :2], float(found.values[i]), float(found.change[i]))
        for i in range(len(at))
        if np.isfinite(found.values[i])
    ]  # fmt: skip


def evolve_from(seen: Frame, start: Found, *, seed: int) -> Found | None:
    """Return the general surface evolved from a start, or None where none is less safe.

    Bends sharper than TURN are allowed only where a block that slides on a layer has them.
    """
    given, family = seen.options, general(seen)
    turn = max(TURN, sharpest(start.points) + 1e-3) if start.kind == "block" else TURN

    def objective(places: Floats) -> Floats:
        return safety(seen, family, places, slices=given.slices, turn=turn)

    place = general_place(seen, start.points, start.ends)
    thick = float(movable(seen, start.points[None], convex=False)[2][0])
    spread = np.full(len(place), 0.12 * thick / seen.ground.height)
    spread[:2] = 0.15 * thick
    found = evolve(
        objective, place, float(objective(place[None])[0]), spread,
        generations=given.generations, trials=TRIALS, seed=seed,
    )  # fmt: skip
    if not found.value < start.value:
        return None
    points = family.build(found.place[None])[0]
    return Found("general", points, found.place[:2], found.value, found.last_change)


def search_shapes(seen: Frame, exits: Floats, entries: Floats, circles: list[Found]) -> list[Found]:
    """Return minima that are not circles; circles: the minima of the search of circles."""
    families = [
        planes(seen, exits, entries),
        wedges(seen, exits, entries),
        *(blocks(seen, exits, entries, floor) for floor in floors(seen)),
    ]
    found = [one for family in families for one in look_over(seen, family)]
    for i, start in enumerate(_starts(found, circles)):
        evolved = evolve_from(seen, start, seed=seen.options.seed + i)
        if evolved is not None:
            found.append(evolved)
    return found


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
