"""An anchor as data."""

from __future__ import annotations

from typing import Any

from backstay.anchors import AnchorDesign, ScheduleRow
from backstay.quantity import UnitSystem
from backstay.results.value import Value, valued


def anchor_fields(anchor: AnchorDesign, planned: ScheduleRow, units: UnitSystem) -> dict[str, Any]:
    """Return the fields of `AnchorResult`."""

    def v(number: float, name: str) -> Value:
        return valued(number, name, units)

    return {
        "row": anchor.row,
        "inclination": v(anchor.inclination, "angle"),
        "spacing": v(anchor.spacing, "length"),
        "required_load": v(anchor.required_load, "force"),
        "design_load": v(anchor.design_load, "force"),
        "test_load": v(anchor.test_load, "force"),
        "lock_off_load": v(anchor.lock_off_load, "force"),
        "tendon": anchor.tendon.title,
        "tendon_area": v(anchor.tendon.area, "section area"),
        "tendon_strength": v(anchor.tendon.strength, "force"),
        "unbonded_length": v(anchor.unbonded_length, "length"),
        "unbonded_governing": anchor.unbonded_governing,
        "bond_length": None if anchor.bond_open else v(anchor.bond_length, "length"),
        "bond_by": anchor.bond_by,
        "total_length": v(anchor.total_length, "length"),
        "hole_diameter": v(anchor.hole_diameter, "small length"),
        "protection": anchor.protection,
        "elongation": v(anchor.elongation, "small length"),
        "lock_off_loss": v(anchor.lock_off_loss, "force"),
        "number": planned.number,
        "tests": planned.tests,
    }
