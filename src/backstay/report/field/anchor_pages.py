"""One page per anchor: what was asked for, what was found, the verdict with its reasons, signatures.

The page is for whoever decides at the jack or signs for it. All readings, and how the values of
the criteria follow from them, stand on the pages after it.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from backstay.checks import Verdict
from backstay.errors import DesignError
from backstay.files import atomic_write
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.derivation import Derivations
from backstay.report.field.anchor_facts import facts
from backstay.report.field.anchor_paper import AnchorPaper
from backstay.report.field.anchor_tables import (
    SHOWN,
    criteria,
    findings,
    next_steps,
    readings_table,
    step_table,
)
from backstay.report.field.creep_plot import creep_figure, load_loss_figure
from backstay.report.field.drill_log import log_lines, log_table
from backstay.report.field.load_movement import load_movement_figure
from backstay.report.field.locked_off import badly_standing, locked_off_lines
from backstay.report.field.stepped_plot import stepped_figure
from backstay.report.field.words import (
    VERDICT,
    day,
    heading,
    plain,
    said,
    sentence_of,
    short,
)
from backstay.report.typesetting import typeset_pdf
from backstay.stressing.rules import TestRules

if TYPE_CHECKING:
    from backstay.model.project import ProjectData

_CAUTION = (
    "Nobody stands behind the jack or in line with the tendon while there is load on it. Local codes, "
    "the contract and the engineer of record decide."
)


def write_anchor_pages(
    papers: Sequence[AnchorPaper],
    path: Path,
    units: UnitSystem,
    rules: TestRules,
    *,
    project: ProjectData | None = None,
    readings: bool = True,
) -> Path:
    """Write the page of each anchor; readings: with all readings and derivations after the last.

    The file is whole or not there. Raises DesignError where there is no anchor to write about.
    """
    content = anchor_pages_bytes(papers, units, rules, project=project, readings=readings)
    atomic_write(path, content)
    return path


def anchor_pages_bytes(
    papers: Sequence[AnchorPaper],
    units: UnitSystem,
    rules: TestRules,
    *,
    project: ProjectData | None = None,
    readings: bool = True,
) -> bytes:
    """Return the PDF of the pages. Raises DesignError where there is no anchor to write about."""
    if not papers:
        raise DesignError("there is no test to write a page about", "report")
    figures: dict[str, str] = {}
    pages = []
    for i, paper in enumerate(papers, start=1):
        readings_at = f"readings-{i}" if readings else ""
        pages.append({**_page(f"a{i}", paper, units, rules, figures), "readings_at": readings_at})
    if readings:
        for i, paper in enumerate(papers, start=1):
            pages.append({**_after(paper, units), "mark": f"readings-{i}"})
    data = {**heading(project, units), "title": "Load tests of anchors", "pages": pages}
    return typeset_pdf("field.typ", data, figures, what="the page of an anchor")


def _page(
    prefix: str, paper: AnchorPaper, units: UnitSystem, rules: TestRules, figures: dict[str, str]
) -> dict[str, Any]:
    record, judgement = paper.record, paper.judgement
    found = findings(judgement.findings, units)
    page: dict[str, Any] = {
        "kind": "anchor", "title": f"Anchor {short(record.anchor.name, 40)}", "place": _place(paper),
        "verdict": VERDICT[judgement.decision], "standing": badly_standing(paper),
        "bad": judgement.decision in ("not accepted", "cannot be judged") or bool(badly_standing(paper)),
        "reason": sentence_of(judgement.reason, units), "facts": facts(paper, units),
        "criteria": criteria(judgement, units), "findings": found[:SHOWN],
        "more": max(0, len(found) - SHOWN), "next": next_steps(judgement.next, units),
        "log": log_lines(paper.drilled, units), "after": locked_off_lines(paper, units), "steps": step_table(paper, units),
        "signatures": _signatures(paper), "issued": _issued(paper, units), "caution": _CAUTION,
        "figures": [],
    }  # fmt: skip
    plots = [("load", load_movement_figure(record, judgement, rules, units), "Movement by load")]
    method = record.procedure.method
    if method == "lock-off":
        plots.append(
            ("loss", load_loss_figure(record, judgement, rules, units), "Load after lock-off")
        )
    else:
        plots.append(
            ("creep", creep_figure(record, judgement, rules, units), "Creep by log of time")
        )
    if method == "stepped load":
        plots.append(
            ("stepped", stepped_figure(record, judgement, rules, units), "Creep rate by load")
        )
    for name, svg, words in plots:
        file = f"{prefix}-{name}.svg"
        figures[file] = svg
        page["figures"].append({"file": file, "alt": words})
    return page


def _place(paper: AnchorPaper) -> str:
    """Return where the anchor is, and which test this is, in a line below its name."""
    record, line = paper.record, paper.line
    parts = []
    if line is not None:
        parts.append(f"{short(line.part, 30)}, row {line.row}, number {line.number}")
        if line.pile is not None:
            parts.append(f"pile {line.pile}")
        if line.trial:
            parts.append("trial anchor")
    parts.append(f"{record.procedure.kind} test" + (f" {paper.number}" if paper.number else ""))
    parts.append(day(record.on))
    return " · ".join(parts)


def _signatures(paper: AnchorPaper) -> list[dict[str, str]]:
    verdict = paper.verdict
    return [
        {"role": "Tested by", "name": short(paper.record.by, 40)},
        {"role": "Judged by", "name": ""},
        {
            "role": "Engineer of record",
            "name": short(f"{verdict.signed_by} {verdict.licence}".strip(), 40) if verdict else "",
        },
    ]  # fmt: skip


def _issued(paper: AnchorPaper, units: UnitSystem) -> str:
    """Return the verdict that was issued, where one was: it stands beside what is judged here."""
    verdict, line = paper.verdict, paper.line
    if verdict is None:
        return ""
    load = QUANTITIES["force"].text(verdict.design_load, units)
    words = f"Verdict issued: {verdict.decision}"
    if verdict.decision == "accepted":
        words += f" for a design load of {load}"
    if verdict.reasons:
        words += f" ({short('; '.join(verdict.reasons), 120)})"
    if verdict.decision != paper.judgement.decision:
        words += f". It differs from the judgement of this page: {paper.judgement.decision}"
    if line is not None and line.verdict_stale:
        words += ". What it rests on was changed after it was issued: it is to be issued anew"
    return f"{words}."


def _after(paper: AnchorPaper, units: UnitSystem) -> dict[str, Any]:
    """Return the pages after it: all findings, remarks, readings, derivation of the criteria."""
    record, judgement = paper.record, paper.judgement
    table = readings_table(record, judgement.evaluation.points, units)
    derivations = Derivations(units)
    blocks = []
    for check in judgement.checks:
        added = derivations.additions(check.steps)
        if added:
            blocks += added
        blocks.append(
            {
                "type": "remark",
                "text": f"{check.name}: {check.comparison(units)}: "
                f"{'met' if check.verdict is Verdict.PASS else 'NOT MET'}. {said(check.note, units)}",
            }
        )  # fmt: skip
    log = log_table(paper.drilled, units)
    return {
        "kind": "readings", "title": f"Anchor {short(record.anchor.name, 40)}: readings",
        "place": _place(paper),
        "log": {"head": list(log.head), "align": list(log.align), "rows": [list(r) for r in log.rows]}
        if log else None,
        "head": list(table.head), "align": list(table.align), "rows": [list(r) for r in table.rows],
        "findings": findings(judgement.findings, units),
        "remarks": [plain(r) for r in paper.remarks], "blocks": blocks,
    }  # fmt: skip
