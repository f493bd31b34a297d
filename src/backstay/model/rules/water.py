"""Rules of the water on both sides."""

from __future__ import annotations

from collections.abc import Iterator

from backstay.model.ground import Water
from backstay.model.rules.rule import Breach, Say, rule
from backstay.model.rules.strata import TOLERANCE
from backstay.model.wall import ContinuousWall, SoldierPiles

_RETAINED = ("ground", "water", "retained")
_CUT = ("ground", "water", "cut")


@rule
def water_within_the_ground(water: Water, top: float, say: Say) -> Iterator[Breach]:
    """Require that water behind the wall does not stand above the ground, nor above it in the cut."""
    if water.retained is not None and water.retained > top + TOLERANCE:
        yield Breach(
            _RETAINED,
            f"the water level is {say.length(water.retained - top)} above the ground behind the wall",
            f"at most {say.length(top)}, the top of the ground",
        )
    if water.cut is None:
        return
    if water.retained is None:
        yield Breach(
            _RETAINED, "water in the cut needs the water level behind the wall as well",
            "an elevation",
        )  # fmt: skip
    elif water.cut > water.retained + TOLERANCE:
        yield Breach(
            _CUT, "the water in the cut stands above the water behind the wall",
            f"at most {say.length(water.retained)}",
        )  # fmt: skip


@rule
def seepage_needs_a_tight_wall(
    water: Water, wall: SoldierPiles | ContinuousWall, subgrade: float
) -> Iterator[Breach]:
    """Require that water flows around the toe of a continuous wall; through lagging it drains."""
    if water.flow != "seepage":
        return
    where = ("ground", "water", "flow")
    if isinstance(wall, SoldierPiles):
        yield Breach(
            where, "seepage around the toe is for continuous walls: lagging lets the water through",
            '"hydrostatic"',
        )  # fmt: skip
    elif water.retained is None:
        yield Breach(_RETAINED, "seepage needs the water level behind the wall", "an elevation")
    elif water.retained <= (subgrade if water.cut is None else water.cut):
        yield Breach(
            where, "no water flows: the level behind the wall is not above the level in the cut",
            '"hydrostatic"',
        )  # fmt: skip


@rule
def perched_water(water: Water, top: float, say: Say) -> Iterator[Breach]:
    """Require that perched water stands on something, inside the ground, above the general level."""
    for i, perched in enumerate(water.perched):
        where = ("ground", "water", "perched", i)
        if perched.base >= perched.level:
            yield Breach(
                (*where, "base"), "the base of perched water must be below its level",
                f"less than {say.length(perched.level)}",
            )  # fmt: skip
        if perched.level > top + TOLERANCE:
            yield Breach(
                (*where, "level"), "the perched water stands above the ground behind the wall",
                f"at most {say.length(top)}",
            )  # fmt: skip
        if water.retained is not None and perched.base < water.retained - TOLERANCE:
            yield Breach(
                (*where, "base"), "perched water must stand above the general water level",
                f"at least {say.length(water.retained)}",
            )  # fmt: skip
