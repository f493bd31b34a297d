"""The order of the work on the anchors, and its result."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.anchors.bond import BondRequirement
from backstay.anchors.tendon import TendonChoice
from backstay.anchors.unbonded import UnbondedRule
from backstay.checks import Check
from backstay.model.anchors import Grouting
from backstay.trace import Step


@dataclass(frozen=True, slots=True)
class AnchorDesign:
    """The anchors of one row. Forces in kN per anchor unless said, lengths in m, angles in rad.

    row: from 1, top down; z: depth of head; spacing: along the wall between anchors; horizontal:
    load of the row, kN per m of wall; required_load: along the anchor, from the row's load;
    design_load: given, or the required; vertical: component of the design load, kN per m of wall.

    unbonded_length: given, or the least; unbonded_governing: name of the rule that sets the
    least; unbonded_least: what the rules ask for; surface_length: from head to the critical
    surface.

    bond_length: given, or required for `grouting` (the one given; gravity where it is open);
    bond_open: True where the contractor chooses it; bond_required: per grouting method.

    head, free_end, bond_end: (x, z) of the head, the start and the end of the bond zone,
    projected on the section. elongation: at test load, from the alignment load; lock_off_loss:
    by draw-in; protection: corrosion protection class, with protection_reason in words.
    """

    row: int
    z: float
    inclination: float
    skew: float
    spacing: float
    horizontal: float
    required_load: float
    design_load: float
    test_load: float
    lock_off_load: float
    vertical: float
    tendon: TendonChoice
    unbonded_length: float
    unbonded_least: float
    unbonded_rules: tuple[UnbondedRule, ...]
    unbonded_governing: str
    surface_length: float
    bond_length: float
    bond_by: Literal["contractor", "engineer"]
    bond_open: bool
    grouting: Grouting
    bond_required: tuple[BondRequirement, ...]
    total_length: float
    tail_length: float
    hole_diameter: float
    protection: Literal["none", "class II", "class I"]
    protection_reason: str
    head: tuple[float, float]
    free_end: tuple[float, float]
    bond_end: tuple[float, float]
    elongation: float
    lock_off_loss: float
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]
