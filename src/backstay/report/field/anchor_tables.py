"""The tables of an anchor's page: criteria, findings, what comes next, and readings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from backstay.checks import Check, Verdict
from backstay.quantity import UnitSystem
from backstay.report.field.anchor_paper import AnchorPaper
from backstay.report.field.words import plain, said, sentence_of, source
from backstay.stressing.criteria import Outcome
from backstay.stressing.findings import Finding
from backstay.stressing.judge import Judgement
from backstay.stressing.next_step import NextStep
from backstay.stressing.record import TestRecord
from backstay.stressing.stays import Point, Stay
from backstay.tables import Table, Writer, comparison_words, sentence

_OPEN = {
    "test.load-reached": "Test load reached", "test.free-length-least": "Apparent free length, least",
    "test.free-length-greatest": "Apparent free length, greatest",
    "test.creep-rate": "Creep rate, per tenfold time",
    "test.creep-trend": "Growth of the creep rate", "test.load-loss": "Load lost after lock-off",
    "test.load-loss-rate": "Load lost per tenfold time",
    "test.stepped-creep": "Creep rate at the proof load, per tenfold time",
    "test.critical-creep-load": "Critical creep load over the lock-off load",
}  # fmt: skip
SHOWN = 5
"""Findings on the page itself; all of them stand on the page that follows."""
_SIDE_BY_SIDE = 12


def criteria(judgement: Judgement, units: UnitSystem) -> list[dict[str, str]]:
    """Return every criterion: value, limit, clause, verdict; open ones with what they wait for."""
    return [_check(c, units) for c in judgement.checks] + [
        _open(o, units) for o in judgement.waiting
    ]


def _check(check: Check, units: UnitSystem) -> dict[str, str]:
    value = check.quantity.text(check.demand, units)
    limit = f"{check.sense.value} {check.quantity.text(check.capacity, units)}"
    if comparison_words(check, units) != f"{value}, {limit}":
        limit = comparison_words(check, units)
    return {
        "name": sentence(check.name), "value": value, "limit": limit,
        "used": f"{check.utilisation:.2f}" if check.utilisation < 1e3 else "–",
        "clause": source(check.clause),
        "verdict": "met" if check.verdict is Verdict.PASS else "NOT MET",
        "note": said(check.note, units),
    }  # fmt: skip


def criterion_name(id: str) -> str:
    """Return the name of a criterion that could not be compared yet."""
    if id in _OPEN:
        return _OPEN[id]
    if id.startswith("test.creep-"):
        start, end = id.removeprefix("test.creep-").split("-", 1)
        return f"Creep from {start} to {end} minutes"
    return sentence(id.removeprefix("test.").replace("-", " "))


def _open(outcome: Outcome, units: UnitSystem) -> dict[str, str]:
    state = "waiting" if outcome.state == "waiting" else "not known"
    return {
        "name": criterion_name(outcome.id), "value": "–", "limit": "–",
        "used": "–", "clause": "", "verdict": state, "note": sentence_of(outcome.words, units),
    }  # fmt: skip


def findings(found: Sequence[Finding], units: UnitSystem) -> list[dict[str, str]]:
    """Return findings, each with the weight it has: stop, refused, withholds, judged."""
    return [
        {
            "weight": weight(f), "text": said(f.text, units),
            "clause": source(f.cite) if f.cite else "",
        }
        for f in found
    ]  # fmt: skip


def weight(finding: Finding) -> str:
    """Return in a word what a finding does to the verdict."""
    if finding.stop:
        return "STOP"
    if finding.consequence == "refused":
        return "refused"
    return "withholds" if finding.withholds else "noted"


def next_steps(steps: Sequence[NextStep], units: UnitSystem) -> list[dict[str, str]]:
    """Return what the rules allow next."""
    return [
        {"action": step.action, "text": sentence_of(step.words, units), "clause": source(step.cite)}
        for step in steps
    ]


def step_table(paper: AnchorPaper, units: UnitSystem) -> dict[str, Any]:
    """Return the last reading of each step, with what each cycle gave, and how many side by side."""
    w = Writer(units)
    found = paper.judgement.evaluation
    places = _places(units)
    rows = [_step(w, number, stay) for number, stay in enumerate(found.visited, start=1)]
    cycles = [
        [
            f"{c.cycle:g}", w.cell(c.load, "force"),
            *(w.fixed(v, "small length", places) for v in (c.total, c.elastic, c.residual)),
        ]
        for c in found.cycles
    ]  # fmt: skip
    return {
        "head": [
            "Step", "Cycle", "Of DL", w.head("Load", "force"), "Min.",
            w.head("Movement", "small length"),
        ],
        "rows": rows, "groups": 2 if len(rows) > _SIDE_BY_SIDE else 1,
        "cycle_head": [
            "Cycle", w.head("Top load", "force"), w.head("Total", "small length"),
            w.head("Elastic", "small length"), w.head("Residual", "small length"),
        ],
        "cycles": cycles,
    }  # fmt: skip


def _step(w: Writer, number: int, stay: Stay) -> list[str]:
    way = "↑" if stay.step.up else "↓"
    last = stay.last
    return [
        f"{number}", f"{stay.step.cycle + stay.again}", f"{stay.step.share:.3g} {way}",
        w.cell(last.load, "force"), f"{last.minute:g}",
        w.fixed(last.movement, "small length", _places(w.units)),
    ]  # fmt: skip


def _places(units: UnitSystem) -> int:
    """Return the decimals of a movement: 0.01 mm, 0.001 in, as dials show it."""
    return 2 if units is UnitSystem.SI else 3


def readings_table(record: TestRecord, points: Sequence[Point], units: UnitSystem) -> Table:
    """Return every reading as it was read, with the corrected load and movement beside it."""
    w = Writer(units)
    dials = max((len(r.dials) for r in record.readings), default=1)
    corrected = {p.number: p for p in points}
    cell = any(r.load is not None for r in record.readings)
    gauge = any(r.gauge is not None for r in record.readings) or not cell
    rows = tuple(
        tuple(_reading(w, record, i, corrected, dials, gauge, cell))
        for i in range(len(record.readings))
    )
    head = [
        "No.", "Cycle", "Of DL", "Phase", "Min.",
        *([w.head("Gauge", "gauge pressure")] if gauge else []),
        *([w.head("Cell", "force")] if cell else []),
        *(w.head(f"Dial {k + 1}", "small length") for k in range(dials)),
        w.head("Reference", "small length"), w.head("Load", "force"),
        w.head("Movement", "small length"), "Clock", "Remark",
    ]  # fmt: skip
    align = "rrrlr" + "r" * (gauge + cell) + "r" * dials + "rrr" + "ll"
    return Table("Readings", tuple(head), rows, align)


def _reading(
    w: Writer, record: TestRecord, i: int, corrected: dict[int, Point], dials: int, gauge: bool,
    cell: bool,
) -> Iterator[str]:  # fmt: skip
    r = record.readings[i]
    point = corrected.get(r.number)
    yield from (f"{r.number}", f"{r.cycle}", f"{r.target:.3g}", r.phase, f"{r.minute:g}")
    if gauge:
        yield w.cell(r.gauge, "gauge pressure")
    if cell:
        yield w.cell(r.load, "force")
    places = _places(w.units)
    for k in range(dials):
        yield w.fixed(r.dials[k] if k < len(r.dials) else None, "small length", places)
    yield w.fixed(r.reference, "small length", places)
    yield w.cell(point.load if point else None, "force")
    yield w.fixed(point.movement if point else None, "small length", places)
    yield "" if r.at is None else r.at.strftime("%H:%M")
    yield plain(r.remark)
