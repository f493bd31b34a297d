"""Rules of the wall: toe, hole, section and grade."""

from __future__ import annotations

from collections.abc import Iterator

from backstay.model.rules.names import across, unknown_name
from backstay.model.rules.rule import Breach, Say, rule
from backstay.model.rules.strata import TOLERANCE
from backstay.model.wall import ContinuousWall, SoldierPiles

DEEPEST_TOE = 60.0
"""m below subgrade; deeper is a mistaken unit or datum."""


@rule
def toe_below_subgrade(
    wall: SoldierPiles | ContinuousWall, subgrade: float, say: Say
) -> Iterator[Breach]:
    """Require that the wall reaches below the cut."""
    if wall.toe == "auto":
        return
    what = "the piles are" if isinstance(wall, SoldierPiles) else "the wall is"
    if wall.toe >= subgrade - TOLERANCE:
        yield Breach(
            ("wall", "toe"), f"{what} too short: the toe must be below the bottom of the cut",
            f'less than {say.length(subgrade)}, or "auto"',
        )  # fmt: skip
    elif wall.toe < subgrade - DEEPEST_TOE:
        yield Breach(
            ("wall", "toe"), f"the toe is {say.length(subgrade - wall.toe)} below the cut",
            hint="check the unit; the toe is an elevation, not a depth",
        )  # fmt: skip


@rule
def stiffness_changes_go_down(
    wall: SoldierPiles | ContinuousWall, top: float, say: Say
) -> Iterator[Breach]:
    """Require that changes of stiffness are written from the top down, below the top of wall."""
    level = top
    for i, change in enumerate(wall.stiffness_changes):
        if change.below >= level - TOLERANCE:
            yield Breach(
                ("wall", "stiffness_changes", i, "below"),
                "changes of stiffness are written from the top down, below the top of wall",
                f"less than {say.length(level)}",
            )  # fmt: skip
        level = min(level, change.below)


@rule
def hole_takes_the_pile(wall: SoldierPiles | ContinuousWall, say: Say) -> Iterator[Breach]:
    """Require that a drilled pile has a hole that it fits into; a driven pile has none."""
    if not isinstance(wall, SoldierPiles):
        return
    where = ("wall", "hole_diameter")
    hole = wall.hole_diameter
    if wall.installation == "driven":
        if hole is not None:
            yield Breach(
                where, "a driven pile has no drilled hole",
                hint='leave hole_diameter out, or set installation to "drilled"',
            )  # fmt: skip
        return
    if hole is None:
        yield Breach(where, "a pile in a drilled hole needs the diameter of the hole", "a length")
        return
    if hole > 3.0:
        yield Breach(
            where, "this size does not occur", f"at most {say.length(3.0)}", "check the unit"
        )
    elif hole >= wall.spacing:
        yield Breach(
            where, "the holes would run into each other",
            f"less than the spacing, {say.length(wall.spacing)}",
        )  # fmt: skip
    needed = across(wall.section, wall.arrangement, wall.gap)
    if needed is not None and hole < needed:
        what = wall.section if wall.arrangement == "single" else f"a pair of {wall.section}"
        yield Breach(
            where,
            f"{what} does not go into this hole",
            f"at least {say.length(needed)}, its diagonal",
        )


@rule
def pair_or_single(wall: SoldierPiles | ContinuousWall) -> Iterator[Breach]:
    """Require that what belongs to a pair of sections stands with a pair."""
    if not isinstance(wall, SoldierPiles) or wall.arrangement == "double":
        return
    if wall.gap > 0.0:
        yield Breach(
            ("wall", "gap"), "a single section has no gap", hint="arrangement: double makes a pair"
        )
    if wall.anchor_opening == "between pair":
        yield Breach(
            ("wall", "anchor_opening"), "a single section has nothing to pass between",
            '"cut through" or "bracket", or arrangement: double',
        )  # fmt: skip


@rule
def wall_names(wall: SoldierPiles | ContinuousWall) -> Iterator[Breach]:
    """Require that section, steel and timber are in the tables."""
    if not isinstance(wall, SoldierPiles):
        return
    if wall.section != "auto":
        yield from unknown_name(("wall", "section"), wall.section, "steel_shape")
    yield from unknown_name(("wall", "steel"), wall.steel, "steel_grade")
    if wall.lagging.material == "timber":
        yield from unknown_name(("wall", "lagging", "timber"), wall.lagging.timber, "timber")


@rule
def wall_sizes(wall: SoldierPiles | ContinuousWall, say: Say) -> Iterator[Breach]:
    """Require that sizes are of an order that occurs; others are mistaken units."""
    sizes: tuple[tuple[tuple[str, ...], object, str, float, float], ...]
    if isinstance(wall, SoldierPiles):
        sizes = (
            (("spacing",), wall.spacing, "length", 0.5, 6.0),
            (("lagging", "thickness"), wall.lagging.thickness, "small length", 0.02, 0.6),
            (
                ("lagging", "allowable_bending"),
                wall.lagging.allowable_bending,
                "strength",
                1e3,
                1e5,
            ),
        )
    else:
        sizes = (
            (("width",), wall.width, "length", 0.05, 3.0),
            (("stiffness",), wall.stiffness, "bending stiffness per length", 1e2, 1e8),
            (("area",), wall.area, "section area per length", 1e-4, 3.0),
            (("section_modulus",), wall.section_modulus, "section modulus per length", 1e-5, 1.0),
            (("allowable_stress",), wall.allowable_stress, "strength", 1e2, 1e6),
        )
    for path, value, name, low, high in sizes:
        if isinstance(value, float) and not low <= value <= high:
            yield Breach(
                ("wall", *path), "this size does not occur", f"{say(name, low)} to {say(name, high)}",
                "check the unit",
            )  # fmt: skip
