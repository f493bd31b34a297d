"""Quantities of a section: what is bought, drilled and tested over its length of wall.

Masses come from the catalogues; lengths and numbers from the design. Quantities are net: no
waste, laps, overbreak or spares, and grout without what the ground takes. Where the contractor
chooses the bond length, that assumed in the design stands for it, and the note says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from backstay.anchors import AnchorDesign
from backstay.anchors.load_tests import US_COUNTS, TestCounts, anchors_along, planned_tests
from backstay.anchors.quantities import (
    Quantities,
    QuantityItem,
    anchor_quantities,
    filled_volume,
    load_tests,
)
from backstay.data.sections import steel_shape
from backstay.ground.profile import Profile
from backstay.model.project import Section
from backstay.model.wall import ContinuousWall, SoldierPiles

__all__ = ["Quantities", "QuantityItem", "quantities"]

if TYPE_CHECKING:
    from backstay.wall.result import WallDesign

STANDARD_GRAVITY = 9.80665
"""m/s2: turns the weight of a continuous wall into its mass."""


def quantities(
    section: Section,
    ground: Profile,
    anchors: Sequence[AnchorDesign],
    wall: WallDesign,
    counts: TestCounts = US_COUNTS,
) -> Quantities:
    """Return the quantities of a section over its length of wall."""
    planned = planned_tests(section.wall_length, anchors, counts)
    model = section.wall
    if isinstance(model, SoldierPiles):
        walling = (*_piles(section, model, wall), *_lagging(section, ground, model, wall))
    else:
        walling = tuple(_continuous(section, model, wall))
    return Quantities((*walling, *anchor_quantities(anchors, planned), *load_tests(planned)))


def _piles(section: Section, model: SoldierPiles, wall: WallDesign) -> Iterator[QuantityItem]:
    number = anchors_along(section.wall_length, model.spacing)
    shape = steel_shape(wall.section_name)
    each = 2 if wall.arrangement == "double" else 1
    yield QuantityItem("Soldier piles", number, "count", "one for each spacing of wall begun")
    yield QuantityItem(
        "Length of soldier piles", number * wall.toe, "length",
        f"each {{length:{wall.toe:.6g}}}, top of wall to toe",
    )  # fmt: skip
    yield QuantityItem(
        "Steel of soldier piles", number * wall.toe * each * shape.mass, "mass",
        f"{'pairs of ' if each == 2 else ''}{shape.name}, {{mass per length:{shape.mass:.6g}}} each; "
        "without heads, plates and battens",
    )  # fmt: skip
    if model.installation == "drilled":
        hole = model.hole_diameter or wall.toe_width
        yield QuantityItem(
            "Drilled length of pile holes", number * wall.toe, "length",
            f"hole of {{length:{hole:.6g}}}",
        )  # fmt: skip
        yield QuantityItem(
            "Filling of pile holes", number * filled_volume(hole, each * shape.A, wall.toe),
            "volume", f"{model.hole_filling} below subgrade and lean mix above, net of steel",
        )  # fmt: skip


def _lagging(
    section: Section, ground: Profile, model: SoldierPiles, wall: WallDesign
) -> Iterator[QuantityItem]:
    area = section.wall_length * ground.H
    yield QuantityItem(
        "Area of lagging",
        area,
        "area",
        f"{model.lagging.material}; height of cut times wall length",
    )
    if wall.lagging is not None and wall.lagging.thickness is not None:
        yield QuantityItem(
            "Volume of lagging", area * wall.lagging.thickness, "volume",
            f"{{small length:{wall.lagging.thickness:.6g}}} thick",
        )  # fmt: skip


def _continuous(
    section: Section, model: ContinuousWall, wall: WallDesign
) -> Iterator[QuantityItem]:
    area = section.wall_length * wall.toe
    yield QuantityItem("Area of wall", area, "area", f"{model.name}, top of wall to toe")
    if model.weight > 0.0:
        yield QuantityItem(
            "Mass of wall", area * model.weight * 1000.0 / STANDARD_GRAVITY, "mass",
            f"{model.name}, {{stress:{model.weight:g}}} of wall face",
        )  # fmt: skip
