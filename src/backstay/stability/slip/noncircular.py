"""Search of surfaces that are not circles: planes, wedges, blocks along layers, general polylines.

Families of few parameters are looked over on a grid and descended from their minima, as circles
are. From the least safe of them and from the critical circle general convex polylines are then
evolved, and kept where they are less safe than their starts; under a vertical face polylines of few
corners as well.
"""

from __future__ import annotations

import numpy as np

from backstay.stability.slip.analysis import analyse_surface
from backstay.stability.slip.descent import descend, grid_minima, separate, spacing
from backstay.stability.slip.evolution import Judged
from backstay.stability.slip.ground_frame import Frame
from backstay.stability.slip.model import Floats
from backstay.stability.slip.polygons import Found, evolved, judged, under_face
from backstay.stability.slip.search_result import Minimum
from backstay.stability.slip.shapes import (
    Family,
    bent_wedges,
    blocks,
    feet,
    floors,
    movable,
    planes,
    wedges,
)

ROUNDS = 10
KEPT = 2
"""Minima descended from in each family."""
BENT = 2
"""Bent wedges under a vertical face that general surfaces are evolved from."""


def judge(seen: Frame, family: Family, places: Floats, *, slices: int) -> Judged:
    """Return safety and rank (n) of a family's surfaces at places (n, d), infinite where none counts.

    A mass on a plane is rigid: equilibrium of its forces alone gives its safety.
    """
    points = family.build(places)
    move = movable(seen, points, convex=family.kind != "block")
    weak = np.full(len(places), family.on_weak_layer)
    return judged(seen, points, move, slices, weak, rigid=family.kind == "plane")


def safety(seen: Frame, family: Family, places: Floats, *, slices: int) -> Floats:
    """Return the safety (n) of a family's surfaces at places (n, d), infinite where none counts."""
    return judge(seen, family, places, slices=slices).value


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


def bent(seen: Frame, exits: Floats, entries: Floats) -> list[Found]:
    """Return the least of the bent wedges under a vertical face on their grid, to evolve from.

    They are taken by rank: hardly any of the grid keeps every rule.
    """
    family = bent_wedges(seen, exits, entries)
    if family is None:
        return []
    grid = np.stack(np.meshgrid(*family.axes, indexing="ij"), axis=-1)
    found = judge(seen, family, grid.reshape(-1, grid.shape[-1]), slices=seen.options.grid_slices)
    at = grid_minima(found.rank.reshape(grid.shape[:-1]), BENT)
    places = grid[tuple(at.T)]
    surfaces, again = family.build(places), safety(seen, family, places, slices=seen.options.slices)
    return [
        Found("wedge", surfaces[i], places[i, :2], float(again[i]), np.inf) for i in range(len(at))
    ]


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
    found += evolved(seen, _starts(seen, found, circles))
    return [*found, *under_face(seen, bent(seen, exits, entries), found)]


def _starts(seen: Frame, found: list[Found], circles: list[Found]) -> list[Found]:
    """Return what general surfaces are evolved from: the best circle, and the best of the others."""
    order = sorted(found, key=lambda one: one.value)
    # wedges under a face evolve by their corners
    kinds = ("block",) if len(feet(seen)) else ("block", "wedge")
    best = [one for one in order if one.kind in kinds][: 1 if circles else 2]
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
    thickness = float(movable(seen, one.points[None], convex=False).thickness[0])
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
