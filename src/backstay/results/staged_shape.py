"""The published shape of the staged analysis."""

from __future__ import annotations

from typing import Literal

from backstay.results.value import Result, Value


class StageArrays(Result):
    """Whole curves of a stage: by node depth, and by depth of Gauss point for pressures."""

    depth: list[float]
    depth_unit: str
    deflection: list[float]
    deflection_unit: str
    rotation: list[float]
    rotation_unit: str
    moment: list[float]
    moment_unit: str
    shear_above: list[float]
    shear_below: list[float]
    shear_unit: str
    pressure_depth: list[float]
    pressure_behind: list[float]
    active_behind: list[float]
    passive_behind: list[float]
    pressure_in_front: list[float]
    active_in_front: list[float]
    passive_in_front: list[float]
    pressure_unit: str


class StageOutcome(Result):
    """One stage, in mean ground. Moments and shears per pile, or per length of a continuous wall."""

    number: int
    title: str
    dug_to: Value
    status: Literal["stands", "no equilibrium", "not converged"]
    residual: float
    force_balance: float
    moment_balance: float
    top_deflection: Value
    greatest_deflection: Value
    greatest_moment: Value
    least_moment: Value
    greatest_shear: Value
    anchor_loads: list[Value]
    reaction: Value
    toe_share: float
    arrays: StageArrays | None = None


class ComparedResult(Result):
    """One action by the envelope and by the staged analysis; null where the wall does not stand."""

    action: str
    where: str
    envelope: Value
    soft: Value | None
    mean: Value | None
    stiff: Value | None
    carried: Value


class FailureResult(Result):
    """Why the wall does not stand at a stage."""

    ground: Literal["soft", "mean", "stiff"]
    stage: int
    title: str
    mechanism: str
    depth: Value
    remedy: str


class StagedOutcome(Result):
    """The wall through every stage of the dig."""

    stands: bool
    carry: Literal["larger", "envelope", "staged"]
    nodes: int
    mesh_error: float | None
    stages: list[StageOutcome]
    comparison: list[ComparedResult]
    failures: list[FailureResult]
