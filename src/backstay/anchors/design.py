"""The order of the work on the anchors of a wall, row by row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from backstay.anchors.anchor import AnchorDesign, design_anchor
from backstay.anchors.clearance import Placed, clearance_checks
from backstay.anchors.geometry import Axis
from backstay.anchors.loads import RowLoads
from backstay.anchors.neighbours import Neighbour, neighbour_checks
from backstay.anchors.surface import CriticalSurface
from backstay.basis import Basis
from backstay.checks import Check
from backstay.errors import DesignError
from backstay.ground.profile import Profile
from backstay.model.anchors import AnchorRow
from backstay.model.project import Section, Service
from backstay.model.wall import SoldierPiles


def anchor_spacing(section: Section, row: AnchorRow, where: str) -> float:
    """Return the spacing of a row's anchors along the wall (m).

    Raises DesignError where a continuous wall does not say it, or where a soldier-pile wall says
    another than that of its piles.
    """
    if isinstance(section.wall, SoldierPiles):
        spacing = section.wall.spacing * row.every
        if row.spacing is not None and abs(row.spacing - spacing) > 1e-6 * spacing:
            raise DesignError(
                f"the spacing of {{length:{row.spacing:g}}} is not that of the piles, "
                f"{row.every} x {{length:{section.wall.spacing:g}}}",
                where,
            )
        return spacing
    if row.spacing is None:
        raise DesignError("the row of a continuous wall needs its spacing along the wall", where)
    return row.spacing


def design_anchors(
    section: Section,
    ground: Profile,
    surface: CriticalSurface,
    loads: RowLoads,
    service: Service,
    basis: Basis,
    *,
    staged: Sequence[float] = (),
) -> tuple[AnchorDesign, ...]:
    """Design the anchors of every row, top down.

    staged: load of one anchor of each row by the staged analysis (kN), which a design load that is not
    given must cover as well; empty where there is none.

    Raises DesignError, with the row, where an anchor cannot be designed at all.
    """
    if len(loads.rows) != len(section.anchors):
        raise DesignError(f"{len(section.anchors)} rows of anchors, {len(loads.rows)} loads")
    asked = tuple(staged) or (0.0,) * len(section.anchors)
    made = []
    for row, load, stages in zip(section.anchors, loads.rows, asked, strict=True):
        where = f"row {load.row}"

        def room(placed: Placed, where: str = where) -> tuple[Check, ...]:
            return clearance_checks(section, ground, placed, basis, where)

        made.append(
            design_anchor(
                row, load.row, axis=Axis(section.depth(row.elevation), row.inclination, row.skew),
                ground=ground, surface=surface, spacing=anchor_spacing(section, row, where),
                horizontal=load.horizontal, service=service, basis=basis, room=room, stages=stages,
            )
        )  # fmt: skip
    neighbours = _neighbours(section, made)
    return tuple(
        replace(
            anchor,
            checks=(*anchor.checks, *neighbour_checks(me, neighbours, basis, f"row {anchor.row}")),
        )
        for (anchor, _), me in zip(made, neighbours, strict=True)
    )


def _neighbours(
    section: Section, made: Sequence[tuple[AnchorDesign, Placed]]
) -> tuple[Neighbour, ...]:
    piles = isinstance(section.wall, SoldierPiles)
    return tuple(
        Neighbour(anchor.row, placed, anchor.spacing, row.every if piles else None)
        for row, (anchor, placed) in zip(section.anchors, made, strict=True)
    )
