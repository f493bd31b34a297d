"""A slope as data."""

from __future__ import annotations

from backstay.checks import expand, worst_first
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.results.anchors import anchor_fields
from backstay.results.checks import check_result, quantity_results
from backstay.results.slip import lengthened_rows, search_outcome, slice_arrays
from backstay.results.slip_shape import PlacedPoint
from backstay.results.slopes_shape import (
    AroundResult,
    ForceResult,
    LocusResult,
    SlopeCaseResult,
    SlopeResult,
    SlopeRowResult,
    SlopeSlipsResult,
    SmallerSlip,
    StrengthPair,
)
from backstay.results.value import Value, finite, valued
from backstay.stability.slope_design import SlopeCase, SlopeDesign
from backstay.stability.slope_slips import SlopeSlips


def slope_result(done: SlopeDesign, units: UnitSystem, *, arrays: bool) -> SlopeResult:
    """Return a slope as data; arrays: with the slices of its surfaces."""

    def v(number: float, name: str) -> Value:
        return valued(number, name, units)

    def pair(c: float, phi: float) -> StrengthPair:
        return StrengthPair(cohesion=v(c, "stress"), friction_angle=v(phi, "angle"))

    return SlopeResult(
        name=done.slope.name,
        height=v(done.slope.height, "length"),
        run=v(done.slope.run, "length"),
        strength=pair(done.cohesion, done.friction),
        loci=[
            LocusResult(
                case=locus.title, safety=locus.safety, carried=locus is done.carried,
                residual=locus.residual, pairs=[pair(p.c, p.phi) for p in locus.pairs],
            )
            for locus in done.loci
        ],
        force=v(done.required.force, "force per length"),
        inclination=v(done.required.inclination, "angle"),
        forces=[
            ForceResult(inclination=v(f.inclination, "angle"), force=v(f.force, "force per length"))
            for f in done.forces
        ],
        cases=[_case(case, units, arrays) for case in done.cases],
        rows=[
            SlopeRowResult(
                x=v(r.x, "length"), elevation=v(r.y, "length"),
                force=v(r.force, "force per length"), to_surface=v(r.anchor.surface_length, "length"),
                **anchor_fields(r.anchor, planned, units),
            )
            for r, planned in zip(done.rows, done.schedule.rows, strict=True)
        ],
        slips=None if done.slips is None else _slips(done, done.slips, units, arrays),
        checks=[check_result(check, units) for check in worst_first(done.checks)],
        quantities=quantity_results(done.quantities, units),
        notes=[expand(note, units) for note in done.schedule.notes] if done.rows else [],
    )  # fmt: skip


def _level(y: float) -> float:
    """Return the elevation of a level of the model: of a slope they are the same."""
    return y


def _case(case: SlopeCase, units: UnitSystem, arrays: bool) -> SlopeCaseResult:
    length, tied = QUANTITIES["length"], case.tied
    return SlopeCaseResult(
        case=case.title or "at rest",
        target=case.target,
        safety_without=case.bare.F,
        force=valued(case.required.force, "force per length", units),
        safety=tied.F,
        method=tied.method,
        residual_force=tied.residual_force,
        residual_moment=tied.residual_moment,
        points=[
            PlacedPoint(x=length.shown(float(x), units), elevation=length.shown(float(y), units))
            for x, y in tied.surface
        ],
        points_unit=length.unit(units).label,
        slices=slice_arrays(tied.slices, units, _level) if arrays and tied.slices else None,
    )


def _slips(
    done: SlopeDesign, slips: SlopeSlips, units: UnitSystem, arrays: bool
) -> SlopeSlipsResult:
    target = done.slope.slips_target or done.slope.target
    return SlopeSlipsResult(
        parts=[
            SmallerSlip(
                part=part.title, target=target, safety=finite(part.safety),
                lacks=valued(part.lacks, "force per length", units),
                search=search_outcome(part.found, units, _level, arrays=arrays),
            )
            for part in slips.parts
        ],
        around=[
            AroundResult(
                case=around.title or "at rest", target=around.target,
                safety=finite(around.safety),
                search=search_outcome(around.found, units, _level, arrays=arrays),
            )
            for around in slips.around
        ],
        lengthened=lengthened_rows(slips.lengthened, units),
    )  # fmt: skip
