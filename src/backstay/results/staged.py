"""The staged analysis as data: stages, extremes, comparison; whole arrays on request."""

from __future__ import annotations

from typing import Literal

from backstay.checks import expand
from backstay.design import SectionDesign
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.results.staged_shape import (
    ComparedResult,
    FailureResult,
    StageArrays,
    StagedOutcome,
    StageOutcome,
)
from backstay.results.value import Value, finite, valued
from backstay.wall.staged import StagedResult, StageResult
from backstay.wall.staged.comparison import Compared


def staged_outcome(done: SectionDesign, units: UnitSystem, *, arrays: bool) -> StagedOutcome:
    """Return the staged analysis of a section as data; arrays: with whole curves."""
    staged = done.staged
    grounds: tuple[Literal["soft", "mean", "stiff"], ...] = ("soft", "mean", "stiff")
    return StagedOutcome(
        stands=all(r.stands for r in staged.results),
        carry=staged.carry,
        nodes=len(staged.mean.input.z),
        mesh_error=finite(staged.mean.mesh_error),
        stages=[_stage(done, s, units, arrays) for s in staged.mean.stages],
        comparison=[_compared(c, units) for c in staged.comparison],
        failures=[
            failure
            for ground, result in zip(grounds, staged.results, strict=True)
            if (failure := _failure(ground, result, units)) is not None
        ],
    )


def _per(done: SectionDesign) -> str:
    return "" if done.wall.kind == "soldier piles" else " per length"


def _stage(done: SectionDesign, s: StageResult, units: UnitSystem, arrays: bool) -> StageOutcome:
    per = _per(done)
    return StageOutcome(
        number=s.number,
        title=expand(s.title, units),
        dug_to=valued(s.dig, "length", units),
        status=s.status,
        residual=s.residual,
        force_balance=s.force_balance,
        moment_balance=s.moment_balance,
        top_deflection=valued(float(s.w[0]), "small length", units),
        greatest_deflection=valued(float(abs(s.w).max()), "small length", units),
        greatest_moment=valued(float(s.M.max()), f"moment{per}", units),
        least_moment=valued(float(s.M.min()), f"moment{per}", units),
        greatest_shear=valued(float(abs(s.V).max()), f"force{per}", units),
        anchor_loads=[valued(load, "force", units) for load in s.anchor_loads],
        reaction=valued(s.reaction, f"force{per}", units),
        toe_share=s.toe_use,
        arrays=_arrays(s, per, units) if arrays else None,
    )


def _arrays(s: StageResult, per: str, units: UnitSystem) -> StageArrays:
    def shown(values: object, name: str) -> list[float]:
        factor = QUANTITIES[name].unit(units).factor
        return [float(v) * factor for v in values]  # type: ignore[attr-defined]

    def label(name: str) -> str:
        return QUANTITIES[name].unit(units).label

    moment, shear = f"moment{per}", f"force{per}"
    return StageArrays(
        depth=shown(s.z, "length"),
        depth_unit=label("length"),
        deflection=shown(s.w, "small length"),
        deflection_unit=label("small length"),
        rotation=shown(s.theta, "angle"),
        rotation_unit=label("angle"),
        moment=shown(s.M, moment),
        moment_unit=label(moment),
        shear_above=shown(s.V[:, 0], shear),
        shear_below=shown(s.V[:, 1], shear),
        shear_unit=label(shear),
        pressure_depth=shown(s.depth_g, "length"),
        pressure_behind=shown(s.p_retained, "stress"),
        active_behind=shown(s.active_retained, "stress"),
        passive_behind=shown(s.passive_retained, "stress"),
        pressure_in_front=shown(s.p_cut, "stress"),
        active_in_front=shown(s.active_cut, "stress"),
        passive_in_front=shown(s.passive_cut, "stress"),
        pressure_unit=label("stress"),
    )


def _compared(c: Compared, units: UnitSystem) -> ComparedResult:
    def maybe(number: float | None) -> Value | None:
        return None if number is None else valued(number, c.quantity, units)

    return ComparedResult(
        action=c.what,
        where=c.where,
        envelope=valued(c.envelope, c.quantity, units),
        soft=maybe(c.soft),
        mean=maybe(c.mean),
        stiff=maybe(c.stiff),
        carried=valued(c.carried, c.quantity, units),
    )


def _failure(
    ground: Literal["soft", "mean", "stiff"], result: StagedResult, units: UnitSystem
) -> FailureResult | None:
    failed = result.failed
    if failed is None:
        return None
    return FailureResult(
        ground=ground,
        stage=failed.stage,
        title=expand(failed.title, units),
        mechanism=expand(failed.mechanism, units),
        depth=valued(failed.depth, "length", units),
        remedy=expand(failed.remedy, units),
    )
