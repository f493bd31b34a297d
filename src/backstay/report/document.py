"""The contents of the calculation, as blocks of data: what stands on the pages, in which order."""

from __future__ import annotations

from typing import Any

from backstay import __version__
from backstay.checks import Check, Verdict, expand, worst_first
from backstay.design import Design, SectionDesign
from backstay.quantity import UnitSystem
from backstay.report.derivation import Block, Derivations
from backstay.report.inputs import input_blocks
from backstay.tables import (
    Table,
    checks_table,
    loads_table,
    quantities_table,
    schedule_table,
    utilisation_words,
)
from backstay.trace import Step
from backstay.words import CAUTIONS, DISCLAIMER, LIMITS


class Document:
    """Builds the data of one calculation; figures are collected by file name as they are placed."""

    def __init__(self, design: Design, units: UnitSystem) -> None:
        self.design = design
        self.units = units
        self.derivations = Derivations(units)
        self.blocks: list[Block] = []
        self.figures: dict[str, str] = {}

    def build(self) -> dict[str, Any]:
        """Return everything the template needs."""
        self._summary()
        for index, done in enumerate(self.design.sections):
            self._section(index, done)
        self._close()
        data = self.design.project.project
        facts = [
            (label, value)
            for label, value in (
                ("Client", data.client), ("Location", data.location), ("Project no.", data.number),
                ("Date", data.date), ("Prepared by", data.engineer), ("Checked by", data.checker),
                ("Basis of design", self.design.basis.title), ("Service", self._service()),
                ("Units", "SI (m, kN, kPa)" if self.units is UnitSystem.SI else "US customary (ft, kip, psf)"),
            )
            if value
        ]  # fmt: skip
        return {
            "title": data.name,
            "author": data.engineer or "Backstay",
            "number": data.number,
            "subtitle": data.notes,
            "facts": facts,
            "verdicts": [self._verdict(done) for done in self.design.sections],
            "cautions": list(CAUTIONS),
            "disclaimer": DISCLAIMER,
            "paper": "a4" if self.units is UnitSystem.SI else "us-letter",
            "footer": f"Backstay {__version__} · the tool advises, the engineer of record decides",
            "blocks": self.blocks,
        }

    def _summary(self) -> None:
        self._heading(1, "Result")
        for done in self.design.sections:
            self._heading(2, f"Section {done.section.name}")
            self._paragraph(f"Design envelope: {done.pressures.envelope.title}.")
            self.blocks.append(
                {"type": "list", "items": [expand(r, self.units) for r in done.pressures.reasons]}
            )
            self._table(loads_table(done, self.units))
            self._heading(3, "Anchor schedule")
            self._table(schedule_table(done, self.units))
            self._heading(3, "Checks, worst first")
            self._table(checks_table(worst_first(done.checks), self.units))

    def _section(self, index: int, done: SectionDesign) -> None:
        from backstay.drawing import elevation_svg, section_svg
        from backstay.report.figures import actions_figure, pressure_figure, settlement_figure

        prefix = f"s{index + 1}"
        self._heading(1, f"Section {done.section.name}")
        self._heading(2, "Inputs")
        self.blocks += input_blocks(done, self.units)
        self._heading(2, "Section and elevation")
        self._figure(
            f"{prefix}-section.svg", section_svg(done, self.units), "Section, to scale", 100
        )
        self._figure(
            f"{prefix}-elevation.svg", elevation_svg(done, self.units), "Elevation, to scale", 100
        )
        self._heading(2, "Earth pressure and design diagram")
        self._derive(done.pressures.steps)
        self._figure(
            f"{prefix}-pressure.svg", pressure_figure(done, self.units),
            "Design pressures: envelope, increments and their sum, to scale", 100,
        )  # fmt: skip
        self._checks(done.pressures.checks)
        self._heading(2, "Loads of rows and reaction at subgrade")
        self._derive(done.loads.steps)
        self._table(loads_table(done, self.units))
        self._heading(2, "Critical failure surface")
        self._derive(done.surface.steps)
        for anchor in done.anchors:
            self._heading(2, f"Anchors of row {anchor.row}")
            self._derive(anchor.steps)
            self._checks(anchor.checks)
        self._heading(2, "Wall")
        self._figure(
            f"{prefix}-actions.svg", actions_figure(done, self.units),
            "Shear and moment per length of wall", 100,
        )  # fmt: skip
        self._derive(done.wall.steps)
        self._checks(done.wall.checks)
        self._heading(2, "Base of the cut")
        self._derive(done.base.steps)
        for note in done.base.notes:
            self._paragraph(note)
        self._checks(done.base.checks)
        self._heading(2, "Movement and neighbours")
        self._figure(
            f"{prefix}-settlement.svg", settlement_figure(done, self.units),
            "Settlement behind the wall, by the empirical trough", 90,
        )  # fmt: skip
        self._derive(done.movement.steps)
        self._checks(done.movement.checks)
        self._heading(2, "Schedule, notes and quantities")
        self._table(schedule_table(done, self.units))
        self.blocks.append(
            {"type": "list", "items": [expand(n, self.units) for n in done.schedule.notes]}
        )
        self._table(quantities_table(done, self.units))

    def _close(self) -> None:
        self._heading(1, "Assumptions and limits of the methods")
        self.blocks.append({"type": "list", "items": list(LIMITS)})
        self._heading(1, "Symbols")
        rows = sorted(self.derivations.symbols.items(), key=lambda item: item[1][0].lower())
        self.blocks.append({"type": "symbols", "rows": [(s, m, u) for s, (m, u) in rows]})
        self._heading(1, "Sources")
        words = {
            "published": "read", "memory": "from memory, not re-read",
            "formula": "formula, checked by computation", "common practice": "no published source",
        }  # fmt: skip
        self.blocks.append(
            {
                "type": "list",
                "items": [
                    f"{c.document} ({words[c.provenance]})"
                    for _, c in sorted(self.derivations.sources.items())
                ],
            }
        )

    def _derive(self, steps: tuple[Step, ...]) -> None:
        self.blocks += self.derivations.blocks(steps)

    def _checks(self, checks: tuple[Check, ...]) -> None:
        for check in checks:
            self._derive(tuple(s for s in check.steps if s not in self.derivations.numbers))
            self.blocks.append(self._check(check))

    def _check(self, check: Check) -> Block:
        return {
            "type": "check", "id": check.id, "name": check.name[:1].upper() + check.name[1:], "where": check.where,
            "verdict": check.verdict.value, "comparison": check.comparison(self.units),
            "utilisation": "" if check.verdict is Verdict.SHOW else utilisation_words(check),
            "clause": self.derivations.cite(check.clause),
            "remedy": expand(check.remedy, self.units) if check.verdict is Verdict.FAIL else "",
            "note": expand(check.open_choice or check.note, self.units),
        }  # fmt: skip

    def _verdict(self, done: SectionDesign) -> Block:
        failing = sum(c.verdict is Verdict.FAIL for c in done.checks)
        shown = sum(c.verdict is Verdict.SHOW for c in done.checks)
        words = f"{len(done.checks)} checks, {failing} failing"
        if shown:
            words += f", {shown} for the contractor to show"
        return {
            "section": f"Section {done.section.name}",
            "verdict": "fail" if failing else "pass",
            "words": words,
        }

    def _service(self) -> str:
        service = self.design.project.service
        life = (
            service.life if service.months is None else f"{service.life}, {service.months:g} months"
        )
        return f"{life}; {service.failure} consequence of failure"

    def _heading(self, level: int, text: str) -> None:
        self.blocks.append({"type": "heading", "level": level, "text": text})

    def _paragraph(self, text: str) -> None:
        self.blocks.append({"type": "paragraph", "text": expand(text, self.units)})

    def _table(self, table: Table) -> None:
        block: Block = {
            "type": "table", "head": list(table.head), "rows": [list(r) for r in table.rows],
            "align": list(table.align),
        }  # fmt: skip
        if table.weights:
            block["widths"] = list(table.weights)
        self.blocks.append(block)

    def _figure(self, file: str, svg: str, caption: str, width: float) -> None:
        self.figures[file] = svg
        self.blocks.append({"type": "figure", "file": file, "caption": caption, "width": width})
