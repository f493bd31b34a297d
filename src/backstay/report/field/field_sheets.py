"""Field sheets to print and write on: one page a test, with every number already worked out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from backstay.errors import DesignError
from backstay.files import atomic_write
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.words import day, heading, said, short, source
from backstay.report.typesetting import typeset_pdf
from backstay.stressing.sheet import FieldSheet, SheetLine
from backstay.tables import Writer

if TYPE_CHECKING:
    from backstay.model.project import ProjectData

BOXES = 8
"""Boxes to write in on one line of the sheet; a longer hold takes more lines."""


def write_field_sheets(
    sheets: Sequence[FieldSheet],
    path: Path,
    units: UnitSystem,
    *,
    project: ProjectData | None = None,
) -> Path:
    """Write field sheets, one page each; the file is whole or not there.

    Raises DesignError where there is none.
    """
    atomic_write(path, field_sheets_bytes(sheets, units, project=project))
    return path


def field_sheets_bytes(
    sheets: Sequence[FieldSheet], units: UnitSystem, *, project: ProjectData | None = None
) -> bytes:
    """Return the PDF of the sheets. Raises DesignError where there is none."""
    if not sheets:
        raise DesignError("there is no test to print a sheet for", "field sheet")
    data = {
        **heading(project, units), "title": "Field sheets of load tests",
        "pages": [_page(sheet, units) for sheet in sheets],
    }  # fmt: skip
    return typeset_pdf("field.typ", data, {}, what="the field sheet")


def _page(sheet: FieldSheet, units: UnitSystem) -> dict[str, Any]:
    w = Writer(units)
    procedure = sheet.procedure
    return {
        "kind": "sheet", "title": f"Anchor {short(sheet.anchor.name, 40)}",
        "place": f"field sheet · {procedure.kind} test · {procedure.rules} practice · "
        f"{source(procedure.clause)}",
        "facts": _facts(sheet, units),
        "head": [
            "Step", "Of DL", w.head("Load", "force"), w.head("Gauge", "gauge pressure"),
            "Hold (min)", w.head("Stretch least", "small length"),
            w.head("by theory", "small length"), w.head("at most", "small length"),
        ],
        "lines": [_line(w, line, procedure.alignment_load) for line in sheet.lines],
        "boxes": BOXES, "limits": list(_limits(sheet, units)),
        "cautions": [said(c, units) for c in sheet.cautions],
        "lock_off": _lock_off(sheet, units), "unit": QUANTITIES["small length"].unit(units).label,
        "signatures": [
            {"role": "Tested by", "name": ""}, {"role": "Seen by (inspector)", "name": ""},
        ],
    }  # fmt: skip


def _facts(sheet: FieldSheet, units: UnitSystem) -> list[list[str]]:
    anchor, jack, of = sheet.anchor, sheet.jack, QUANTITIES
    force, length, pressure = of["force"], of["length"], of["gauge pressure"]
    area, modulus = of["section area"], of["steel modulus"]
    most = force.text(sheet.tendon.load, units)
    if sheet.tendon_pressure is not None:
        most += f" = {pressure.text(sheet.tendon_pressure, units)}"
    elif jack is not None:
        most += ", beyond certificate or jack"
    rows = [
        ["Design, test load", f"{force.number(anchor.design_load, units)}, "
         f"{force.text(sheet.procedure.test_load, units)}"],
        ["Never more than", most],
        ["Tendon A, E", f"{area.text(anchor.area, units)}, {modulus.text(anchor.modulus, units)}"],
        ["Free, jack, bond", f"{length.number(anchor.free_length, units)}, "
         f"{length.number(anchor.jack_length, units)}, {length.text(anchor.bond_length, units)}"],
        ["Least holds together", f"{sheet.minutes:g} min"],
    ]  # fmt: skip
    if jack is None:
        return [*rows, ["Jack, gauge", "__________, __________"], ["Certificate", "__________"]]
    paper = jack.calibration
    division = "–" if sheet.division is None else force.text(sheet.division, units)
    return [
        *rows,
        ["Jack, gauge", f"{short(jack.name, 22)}, {short(jack.gauge, 22)}"],
        ["Certificate", f"{short(paper.certificate, 22)}, good to {day(sheet.until)}"],
        ["Calibrated", f"{day(paper.on)}, {sheet.age} days before"],
        ["A gauge division", division],
        ["Dials travel", of["small length"].text(sheet.travel, units)],
        ["Day", day(sheet.on)],
    ]  # fmt: skip


def _line(w: Writer, line: SheetLine, alignment: float) -> dict[str, Any]:
    way = "↑" if line.up else "↓"
    resting = line.load <= alignment * (1.0 + 1e-6)
    moved = (
        ["", "", ""]
        if resting
        else [_movement(w, v) for v in (line.least, line.elastic, line.greatest)]
    )
    hold = "" if not line.hold else f"{line.hold:g}"
    if line.most is not None and not line.hold:
        hold = f"≤ {line.most:g}"
    elif line.most is not None:
        hold += f"–{line.most:g}"
    return {
        "cells": [
            f"{line.number}", f"{line.share:.3g} {way}", w.fixed(line.load, "force", 1),
            _pressure(w, line.pressure), hold, *moved,
        ],
        "cycle": line.cycle,
        "minutes": [f"{m:g}" for m in line.readings],
        "extended": [f"{m:g}" for m in line.extended],
    }  # fmt: skip


def _pressure(w: Writer, value: float | None) -> str:
    """Return a gauge pressure as finely as a gauge can be read, or room to write it."""
    return (
        ""
        if value is None
        else w.fixed(value, "gauge pressure", 1 if w.units is UnitSystem.SI else 0)
    )


def _movement(w: Writer, value: float) -> str:
    return w.fixed(value, "small length", 1 if w.units is UnitSystem.SI else 2)


def _limits(sheet: FieldSheet, units: UnitSystem) -> Iterator[dict[str, str]]:
    length = QUANTITIES["length"]
    for limit in sheet.limits:
        yield {"text": said(limit.words, units), "clause": source(limit.clause)}
    yield {
        "text": f"Apparent free length, jack length included: {length.number(sheet.least_length, units)} "
        f"to {length.text(sheet.greatest_length, units)}",
        "clause": "",
    }  # fmt: skip


def _measured(heads: int) -> str:
    """Return from where a draw-in is, where it was measured on this job."""
    if not heads:
        return ""
    return " as measured at one head" if heads == 1 else f", the mean of {heads} heads as measured"


def _lock_off(sheet: FieldSheet, units: UnitSystem) -> str:
    force, pressure, small = (QUANTITIES[n] for n in ("force", "gauge pressure", "small length"))
    lock = sheet.lock_off

    def both(load: float | None, at: float | None) -> str:
        if load is None:
            return "________"
        return force.text(load, units) + (
            f" = {pressure.text(at, units)}" if at is not None else ""
        )

    words = f"Leave {force.text(lock.load, units)} in the tendon"
    if lock.jacking is not None and lock.draw_in is not None:
        words += (
            f": lock the head at {both(lock.jacking, lock.pressure)}, drawing in "
            f"{small.text(lock.draw_in, units)}{_measured(lock.heads)}"
        )
    words += (
        f". Lift-off between {both(lock.lift_off_least, lock.pressure_least)} and "
        f"{both(lock.lift_off_greatest, lock.pressure_greatest)} ({source(lock.clause)})."
    )
    if lock.remark:
        remark = said(lock.remark, units)
        words += f" {remark[:1].upper()}{remark[1:]}."
    return words
