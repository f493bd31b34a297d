"""Geometry of anchors: crossing of the critical surface, lengths, cover, distances, loads."""

from __future__ import annotations

from math import cos, degrees, pi, radians, sin, sqrt, tan

from backstay.anchors.anchor import anchor_load, vertical_component
from backstay.anchors.clearance import reach
from backstay.anchors.geometry import Axis, length_to_line, length_to_plane, segments_distance
from backstay.anchors.unbonded import set_back, under_cover
from backstay.basis import basis
from tests.unit.anchors.example import CLAY, anchors, check, section, surface
from tests.verification.catalogue import Case

BASIS = basis("FHWA-IF-99-015")
GEC4 = "FHWA-IF-99-015"
_ROW = {"elevation": 97.5, "inclination": "15 deg"}


def _marched(H: float, axis: Axis, alpha: float) -> float:
    """Return the crossing with the plane by bisection on the sign of the distance."""
    low, high = 0.0, 100.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        x, z = axis.at(middle)
        low, high = (middle, high) if H - z > x * tan(alpha) else (low, middle)
    return 0.5 * (low + high)


def _plane(H: float, axis: Axis, alpha: float) -> float:
    return length_to_plane(H, axis.z, axis.inclination, axis.skew, alpha)


_SKEWED = Axis(3.0, radians(20), radians(25))

PLANE_CASES = (
    Case(
        "anchors.length-to-plane", "anchors", "Length along the anchor to the critical plane",
        "plane geometry", "formula", "H 10 m, row at 2.5 m, 15 degrees, phi 33: plane at 61.5 degrees",
        lambda: anchors(section(_ROW))[0].surface_length, 3.680, 0.0005, "m",
        "expected value rounded to 1 mm", absolute=True,
    ),
    Case(
        "anchors.unbonded-with-set-back", "anchors", "Unbonded length with set-back H/5",
        "plane geometry; set-back quoted from FHWA-IF-99-015 p. 65", "formula",
        "the same, set-back 2.0 m along the anchor",
        lambda: anchors(section(_ROW))[0].unbonded_least, 5.680, 0.0005, "m",
        "expected value rounded to 1 mm", absolute=True,
    ),
    Case(
        "anchors.skewed-length-to-plane", "anchors", "Length of a skewed anchor to the critical plane",
        "bisection on the side of the plane", "formula", "H 9 m, head 3 m, 20 degrees, skew 25, plane 58",
        lambda: _plane(9.0, _SKEWED, radians(58)), _marched(9.0, _SKEWED, radians(58)), 1e-9, "m",
        "two exact methods",
    ),
    Case(
        "anchors.length-to-line", "anchors", "The same crossing, with the surface as a line of points",
        "bisection on the side of the plane", "formula", "the plane as two pieces",
        lambda: length_to_line(
            _SKEWED, ((0.0, 9.0), (2.0, 9.0 - 2.0 * tan(radians(58))), (9.0 / tan(radians(58)), 0.0))
        ) or 0.0,
        _marched(9.0, _SKEWED, radians(58)), 1e-9, "m", "two exact methods",
    ),
    Case(
        "anchors.critical-plane", "anchors", "Angle of the critical plane, drained sand",
        "Rankine 1857: 45 degrees + phi/2", "formula", "phi 33",
        lambda: degrees(surface(section()).angle), 61.5, 1e-12, "deg", "exact",
    ),
    Case(
        "anchors.critical-plane-searched", "anchors", "The same plane, found by searching the wedge",
        "Rankine 1857: 45 degrees + phi/2", "formula", "phi 33, with a line load of nil to force a search",
        lambda: degrees(
            surface(
                section(surcharges=[{"kind": "line", "name": "nil", "load": 0.0, "distance": 2.0}])
            ).angle
        ),
        61.5, 0.05, "deg", "the push is flat near its greatest, so its angle is less sharp than its size",
        absolute=True,
    ),
    Case(
        "anchors.critical-plane-clay", "anchors", "Angle of the critical plane, clay undrained",
        "Mohr circle: 45 degrees with phi nil", "formula", "su 80 kPa",
        lambda: degrees(surface(section(ground={"strata": [CLAY]})).angle), 45.0, 1e-12, "deg", "exact",
    ),
    Case(
        "anchors.critical-plane-slope", "anchors", "Critical plane under sloping ground",
        "Coulomb wedge of a smooth wall, closed form by Culmann's construction (greatest of W tan(theta - phi))",
        "formula", "phi 33, ground rising at 15 degrees, H 10 m",
        lambda: degrees(surface(section(ground={"slope": "15 deg"})).angle),
        max(
            (
                tan(radians(t / 1000 - 33))
                / (tan(radians(t / 1000)) - tan(radians(15))),
                t / 1000,
            )
            for t in range(34000, 89000, 5)
        )[1],
        0.05, "deg", "the push is flat near its greatest", absolute=True,
    ),
)  # fmt: skip

