"""A design as a result object, and as JSON text under the published schema."""

from __future__ import annotations

from typing import Any

from backstay import __version__
from backstay.anchors import AnchorDesign
from backstay.checks import expand, worst_first
from backstay.design import Design, SectionDesign
from backstay.pressure import Diagram, StressPoint
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.results.anchors import anchor_fields
from backstay.results.checks import check_result, quantity_results
from backstay.results.shape import (
    SCHEMA_ID,
    DesignResult,
    DiagramResult,
    RowResult,
    SectionResult,
    StressResult,
    WallResult,
)
from backstay.results.slip import overall_outcome
from backstay.results.slopes import slope_result
from backstay.results.staged import staged_outcome
from backstay.results.value import Value, valued


def result_schema() -> dict[str, Any]:
    """Return the JSON schema of `design_json`."""
    return DesignResult.model_json_schema(by_alias=True)


def design_json(
    design: Design, units: UnitSystem, *, arrays: bool = False, indent: int | None = 2
) -> str:
    """Return the design as JSON text under the schema; arrays: with whole curves of every stage."""
    result = design_result(design, units, arrays=arrays)
    return result.model_dump_json(by_alias=True, indent=indent)


def design_result(design: Design, units: UnitSystem, *, arrays: bool = False) -> DesignResult:
    """Return the design as a result object in a unit system."""
    return DesignResult(
        schema=SCHEMA_ID,
        program=f"backstay {__version__}",
        project=design.project.project.name,
        units=units.value,
        basis=design.basis.id,
        verdict=design.verdict.value,
        sections=[_section(done, units, arrays) for done in design.sections],
        slopes=[slope_result(done, units, arrays=arrays) for done in design.slopes],
        caution="The tool advises; the engineer of record decides.",
    )


def _section(done: SectionDesign, units: UnitSystem, arrays: bool) -> SectionResult:
    pressures = done.pressures
    parts = [pressures.envelope.diagram, pressures.water, *pressures.surcharges]
    parts += [pressures.earthquake, pressures.design]
    return SectionResult(
        name=done.section.name,
        height=valued(done.ground.H, "length", units),
        envelope=pressures.envelope.title,
        envelope_reasons=[expand(r, units) for r in pressures.reasons],
        stability_number=pressures.stability_number,
        total_load=valued(pressures.envelope.total_load, "force per length", units),
        reaction=valued(done.loads.reaction, "force per length", units),
        stresses=[_stress(point, units) for point in done.stresses],
        diagrams=[_diagram(d, units) for d in parts if d is not None],
        rows=[_row(done, anchor, units) for anchor in done.anchors],
        wall=_wall(done, units),
        staged=staged_outcome(done, units, arrays=arrays),
        overall=overall_outcome(done, units, arrays=arrays),
        wall_movement=valued(done.movement.wall_movement, "small length", units),
        settlement=valued(done.movement.settlement, "small length", units),
        checks=[check_result(check, units) for check in worst_first(done.checks)],
        quantities=quantity_results(done.quantities, units),
        notes=[expand(note, units) for note in done.schedule.notes],
    )


def _stress(point: StressPoint, units: UnitSystem) -> StressResult:
    return StressResult(
        side=point.side,
        stratum=point.stratum,
        depth=valued(point.depth, "length", units),
        total=valued(point.total, "stress", units),
        pore=valued(point.pore, "stress", units),
        effective=valued(point.effective, "stress", units),
        at_rest_coefficient=point.K_0,
        horizontal_at_rest=None
        if point.horizontal is None
        else valued(point.horizontal, "stress", units),
    )


def _diagram(diagram: Diagram, units: UnitSystem) -> DiagramResult:
    length, stress = QUANTITIES["length"], QUANTITIES["stress"]
    return DiagramResult(
        name=diagram.name,
        depth=[length.shown(z, units) for z in diagram.z],
        depth_unit=length.unit(units).label,
        pressure=[stress.shown(p, units) for p in diagram.p],
        pressure_unit=stress.unit(units).label,
    )


def _row(done: SectionDesign, anchor: AnchorDesign, units: UnitSystem) -> RowResult:
    load = done.loads.rows[anchor.row - 1]

    def v(number: float, name: str) -> Value:
        return valued(number, name, units)

    return RowResult(
        elevation=v(done.section.elevation(anchor.z), "length"),
        horizontal_tributary=v(load.tributary, "force per length"),
        horizontal_hinge=v(load.hinge, "force per length"),
        horizontal=v(load.horizontal, "force per length"),
        vertical=v(anchor.vertical, "force per length"),
        **anchor_fields(anchor, done.schedule.rows[anchor.row - 1], units),
    )


def _wall(done: SectionDesign, units: UnitSystem) -> WallResult:
    wall = done.wall
    per = "" if wall.kind == "soldier piles" else " per length"
    return WallResult(
        kind=wall.kind,
        section=wall.section_name,
        steel=wall.steel_title,
        spacing=valued(wall.spacing, "length", units) if not per else None,
        design_moment=valued(wall.design_moment, f"moment{per}", units),
        design_shear=valued(wall.design_shear, f"force{per}", units),
        axial=valued(wall.axial, f"force{per}", units),
        embedment=valued(wall.embedment, "length", units),
        embedment_required=valued(wall.embedment_required, "length", units),
        toe_elevation=valued(done.section.elevation(wall.toe), "length", units),
        lagging_thickness=_lagging(done, units),
    )


def _lagging(done: SectionDesign, units: UnitSystem) -> Value | None:
    lagging = done.wall.lagging
    if lagging is None or lagging.thickness is None:
        return None  # no lagging, or a facing that is not designed here
    return valued(lagging.thickness, "small length", units)
