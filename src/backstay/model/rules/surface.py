"""Rules of the ground surface behind the wall."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees, radians

from backstay.model.ground import Stratum, SurfacePoint
from backstay.model.rules.rule import Breach, Say, rule
from backstay.model.rules.strata import TOLERANCE


@rule
def slope_or_profile(slope: float, surface: tuple[SurfacePoint, ...]) -> Iterator[Breach]:
    """Require that the surface is described once."""
    if slope != 0.0 and surface:
        yield Breach(
            ("ground", "slope"), "the ground behind the wall is given twice",
            "a slope or a profile, not both",
        )  # fmt: skip


@rule
def slope_stands(slope: float, strata: tuple[Stratum, ...]) -> Iterator[Breach]:
    """Require that the slope is one that the ground can have."""
    where = ("ground", "slope")
    if abs(slope) > radians(60):
        yield Breach(where, "no ground behind a wall is this steep", "-60 to 60 deg")
        return
    first = strata[0]
    if first.kind == "granular" and first.friction_angle and slope >= first.friction_angle:
        yield Breach(
            where,
            f"{first.name} cannot stand at a slope as steep as its angle of friction",
            f"less than {degrees(first.friction_angle):.1f} deg",
        )


@rule
def profile_runs_outward(
    surface: tuple[SurfacePoint, ...], top: float, say: Say
) -> Iterator[Breach]:
    """Require that points run away from the wall, and begin at the top of the wall."""
    for i in range(1, len(surface)):
        if surface[i].distance <= surface[i - 1].distance:
            yield Breach(
                ("ground", "profile", i, "distance"),
                "points must run away from the wall, each farther than the one before",
                f"more than {say.length(surface[i - 1].distance)}",
            )
    if surface and surface[0].distance == 0.0 and abs(surface[0].elevation - top) > TOLERANCE:
        yield Breach(
            ("ground", "profile", 0, "elevation"),
            "at the wall, the profile must begin at the top of the ground",
            say.length(top),
        )
    for i, point in enumerate(surface):
        if abs(point.elevation - top) > 100.0:
            yield Breach(
                ("ground", "profile", i, "elevation"),
                f"this is {say.length(abs(point.elevation - top))} from the top of the wall",
                hint="check the unit and the datum of the elevations",
            )
