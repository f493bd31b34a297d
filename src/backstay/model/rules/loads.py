"""Rules of surcharges, neighbours and what must not be touched."""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum

from backstay.model.loads import Footing, Line, Point, Strip, Surcharge
from backstay.model.rules.rule import Breach, Say, rule, twice
from backstay.model.rules.strata import TOLERANCE
from backstay.model.site import Building, CircleObstacle, Constraints, PolygonObstacle

GREATEST_PRESSURE = 2000.0
"""kPa on the ground; more is a mistaken unit."""
FARTHEST = 500.0
"""m from the wall; farther is a mistaken unit."""


@rule
def loads_have_names(surcharges: tuple[Surcharge, ...]) -> Iterator[Breach]:
    """Require that names tell surcharges apart."""
    for i, name in twice([s.name for s in surcharges]):
        yield Breach(("surcharges", i, "name"), f"another surcharge is called {name} already")


@rule
def surcharge_in_place(
    surcharge: Surcharge, top: float, subgrade: float, slope: float, surface: object, say: Say
) -> Iterator[Breach]:
    """Require that a load stands on the ground or in it, above the bottom of the cut, and within reach."""
    if not isinstance(surcharge, Strip | Line | Point | Footing):
        return
    if surcharge.distance > FARTHEST:
        yield Breach(
            ("distance",), "this is too far from the wall to matter",
            f"at most {say.length(FARTHEST)}", "check the unit",
        )  # fmt: skip
    level = surcharge.elevation
    if level is None:
        return
    if level <= subgrade:
        yield Breach(
            ("elevation",), "a load at or below the bottom of the cut does not press on the wall",
            f"more than {say.length(subgrade)}",
        )  # fmt: skip
    elif slope == 0.0 and not surface and level > top + TOLERANCE:
        yield Breach(
            ("elevation",), "this load stands above the ground", f"at most {say.length(top)}"
        )


@rule
def surcharge_size(surcharge: Surcharge, say: Say) -> Iterator[Breach]:
    """Require that loads are of an order that occurs."""
    pressure = getattr(surcharge, "pressure", 0.0)
    if pressure > GREATEST_PRESSURE:
        yield Breach(
            ("pressure",), "no ground carries this", f"at most {say('stress', GREATEST_PRESSURE)}",
            "check the unit",
        )  # fmt: skip


@rule
def building_faces(building: Building, say: Say) -> Iterator[Breach]:
    """Require that the far face is behind the near face."""
    if building.far <= building.near:
        yield Breach(
            ("far",), "the far face must be farther from the wall than the near face",
            f"more than {say.length(building.near)}",
        )  # fmt: skip
    if building.height > 500.0 or building.near > FARTHEST:
        where = ("height",) if building.height > 500.0 else ("near",)
        yield Breach(where, "this size does not occur for a neighbour", hint="check the unit")


@rule
def buildings_have_names(buildings: tuple[Building, ...]) -> Iterator[Breach]:
    """Require that names tell buildings apart."""
    for i, name in twice([b.name for b in buildings]):
        yield Breach(("buildings", i, "name"), f"another building is called {name} already")


@rule
def obstacles_behind_the_wall(
    constraints: Constraints, top: float, slope: float, surface: object, say: Say
) -> Iterator[Breach]:
    """Require that obstacles have a size, lie behind the wall, and in the ground."""
    level = slope == 0.0 and not surface
    for i, name in twice([o.name for o in constraints.obstacles]):
        yield Breach(
            ("constraints", "obstacles", i, "name"), f"another obstacle is called {name} already"
        )
    for i, obstacle in enumerate(constraints.obstacles):
        where = ("constraints", "obstacles", i)
        if isinstance(obstacle, CircleObstacle):
            nearest = obstacle.centre.distance - obstacle.diameter / 2
            lowest = obstacle.centre.elevation - obstacle.diameter / 2
            key = "centre"
        else:
            nearest = min(p.distance for p in obstacle.points)
            lowest = min(p.elevation for p in obstacle.points)
            key = "points"
            if abs(_area(obstacle)) < 1e-6:
                yield Breach((*where, key), "these points enclose no area", "a polygon in section")
        if nearest < 0.0:
            yield Breach(
                (*where, key), "this obstacle reaches in front of the wall",
                "distances from the wall, positive into the ground",
            )  # fmt: skip
        elif nearest > FARTHEST:
            yield Breach((*where, key), "this is too far from the wall", hint="check the unit")
        if level and lowest > top:
            yield Breach(
                (*where, key), "this obstacle lies above the ground",
                f"elevations below {say.length(top)}", "check the datum of the elevations",
            )  # fmt: skip


def _area(polygon: PolygonObstacle) -> float:
    points = polygon.points
    return 0.5 * fsum(
        a.distance * b.elevation - b.distance * a.elevation
        for a, b in zip(points, (*points[1:], points[0]), strict=True)
    )


@rule
def right_of_way_leaves_room(constraints: Constraints, say: Say) -> Iterator[Breach]:
    """Require that a right-of-way leaves room for an anchor."""
    line = constraints.right_of_way
    if line is not None and not 2.0 <= line <= FARTHEST:
        yield Breach(
            ("constraints", "right_of_way"), "no anchor can be built within this, or none is limited by it",
            f"{say.length(2.0)} to {say.length(FARTHEST)}", "check the unit",
        )  # fmt: skip
