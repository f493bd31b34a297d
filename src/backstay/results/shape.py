"""The published shape of a design as data: JSON schema backstay-design/1.

Every physical number is an object ``{"value": ..., "unit": ...}``; a value that is infinite (nothing
to resist with) is null. Fields are added, never renamed, within one version.
"""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field

from backstay.cite import Provenance
from backstay.results.slip_shape import OverallOutcome
from backstay.results.staged_shape import StagedOutcome
from backstay.results.value import Result, Value

SCHEMA_ID: Literal["backstay-design/1"] = "backstay-design/1"


class Source(Result):
    """A citation and how it is known."""

    document: str
    clause: str
    provenance: Provenance


class Line(Result):
    """One line of a derivation."""

    kind: Literal["equation", "condition", "stated", "remark", "heading"]
    symbol: str = ""
    title: str = ""
    equation: str = ""
    numbers: str = ""
    result: str = ""
    source: str = ""


class CheckResult(Result):
    """One check. `limit` is the capacity, or what is required where `sense` is "at least"."""

    id: str
    name: str
    where: str
    verdict: Literal["pass", "fail", "to be shown"]
    sense: Literal["at most", "at least"]
    demand: Value
    limit: Value
    utilisation: float | None
    clause: Source
    remedy: str
    note: str
    derivation: list[Line]


class DiagramResult(Result):
    """Pressure against depth below top of wall; two points at one depth make a jump."""

    name: str
    depth: list[float]
    depth_unit: str
    pressure: list[float]
    pressure_unit: str


class StressResult(Result):
    """Stresses beside the wall at one depth, before anything moves; own weight and water."""

    side: Literal["retained", "cut"]
    stratum: str
    depth: Value
    total: Value
    pore: Value
    effective: Value
    at_rest_coefficient: float | None
    horizontal_at_rest: Value | None


class RowResult(Result):
    """One row of anchors: loads per length of wall by both methods, and the anchor."""

    row: int
    elevation: Value
    inclination: Value
    spacing: Value
    horizontal_tributary: Value
    horizontal_hinge: Value
    horizontal: Value
    vertical: Value
    required_load: Value
    design_load: Value
    test_load: Value
    lock_off_load: Value
    tendon: str
    tendon_area: Value
    tendon_strength: Value
    unbonded_length: Value
    unbonded_governing: str
    bond_length: Value | None
    bond_by: Literal["contractor", "engineer"]
    total_length: Value
    hole_diameter: Value
    protection: str
    elongation: Value
    lock_off_loss: Value
    number: int
    tests: str


class WallResult(Result):
    """The wall: section, actions, embedment."""

    kind: str
    section: str
    steel: str
    spacing: Value | None
    design_moment: Value
    design_shear: Value
    axial: Value
    embedment: Value
    embedment_required: Value
    toe_elevation: Value
    lagging_thickness: Value | None


class QuantityResult(Result):
    """One line of the quantities."""

    name: str
    quantity: Value
    note: str


class SectionResult(Result):
    """One design section."""

    name: str
    height: Value
    envelope: str
    envelope_reasons: list[str]
    stability_number: float | None
    total_load: Value
    reaction: Value
    stresses: list[StressResult]
    diagrams: list[DiagramResult]
    rows: list[RowResult]
    wall: WallResult
    staged: StagedOutcome
    overall: OverallOutcome | None
    wall_movement: Value
    settlement: Value
    checks: list[CheckResult]
    quantities: list[QuantityResult]
    notes: list[str]


class DesignResult(Result):
    """A whole design."""

    model_config = ConfigDict(extra="forbid", populate_by_name=True)

    schema_id: Literal["backstay-design/1"] = Field(alias="schema")
    program: str
    project: str
    units: Literal["SI", "US"]
    basis: str
    verdict: Literal["pass", "fail", "to be shown"]
    sections: list[SectionResult]
    caution: str
