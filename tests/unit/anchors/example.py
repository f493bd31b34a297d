"""A small invented section that tests of anchors vary."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from backstay.anchors import AnchorDesign, CriticalSurface, critical_surface, design_anchors
from backstay.anchors.loads import RowLoad, RowLoads
from backstay.basis import basis
from backstay.ground import profile
from backstay.model.project import Section, Service
from backstay.quantity import UnitSystem

BASIS = basis("FHWA-IF-99-015")
TEMPORARY = Service(life="temporary", months=18)
PERMANENT = Service(life="permanent")

SAND: dict[str, Any] = {
    "name": "Sand", "top": 100.0, "kind": "granular", "moist_unit_weight": 18.0,
    "saturated_unit_weight": 20.0, "friction_angle": "33 deg", "density": "medium",
}  # fmt: skip
CLAY: dict[str, Any] = {
    "name": "Clay", "top": 100.0, "kind": "stiff clay", "moist_unit_weight": 19.0,
    "saturated_unit_weight": 19.5, "undrained_strength": 80.0, "spt_n": 14,
}  # fmt: skip
ROW: dict[str, Any] = {
    "elevation": 97.5, "inclination": "15 deg", "tendon": {"kind": "strand"},
    "bond": {"by": "contractor", "length": 8.0, "grouting": "gravity", "hole_diameter": "150 mm"},
}  # fmt: skip
BASE: dict[str, Any] = {
    "name": "A", "wall_length": 40.0,
    "ground": {"top": 100.0, "strata": [SAND]},
    "cut": {"subgrade": 90.0},
    "wall": {"kind": "soldier piles", "section": "HP14x89", "spacing": 2.0},
    "anchors": [ROW],
}  # fmt: skip


def merged(base: dict[str, Any], changes: dict[str, Any]) -> dict[str, Any]:
    """Return a deep copy of a mapping with changes laid over it (another kind replaces)."""
    result = deepcopy(base)
    for key, value in changes.items():
        mapping = isinstance(value, dict) and isinstance(result.get(key), dict)
        if mapping and value.get("kind", "") in ("", result[key].get("kind")):
            result[key] = merged(result[key], value)
        else:
            result[key] = deepcopy(value)
    return result


def section(row: dict[str, Any] | None = None, **changes: Any) -> Section:
    """Return the section with changes: of its one row, and of anything else."""
    data = merged(BASE, changes)
    if row is not None:
        data["anchors"] = [merged(ROW, row)]
    return Section.model_validate(data, context={"units": UnitSystem.SI})


def loads(horizontal: float, *depths: float) -> RowLoads:
    """Return equal loads of rows (kN/m)."""
    rows = tuple(
        RowLoad(i + 1, z, horizontal, horizontal, horizontal) for i, z in enumerate(depths)
    )
    return RowLoads(rows, 0.0, 0.0, 0.0, ())


def surface(made: Section) -> CriticalSurface:
    return critical_surface(made, profile(made))


def anchors(
    made: Section, horizontal: float = 120.0, service: Service = TEMPORARY
) -> tuple[AnchorDesign, ...]:
    """Return the anchors of a section whose rows all carry one horizontal load (kN/m)."""
    ground = profile(made)
    depths = [made.depth(row.elevation) for row in made.anchors]
    return design_anchors(
        made, ground, critical_surface(made, ground), loads(horizontal, *depths), service, BASIS
    )


def check(anchor: AnchorDesign, name: str) -> Any:
    """Return the one check of a name (or the first of several)."""
    return next(c for c in anchor.checks if c.id == f"anchor.{name}")
