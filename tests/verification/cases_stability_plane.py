"""Plane failure of a slope with crack, water and anchor: Wyllie and Mah's form, put in by hand."""

from __future__ import annotations

from math import degrees, radians

from backstay.stability.plane_slope import (
    best_inclination,
    block_weight,
    crack_depth,
    crack_water,
    plane_area,
    plane_force,
    plane_safety,
    uplift,
)
from tests.verification.catalogue import Case

SOURCE = "Wyllie and Mah, Rock Slope Engineering, plane failure"
H, FACE, PLANE, CREST, PHI = 12.0, radians(60), radians(35), 4.0, radians(37)
INPUTS = "H 12, face 60, plane 35, crack 4 m behind the crest, phi 37, gamma 26"


def _safety(c: float, z_w: float, T: float = 0.0, i: float = 0.0) -> float:
    z_c = crack_depth(H, CREST, FACE, PLANE)
    A = plane_area(H, z_c, PLANE)
    W = block_weight(26.0, H, z_c, FACE, PLANE)
    V, U = crack_water(9.81, z_w), uplift(9.81, z_w, A)
    return plane_safety(c, A, W, U, V, T, PHI, PLANE, radians(i))


def _force(FS: float, i: float) -> float:
    z_c = crack_depth(H, CREST, FACE, PLANE)
    A, W = plane_area(H, z_c, PLANE), block_weight(26.0, H, z_c, FACE, PLANE)
    return plane_force(FS, 0.0, A, W, 0.0, 0.0, PHI, PLANE, radians(i))


def _case(
    name: str, title: str, more: str, compute: object, expected: float, tolerance: float = 5e-4,
    unit: str = "",
) -> Case:  # fmt: skip
    return Case(
        f"stability.plane-{name}", "stability", title, SOURCE, "memory", f"{INPUTS}; {more}",
        compute, expected, tolerance, unit,  # type: ignore[arg-type]
    )  # fmt: skip


CASES = (
    _case("wet", "Plane failure, water in the crack", "c 25, water 3 m", lambda: _safety(25, 3), 1.247),
    _case("drained", "Plane failure, drained", "c 25", lambda: _safety(25, 0), 1.544),
    _case("no-cohesion", "Plane failure, drained, no cohesion", "c 0", lambda: _safety(0, 0), 1.076),
    _case("anchored", "Plane failure with an anchor", "c 0, 400 kN/m at 10 deg",
          lambda: _safety(0, 0, 400, 10), 2.282),
    _case("anchored-best", "Plane failure, anchor at the best inclination", "c 0, 400 kN/m at 2 deg",
          lambda: _safety(0, 0, 400, 2), 2.413),
    _case("best-inclination", "Best inclination of the anchor", "for safety 1: phi - psi_p",
          lambda: degrees(best_inclination(PHI, PLANE, 1.0)), 2.0, 1e-9, "deg"),
    _case("force-back", "Force for the safety that 400 kN/m gives", "c 0, at 10 deg",
          lambda: _force(_safety(0, 0, 400, 10), 10), 400.0, 1e-9, "kN/m"),
)  # fmt: skip
