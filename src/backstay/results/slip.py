"""Slip surfaces as data; the slices with their forces on request."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from backstay.design import SectionDesign
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.results.slip_shape import (
    LengthenedRow,
    OverallOutcome,
    OverallStage,
    PlacedPoint,
    SearchOutcome,
    SliceArrays,
    SurfaceOutcome,
)
from backstay.results.value import finite, valued
from backstay.stability.lengthening import Lengthened
from backstay.stability.overall import StageSafety
from backstay.stability.slip.result import SliceTable
from backstay.stability.slip.search_result import Minimum, SearchResult
from backstay.stability.slip_forces import water_on_base

Level = Callable[[float], float]
"""Gives the elevation (m) of a level y of the slip model."""


def overall_outcome(
    done: SectionDesign, units: UnitSystem, *, arrays: bool
) -> OverallOutcome | None:
    """Return overall stability as data, or None where it was left out."""
    overall = done.overall
    if overall is None:
        return None

    def level(y: float) -> float:
        return done.section.elevation(-y)

    return OverallOutcome(
        target=overall.target,
        stages=[_stage(s, units, level, arrays) for s in overall.stages],
        lengthened=lengthened_rows(overall.lengthened, units),
        notes=list(overall.notes),
    )  # fmt: skip


def lengthened_rows(more: Lengthened | None, units: UnitSystem) -> list[LengthenedRow] | None:
    """Return the lengths by row that do, or None where there are none."""
    if more is None:
        return None
    return [
        LengthenedRow(row=row, added=valued(added, "length", units))
        for row, added in sorted(more.added.items())
    ]


def _stage(s: StageSafety, units: UnitSystem, level: Level, arrays: bool) -> OverallStage:
    return OverallStage(
        stage=s.stage.title,
        dug_to=valued(s.stage.dug_to, "length", units),
        rows=list(s.stage.rows),
        strength=s.stage.strength,
        earthquake=s.stage.earthquake,
        safety=finite(s.safety),
        search=search_outcome(s.found, units, level, arrays=arrays),
    )


def search_outcome(
    found: SearchResult, units: UnitSystem, level: Level, *, arrays: bool
) -> SearchOutcome:
    """Return a search as data; arrays: with the slices of the least safe surface."""
    return SearchOutcome(
        analysed=found.analysed,
        set_aside={why: n for why, n in found.set_aside.items() if n},
        lowest_aside=finite(found.lowest_aside),
        minima=[
            surface_outcome(one, units, level, arrays=arrays and one is found.critical)
            for one in found.minima
        ],
    )


def surface_outcome(
    one: Minimum, units: UnitSystem, level: Level, *, arrays: bool
) -> SurfaceOutcome:
    """Return one slip surface as data."""
    length = QUANTITIES["length"]

    def placed(x: float, y: float) -> PlacedPoint:
        return PlacedPoint(x=length.shown(x, units), elevation=length.shown(level(y), units))

    circle, result = one.circle, one.result
    return SurfaceOutcome(
        kind=one.kind,
        method=result.method,
        safety=one.F,
        out=placed(*one.out),
        start=placed(*one.start),
        centre=None if circle is None else placed(circle.x, circle.y),
        radius=None if circle is None else valued(circle.radius, "length", units),
        thickness=valued(one.thickness, "length", units),
        doubts=list(result.reasons),
        residual_force=result.residual_force,
        residual_moment=result.residual_moment,
        last_change=finite(one.last_change),
        at_edge=one.at_edge,
        points=[placed(float(x), float(y)) for x, y in one.points],
        points_unit=length.unit(units).label,
        slices=slice_arrays(result.slices, units, level) if arrays and result.slices else None,
    )


def slice_arrays(s: SliceTable, units: UnitSystem, level: Level) -> SliceArrays:
    """Return the slices of a surface as data."""

    def shown(values: Iterable[float], name: str) -> list[float]:
        return [QUANTITIES[name].shown(float(v), units) for v in values]

    def label(name: str) -> str:
        return QUANTITIES[name].unit(units).label

    return SliceArrays(
        length_unit=label("length"),
        x=shown(s.x, "length"),
        width=shown(s.width, "length"),
        base_elevation=shown((level(float(y)) for y in s.base_y), "length"),
        base_length=shown(s.length, "length"),
        thrust=[finite(y) for y in shown((level(float(y)) for y in s.thrust_y), "length")],
        angle_unit=label("angle"),
        base_inclination=shown(s.alpha, "angle"),
        stress_unit=label("stress"),
        pore_pressure=shown(s.u, "stress"),
        cohesion=shown(s.c, "stress"),
        friction_angle=shown(s.phi, "angle"),
        force_unit=label("force per length"),
        weight=shown(s.weight, "force per length"),
        other_load_x=shown(s.load_x, "force per length"),
        other_load_y=shown(s.load_y + s.weight, "force per length"),
        effective_normal=shown(s.effective_normal, "force per length"),
        water_on_base=shown((water_on_base(s, i) for i in range(len(s.x))), "force per length"),
        shear=shown(s.shear, "force per length"),
        E=shown(s.E, "force per length"),
        X=shown(s.X, "force per length"),
    )
