"""Small invented sections for the staged analysis, and the arrays that they become."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

from backstay.anchors import critical_surface, design_anchors, row_loads
from backstay.basis import basis
from backstay.ground import profile
from backstay.model.project import Section, Service
from backstay.pressure import design_pressures
from backstay.wall.staged import StagedInput, staged_input
from tests.unit.anchors.example import PERMANENT, TEMPORARY, merged

BASIS = basis("FHWA-IF-99-015")
SAND: dict[str, Any] = {
    "name": "Sand", "top": 100.0, "kind": "granular", "moist_unit_weight": 18.0,
    "saturated_unit_weight": 20.0, "friction_angle": "33 deg", "density": "medium",
}  # fmt: skip
CLAY: dict[str, Any] = {
    "name": "Clay", "top": 100.0, "kind": "stiff clay", "moist_unit_weight": 19.0,
    "saturated_unit_weight": 19.5, "undrained_strength": {"at_top": 80.0, "gradient": 2.0},
    "friction_angle": "25 deg", "cohesion": 5.0,
}  # fmt: skip
ROW: dict[str, Any] = {
    "elevation": 97.5, "inclination": "15 deg", "tendon": {"kind": "strand"}, "lock_off": 0.9,
    "bond": {"by": "contractor", "length": 9.0, "grouting": "gravity", "hole_diameter": "150 mm"},
}  # fmt: skip
PILES: dict[str, Any] = {
    "kind": "soldier piles", "section": "HP14x89", "spacing": 2.5, "hole_diameter": 0.75,
}  # fmt: skip
SHEETS: dict[str, Any] = {
    "kind": "continuous", "name": "Sheets", "stiffness": 50000.0, "section_modulus": "2000 cm3/m",
    "width": 0.4, "allowable_stress": "200 MPa",
}  # fmt: skip
BASE: dict[str, Any] = {
    "name": "A", "wall_length": 40.0,
    "ground": {"top": 100.0, "strata": [SAND]},
    "cut": {"subgrade": 92.0},
    "wall": PILES,
    "anchors": [ROW, {**ROW, "elevation": 95.0}],
}  # fmt: skip


def section(**changes: Any) -> Section:
    """Return the small section with changes (top level)."""
    return Section.model_validate(merged(BASE, changes))


def wall_of(given: Section, *, embedment: float = 4.0) -> Any:
    """Return what the staged analysis needs to know of a wall."""
    continuous = given.wall.kind == "continuous"
    return SimpleNamespace(
        kind="continuous" if continuous else "soldier piles",
        section_name=given.wall.name if continuous else given.wall.section,
        spacing=1.0 if continuous else given.wall.spacing,
        toe_width=given.wall.width if continuous else 0.75,
        embedment=embedment,
        toe=given.height + embedment,
    )


def arrays(
    given: Section,
    *,
    service: Service = TEMPORARY,
    embedment: float = 4.0,
    stiffness_factor: float = 1.0,
) -> StagedInput:
    """Return the arrays of a section."""
    ground = profile(given)
    pressures = design_pressures(given, ground, service, BASIS)
    surface = critical_surface(given, ground)
    loads = row_loads([given.depth(r.elevation) for r in given.anchors], ground.H, pressures.design)
    anchors = design_anchors(given, ground, surface, loads, service, BASIS)
    return staged_input(
        given, ground, anchors, wall_of(given, embedment=embedment),
        service=service, stiffness_factor=stiffness_factor,
    )  # fmt: skip


__all__ = ["BASIS", "PERMANENT", "TEMPORARY", "arrays", "section", "wall_of"]
