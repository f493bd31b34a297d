"""What can be dragged in a section of wall: only what its project file really holds, or leaves open."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from math import atan2, cos, isfinite
from typing import Any

from backstay.anchors import AnchorDesign
from backstay.anchors.geometry import Axis
from backstay.design import SectionDesign
from backstay.drawing.ground import surface_depth
from backstay.model.document import Path
from backstay.model.loads import Footing, Line, Point, Strip
from backstay.model.project import Section
from backstay.model.rules.strata import TOLERANCE
from backstay.model.site import CircleObstacle
from backstay.workbench.section.handles import ANGLE, LENGTH, Handle, Held, Place, Way


def section_handles(
    done: SectionDesign, where: Path, *, left: float, right: float
) -> tuple[Handle, ...]:
    """Return the handles of a section, in the order in which a person goes through them.

    where: path of the section in the file; left, right: distances (m) from the wall of the edges of
    what is seen, left negative: levels that have no place across are taken hold of near them.
    """
    at = _Site(done, where)
    return (
        *at.cut(left), *at.wall(), *at.rows(), *at.surface(left, right), *at.strata(right),
        *at.water(left, right), *at.loads(), *at.neighbours(right), *at.obstacles(right),
    )  # fmt: skip


class _Site:
    """One section, as its handles see it."""

    def __init__(self, done: SectionDesign, where: Path) -> None:
        self.done = done
        self.section: Section = done.section
        self.where = where

    def level(
        self,
        id: str,
        label: str,
        x: float,
        elevation: float,
        thing: Path,
        *keys: Path,
        note: str = "",
    ) -> Handle:
        """Return the handle of an elevation that stands at one or more keys."""
        section = self.section

        def read(to: Place) -> list[float]:
            return [section.elevation(to[1])] * len(keys)

        held = tuple(Held((*self.where, *key), LENGTH, elevation) for key in keys)
        at = (x, section.depth(elevation))
        return Handle(id, label, at, Way.VERTICAL, (*self.where, *thing), held, read, note)

    def distance(
        self,
        id: str,
        label: str,
        at: Place,
        value: float,
        thing: Path,
        key: str,
        origin: float = 0.0,
    ) -> Handle:
        """Return the handle of a distance from the wall, or from an origin behind it."""
        held = (Held((*self.where, *thing, key), LENGTH, value, across=True),)

        def read(to: Place) -> list[float]:
            return [to[0] - origin]

        return Handle(id, label, at, Way.HORIZONTAL, (*self.where, *thing), held, read)

    def cut(self, left: float) -> Iterator[Handle]:
        subgrade = self.section.cut.subgrade
        # close to the wall, where the labels of the rows are not
        yield self.level(
            "subgrade", "Subgrade", 0.16 * left, subgrade, ("cut",), ("cut", "subgrade")
        )

    def wall(self) -> Iterator[Handle]:
        toe = self.section.elevation(self.done.wall.toe)
        note = "found by the design; moved, it stays where it is put" * (
            self.section.wall.toe == "auto"
        )
        yield self.level("toe", "Toe of the wall", 0.0, toe, ("wall",), ("wall", "toe"), note=note)

    def rows(self) -> Iterator[Handle]:
        for i, (row, anchor) in enumerate(
            zip(self.section.anchors, self.done.anchors, strict=True)
        ):
            thing: Path = ("anchors", i)
            name = f"row {anchor.row}"
            yield self.level(
                f"row-{i}-head", f"Anchor head, {name}", 0.0, row.elevation, thing,
                (*thing, "elevation"),
            )  # fmt: skip
            yield self._inclination(i, anchor, thing)
            least = "the least that the rules allow; moved, it stays" * (
                row.unbonded_length == "least"
            )
            yield self._length(
                f"row-{i}-free", f"Unbonded length, {name}", anchor, anchor.free_end, thing,
                (*thing, "unbonded_length"), anchor.unbonded_length, 0.0, least,
            )  # fmt: skip
            open_bond = "what the ground asks for; moved, it is given" * (row.bond.length is None)
            yield self._length(
                f"row-{i}-bond", f"Bond length, {name}", anchor, anchor.bond_end, thing,
                (*thing, "bond", "length"), anchor.bond_length, anchor.unbonded_length, open_bond,
                1 if "bond" not in row.model_fields_set else 0,
            )  # fmt: skip

    def _inclination(self, i: int, anchor: AnchorDesign, thing: Path) -> Handle:
        head, (x, z) = anchor.head, anchor.bond_end
        middle = ((x + anchor.free_end[0]) / 2, (z + anchor.free_end[1]) / 2)

        def read(to: Place) -> list[float]:
            # seen in the section, a skewed anchor is steeper: tan i = tan(seen) cos(skew)
            rise, run = to[1] - head[1], max(to[0] - head[0], 1e-6)
            return [atan2(rise * cos(anchor.skew), run)]

        held = (Held((*self.where, *thing, "inclination"), ANGLE, anchor.inclination, sign=-1),)
        return Handle(
            f"row-{i}-inclination", f"Inclination, row {anchor.row}", middle, Way.AROUND,
            (*self.where, *thing), held, read,
        )  # fmt: skip

    def _length(
        self, id: str, label: str, anchor: AnchorDesign, at: Place, thing: Path, key: Path,
        value: float, before: float, note: str, absent: int = 0,
    ) -> Handle:  # fmt: skip
        """Return the handle of a length along the tendon that begins `before` (m) from the head.

        absent: how many of the last keys stand in no mapping of the file yet.
        """
        axis = Axis(anchor.z, anchor.inclination, anchor.skew)

        def read(to: Place) -> list[float]:
            ax, down = axis.across, axis.down
            along = (to[0] * ax + (to[1] - axis.z) * down) / (ax * ax + down * down)
            return [along - before]

        inside = tuple(str(k) for k in key[len(key) - absent :])
        path = (*self.where, *key[: len(key) - absent])
        held = (Held(path, LENGTH, value, across=True, inside=inside),)
        return Handle(id, label, at, Way.ALONG, (*self.where, *thing), held, read, note)

    def surface(self, left: float, right: float) -> Iterator[Handle]:
        """Yield the top of the wall, which what begins at it goes with, and the surveyed points behind."""
        ground = self.section.ground
        keys: list[Path] = [("ground", "top")]
        if abs(ground.strata[0].top - ground.top) <= TOLERANCE:
            keys.append(("ground", "strata", 0, "top"))
        at_wall = bool(ground.profile) and ground.profile[0].distance == 0.0
        if at_wall:
            keys.append(("ground", "profile", 0, "elevation"))
        # before the wall: behind it stand what is loaded, and what is measured from the wall
        yield self.level("top", "Top of the wall", 0.06 * left, ground.top, ("ground",), *keys)
        for k, point in enumerate(ground.profile):
            at = (point.distance, self.section.depth(point.elevation))
            if point.distance > right or (k == 0 and at_wall):
                continue
            thing: Path = ("ground", "profile", k)
            held = (
                Held((*self.where, *thing, "distance"), LENGTH, point.distance, across=True),
                Held((*self.where, *thing, "elevation"), LENGTH, point.elevation),
            )
            yield Handle(
                f"ground-{k}", f"Point {k + 1} of the ground", at, Way.FREE,
                (*self.where, "ground"), held, self._place(),
            )  # fmt: skip

    def strata(self, right: float) -> Iterator[Handle]:
        strata = self.section.ground.strata
        for i, stratum in enumerate(strata):
            if i == 0:
                continue  # its top is the ground
            thing: Path = ("ground", "strata", i)
            keys: list[Path] = [(*thing, "top")]
            if strata[i - 1].bottom is not None:
                keys.append(("ground", "strata", i - 1, "bottom"))
            yield self.level(
                f"stratum-{i}", f"Top of {stratum.name}", 0.985 * right, stratum.top, thing, *keys
            )

    def water(self, left: float, right: float) -> Iterator[Handle]:
        water, thing = self.section.ground.water, ("ground", "water")
        if water.retained is not None:
            yield self.level(
                "water", "Water behind the wall", 0.86 * right, water.retained, thing,
                (*thing, "retained"),
            )  # fmt: skip
        if water.cut is not None or isfinite(self.done.ground.water_cut):
            level = water.cut
            if level is None:
                level = self.section.elevation(self.done.ground.water_cut)
            note = "not given: subgrade or lower; moved, it is given" * (water.cut is None)
            yield self.level(
                "water-cut",
                "Water in the cut",
                0.3 * left,
                level,
                thing,
                (*thing, "cut"),
                note=note,
            )
        for i, perched in enumerate(water.perched):
            key: Path = (*thing, "perched", i)
            name = "perched water" if len(water.perched) == 1 else f"perched water {i + 1}"
            for part, x, says in (("level", 0.72, "Level of"), ("base", 0.68, "Base of")):
                yield self.level(
                    f"perched-{i}-{part}", f"{says} {name}", x * right, getattr(perched, part),
                    thing, (*key, part),
                )  # fmt: skip

    def loads(self) -> Iterator[Handle]:
        for i, load in enumerate(self.section.surcharges):
            thing: Path = ("surcharges", i)
            if isinstance(load, Strip | Footing):
                far = load.distance + load.width
                yield self.distance(
                    f"load-{i}-near", f"Near edge of {load.name}", self._on(load, load.distance),
                    load.distance, thing, "distance",
                )  # fmt: skip
                yield from self._face(i, load, load.distance + 0.5 * load.width)
                yield self.distance(
                    f"load-{i}-width", f"Width of {load.name}", self._on(load, far), load.width,
                    thing, "width", load.distance,
                )  # fmt: skip
            elif isinstance(load, Line | Point):
                yield self.distance(
                    f"load-{i}", f"Distance of {load.name}", self._on(load, load.distance),
                    load.distance, thing, "distance",
                )  # fmt: skip
                # above its own place, where the arrow stands
                yield from self._face(i, load, load.distance, above=0.04 * self.section.height)

    def _face(self, i: int, load: Any, x: float, *, above: float = 0.0) -> Iterator[Handle]:
        """Yield the level at which a load bears, where the file gives it."""
        if load.elevation is None:
            return
        made = self.level(
            f"load-{i}-level", f"Level of {load.name}", x, load.elevation, ("surcharges", i),
            ("surcharges", i, "elevation"),
        )  # fmt: skip
        yield replace(
            made, at=(x, made.at[1] - above), read=lambda to: made.read((to[0], to[1] + above))
        )

    def _on(self, load: Any, x: float) -> Place:
        """Return where a load stands: on its own face, or on the surface."""
        if load.elevation is not None:
            return x, self.section.depth(load.elevation)
        return x, surface_depth(self.done.ground, x)

    def neighbours(self, right: float) -> Iterator[Handle]:
        limit = self.section.constraints.right_of_way
        if limit is not None and limit <= right:
            yield self.distance(
                "right-of-way", "Right-of-way", (limit, surface_depth(self.done.ground, limit)), limit,
                ("constraints",), "right_of_way",
            )  # fmt: skip
        for i, building in enumerate(self.section.buildings):
            for part, says in (("near", "Near face of"), ("far", "Far face of")):
                x: float = getattr(building, part)
                if x <= right:
                    at = (x, surface_depth(self.done.ground, x) - 0.5)
                    yield self.distance(
                        f"building-{i}-{part}", f"{says} {building.name}", at, x, ("buildings", i),
                        part,
                    )  # fmt: skip

    def obstacles(self, right: float) -> Iterator[Handle]:
        for i, obstacle in enumerate(self.section.constraints.obstacles):
            thing: Path = ("constraints", "obstacles", i)
            if isinstance(obstacle, CircleObstacle):
                points = [(obstacle.centre, (*thing, "centre"), "Centre of", f"obstacle-{i}")]
            else:
                points = [
                    (p, (*thing, "points", k), f"Point {k + 1} of", f"obstacle-{i}-{k}")
                    for k, p in enumerate(obstacle.points)
                ]
            for point, key, says, id in points:
                at = (point.distance, self.section.depth(point.elevation))
                if at[0] > right:
                    continue
                held = (
                    Held((*self.where, *key, "distance"), LENGTH, point.distance, across=True),
                    Held((*self.where, *key, "elevation"), LENGTH, point.elevation),
                )
                yield Handle(
                    id, f"{says} {obstacle.name}", at, Way.FREE, (*self.where, *thing), held,
                    self._place(),
                )  # fmt: skip

    def _place(self) -> Callable[[Place], list[float]]:
        def read(to: Place) -> list[float]:
            return [to[0], self.section.elevation(to[1])]

        return read
