"""Rules of the rows of anchors."""

from __future__ import annotations

from collections.abc import Iterator
from math import radians

from backstay.model.anchors import AnchorRow
from backstay.model.rules.names import unknown_name
from backstay.model.rules.rule import Breach, Say, rule
from backstay.model.rules.strata import TOLERANCE
from backstay.model.slope import SlopeAnchors
from backstay.model.wall import ContinuousWall, SoldierPiles


@rule
def row_between_top_and_subgrade(
    row: AnchorRow, top: float, subgrade: float, say: Say
) -> Iterator[Breach]:
    """Require that an anchor leaves the wall below its top and above the bottom of the cut."""
    if subgrade >= top:
        return
    if row.elevation >= top - TOLERANCE:
        yield Breach(
            ("elevation",), "an anchor must leave the wall below its top",
            f"less than {say.length(top)}",
        )  # fmt: skip
    elif row.elevation <= subgrade + TOLERANCE:
        yield Breach(
            ("elevation",), "an anchor below the bottom of the cut cannot be installed",
            f"more than {say.length(subgrade)}",
        )  # fmt: skip


@rule
def bench_above_subgrade(
    row: AnchorRow, top: float, subgrade: float, over_excavation: float, say: Say
) -> Iterator[Breach]:
    """Require that the dig from which a row is stressed stays above the bottom of the cut."""
    bench = row.elevation - over_excavation
    if subgrade < row.elevation < top and bench < subgrade - TOLERANCE:
        yield Breach(
            ("elevation",),
            f"the dig before stressing, over_excavation {say.length(over_excavation)} below the "
            f"row, would end {say.length(subgrade - bench)} below the bottom of the cut",
            f"an elevation of at least {say.length(subgrade + over_excavation)}, "
            f"or an over_excavation of at most {say.length(row.elevation - subgrade)}",
        )


@rule
def rows_from_the_top_down(rows: tuple[AnchorRow, ...], say: Say) -> Iterator[Breach]:
    """Require that row 1 is the highest."""
    for i in range(1, len(rows)):
        if rows[i].elevation >= rows[i - 1].elevation - TOLERANCE:
            yield Breach(
                ("anchors", i, "elevation"),
                f"rows are listed from the top down, and row {i + 1} is not below row {i}",
                f"less than {say.length(rows[i - 1].elevation)}",
            )


@rule
def row_fits_the_wall(row: AnchorRow, wall: SoldierPiles | ContinuousWall) -> Iterator[Breach]:
    """Require that anchors sit at soldier piles, or at a spacing of their own along a continuous wall."""
    if isinstance(wall, SoldierPiles):
        if row.spacing is not None:
            yield Breach(
                ("spacing",), "anchors sit at the soldier piles",
                "every: 1 (each pile), 2 (each second pile)", "leave spacing out",
            )  # fmt: skip
    else:
        if row.spacing is None:
            yield Breach(
                ("spacing",), "anchors of a continuous wall need their spacing", "a length"
            )
        if row.every != 1:
            yield Breach(
                ("every",), "a continuous wall has no piles to count", "spacing instead of every"
            )


@rule
def row_geometry(row: AnchorRow) -> Iterator[Breach]:
    """Require that angles are measured as the file wants them."""
    if row.inclination > radians(60):
        yield Breach(
            ("inclination",), "this is too steep for a wall anchor", "0 to 60 deg",
            "it is measured from the horizontal, downward",
        )  # fmt: skip
    if abs(row.skew) > radians(45):
        yield Breach(
            ("skew",), "this is too far from square to the wall", "-45 to 45 deg",
            "it is measured on plan from square to the wall",
        )  # fmt: skip


@rule
def row_sizes(row: AnchorRow | SlopeAnchors, say: Say) -> Iterator[Breach]:
    """Require that sizes are of an order that occurs; others are mistaken units."""
    for path, value, name, low, high in (
        (("bond", "hole_diameter"), row.bond.hole_diameter, "small length", 0.05, 0.6),
        (("bond", "length"), row.bond.length, "length", 1.0, 60.0),
        (("unbonded_length",), row.unbonded_length, "length", 1.0, 100.0),
        (("design_load",), row.design_load, "force", 10.0, 10_000.0),
        (("draw_in",), row.draw_in, "small length", 0.0, 0.05),
        (("tail_length",), row.tail_length, "length", 0.2, 5.0),
    ):
        if isinstance(value, float) and not low <= value <= high:
            yield Breach(
                path, "this size does not occur", f"{say(name, low)} to {say(name, high)}",
                "check the unit",
            )  # fmt: skip


@rule
def row_tendon(row: AnchorRow | SlopeAnchors) -> Iterator[Breach]:
    """Require that the product is in the table of its kind, and a bar has no strands."""
    tendon = row.tendon
    if tendon.kind == "bar" and tendon.strands not in ("auto", 1):
        yield Breach(
            ("tendon", "strands"), "a bar tendon is a single bar", '"auto" or 1',
            'for several, kind is "strand"',
        )  # fmt: skip
    if tendon.product != "auto":
        yield from unknown_name(("tendon", "product"), tendon.product, tendon.kind)
