"""Deep sliding: whether the anchors reach ground that stays.

For each row, and for each combination of rows, a block of ground between the wall and the middle
of the bond is pulled toward the cut by the anchors bonded in it. The safety is the anchor force
that would make the block slide over the force applied. Where it is short, the least length that
moves the bond far enough back is found, row by row.

Tried for each: drained and undrained strength, and loads that may be absent on the block and off
it (behind the block they always press). The least safety is carried.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from math import atan, inf, radians, tan
from typing import TYPE_CHECKING

from backstay.anchors import AnchorDesign
from backstay.basis import Basis
from backstay.checks import Check, safety_check
from backstay.cite import common_practice
from backstay.ground import Profile
from backstay.model.loads import Traffic, Uniform
from backstay.model.project import Section, Service
from backstay.pressure.lateral import acts_undrained
from backstay.pressure.slices import Strength
from backstay.stability.block import (
    OnPlane,
    Thrust,
    active_thrust,
    behind,
    on_plane,
    smooth,
    water_force,
)
from backstay.stability.block_loads import as_pressure, counted_loads, standing_behind
from backstay.stability.lengthening import Lengthened, least_lengths
from backstay.stability.lower_plane import (
    deep_sliding_safety,
    plane_resistance,
    plane_rise,
    pull_on_plane,
    pull_with,
    resistance_with,
    sliding_force,
)
from backstay.trace import Step, heading, remark, state, trace, untraced

if TYPE_CHECKING:
    from backstay.wall import WallDesign

FRICTION = common_practice("average along the plane, by the effective weight that stands on it")
_MOST_ROWS_BY_THREE = 6
STEEPEST = tan(radians(60))
"""A plane that is steeper is no part of a lower failure surface of several planes."""


@dataclass(frozen=True, slots=True)
class Tie:
    """One row as a tie of the block: x, z of the middle of its bond (m).

    inclination: in the section (rad); horizontal: force applied (kN per m of wall); reach:
    distance behind the wall gained per length along the anchor.
    """

    row: int
    z: float
    length: float
    inclination: float
    horizontal: float
    reach: float

    @property
    def middle(self) -> tuple[float, float]:
        """Return (x, z) of the middle of the bond; length is from the head to it."""
        x = self.length * self.reach
        return x, self.z + x * tan(self.inclination)

    def longer(self, added: float) -> Tie:
        """Return the tie with the middle of its bond farther along the anchor."""
        return replace(self, length=self.length + added)


@dataclass(frozen=True, slots=True)
class Slide:
    """The worst slide that pulls on a set of rows.

    rows: bonded in the block; corners: rows whose bond the planes run to, outward; foot: depth of
    the point of rotation (m); points: from it to the last bond; angles: of the planes (rad);
    loaded: whether loads that may be absent stand on the block; sliding: horizontal anchor force
    that would cause sliding, of all its rows (kN/m).
    """

    rows: tuple[int, ...]
    corners: tuple[int, ...]
    foot: float
    strength: Strength
    loaded: bool
    points: tuple[tuple[float, float], ...]
    angles: tuple[float, ...]
    safety: float
    applied: float

    @property
    def sliding(self) -> float:
        """Return the horizontal anchor force that would cause sliding (kN/m)."""
        return self.safety * self.applied

    @property
    def where(self) -> str:
        """Return the rows in words."""
        return rows_in_words(self.rows)


@dataclass(frozen=True, slots=True)
class DeepSlidingDesign:
    """Deep sliding of a wall: the worst slide of each set of rows, worst first.

    lengthened: added lengths that reach the target, None where it is reached or cannot be.
    """

    target: float
    slides: tuple[Slide, ...]
    lengthened: Lengthened | None
    notes: tuple[str, ...]
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]


def rows_in_words(rows: Sequence[int]) -> str:
    """Return ``row 1``, ``rows 1 and 2`` or ``rows 1, 2 and 3``."""
    if len(rows) == 1:
        return f"row {rows[0]}"
    return f"rows {', '.join(str(r) for r in rows[:-1])} and {rows[-1]}"


def design_deep_sliding(
    section: Section,
    ground: Profile,
    anchors: tuple[AnchorDesign, ...],
    wall: WallDesign,
    service: Service,  # noqa: ARG001 - the common face of the checks of a section
    basis: Basis,
) -> DeepSlidingDesign:
    """Check every row and combination of rows against sliding on the lower failure plane."""
    return deep_sliding(section, ground, ties(anchors), (rotation_depth(ground, wall),), basis)


def rotation_depth(ground: Profile, wall: WallDesign) -> float:
    """Return the depth of the wall's point of rotation (m).

    It is the embedment that the lateral equilibrium of the anchored wall needs, or the toe where
    that is less deep. Embedment beyond it (for vertical load, or before the first row is stressed)
    can only hold the block better.
    """
    needed = min((c.capacity for c in wall.checks if c.id == "wall.embedment"), default=inf)
    return min(wall.toe, ground.H + needed)


def ties(anchors: Sequence[AnchorDesign]) -> tuple[Tie, ...]:
    """Return the anchors as ties: the design load, or the lock-off load where it is larger."""
    made = []
    for a in anchors:
        (x1, z1), (x2, z2) = a.free_end, a.bond_end
        length = a.unbonded_length + 0.5 * a.bond_length
        reach = 0.5 * (x1 + x2) / length
        slope = (0.5 * (z1 + z2) - a.z) / (reach * length)
        load = max(a.design_load, a.lock_off_load) * reach / a.spacing
        made.append(Tie(a.row, a.z, length, atan(slope), load, reach))
    return tuple(made)


def deep_sliding(
    section: Section,
    ground: Profile,
    tied: Sequence[Tie],
    feet: Sequence[float],
    basis: Basis,
) -> DeepSlidingDesign:
    """Check ties of a wall whose point of rotation may be at each of the depths `feet` (m)."""
    target = basis.deep_sliding_safety
    notes: list[str] = []
    block = _Block(section, ground, tuple(feet), notes)
    with untraced():
        slides = sorted(block.slides(tied), key=lambda s: s.safety)
        short = bool(slides) and slides[0].safety < target.value * (1 - 1e-9)
        more = least_lengths(block.slides, tied, target.value, 3 * max(feet)) if short else None
    remedy = _remedy(more, tied) if short else ""
    checks = []
    for slide in slides:
        with trace() as t:
            block.slide(slide.corners, tied, slide.foot, slide.strength, slide.loaded)
        fails = slide.safety < target.value * (1 - 1e-9)
        checks.append(
            safety_check(
                "stability.deep-sliding", "sliding on the lower failure plane", slide.safety,
                target.value, target.cite, where=slide.where, steps=t.steps,
                remedy=remedy if fails else "",
                note=f"{slide.strength} strength, point of rotation at "
                f"{{length:{slide.foot:.6g}}} below the top of wall",
            )
        )  # fmt: skip
    return DeepSlidingDesign(
        target.value, tuple(slides), more, tuple(dict.fromkeys(notes)), tuple(checks),
        tuple(step for check in checks for step in check.steps),
    )  # fmt: skip


def _remedy(more: Lengthened | None, tied: Sequence[Tie]) -> str:
    if more is None:
        return (
            "no length within three heights of the wall is enough: lower the anchor forces, deepen "
            "the wall, or choose flatter anchors"
        )
    rows = [tie.row for tie in tied if more.added.get(tie.row, 0.0) > 0.0]
    parts = ", ".join(f"row {r} by {{length:{more.added[r]:.6g}}}" for r in rows)
    bond = ", ".join(f"row {r} by {{length:{2 * more.added[r]:.6g}}}" for r in rows)
    return f"lengthen the unbonded part of {parts}, or else the bond of {bond}"


class _Block:
    """The ground and loads of one wall, with what was integrated already."""

    def __init__(
        self, section: Section, ground: Profile, feet: tuple[float, ...], notes: list[str]
    ) -> None:
        self.ground = ground
        self.feet = feet
        self.always, self.at_times = counted_loads(section, notes)
        self.strengths = _strengths(ground, max(feet))
        self._thrusts: dict[tuple[float, float, Strength, bool], tuple[Thrust, float]] = {}
        self._planes: dict[tuple[object, ...], OnPlane] = {}
        if ground.flow == "seepage":
            notes.append(
                "Water behind the wall is taken at rest for deep sliding: seepage down behind the "
                "wall would press less on the plane."
            )

    def slides(self, tied: Sequence[Tie]) -> list[Slide]:
        """Return the worst slide of each set of rows."""
        worst: dict[tuple[int, ...], Slide] = {}
        loaded = (False, True) if self.at_times else (True,)
        for foot in self.feet:
            for corners in chains(tied, foot):
                for strength in self.strengths:
                    for on in loaded:
                        found = self.slide(corners, tied, foot, strength, on)
                        if found.rows not in worst or found.safety < worst[found.rows].safety:
                            worst[found.rows] = found
        return list(worst.values())

    def slide(
        self, corners: tuple[int, ...], tied: Sequence[Tie], foot: float, strength: Strength,
        loaded: bool,
    ) -> Slide:  # fmt: skip
        """Return the slide over the planes from the foot to the bonds of `corners`."""
        by_row = {tie.row: tie for tie in tied}
        points = ((0.0, foot), *(by_row[r].middle for r in corners))
        pulling = [tie for tie in tied if _in_block(tie, points)]
        heading(f"Deep sliding: {rows_in_words([t.row for t in pulling])}")
        state("z_f", "Depth of the point of rotation of the wall", foot, "length",
              method="the toe that the lateral equilibrium of the anchored wall needs, not below its own")  # fmt: skip
        remark(f"{strength.capitalize()} strength; "
               + ("loads that may be absent stand on the block and behind it."
                  if loaded else "loads that may be absent stand behind the block, not on it."))  # fmt: skip
        at_wall, water_wall = self.thrust(0.0, foot, strength, loaded)
        E_ah = state("E_ah", "Horizontal active force on the wall", at_wall.horizontal,
                     "force per length", method=at_wall.method)  # fmt: skip
        E_av = state("E_av", "Its vertical part, down on the wall", at_wall.vertical,
                     "force per length", method="by the friction of the ground on the wall")  # fmt: skip
        x_m, z_m = points[-1]
        at_end, water_end = self.thrust(x_m, z_m, strength, True)
        E_1 = state("E_1", "Active force on the vertical above the middle of the bond, horizontal",
                    at_end.horizontal, "force per length", method=at_end.method)  # fmt: skip
        if water_wall or water_end:
            state("W_a", "Water force on the wall's back", water_wall, "force per length",
                  method="water at rest, in ground that acts drained")  # fmt: skip
            state("W_1", "Water force on the vertical", water_end, "force per length",
                  method="water at rest, in ground that acts drained")  # fmt: skip
        R_sum = B_sum = 0.0
        angles = []
        for i, (a, b) in enumerate(pairwise(points)):
            plane = self.plane(a, b, strength, loaded)
            theta = plane_rise(a[1], b[1], a[0], b[0])
            angles.append(theta)
            state("x_m", "Distance of the middle of the bond behind the wall", b[0], "length",
                  method=f"row {corners[i]}, at a depth of {{length:{b[1]:.6g}}}")  # fmt: skip
            state("G", "Weight on the plane, loads included", plane.G, "force per length",
                  method=f"layers and loads, each to the edge; plane in {', '.join(plane.layers)}")  # fmt: skip
            state("phi", "Angle of friction along the plane", plane.phi, "angle",
                  method="nil where undrained strength acts", cite=FRICTION)  # fmt: skip
            if plane.C or plane.U:
                state("C", "Cohesion or undrained strength along the plane", plane.C,
                      "force per length", method="strength times length of each part")  # fmt: skip
                state("U", "Pore water force on the plane", plane.U, "force per length",
                      method="water at rest")  # fmt: skip
            R = plane_resistance(
                plane.G, E_av if i == 0 else 0.0, plane.U, plane.C, plane.phi, theta
            )
            R_sum = resistance_with(R_sum, R) if i else R
            for tie in pulling:
                if a[0] < tie.middle[0] <= b[0] + 1e-9:
                    B = pull_on_plane(tie.horizontal, tie.inclination, plane.phi, theta)
                    B_sum = pull_with(B_sum, B) if B_sum else B
        if B_sum <= 0.0:
            eta = state("eta", "Safety", 0.0, "ratio",
                        method="nil: the plane is so steep that the bond lies in ground that the "
                        "wall itself has to hold")  # fmt: skip
        else:
            eta = deep_sliding_safety(E_ah, water_wall, E_1, water_end, R_sum, B_sum)
            for tie in pulling:
                sliding_force(eta, tie.horizontal, tie.inclination)
        return Slide(
            tuple(t.row for t in pulling), corners, foot, strength, loaded, points, tuple(angles),
            eta, sum(t.horizontal for t in pulling),
        )  # fmt: skip

    def thrust(self, x: float, z: float, strength: Strength, loaded: bool) -> tuple[Thrust, float]:
        """Return the active force on the vertical at x down to depth z, and the water force.

        loaded: whether loads that may be absent press; behind the block they always do, on the
        wall where they are taken to stand on the block.
        """
        key = (x, z, strength, loaded)
        if key not in self._thrusts:
            seen = behind(self.ground, x) if x > 0.0 else behind(self.ground, 0.0)
            depth = z - (self.ground.H - seen.H)
            loads = [*self.always, *(self.at_times if loaded else ())]
            q = sum(s.pressure for s in loads if isinstance(s, (Uniform, Traffic)))
            local = [m for s in loads if (m := standing_behind(s, x)) is not None]
            made = active_thrust(smooth(seen) if x > 0.0 else seen, depth, q, local, strength)
            self._thrusts[key] = made, water_force(seen, depth, strength)
        return self._thrusts[key]

    def plane(
        self, a: tuple[float, float], b: tuple[float, float], strength: Strength, loaded: bool
    ) -> OnPlane:
        """Return what stands on a plane."""
        key = (a, b, strength, loaded)
        if key not in self._planes:
            loads = [*self.always, *(self.at_times if loaded else ())]
            self._planes[key] = on_plane(
                self.ground, a, b, [p for s in loads if (p := as_pressure(s)) is not None], strength
            )
        return self._planes[key]


def chains(tied: Sequence[Tie], foot: float) -> Iterator[tuple[int, ...]]:
    """Yield the rows that planes run to, outward.

    Each row by itself, and those that make a surface hollow upward, each plane steeper than the
    one before: two or three rows, with many rows two at most.
    """
    order = sorted((t for t in tied if t.middle[0] > 0.0), key=lambda t: t.middle[0])
    most = 3 if len(order) <= _MOST_ROWS_BY_THREE else 2
    for n in range(1, most + 1):
        for some in combinations(order, n):
            points = [(0.0, foot), *(t.middle for t in some)]
            if any(b[0] - a[0] < 1e-6 for a, b in pairwise(points)):
                continue
            rises = [(a[1] - b[1]) / (b[0] - a[0]) for a, b in pairwise(points)]
            if all(b > a for a, b in pairwise(rises)) and (n == 1 or rises[-1] < STEEPEST):
                yield tuple(t.row for t in some)


def _in_block(tie: Tie, points: Sequence[tuple[float, float]]) -> bool:
    x, z = tie.middle
    for (x1, z1), (x2, z2) in pairwise(points):
        if x1 < x <= x2 + 1e-9:
            return z <= z1 + (z2 - z1) * (x - x1) / (x2 - x1) + 1e-9
    return False


def _strengths(ground: Profile, depth: float) -> list[Strength]:
    layers = [layer for layer, _, _ in ground.layers_between(0.0, depth)]
    found: list[Strength] = []
    if any(layer.su is not None for layer in layers):
        found.append("undrained")
    if all(layer.phi is not None or not acts_undrained(layer, "drained") for layer in layers):
        found.append("drained")
    return found
