"""What can be dragged in a slope: only what its project file really holds, or leaves open.

Lines of points that lie near one another would hide one another's handles: one kind of thing is taken hold
of at a time. Heads of anchors stay on the face: they go with it, and along it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import atan2, hypot
from typing import Literal, get_args

from backstay.model.document import Path
from backstay.model.slope import Slope, SlopePoint
from backstay.model.slope_loads import SlopeLine, SlopeStrip
from backstay.stability.slope_anchors import SlopeAnchor
from backstay.stability.slope_design import SlopeDesign
from backstay.workbench.section.handles import ANGLE, LENGTH, Follow, Handle, Held, Place, Way

Kind = Literal["ground, rows and loads", "strata", "water", "known slip surface"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Line = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Seen:
    """What of a slope is on the screen: x from left to right (m), elevation of depth 0 (m)."""

    left: float
    right: float
    top: float


def kinds_of(slope: Slope) -> tuple[Kind, ...]:
    """Return the kinds of things that a slope has something to drag of."""
    there = {
        "strata": any(s.top is not None or s.top_line for s in slope.strata),
        "water": bool(slope.water or slope.design_water),
    }
    return tuple(kind for kind in KINDS if there.get(kind, True))


def slope_handles(done: SlopeDesign, where: Path, seen: Seen, kind: Kind) -> tuple[Handle, ...]:
    """Return the handles of a kind, in the order in which a person goes through them.

    where: path of the slope in the file.
    """
    at = _Slope(done, where, seen)
    if kind == "strata":
        return tuple(at.strata())
    if kind == "water":
        return (*at.line("water", "water"), *at.line("design_water", "water to design for"))
    if kind == "known slip surface":
        return tuple(at.known())
    return (*at.ground(), *at.heads(), *at.shared(), *at.loads(), *at.piles())


def face_level(line: Line, x: float, near: float) -> float:
    """Return the level of a line at x, the nearest to another where it is vertical; held beyond its ends."""
    found = []
    for (x1, y1), (x2, y2) in pairwise(line):
        if x1 <= x <= x2:
            found += [y1, y2] if x1 == x2 else [y1 + (y2 - y1) * (x - x1) / (x2 - x1)]
    if not found:
        return line[0][1] if x < line[0][0] else line[-1][1]
    return min(max(near, min(found)), max(found))


class _Slope:
    """One slope, as its handles see it."""

    def __init__(self, done: SlopeDesign, where: Path, seen: Seen) -> None:
        self.done, self.where, self.seen = done, where, seen
        self.slope = done.slope
        self.face: Line = [(p.x, p.elevation) for p in self.slope.profile]

    def place(self, x: float, elevation: float) -> Place:
        return x, self.seen.top - elevation

    def elevation(self, to: Place) -> float:
        return self.seen.top - to[1]

    def path(self, *keys: str | int) -> Path:
        return (*self.where, *keys)

    def shown(self, x: float) -> bool:
        return self.seen.left <= x <= self.seen.right

    def point(
        self, id: str, label: str, point: SlopePoint, key: Path, thing: Path,
        follows: Callable[[Sequence[float]], Sequence[Follow]] | None = None,
    ) -> Iterator[Handle]:  # fmt: skip
        """Yield the handle of a point that goes any way, where it is on the screen."""
        if not self.shown(point.x):
            return

        def read(to: Place) -> list[float]:
            return [to[0], self.elevation(to)]

        held = (
            Held((*key, "x"), LENGTH, point.x, across=True),
            Held((*key, "elevation"), LENGTH, point.elevation),
        )
        made = Handle(id, label, self.place(point.x, point.elevation), Way.FREE, thing, held, read)
        yield (
            made
            if follows is None
            else Handle(id, label, made.at, made.way, thing, held, read, follows=follows)
        )

    def single(
        self, id: str, label: str, at: Place, way: Way, keys: Path, value: float, thing: Path,
        read: Callable[[Place], float],
    ) -> Handle:  # fmt: skip
        """Return the handle of one value, which goes one way."""
        held = (Held(self.path(*keys), LENGTH, value, across=way is Way.HORIZONTAL),)
        return Handle(id, label, at, way, thing, held, lambda to: [read(to)])

    def line(self, key: str, name: str) -> Iterator[Handle]:
        """Yield the points of a line that the slope itself holds."""
        points: tuple[SlopePoint, ...] = getattr(self.slope, key)
        for k, point in enumerate(points):
            label = f"Point {k + 1} of the {name}"
            yield from self.point(f"{key}-{k}", label, point, self.path(key, k), self.where)

    def ground(self) -> Iterator[Handle]:
        for k, point in enumerate(self.slope.profile):
            yield from self.point(
                f"ground-{k}", f"Point {k + 1} of the ground", point, self.path("profile", k),
                self.where, lambda values, k=k: self._carried(k, values),  # type: ignore[misc]
            )  # fmt: skip

    def _carried(self, k: int, values: Sequence[float]) -> list[Follow]:
        """Return the heads on the face beside a point of the ground that has moved: as far from it as before."""
        face = [*self.face]
        face[k] = (values[0], values[1])
        found = []
        for i, head in enumerate(self.slope.anchors.heads):
            was = face_level(self.face, head.x, head.elevation)
            rise = face_level(face, head.x, head.elevation) - was
            if abs(rise) > 1e-9:
                key = self.path("anchors", "heads", i, "elevation")
                found.append((Held(key, LENGTH, head.elevation), head.elevation + rise))
        return found

    def heads(self) -> Iterator[Handle]:
        for i, head in enumerate(self.slope.anchors.heads):
            if not self.shown(head.x):
                continue
            key = self.path("anchors", "heads", i)

            def follows(values: Sequence[float], head: SlopePoint = head, key: Path = key) -> list[Follow]:  # fmt: skip
                level = face_level(self.face, values[0], head.elevation)
                return [(Held((*key, "elevation"), LENGTH, head.elevation), level)]

            yield Handle(
                f"head-{i}", f"Anchor head, row {i + 1}, along the face",
                self.place(head.x, head.elevation), Way.HORIZONTAL, self.path("anchors"),
                (Held((*key, "x"), LENGTH, head.x, across=True),), lambda to: [to[0]],
                follows=follows,
            )  # fmt: skip

    def shared(self) -> Iterator[Handle]:
        """Yield what all rows share, at the lowest one: there is most room."""
        if not self.done.rows:
            return
        row, given = self.done.rows[-1], self.slope.anchors
        anchor = row.anchor
        found = "the one that asks the least force; moved, it is given" * (
            given.inclination == "best"
        )
        thing = self.path("anchors")

        def steep(to: Place) -> list[float]:
            return [atan2(row.y - self.elevation(to), max(abs(to[0] - row.x), 1e-6))]

        middle = row.at(anchor.unbonded_length + 0.5 * anchor.bond_length)
        yield Handle(
            "inclination", "Inclination of all rows", self.place(*middle), Way.AROUND, thing,
            (Held(self.path("anchors", "inclination"), ANGLE, anchor.inclination, sign=-1),), steep,
            found,
        )  # fmt: skip
        least = "the least that the rules allow; moved, it is given" * (
            given.unbonded_length == "least"
        )
        yield self._length(
            "free", "Unbonded length of all rows", row, ("unbonded_length",), 0.0,
            anchor.unbonded_length, least, 0,
        )  # fmt: skip
        asked = "what the transfer asks for; moved, it is given" * (given.bond.length is None)
        yield self._length(
            "bond", "Bond length of all rows", row, ("bond", "length"), anchor.unbonded_length,
            anchor.bond_length, asked, 1 if "bond" not in given.model_fields_set else 0,
        )  # fmt: skip

    def _length(
        self, id: str, label: str, row: SlopeAnchor, keys: tuple[str, ...], before: float,
        value: float, note: str, absent: int,
    ) -> Handle:  # fmt: skip
        """Return the handle of a length along the tendon; absent: last keys that have no mapping yet."""
        run = hypot(row.dx, row.dy) or 1.0

        def read(to: Place) -> list[float]:
            across, up = to[0] - row.x, self.elevation(to) - row.y
            return [(across * row.dx + up * row.dy) / run**2 - before]

        path = self.path("anchors", *keys[: len(keys) - absent])
        held = (Held(path, LENGTH, value, across=True, sign=1 if row.dx > 0.0 else -1,
                     inside=keys[len(keys) - absent :]),)  # fmt: skip
        at = self.place(*row.at(before + value))
        return Handle(id, label, at, Way.ALONG, self.path("anchors"), held, read, note)

    def loads(self) -> Iterator[Handle]:
        for i, load in enumerate(self.slope.surcharges):
            thing = self.path("surcharges", i)
            ends: tuple[tuple[str, str, float], ...] = ()
            if isinstance(load, SlopeStrip):
                ends = (
                    ("from_x", "Left edge of", load.from_x),
                    ("to_x", "Right edge of", load.to_x),
                )
            elif isinstance(load, SlopeLine):
                ends = (("x", "Place of", load.x),)
            for key, says, x in ends:
                if self.shown(x):
                    yield self.single(
                        f"load-{i}-{key}", f"{says} {load.name}",
                        self.place(x, face_level(self.face, x, self.seen.top)), Way.HORIZONTAL,
                        ("surcharges", i, key), x, thing, lambda to: to[0],
                    )  # fmt: skip

    def piles(self) -> Iterator[Handle]:
        for i, pile in enumerate(self.slope.piles):
            if not self.shown(pile.x):
                continue
            thing = self.path("piles", i)
            middle = 0.5 * (pile.top + pile.bottom)
            yield self.single(
                f"pile-{i}", f"Place of {pile.name}", self.place(pile.x, middle), Way.HORIZONTAL,
                ("piles", i, "x"), pile.x, thing, lambda to: to[0],
            )  # fmt: skip
            for key, level in (("top", pile.top), ("bottom", pile.bottom)):
                yield self.single(
                    f"pile-{i}-{key}", f"{key.capitalize()} of {pile.name}",
                    self.place(pile.x, level), Way.VERTICAL, ("piles", i, key), level, thing,
                    self.elevation,
                )  # fmt: skip

    def strata(self) -> Iterator[Handle]:
        for i, stratum in enumerate(self.slope.strata):
            thing = self.path("strata", i)
            if stratum.top is not None:
                x = self.seen.left + 0.9 * (self.seen.right - self.seen.left)
                yield self.single(
                    f"stratum-{i}", f"Top of {stratum.name}", self.place(x, stratum.top),
                    Way.VERTICAL, ("strata", i, "top"), stratum.top, thing, self.elevation,
                )  # fmt: skip
            for k, point in enumerate(stratum.top_line):
                yield from self.point(
                    f"stratum-{i}-{k}", f"Point {k + 1} of the top of {stratum.name}", point,
                    (*thing, "top_line", k), thing,
                )  # fmt: skip

    def known(self) -> Iterator[Handle]:
        known = self.slope.slip_surface
        for k, point in enumerate(known.points):
            yield from self.point(
                f"known-{k}", f"Point {k + 1} of the known slip surface", point,
                self.path("slip_surface", "points", k), self.where,
            )  # fmt: skip
        if known.centre is None or known.radius is None:
            return
        centre = known.centre
        yield from self.point(
            "known-centre", "Centre of the known slip surface", centre,
            self.path("slip_surface", "centre"), self.where,
        )  # fmt: skip
        radius = self.single(
            "known-radius", "Radius of the known slip surface",
            self.place(centre.x, centre.elevation - known.radius), Way.VERTICAL,
            ("slip_surface", "radius"), known.radius, self.where,
            lambda to: centre.elevation - self.elevation(to),
        )  # fmt: skip
        yield replace(radius, held=(replace(radius.held[0], sign=-1),))  # it grows downward
