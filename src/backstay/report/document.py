"""The contents of the calculation, as blocks of data: what stands on the pages, in which order."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from backstay import __version__
from backstay.checks import Check, Verdict, worst_first
from backstay.design import Design, Part, SectionDesign
from backstay.quantity import UnitSystem
from backstay.report.derivation import Block, Derivations
from backstay.report.inputs import input_blocks
from backstay.report.ordinates import diagram_ordinates, pressure_ordinates
from backstay.report.prose import prose
from backstay.report.reading import how_to_read
from backstay.slope_tables import (
    force_table,
    slips_table,
    slope_schedule_table,
    strength_table,
)
from backstay.staged_tables import extremes_table, staged_comparison_table, staged_table
from backstay.tables import (
    Table,
    comparison_words,
    kinds_table,
    loads_table,
    place_words,
    quantities_table,
    schedule_table,
    sentence,
    utilisation_words,
)
from backstay.trace import Step

if TYPE_CHECKING:
    from backstay.report.slip_chapter import Chapter
    from backstay.stability.slope_design import SlopeDesign
from backstay.words import DISCLAIMER, cautions, limits


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
        for index, slope in enumerate(self.design.slopes):
            self._slope(index, slope)
        self._close()
        data = self.design.project.project
        facts = [
            (label, value)
            for label, value in (
                ("Client", data.client), ("Location", data.location), ("Project no.", data.number),
                ("Date", data.date), ("Prepared by", data.engineer), ("Checked by", data.checker),
                ("Basis of design", self.design.basis.title), ("Service", self._service()),
                ("If an anchor failed", self.design.project.service.consequence),
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
            "verdicts": [self._verdict(part) for part in self.design.parts],
            "kind": self._kind(),
            "cover": next(
                (c for c in ("s1-section.svg", "l1-section.svg") if c in self.figures), ""
            ),
            "reading": list(how_to_read(self.design)),
            "cautions": list(cautions(**self._parts())),
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
                {"type": "list", "items": [prose(r, self.units) for r in done.pressures.reasons]}
            )
            self._table(loads_table(done, self.units))
            self._heading(3, "Anchor schedule")
            self._table(schedule_table(done, self.units))
            self._heading(3, "Checks, worst first")
            self._paragraph(
                "What fails or is left open stands place by place; what passes stands at its worst "
                "place. Every check is derived in full in the chapter of its section."
            )
            self._table(kinds_table(done.checks, self.units))
        for slope in self.design.slopes:
            self._heading(2, sentence(slope.title))
            self._table(strength_table(slope, self.units))
            self._table(force_table(slope, self.units))
            if slope.rows:
                self._heading(3, "Anchor schedule")
                self._table(slope_schedule_table(slope, self.units))
            slips = slips_table(slope, self.units)
            if slips is not None:
                self._heading(3, slips.title)
                self._table(slips)
            self._heading(3, "Checks, worst first")
            self._table(kinds_table(slope.checks, self.units))

    def _slope(self, index: int, done: SlopeDesign) -> None:
        from backstay.drawing import slope_svg
        from backstay.report import slopes

        prefix, units = f"l{index + 1}", self.units
        self._heading(1, sentence(done.title))
        self._heading(2, "Inputs")
        self.blocks += slopes.inputs(done, units)
        self._heading(2, "Section")
        self._figure(f"{prefix}-section.svg", slope_svg(done, units), "Section, to scale")
        self._heading(2, "Strength along the slip surface")
        self._derive(done.strength_steps)
        self._place(slopes.strength(prefix, done, units))
        self._heading(2, "Anchor force and rows")
        self._derive((*done.force_steps, *done.layout.steps))
        self._place(slopes.force(prefix, done, units))
        self._checks(done.known_checks)
        self._heading(2, "The known surface with its anchors")
        self._place(slopes.known_surface(prefix, done, units))
        for row in done.rows:
            self._heading(2, f"Anchors of row {row.row}")
            self._derive(row.anchor.steps)
            self._checks(row.anchor.checks)
        if done.face_checks:
            self._heading(2, "On the face")
            self._checks(done.face_checks)
        self._heading(2, "Smaller slips, and slips around the rows")
        self._checks(done.slip_checks)
        self._place(slopes.slips(prefix, done, units))
        if done.rows:
            self._heading(2, "Schedule, notes and quantities")
            self._table(slope_schedule_table(done, units))
            notes = [prose(n, units) for n in done.schedule.notes]
            self.blocks.append({"type": "list", "items": notes})
            self._table(quantities_table(done, units))

    def _place(self, chapter: Chapter) -> None:
        self.blocks += chapter.blocks
        self.figures |= chapter.figures

    def _section(self, index: int, done: SectionDesign) -> None:
        from backstay.drawing import elevation_svg, section_svg
        from backstay.report.figures import actions_figure, cantilever_figure, pressure_figure
        from backstay.report.settlement import settlement_figure
        from backstay.report.stages import stages_figure

        prefix, units = f"s{index + 1}", self.units
        self._heading(1, f"Section {done.section.name}")
        self._heading(2, "Inputs")
        self.blocks += input_blocks(done, units)
        self._heading(2, "Section, elevation and construction stages")
        self._figure(f"{prefix}-section.svg", section_svg(done, units), "Section, to scale")
        self._figure(f"{prefix}-elevation.svg", elevation_svg(done, units), "Elevation, to scale")
        self._figure(
            f"{prefix}-stages.svg", stages_figure(done, units),
            "Stages of construction, to one scale; subgrade dashed, the row stressed at a stage in red",
        )  # fmt: skip
        self._heading(2, "Earth pressure and design diagram")
        self._figure(
            f"{prefix}-pressure.svg", pressure_figure(done, units),
            "Design pressures to one scale: envelope, increments and their sum",
        )  # fmt: skip
        self._derive(done.pressures.steps)
        self._strong("Ordinates of the design diagram; it is straight between them")
        self.blocks.append(pressure_ordinates(done, units))
        self._checks(done.pressures.checks)
        self._heading(2, "Loads of rows and reaction at subgrade")
        self._derive(done.loads.steps)
        self._table(loads_table(done, units))
        self._heading(2, "Critical failure surface")
        self._derive(done.surface.steps)
        for anchor in done.anchors:
            self._heading(2, f"Anchors of row {anchor.row}")
            self._derive(anchor.steps)
            self._checks(anchor.checks)
        self._heading(2, "Wall")
        self._figure(
            f"{prefix}-actions.svg", actions_figure(done, units),
            "Shear and moment per length of wall, by both methods",
        )  # fmt: skip
        self._figure(
            f"{prefix}-cantilever.svg", cantilever_figure(done, units),
            "The wall as a cantilever, before the first row is stressed",
        )  # fmt: skip
        self._derive(done.wall.steps)
        self._strong("Net pressure at the cantilever stage; straight between the ordinates")
        per_pile = done.wall.kind == "soldier piles"
        self.blocks.append(
            diagram_ordinates(
                done.wall.cantilever.pressure, "force per length" if per_pile else "stress", units
            )
        )
        self._checks(done.wall.checks)
        self._staged(prefix, done)
        self._heading(2, "Deep sliding")
        self._derive(done.deep_sliding.steps)
        for note in done.deep_sliding.notes:
            self._paragraph(note)
        self._checks(done.deep_sliding.checks)
        self._overall(prefix, done)
        self._heading(2, "Base of the cut")
        self._derive(done.base.steps)
        for note in done.base.notes:
            self._paragraph(note)
        self._checks(done.base.checks)
        self._heading(2, "Movement and neighbours")
        self._figure(
            f"{prefix}-settlement.svg", settlement_figure(done, units),
            "Settlement behind the wall by the empirical trough; settlement drawn larger than distance",
        )  # fmt: skip
        self._derive(done.movement.steps)
        self._checks(done.movement.checks)
        self._heading(2, "Schedule, notes and quantities")
        self._table(schedule_table(done, units))
        self.blocks.append(
            {"type": "list", "items": [prose(n, units) for n in done.schedule.notes]}
        )
        self._table(quantities_table(done, units))

    def _overall(self, prefix: str, done: SectionDesign) -> None:
        from backstay.report.slip_chapter import overall_chapter

        if done.overall is None:
            return
        self._heading(2, "Overall stability")
        self._derive(done.overall.steps)
        self._checks(done.overall.checks)
        chapter = overall_chapter(prefix, done, self.units)
        self.blocks += chapter.blocks
        self.figures |= chapter.figures

    def _staged(self, prefix: str, done: SectionDesign) -> None:
        from backstay.report.staged import history_figure, staged_figures

        units, result = self.units, done.staged.mean
        self._heading(2, "The wall through every stage of the dig")
        self._derive(done.staged.steps)
        self._strong("Design envelope and staged analysis side by side")
        self._table(staged_comparison_table(done, units))
        stages = staged_table(done, units)
        self._strong(stages.title)
        self._table(stages)
        extremes = extremes_table(result, done, units)
        if extremes is not None:
            self._strong("Extremes over the stages, mean ground")
            self._table(extremes)
        for i, svg in enumerate(staged_figures(done, units), start=1):
            self._figure(
                f"{prefix}-staged-{i}.svg", svg,
                "Stages on common scales. Pressures: behind the wall to the right, in front to the left, "
                "active and passive limits dotted; the dig dashed",
            )  # fmt: skip
        if any(load > 0.0 for s in result.stages for load in s.anchor_loads):
            self._figure(
                f"{prefix}-history.svg", history_figure(done, units),
                "Load of one anchor of each row by stage, mean ground",
            )  # fmt: skip
        for ground, run in zip(("Soft", "Mean", "Stiff"), done.staged.results, strict=True):
            if run.failed is not None:
                failed = run.failed
                self._paragraph(
                    f"{ground} ground: the wall does not stand at stage {failed.stage} ({failed.title}): "
                    f"{failed.mechanism}. {failed.remedy}."
                )
        self._checks(done.staged.checks)

    def _close(self) -> None:
        self._heading(1, "Assumptions and limits of the methods")
        self.blocks.append({"type": "list", "items": list(limits(**self._parts()))})
        self._heading(1, "Sources", flow=True)
        self.blocks += self.derivations.sources.blocks()
        self._heading(1, "Symbols")
        self._paragraph(
            "A letter may mean different things in different equations, as in the documents they "
            "are from; the line is the first on which a meaning is used."
        )
        rows = self.derivations.glossary.rows()
        self.blocks.append({"type": "symbols", "rows": rows})

    def _derive(self, steps: tuple[Step, ...]) -> None:
        self.blocks += self.derivations.blocks(steps)

    def _checks(self, checks: tuple[Check, ...]) -> None:
        for check in checks:
            self.blocks += self.derivations.additions(check.steps)
            self.blocks.append(self._check(check))

    def _check(self, check: Check) -> Block:
        return {
            "type": "check", "id": check.id, "name": sentence(check.name), "where": place_words(check),
            "verdict": check.verdict.value, "comparison": comparison_words(check, self.units),
            "utilisation": "" if check.verdict is Verdict.SHOW else utilisation_words(check),
            "clause": self.derivations.cite(check.clause),
            "remedy": prose(check.remedy, self.units) if check.verdict is Verdict.FAIL else "",
            "note": sentence(prose(check.open_choice or check.note, self.units)),
            "lines": self.derivations.lines(check.steps),
        }  # fmt: skip

    def _verdict(self, done: Part) -> Block:
        failing = sum(c.verdict is Verdict.FAIL for c in done.checks)
        shown = sum(c.verdict is Verdict.SHOW for c in done.checks)
        words = f"{len(done.checks)} checks, {failing} failing"
        if shown:
            words += f", {shown} for the contractor to show"
        settled = [c for c in worst_first(done.checks) if c.verdict is not Verdict.SHOW]
        if settled:
            worst = settled[0]
            place = f", {place_words(worst)}" if worst.where else ""
            words += (
                f"; worst: {sentence(worst.name)}{place}, utilisation {utilisation_words(worst)}"
            )
        return {
            "section": sentence(done.title),
            "verdict": "fail" if failing else "pass",
            "words": words,
        }

    def _kind(self) -> str:
        """Return what the calculation is of, for its cover."""
        walls, slopes = self.design.sections, self.design.slopes
        return " AND ".join([*(["WALL"] if walls else []), *(["SLOPE"] if slopes else [])])

    def _parts(self) -> dict[str, bool]:
        """Return whether there are walls and slopes."""
        return {"walls": bool(self.design.sections), "slopes": bool(self.design.slopes)}

    def _service(self) -> str:
        service = self.design.project.service
        life = (
            service.life if service.months is None else f"{service.life}, {service.months:g} months"
        )
        return f"{life}; {service.failure} consequence of failure"

    def _heading(self, level: int, text: str, *, flow: bool = False) -> None:
        """Place a heading; a chapter begins a new page unless it is to `flow` on."""
        self.blocks.append({"type": "heading", "level": level, "text": text, "flow": flow})

    def _paragraph(self, text: str) -> None:
        self.blocks.append({"type": "paragraph", "text": prose(text, self.units)})

    def _strong(self, text: str) -> None:
        self.blocks.append({"type": "strong", "text": text})

    def _table(self, table: Table) -> None:
        block: Block = {
            "type": "table", "head": list(table.head), "rows": [list(r) for r in table.rows],
            "align": list(table.align),
        }  # fmt: skip
        if table.weights:
            block["widths"] = list(table.weights)
        self.blocks.append(block)

    def _figure(self, file: str, svg: str, caption: str) -> None:
        self.figures[file] = svg
        self.blocks.append({"type": "figure", "file": file, "caption": caption, "width": 100})
