"""The published shape of a design as data: JSON schema backstay-design/1.

Every physical number is an object ``{"value": ..., "unit": ...}``; a value that is infinite (nothing
to resist with) is null. Fields are added, never renamed, within one version.
"""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field

from backstay.results.anchor_shape import AnchorResult
from backstay.results.check_shape import CheckResult, QuantityResult
from backstay.results.slip_shape import OverallOutcome
from backstay.results.slopes_shape import SlopeResult
from backstay.results.staged_shape import StagedOutcome
from backstay.results.value import Result, Value

SCHEMA_ID: Literal["backstay-design/1"] = "backstay-design/1"


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


class RowResult(AnchorResult):
    """One row of anchors: loads per length of wall by both methods, and the anchor."""

    elevation: Value
    horizontal_tributary: Value
    horizontal_hinge: Value
    horizontal: Value
    vertical: Value


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
    slopes: list[SlopeResult] = Field(default_factory=list)
    caution: str
