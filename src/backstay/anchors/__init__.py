"""Ground anchors: loads from an envelope, geometry, tendon, bond, lock-off, protection, schedule.

The wall's pressure is shared among the rows of anchors (`row_loads`). Each row is then designed
as one anchor (`design_anchors`): its load along its inclined, perhaps skewed axis; the tendon
that may carry it at design, lock-off and test; the unbonded length that puts the bond zone
behind the critical failure surface (`critical_surface`); the bond length through the strata it
crosses; what wedges lose at lock-off; the way past pipes, basements, boundaries and neighbours;
protection against corrosion. What the contractor has chosen is checked, never overwritten; what
is left open to him is stated as something he must show. `backstay.anchors.schedule` makes what goes
on the drawings. Names here are imported when they are asked for: who tests an anchor does not wait
for its design.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from backstay.anchors.anchor import AnchorDesign, design_anchor
    from backstay.anchors.bond import BondPart, BondRequirement
    from backstay.anchors.design import design_anchors
    from backstay.anchors.loads import RowLoad, RowLoads, row_loads
    from backstay.anchors.schedule import Schedule, ScheduleRow, slope_schedule
    from backstay.anchors.surface import CriticalSurface, critical_surface
    from backstay.anchors.tendon import TendonChoice
    from backstay.anchors.unbonded import UnbondedRule

__all__ = [
    "AnchorDesign",
    "BondPart",
    "BondRequirement",
    "CriticalSurface",
    "RowLoad",
    "RowLoads",
    "Schedule",
    "ScheduleRow",
    "TendonChoice",
    "UnbondedRule",
    "critical_surface",
    "design_anchor",
    "design_anchors",
    "row_loads",
    "slope_schedule",
]
_WHERE = {
    "AnchorDesign": "anchor", "design_anchor": "anchor",
    "BondPart": "bond", "BondRequirement": "bond",
    "design_anchors": "design",
    "RowLoad": "loads", "RowLoads": "loads", "row_loads": "loads",
    "Schedule": "schedule", "ScheduleRow": "schedule", "slope_schedule": "schedule",
    "CriticalSurface": "surface", "critical_surface": "surface",
    "TendonChoice": "tendon",
    "UnbondedRule": "unbonded",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
