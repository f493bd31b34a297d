"""Room for the anchors: inclination, cover, boundary, buried obstacles and headroom.

Obstacles run parallel to the wall, so the distance in space from a skewed anchor to one equals
the distance in the section from its projection; half the drill hole is taken off. None of these
rules lengthens an anchor: they are checks. Where the contractor chooses the bond length, the
zone assumed for him must not stop the design: what he must keep clear of is stated instead,
unless even the shortest bond zone would fail.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, inf, radians

from backstay.anchors.geometry import Axis, Point, cover, point_to_segment, segment_to_polygon
from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import GEOMETRY, common_practice
from backstay.ground.profile import Profile
from backstay.model.project import Section
from backstay.model.sequence import bench_depth
from backstay.model.site import CircleObstacle, Obstacle
from backstay.quantity import QUANTITIES, Angle, Length
from backstay.trace import Stated, formula, state, trace

_LENGTH = QUANTITIES["length"]
_BOUNDARY = common_practice("anchors end within the ground that may be used")
_OBSTACLE = common_practice("clearance stated for the obstacle")
_HEADROOM = common_practice("height that the drill rig needs over its bench")


@formula("x_end", GEOMETRY)
def reach(L: Length, i: Angle, psi: Angle) -> Length:
    """Distance behind the wall that the anchor reaches.

    L: total length; i: inclination below horizontal; psi: skew on plan
    """
    return L * cos(i) * cos(psi)


@dataclass(frozen=True, slots=True)
class Placed:
    """An anchor in its place: row, axis, lengths (m), hole (m), and whether the bond length is open.

    least_bond: the shortest bond zone allowed, for what is left open.
    """

    row: int
    axis: Axis
    unbonded: float
    bond: float
    hole: float
    bond_open: bool
    least_bond: float

    @property
    def total(self) -> float:
        """Return the length from head to end of bond zone."""
        return self.unbonded + self.bond

    @property
    def shortest(self) -> float:
        """Return the least total length that the rules allow."""
        return self.unbonded + (self.least_bond if self.bond_open else self.bond)


def clearance_checks(
    section: Section, ground: Profile, placed: Placed, basis: Basis, where: str
) -> tuple[Check, ...]:
    """Return the checks of one anchor against everything that is not an anchor."""
    checks = [
        *inclination_checks(placed.axis, basis, where),
        overburden_check(ground, placed, basis, where),
        *(_obstacle(section, each, placed, where) for each in section.constraints.obstacles),
    ]
    limits = section.constraints
    if limits.right_of_way is not None:
        checks.append(_right_of_way(limits.right_of_way, placed, where))
    if limits.headroom is not None:
        checks.append(_headroom(section, placed.row, limits.headroom, where))
    return tuple(checks)


def inclination_checks(axis: Axis, basis: Basis, where: str) -> tuple[Check, Check]:
    """Return the checks that an anchor is neither too flat for grouting nor too steep."""
    least, most = basis.inclination_least, basis.inclination_greatest
    i = axis.inclination
    angle = QUANTITIES["angle"]
    given = (Stated("i", "Inclination below horizontal", i, angle, "given"),)
    return (
        Check(
            "anchor.inclination-least", "Least inclination", i, least.value, angle, least.cite,
            Sense.AT_LEAST, where,
            remedy=f"incline the anchor by {{angle:{least.value:.6g}}} or more, so that grout fills "
            "the hole" if i < least.value - 1e-9 else "",
            note="common practice: 15 to 30 degrees", steps=given,
        ),
        Check(
            "anchor.inclination-greatest", "Greatest inclination", i, most.value, angle, most.cite,
            Sense.AT_MOST, where,
            remedy=f"incline the anchor by {{angle:{most.value:.6g}}} or less: steeper anchors press "
            "downward more than they hold back" if i > most.value + 1e-9 else "",
            note="common practice: 15 to 30 degrees", steps=given,
        ),
    )  # fmt: skip


def overburden_check(ground: Profile, placed: Placed, basis: Basis, where: str) -> Check:
    """Return the check of the ground over the middle of the bond zone."""
    least = basis.bond_overburden_least
    bond = placed.least_bond if placed.bond_open else placed.bond
    with trace() as t:
        over_start = state(
            "c_start", "Ground over the start of the bond zone",
            cover(ground, placed.axis, placed.unbonded), "length",
            method="from the anchor up to the ground surface", cite=GEOMETRY,
        )  # fmt: skip
        over_middle = state(
            "c", "Ground over the middle of the bond zone",
            cover(ground, placed.axis, placed.unbonded + 0.5 * bond), "length",
            method="from the anchor up to the ground surface"
            + (", with the shortest bond zone allowed" if placed.bond_open else ""),
            cite=GEOMETRY,
        )  # fmt: skip
    return Check(
        "anchor.overburden", "Ground over the middle of the bond zone", over_middle, least.value,
        _LENGTH, least.cite, Sense.AT_LEAST, where, t.steps,
        f"{{length:{over_middle:.6g}}} of ground, needs {{length:{least.value:g}}}: a lower row, a "
        "steeper or a longer anchor" if over_middle < least.value * (1 - 1e-9) else "",
        f"over its start there are {{length:{over_start:.4g}}}",
    )  # fmt: skip


def _right_of_way(limit: float, placed: Placed, where: str) -> Check:
    axis = placed.axis
    with trace() as t:
        x = reach(placed.total, axis.inclination, axis.skew)
    show, remedy = "", ""
    if x > limit * (1 + 1e-9):
        room = limit / axis.across - placed.unbonded
        if placed.bond_open and axis.across * placed.shortest <= limit * (1 + 1e-9):
            show = (
                f"the bond zone ends within {{length:{limit:.6g}}} of the wall: it may be "
                f"{{length:{room:.6g}}} long at most"
            )
        else:
            remedy = (
                f"the anchor ends {{length:{x - limit:.6g}}} beyond the boundary: a steeper or a "
                "shorter anchor with better bond, or an easement"
            )
    return Check(
        "anchor.right-of-way", "End of the anchor within the boundary", x, limit, _LENGTH,
        _BOUNDARY, Sense.AT_MOST, where, t.steps, remedy, "", show,
    )  # fmt: skip


def _headroom(section: Section, row: int, headroom: float, where: str) -> Check:
    needed = section.constraints.headroom_needed
    bench = bench_depth(section, row)
    with trace() as t:
        state(
            "z_bench", "Depth of the drilling bench", bench, "length",
            method="dug to before the row is stressed", cite=GEOMETRY,
        )  # fmt: skip
    return Check(
        "anchor.headroom", "Headroom over the drilling bench", headroom, needed, _LENGTH,
        _HEADROOM, Sense.AT_LEAST, where, t.steps,
        f"headroom {{length:{headroom:.6g}}}, needs {{length:{needed:.6g}}}: a low-headroom rig with "
        "coupled casing and tendon, or a lower row" if headroom < needed * (1 - 1e-9) else "",
        f"bench {{length:{bench:.4g}}} below the top of wall",
    )  # fmt: skip


def distance_to(section: Section, obstacle: Obstacle, axis: Axis, length: float) -> float:
    """Return the distance from the axis of an anchor of a length to an obstacle's face (m).

    0 where they meet in the section (negative: so far inside a circle).
    """
    a, b = axis.at(0.0), axis.at(length)
    if isinstance(obstacle, CircleObstacle):
        centre: Point = (obstacle.centre.distance, section.depth(obstacle.centre.elevation))
        return point_to_segment(centre, a, b) - 0.5 * obstacle.diameter
    polygon = [(p.distance, section.depth(p.elevation)) for p in obstacle.points]
    return segment_to_polygon(a, b, polygon)


def _obstacle(section: Section, obstacle: Obstacle, placed: Placed, where: str) -> Check:
    half = 0.5 * placed.hole
    needed = obstacle.clearance
    with trace() as t:
        to_axis = state(
            "a", f"Distance from the anchor axis to {obstacle.name}",
            distance_to(section, obstacle, placed.axis, placed.total), "length",
            method="least distance in the section over the whole anchor, which is that in space",
            cite=GEOMETRY,
        )  # fmt: skip
        clear = state(
            "a_clear", "Distance from the drill hole", to_axis - half, "length",
            method=f"less half the hole of {{small length:{placed.hole:g}}}", cite=GEOMETRY,
        )  # fmt: skip
    show, remedy = "", ""
    if clear < needed * (1 - 1e-9):
        shortest = distance_to(section, obstacle, placed.axis, placed.shortest) - half
        if placed.bond_open and shortest >= needed * (1 - 1e-9):
            show = (
                f"the bond zone keeps {{length:{needed:g}}} clear of {obstacle.name}: the one "
                f"assumed comes as near as {{length:{clear:.4g}}}"
            )
        else:
            remedy = (
                f"{{length:{max(clear, 0.0):.4g}}} from {obstacle.name}, needs {{length:{needed:g}}}: "
                + _other_inclination(section, obstacle, placed)
            )
    return Check(
        "anchor.obstacle", f"Clearance to {obstacle.name}", clear, needed, _LENGTH, _OBSTACLE,
        Sense.AT_LEAST, f"{where}, {obstacle.name}", t.steps, remedy,
        "locate it on site before drilling", show,
    )  # fmt: skip


def _other_inclination(section: Section, obstacle: Obstacle, placed: Placed) -> str:
    """Return the nearest whole-degree inclination that clears the obstacle, in words."""
    now, best = placed.axis.inclination, inf
    for degrees in range(10, 46):
        i = radians(degrees)
        axis = Axis(placed.axis.z, i, placed.axis.skew)
        clear = distance_to(section, obstacle, axis, placed.total) - 0.5 * placed.hole
        if clear >= obstacle.clearance and abs(i - now) < abs(best - now):
            best = i
    if best == inf:
        return "no inclination from 10 to 45 degrees clears it at this length; move the row"
    return f"an inclination of {{angle:{best:.6g}}} at the same length would clear it"
