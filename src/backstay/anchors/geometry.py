"""Where an anchor runs: its axis in space, its crossing of lines in the section, its ground cover.

The head is at (0, z). The axis falls at the inclination i below horizontal and may be turned on
plan by the skew psi from square to the wall. A length L along the anchor reaches

    x = L cos i cos psi (behind the wall), y = L cos i sin psi (along the wall), depth z + L sin i.

The section is the plane square to the wall. What lies in the section is taken to run parallel to
the wall, so the distance in space from a skewed anchor to a pipe, a basement or the critical
surface equals the distance measured in the section from the anchor's projection.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import cos, hypot, inf, sin, sqrt, tan

from backstay.cite import GEOMETRY
from backstay.ground.profile import Profile
from backstay.quantity import Angle, Length
from backstay.trace import formula

Point = tuple[float, float]
Point3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Axis:
    """The axis of one anchor: depth of head (m), inclination and skew (rad)."""

    z: float
    inclination: float
    skew: float = 0.0

    @property
    def across(self) -> float:
        """Return the distance behind the wall gained per length of anchor."""
        return cos(self.inclination) * cos(self.skew)

    @property
    def along(self) -> float:
        """Return the distance along the wall gained per length of anchor."""
        return cos(self.inclination) * sin(self.skew)

    @property
    def down(self) -> float:
        """Return the depth gained per length of anchor."""
        return sin(self.inclination)

    def at(self, L: float) -> Point:
        """Return (x, z) in the section at length L from the head."""
        return L * self.across, self.z + L * self.down

    def in_space(self, L: float, y: float = 0.0) -> Point3:
        """Return (x, y, z) at length L from a head at y along the wall."""
        return L * self.across, y + L * self.along, self.z + L * self.down


@formula("L_s", GEOMETRY)
def length_to_plane(H: Length, z: Length, i: Angle, psi: Angle, alpha: Angle) -> Length:
    """Length along the anchor from its head to a plane through the bottom of the cut.

    H: height of the cut
    z: depth of the anchor head
    i: inclination of the anchor below horizontal
    psi: skew of the anchor on plan
    alpha: angle of the plane above horizontal
    """
    return (H - z) / (sin(i) + cos(i) * cos(psi) * tan(alpha))


def length_to_line(axis: Axis, points: Sequence[Point]) -> float | None:
    """Return the length along the anchor to its farthest crossing of a line of points (m).

    None where the anchor does not cross it.
    """
    found = None
    for (x1, z1), (x2, z2) in pairwise(points):
        dx, dz = x2 - x1, z2 - z1
        determinant = axis.down * dx - axis.across * dz
        if determinant == 0.0:
            continue
        # head + L (across, down) = (x1, z1) + t (dx, dz)
        length = ((z1 - axis.z) * dx - x1 * dz) / determinant
        t = (axis.across * (z1 - axis.z) - axis.down * x1) / determinant
        if length >= -1e-12 and -1e-9 <= t <= 1.0 + 1e-9:
            found = max(length, found or 0.0)
    return found


def surface_depth(ground: Profile, x: float) -> float:
    """Return the depth of the retained ground surface at x behind the wall (m; negative: above)."""
    points = ground.surface
    if len(points) == 1:
        return -x * tan(ground.slope)
    for (x1, z1), (x2, z2) in pairwise(points):
        if x1 <= x <= x2 and x2 > x1:
            return z1 + (z2 - z1) * (x - x1) / (x2 - x1)
    return points[-1][1] if x > points[-1][0] else points[0][1]


def cover(ground: Profile, axis: Axis, L: float) -> float:
    """Return the depth of ground above the anchor at length L from its head (m)."""
    x, z = axis.at(L)
    return z - surface_depth(ground, x)


def length_for_cover(ground: Profile, axis: Axis, least: float) -> float:
    """Return the least length from the head at which the cover is reached (m), or inf if never.

    The cover is linear between the points of the surveyed surface, so each piece is solved
    exactly.
    """
    if cover(ground, axis, 0.0) >= least:
        return 0.0
    marks = [0.0, *(x / axis.across for x, _ in ground.surface if x > 0.0)]
    if len(ground.surface) == 1:
        marks.append(1.0)
    else:
        marks.append(marks[-1] + 1.0)
    for i, (a, b) in enumerate(pairwise(marks)):
        at_a, at_b = cover(ground, axis, a), cover(ground, axis, b)
        last = i + 2 == len(marks)
        if at_b > at_a and (last or at_b >= least):
            return a + (least - at_a) * (b - a) / (at_b - at_a)
    return inf


def point_to_segment(p: Point, a: Point, b: Point) -> float:
    """Return the distance from a point to a segment in the section (m)."""
    dx, dz = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dz * dz
    t = 0.0 if square == 0.0 else ((p[0] - a[0]) * dx + (p[1] - a[1]) * dz) / square
    t = min(1.0, max(0.0, t))
    return hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dz)


def segments_cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Return whether two segments of the section have a point in common."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) <= 0.0 and side(c, d, a) * side(c, d, b) <= 0.0


def inside(p: Point, polygon: Sequence[Point]) -> bool:
    """Return whether a point lies inside a polygon (even-odd rule)."""
    x, z = p
    odd = False
    for (x1, z1), (x2, z2) in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
        if (z1 > z) != (z2 > z) and x < x1 + (z - z1) * (x2 - x1) / (z2 - z1):
            odd = not odd
    return odd


def segment_to_polygon(a: Point, b: Point, polygon: Sequence[Point]) -> float:
    """Return the distance from a segment to a polygon (m); 0 where they meet or it is inside."""
    if inside(a, polygon) or inside(b, polygon):
        return 0.0
    least = inf
    for c, d in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
        if c != d and _boxes_meet(a, b, c, d) and segments_cross(a, b, c, d):
            return 0.0
        least = min(
            least, point_to_segment(c, a, b), point_to_segment(a, c, d), point_to_segment(b, c, d)
        )
    return least


def _boxes_meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    return all(
        min(a[k], b[k]) <= max(c[k], d[k]) and min(c[k], d[k]) <= max(a[k], b[k]) for k in (0, 1)
    )


def segments_distance(p1: Point3, p2: Point3, q1: Point3, q2: Point3) -> float:
    """Return the least distance between two segments in space (m).

    The squared distance is a convex quadratic of the two positions on the unit square. Its least
    is inside, where both derivatives vanish, or on one of the four edges.
    """
    u, v = _minus(p2, p1), _minus(q2, q1)
    w = _minus(p1, q1)
    a, b, c = _dot(u, u), _dot(u, v), _dot(v, v)
    d, e = _dot(u, w), _dot(v, w)

    def distance(s: float, t: float) -> float:
        return sqrt(sum((w[k] + s * u[k] - t * v[k]) ** 2 for k in range(3)))

    def within(value: float) -> float:
        return min(1.0, max(0.0, value))

    determinant = a * c - b * b
    if determinant > 1e-12 * a * c:
        s, t = (b * e - c * d) / determinant, (a * e - b * d) / determinant
        if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
            return distance(s, t)
    edges = []
    for s in (0.0, 1.0):
        edges.append((s, within((e + s * b) / c) if c > 0.0 else 0.0))
    for t in (0.0, 1.0):
        edges.append((within((t * b - d) / a) if a > 0.0 else 0.0, t))
    return min(distance(s, t) for s, t in edges)


def _minus(a: Point3, b: Point3) -> Point3:
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def _dot(a: Point3, b: Point3) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
