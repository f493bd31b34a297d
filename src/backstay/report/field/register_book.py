"""The register as a spreadsheet: a line for each anchor, and every reading on a sheet of its own.

Numbers are written as numbers, with their unit in the head; what a person typed is written as text,
never as a formula.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from backstay.checks import Verdict
from backstay.files import atomic_write
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.entries import RegisterLine
from backstay.records.facts import LiftedOff, LockedOff
from backstay.report.field.anchor_paper import AnchorPaper
from backstay.report.field.words import plain, said, source
from backstay.words import DISCLAIMER

if TYPE_CHECKING:
    from backstay.model.project import ProjectData

Cell = float | str | datetime | None
_WIDEST = 60


@dataclass(frozen=True, slots=True)
class Column:
    """One column: head with its unit, and the number format of what stands in it."""

    head: str
    form: str = "text"


def write_register(
    lines: Sequence[RegisterLine],
    path: Path,
    units: UnitSystem,
    *,
    papers: Sequence[AnchorPaper] = (),
    remarks: Mapping[str, Sequence[str]] | None = None,
    project: ProjectData | None = None,
) -> Path:
    """Write the register; the file is whole or not there.

    papers: tests with their judgements and what is recorded as built; remarks: by anchor.
    """
    content = register_bytes(lines, units, papers=papers, remarks=remarks, project=project)
    atomic_write(path, content)
    return path


def register_bytes(
    lines: Sequence[RegisterLine],
    units: UnitSystem,
    *,
    papers: Sequence[AnchorPaper] = (),
    remarks: Mapping[str, Sequence[str]] | None = None,
    project: ProjectData | None = None,
) -> bytes:
    """Return the register as a workbook."""
    import xlsxwriter

    stream = io.BytesIO()
    options = {
        "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False,
        "remove_timezone": True, "constant_memory": False,
    }  # fmt: skip
    book = xlsxwriter.Workbook(stream, options)
    formats = {
        "title": book.add_format({"bold": True, "font_size": 13}),
        "head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"}),
        "text": book.add_format({"valign": "top"}),
        "number": book.add_format({"valign": "top", "num_format": "0.###"}),
        "load": book.add_format({"valign": "top", "num_format": "0.0"}),
        "length": book.add_format({"valign": "top", "num_format": "0.00"}),
        "movement": book.add_format({"valign": "top", "num_format": "0.000"}),
        "share": book.add_format({"valign": "top", "num_format": "0.00"}),
        "when": book.add_format({"valign": "top", "num_format": "yyyy-mm-dd hh:mm"}),
        "cell": book.add_format({"valign": "top", "text_wrap": True}),
    }
    name = plain(project.name) if project else ""
    last = {p.record.anchor.name: p for p in papers}
    words = remarks or {}
    _sheet(
        book, "Register", f"{name}: register of anchors".removeprefix(": "), _columns(units),
        (_line(x, last.get(x.anchor), words.get(x.anchor, ()), units) for x in lines), formats,
    )  # fmt: skip
    _sheet(
        book, "Tests", "Load tests, as judged", _test_columns(units), _tests(papers, units), formats
    )
    _sheet(
        book, "Criteria", "Criteria of every test", _criteria_columns(), _criteria(papers, units),
        formats,
    )  # fmt: skip
    _sheet(
        book, "Readings", "Readings as read, load and movement corrected",
        _reading_columns(papers, units), _readings(papers, units), formats,
    )  # fmt: skip
    notes = book.add_worksheet("Notes")
    notes.set_column(0, 0, 110)
    for i, text in enumerate((DISCLAIMER, '† or "from memory": confirm against the document.')):
        notes.write_string(i, 0, text, formats["cell"])
    book.close()
    return stream.getvalue()


def _sheet(
    book: Any,
    name: str,
    title: str,
    columns: Sequence[Column],
    rows: Iterator[Sequence[Cell]],
    formats: dict[str, Any],
) -> None:
    sheet = book.add_worksheet(name)
    sheet.write_string(0, 0, title, formats["title"])
    sheet.freeze_panes(3, 1)
    for k, column in enumerate(columns):
        sheet.write_string(2, k, column.head, formats["head"])
    widths = [max(9, len(c.head) // 2 + 2) for c in columns]
    count = 0
    for count, row in enumerate(rows, start=1):
        for k, (cell, column) in enumerate(zip(row, columns, strict=True)):
            form = formats[column.form]
            if cell is None or cell == "":
                continue
            if isinstance(cell, datetime):
                sheet.write_datetime(count + 2, k, cell.replace(tzinfo=None), form)
                widths[k] = max(widths[k], 16)
            elif isinstance(cell, str):
                sheet.write_string(count + 2, k, plain(cell), formats["text"])
                widths[k] = max(widths[k], min(len(cell) + 1, _WIDEST))
            else:
                sheet.write_number(count + 2, k, cell, form)
    for k, width in enumerate(widths):
        sheet.set_column(k, k, width)
    if count:
        sheet.autofilter(2, 0, count + 2, len(columns) - 1)


class _In:
    """Heads and values in one unit system."""

    def __init__(self, units: UnitSystem) -> None:
        self.units = units

    def column(self, words: str, name: str) -> Column:
        """Return a column of a quantity, with its unit in the head."""
        label = QUANTITIES[name].unit(self.units).label
        form = {"force": "load", "length": "length", "small length": "movement"}.get(name, "number")
        return Column(f"{words} ({label})" if label else words, form)

    def value(self, value: float | None, name: str) -> float | None:
        """Return a number in its unit."""
        return None if value is None else QUANTITIES[name].shown(value, self.units)


def _columns(units: UnitSystem) -> list[Column]:
    w = _In(units)
    return [
        Column("Anchor"), Column("Part"), Column("Row", "number"), Column("Number", "number"),
        Column("Pile", "number"), Column("Trial"), Column("State"), Column("Since", "when"),
        Column("Service"), w.column("Design load", "force"), w.column("Lock-off load, design", "force"),
        w.column("Test load, design", "force"), Column("Tendon"),
        w.column("Free length, design", "length"), w.column("Bond length, design", "length"),
        w.column("Hole, design", "small length"), w.column("Inclination", "angle"),
        w.column("Depth of head", "length"), w.column("Along the wall", "length"),
        w.column("Free length, built", "length"), w.column("Bond length, built", "length"),
        w.column("Hole, built", "small length"), w.column("Tendon area, built", "section area"),
        w.column("Tendon modulus, built", "steel modulus"), Column("Mill certificate"),
        Column("Tests planned"), Column("Tests", "number"), Column("Last test"), Column("Verdict"),
        w.column("Accepted for", "force"), Column("Verdict to be issued anew"),
        w.column("Greatest load", "force"), Column("Readings", "number"),
        w.column("Locked off at", "force"), w.column("Lifted off at", "force"),
        w.column("Strands, locked off", "force"), w.column("Strands, lifted off", "force"),
        w.column("Load read last", "force"), Column("Load stands"),
        Column("Replaced by"), Column("Replaces"), Column("Exceptions", "number"), Column("Remarks"),
    ]  # fmt: skip


def _line(
    line: RegisterLine, paper: AnchorPaper | None, remarks: Sequence[str], units: UnitSystem
) -> list[Cell]:
    w, d = _In(units), line.design
    tendon = paper.tendon if paper else None
    drilled = paper.drilled if paper else None
    notes = remarks or (paper.remarks if paper else ())
    return [
        line.anchor, line.part, line.row, line.number, line.pile, "trial" if line.trial else "",
        line.state, line.since, d.service, w.value(d.design_load, "force"),
        w.value(d.lock_off_load, "force"), w.value(d.test_load, "force"), d.tendon,
        w.value(d.free_length, "length"), w.value(d.bond_length, "length"),
        w.value(d.hole_diameter, "small length"), w.value(d.inclination, "angle"),
        w.value(d.depth, "length"), w.value(d.station, "length"),
        w.value(tendon.free_length if tendon else None, "length"),
        w.value(tendon.bond_length if tendon else None, "length"),
        w.value(drilled.diameter if drilled else None, "small length"),
        w.value(tendon.area if tendon else None, "section area"),
        w.value(tendon.modulus if tendon else None, "steel modulus"),
        tendon.certificate if tendon else "", ", ".join(d.tests), line.tests,
        (line.test_kind or "") + (" (goes on)" if line.test_open else ""), line.verdict,
        w.value(line.accepted_load, "force"), "yes" if line.verdict_stale else "",
        w.value(line.greatest_load, "force"), line.readings, w.value(line.lock_off_load, "force"),
        w.value(line.lift_off_load, "force"),
        _strands(paper.locked_off if paper else None, w), _strands(paper.lifted_off if paper else None, w),
        w.value(_last_load(paper), "force"), paper.load_standing if paper else "", line.replaced_by, line.replaces,
        line.exceptions, "; ".join(notes),
    ]  # fmt: skip


def _strands(fact: LockedOff | LiftedOff | None, w: _In) -> str:
    """Return the loads of strands that were set or lifted one by one, in their order."""
    loads = fact.strands if fact is not None else ()
    return ", ".join(QUANTITIES["force"].number(load, w.units) for load in loads)


def _last_load(paper: AnchorPaper | None) -> float | None:
    """Return the load that was read last since the lock-off."""
    loads = paper.after.loads if paper is not None and paper.after is not None else None
    return loads.points[-1].load if loads is not None else None


def _test_columns(units: UnitSystem) -> list[Column]:
    w = _In(units)
    return [
        Column("Anchor"), Column("Test", "number"), Column("Kind"), Column("Method"), Column("Rules"),
        Column("Began", "when"), Column("Tested by"), Column("Jack"), Column("Certificate"),
        w.column("Test load", "force"), Column("Judgement"), Column("Reason"),
        w.column("Total movement", "small length"), w.column("Residual", "small length"),
        w.column("Elastic", "small length"), w.column("Creep per tenfold time", "small length"),
        Column("Findings"), Column("What the rules allow next"),
    ]  # fmt: skip


def _tests(papers: Sequence[AnchorPaper], units: UnitSystem) -> Iterator[list[Cell]]:
    from backstay.report.field.creep_plot import judged_hold

    w = _In(units)
    for paper in papers:
        record, judgement = paper.record, paper.judgement
        found = judgement.evaluation
        top = found.cycles[-1] if found.cycles else None
        hold = judged_hold(record, judgement)
        small = "small length"
        yield [
            record.anchor.name, paper.number, record.procedure.kind, record.procedure.method,
            record.procedure.rules, record.on, record.by, record.jack.name,
            record.jack.calibration.certificate, w.value(record.procedure.test_load, "force"),
            judgement.decision, said(judgement.reason, units),
            w.value(top.total if top else None, small), w.value(top.residual if top else None, small),
            w.value(top.elastic if top else None, small), w.value(hold.rate if hold else None, small),
            " | ".join(said(f.text, units) for f in judgement.findings),
            " | ".join(f"{s.action}: {said(s.words, units)}" for s in judgement.next),
        ]  # fmt: skip


def _criteria_columns() -> list[Column]:
    return [
        Column("Anchor"), Column("Test", "number"), Column("Criterion"), Column("Found", "number"),
        Column("Sense"), Column("Limit", "number"), Column("Unit"), Column("Used", "share"),
        Column("Verdict"), Column("Clause"), Column("Note"),
    ]  # fmt: skip


def _criteria(papers: Sequence[AnchorPaper], units: UnitSystem) -> Iterator[list[Cell]]:
    from backstay.report.field.anchor_tables import criterion_name

    for paper in papers:
        name = paper.record.anchor.name
        for c in paper.judgement.checks:
            yield [
                name, paper.number, c.name, c.quantity.shown(c.demand, units), c.sense.value,
                c.quantity.shown(c.capacity, units), c.quantity.unit(units).label,
                c.utilisation if c.utilisation < 1e6 else None,
                "met" if c.verdict is Verdict.PASS else "not met", source(c.clause),
                said(c.note, units),
            ]  # fmt: skip
        for o in paper.judgement.waiting:
            yield [
                name, paper.number, criterion_name(o.id), None, "", None, "", None, o.state, "",
                said(o.words, units),
            ]  # fmt: skip


def _dials(papers: Sequence[AnchorPaper]) -> int:
    return max((len(r.dials) for p in papers for r in p.record.readings), default=1)


def _reading_columns(papers: Sequence[AnchorPaper], units: UnitSystem) -> list[Column]:
    w = _In(units)
    return [
        Column("Anchor"), Column("Test", "number"), Column("Reading", "number"),
        Column("Cycle", "number"), Column("Of design load", "number"), Column("Phase"),
        Column("Minute", "number"), w.column("Gauge", "gauge pressure"), w.column("Load cell", "force"),
        *(w.column(f"Dial {k + 1}", "small length") for k in range(_dials(papers))),
        w.column("Reference", "small length"), w.column("Load, corrected", "force"),
        w.column("Movement, corrected", "small length"), Column("At", "when"), Column("Remark"),
    ]  # fmt: skip


def _readings(papers: Sequence[AnchorPaper], units: UnitSystem) -> Iterator[list[Cell]]:
    w, dials = _In(units), _dials(papers)
    small = "small length"
    for paper in papers:
        points = {p.number: p for p in paper.judgement.evaluation.points}
        for r in paper.record.readings:
            point = points.get(r.number)
            read = [w.value(v, small) for v in r.dials]
            yield [
                paper.record.anchor.name, paper.number, r.number, r.cycle, r.target, r.phase, r.minute,
                w.value(r.gauge, "gauge pressure"), w.value(r.load, "force"),
                *read, *[None] * (dials - len(read)), w.value(r.reference, small),
                w.value(point.load if point else None, "force"),
                w.value(point.movement if point else None, small), r.at, r.remark,
            ]  # fmt: skip