RULES = (
    Case(
        "anchors.free-length-strand", "anchors", "Least free length of a strand tendon",
        f"{GEC4}, section 5.3", "published", "15 ft as 4.5 m",
        lambda: anchors(section({"elevation": 91.0}))[0].unbonded_rules[0].length, 4.5, 1e-12, "m",
        "a stated limit",
    ),
    Case(
        "anchors.free-length-bar", "anchors", "Least free length of a bar tendon",
        f"{GEC4}, section 5.3", "published", "10 ft as 3.0 m",
        lambda: anchors(section({"elevation": 91.0, "tendon": {"kind": "bar"}}))[0]
        .unbonded_rules[0].length, 3.0, 1e-12, "m", "a stated limit",
    ),
    Case(
        "anchors.set-back-deep", "anchors", "Set-back behind the critical surface, H 10 m",
        f"{GEC4}, p. 65, as quoted", "published", "the larger of 1.5 m and H/5",
        lambda: set_back(BASIS.beyond_surface_length.value, BASIS.beyond_surface_share.value, 10.0),
        2.0, 1e-12, "m", "a stated limit",
    ),
    Case(
        "anchors.set-back-shallow", "anchors", "Set-back behind the critical surface, H 5 m",
        f"{GEC4}, p. 65, as quoted", "published", "the larger of 1.5 m and H/5",
        lambda: set_back(BASIS.beyond_surface_length.value, BASIS.beyond_surface_share.value, 5.0),
        1.5, 1e-12, "m", "a stated limit",
    ),
    Case(
        "anchors.bond-spacing-least", "anchors", "Least spacing of bond zones", GEC4, "memory", "4 ft",
        lambda: float(check(anchors(section())[0], "bond-spacing").capacity), 1.2, 1e-12, "m",
        "a stated limit", "EN 1997-1 8.4 asks for 1.5 m",
    ),
    Case(
        "anchors.overburden-least", "anchors", "Least ground over the bond zone", GEC4, "memory", "15 ft",
        lambda: float(check(anchors(section())[0], "overburden").capacity), 4.5, 1e-12, "m",
        "a stated limit", "held to be over the middle of the bond zone",
    ),
    Case(
        "anchors.inclination-least", "anchors", "Least inclination", GEC4, "memory", "10 degrees",
        lambda: degrees(check(anchors(section())[0], "inclination-least").capacity), 10.0, 1e-12,
        "deg", "a stated limit",
    ),
    Case(
        "anchors.inclination-greatest", "anchors", "Greatest inclination", GEC4, "memory", "45 degrees",
        lambda: degrees(check(anchors(section())[0], "inclination-greatest").capacity), 45.0, 1e-12,
        "deg", "a stated limit",
    ),
    Case(
        "anchors.under-cover", "anchors", "Unbonded length for 4.5 m of ground over mid-bond",
        "plane geometry", "formula", "head 2.5 m deep, 15 degrees, bond 6 m, level ground",
        lambda: under_cover(4.5, 2.5, radians(15), 6.0), 2.0 / sin(radians(15)) - 3.0, 1e-12, "m",
        "closed form",
    ),
    Case(
        "anchors.cover-on-slope", "anchors", "Ground over mid-bond under sloping ground",
        "plane geometry: z + L sin i + x tan(beta)", "formula", "head 2.5 m, 15 degrees, slope 10 degrees",
        lambda: float(
            check(anchors(section({"unbonded_length": 7.0}, ground={"slope": "10 deg"}))[0], "overburden")
            .demand
        ),
        2.5 + 11.0 * (sin(radians(15)) + cos(radians(15)) * tan(radians(10))), 1e-9, "m", "closed form",
    ),
)  # fmt: skip

STATICS = (
    Case(
        "anchors.load-along", "anchors", "Load along an inclined, skewed anchor",
        "statics: resolution in space", "formula", "120 kN/m, spacing 2.4 m, 20 degrees, skew 15",
        lambda: anchor_load(120.0, 2.4, radians(20), radians(15)),
        288.0 / sqrt((1 - sin(radians(20)) ** 2) * (1 - sin(radians(15)) ** 2)), 1e-12, "kN", "exact",
    ),
    Case(
        "anchors.vertical", "anchors", "Vertical component per length of wall", "statics", "formula",
        "500 kN at 30 degrees, spacing 2.5 m", lambda: vertical_component(500.0, pi / 6, 2.5), 100.0,
        1e-12, "kN/m", "exact",
    ),
    Case(
        "anchors.reach", "anchors", "Reach of a skewed anchor behind the wall", "solid geometry",
        "formula", "20 m at 60 degrees below horizontal, skew 60 degrees",
        lambda: reach(20.0, pi / 3, pi / 3), 5.0, 1e-12, "m", "exact",
    ),
    Case(
        "anchors.parallel-distance", "anchors", "Distance of neighbouring skewed anchors",
        "distance of parallel lines: s sqrt(1 - (cos i sin psi)^2)", "formula",
        "spacing 2 m, 15 degrees, skew 30 degrees, bond zones that overlap",
        lambda: float(check(anchors(section({"skew": "30 deg"}))[0], "bond-spacing").demand),
        2.0 * sqrt(1 - (cos(radians(15)) * sin(radians(30))) ** 2), 1e-9, "m", "closed form",
    ),
    Case(
        "anchors.skew-lines-distance", "anchors", "Distance of two segments that pass in space",
        "common perpendicular of the x axis and a line parallel to y at height 3", "formula",
        "crossing at right angles", lambda: segments_distance((-1, 0, 0), (1, 0, 0), (0, -1, 3), (0, 1, 3)),
        3.0, 1e-12, "m", "exact",
    ),
    Case(
        "anchors.segment-ends-distance", "anchors", "Distance of two segments that do not overlap",
        "Pythagoras between nearest ends", "formula", "ends (1,0,0) and (4,4,0)",
        lambda: segments_distance((0, 0, 0), (1, 0, 0), (4, 4, 0), (9, 9, 0)), 5.0, 1e-12, "m", "exact",
    ),
)  # fmt: skip

CASES: tuple[Case, ...] = (*PLANE_CASES, *RULES, *STATICS)
