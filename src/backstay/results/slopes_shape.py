"""The published shape of a slope that is tied back."""

from __future__ import annotations

from backstay.results.anchor_shape import AnchorResult
from backstay.results.check_shape import CheckResult, QuantityResult
from backstay.results.slip_shape import (
    LengthenedRow,
    PlacedPoint,
    SearchOutcome,
    SliceArrays,
)
from backstay.results.value import Result, Value


class StrengthPair(Result):
    """Cohesion and angle of friction along the slip surface."""

    cohesion: Value
    friction_angle: Value


class LocusResult(Result):
    """Pairs that explain one safety under one water; carried: the design rests on it."""

    case: str
    safety: float
    carried: bool
    residual: float
    pairs: list[StrengthPair]


class ForceResult(Result):
    """Anchor force per length of slope at an inclination; null where no force gives the target."""

    inclination: Value
    force: Value


class SlopeCaseResult(Result):
    """The known surface at rest, or in the earthquake; points as it was analysed, left to right."""

    case: str
    target: float
    safety_without: float
    force: Value
    safety: float
    method: str
    residual_force: float
    residual_moment: float
    points: list[PlacedPoint]
    points_unit: str
    slices: SliceArrays | None


class SlopeRowResult(AnchorResult):
    """One row on the face: its head, its force per length of slope, and its anchor."""

    x: Value
    elevation: Value
    force: Value
    to_surface: Value


class SmallerSlip(Result):
    """Slips that come out in one part of the face; lacks: null where no force would do."""

    part: str
    target: float
    safety: float | None
    lacks: Value
    search: SearchOutcome


class AroundResult(Result):
    """Slips around the bonds of all rows; safety: null where nothing slides."""

    case: str
    target: float
    safety: float | None
    search: SearchOutcome


class SlopeSlipsResult(Result):
    """What was searched; lengthened: null where the targets are reached, or out of reach."""

    parts: list[SmallerSlip]
    around: list[AroundResult]
    lengthened: list[LengthenedRow] | None


class SlopeResult(Result):
    """One slope; slips: null where the search was left out."""

    name: str
    height: Value
    run: Value
    strength: StrengthPair
    loci: list[LocusResult]
    force: Value
    inclination: Value
    forces: list[ForceResult]
    cases: list[SlopeCaseResult]
    rows: list[SlopeRowResult]
    slips: SlopeSlipsResult | None
    checks: list[CheckResult]
    quantities: list[QuantityResult]
    notes: list[str]
