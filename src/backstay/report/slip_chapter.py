"""The chapter of overall stability: minima by stage and method, figures, map, slices, one polygon."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.derivation import Block
from backstay.report.prose import prose
from backstay.report.slip_figures import map_figure, polygon_figure, slip_figure
from backstay.report.slip_scene import Setting
from backstay.report.slip_stages import stages_slip_figure
from backstay.slip_tables import (
    SLICES_WORDS,
    applied_table,
    counts_table,
    equilibrium_words,
    minima_table,
    safety_words,
    slices_table,
)
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.overall_comparison import (
    compare_methods,
    compare_search,
    least_final,
    map_circles,
)
from backstay.stability.slip.model import SlipModel
from backstay.stability.slip.options import SearchOptions
from backstay.stability.slip.search_result import SearchResult
from backstay.stability.slip_forces import (
    applied_forces,
    heaviest,
    slice_forces,
)
from backstay.tables import Table

if TYPE_CHECKING:
    from backstay.design import SectionDesign
    from backstay.stability.overall import OverallDesign

MINIMA_WORDS = (
    "F is the factor of safety that counts; beside it stand those of the same surface by each method. "
    "Simplified Bishop and ordinary slices stand on moments about a centre: circles only. Where the "
    "least safe surface is no circle, the least safe circle of the search stands below it. "
    "Morgenstern-Price with a half-sine for the side forces. By moments: the forces between slices are "
    "at fault as named, but simplified Bishop, which has none of them, confirms F within 3%. x is "
    "{origin}. Factors of safety lettered in figures are rounded down."
)
"""What the columns of the minima mean; {origin} says where x is counted from."""

ASIDE_WORDS = (
    "Set aside are surfaces without a solution, and solutions whose forces the ground could not carry: "
    "their F is no answer. mα = cos α + sin α tan φ / F is the divisor of the normal force."
)
"""What is said below the count of the searches."""


def printed(words: str) -> str:
    """Return words with small numbers as a printer sets them, kept on one line."""
    return prose(words, UnitSystem.SI).replace(" × ", "\u00a0×\u00a0")


@dataclass(slots=True)
class Chapter:
    """Blocks in their order, and the figures they name, as they are placed."""

    blocks: list[Block] = field(default_factory=list)
    figures: dict[str, str] = field(default_factory=dict)

    def heading(self, level: int, text: str) -> None:
        """Place a heading that does not begin a page."""
        self.blocks.append({"type": "heading", "level": level, "text": text, "flow": True})

    def paragraph(self, text: str) -> None:
        """Place a paragraph."""
        self.blocks.append({"type": "paragraph", "text": text})

    def strong(self, text: str) -> None:
        """Place a line that names what follows."""
        self.blocks.append({"type": "strong", "text": text})

    def table(self, table: Table, *, kind: str = "table", title: str = "") -> None:
        """Place a table; kind "wide table" turns the page."""
        block: Block = {
            "type": kind, "head": list(table.head), "rows": [list(r) for r in table.rows],
            "align": list(table.align), "text": title,
        }  # fmt: skip
        if table.weights:
            block["widths"] = list(table.weights)
        self.blocks.append(block)

    def figure(self, file: str, svg: str, caption: str) -> None:
        """Place a figure."""
        self.figures[file] = svg
        self.blocks.append({"type": "figure", "file": file, "caption": caption, "width": 100})


def overall_chapter(prefix: str, done: SectionDesign, units: UnitSystem) -> Chapter:
    """Return what the report shows of overall stability beside its derivation and checks.

    Empty where overall stability was left out. It compares methods and maps circles by analysis.
    """
    chapter = Chapter()
    overall = done.overall
    if overall is None:
        return chapter
    setting = Setting(
        datum=done.section.ground.top, wall=(0.0, 0.0, -done.wall.toe),
        strata=tuple(layer.name for layer in done.ground.layers),
    )  # fmt: skip
    for note in overall.notes:
        chapter.paragraph(prose(note, units))
    _stages(chapter, prefix, overall, setting, units)
    shown = [s for s in (least_final(overall),) if s is not None]
    least = min(overall.stages, key=lambda s: s.safety, default=None)
    if least is not None and least.found.minima and least not in shown:
        shown.append(least)
    for k, stage in enumerate(shown, start=1):
        add_search(
            chapter, f"{prefix}-slip-{k}", stage.model, stage.found, stage.options, units,
            title=stage.stage.title, setting=setting, origin="the distance behind the wall",
        )  # fmt: skip
    return chapter


def _stages(
    chapter: Chapter, prefix: str, overall: OverallDesign, setting: Setting, units: UnitSystem
) -> None:
    """Place minima by stage and method, the small sections, and the count of the searches."""
    lines = []
    for s in overall.stages:
        compared = compare_search(s.model, s.found, s.options)
        for k, one in enumerate(compared):
            lines.append((s.stage.title if k == 0 else "least safe circle", one))
    if lines:
        method = overall.stages[0].found.method
        chapter.strong("Least safe surfaces by stage and method")
        chapter.table(
            minima_table("Stage", lines, units, searched=method, datum=setting.datum)
        )  # fmt: skip
        chapter.paragraph(MINIMA_WORDS.format(origin="the distance behind the wall"))
        chapter.figure(
            f"{prefix}-slip-stages.svg",
            stages_slip_figure(
                [(s.stage.title, s.model, s.found) for s in overall.stages],
                title="Critical slip surfaces by stage", setting=setting,
            ),
            "The least safe surface of every stage, to one scale, with the rows stressed by then",
        )  # fmt: skip
    chapter.strong("What the searches looked at")
    chapter.table(counts_table([(s.stage.title, s.found) for s in overall.stages]))
    chapter.paragraph(ASIDE_WORDS)


def add_search(
    chapter: Chapter, prefix: str, model: SlipModel, found: SearchResult,
    options: SearchOptions | None, units: UnitSystem, *, title: str, setting: Setting, origin: str,
) -> None:  # fmt: skip
    """Place one search in full: figure, minima, forces, polygon, map of circles, slices.

    prefix: of its figures' files; title: of the state; origin: what x is, in words.
    """
    least = found.critical
    if least is None:
        return
    result = least.result
    table = result.slices
    chapter.heading(3, f"Critical surface, {title}")
    chosen = None if table is None else heaviest(table)
    chapter.figure(
        f"{prefix}.svg",
        slip_figure(model, found, units, title=f"Slip surfaces, {title}", setting=setting,
                    chosen=chosen),
        f"Section with the slip surfaces found ({title}), to scale: the critical one bold with its "
        "slices, every tenth numbered, other minima thin; thrust line dash-dotted where the push is "
        "more than a tenth of the greatest; water table dotted; bonds as bars, with the force that "
        f"the critical surface leaves each row. x is {origin}",
    )  # fmt: skip
    lines = [(str(k), compare_methods(model, m)) for k, m in enumerate(found.minima, start=1)]
    chapter.strong(f"Separate minima, {title}")
    chapter.table(minima_table("No.", lines, units, searched=found.method, datum=setting.datum))
    if table is None:
        return
    applied = applied_forces(model, result)
    if applied:
        chapter.strong("Forces on the critical mass from outside, per unit length")
        chapter.table(applied_table(applied, units, datum=setting.datum))
    chapter.paragraph(printed(equilibrium_words(result, model, units)))
    chapter.figure(
        f"{prefix}-polygon.svg",
        polygon_figure(
            table, slice_forces(table, chosen or 0, to_left=model.to_left), units,
            F=result.F, title=f"Forces on one slice, {title}",
        ),
        f"Forces on the heaviest slice of the critical surface (toned above; {title}), to be "
        "checked by hand",
    )  # fmt: skip
    _map(chapter, prefix, model, found, options, units, title=title, setting=setting)
    chapter.table(
        slices_table(result, units, datum=setting.datum), kind="wide table",
        title=f"Slices of the critical surface, {title}: F = {safety_words(result.F)}, "
        f"{METHOD_NAMES[result.method]}, forces per unit length. {SLICES_WORDS}",
    )  # fmt: skip


def _map(
    chapter: Chapter, prefix: str, model: SlipModel, found: SearchResult,
    options: SearchOptions | None, units: UnitSystem, *, title: str, setting: Setting,
) -> None:  # fmt: skip
    """Place the map of safety over circle centres, or say that there is none."""
    mapped = map_circles(model, found, options)
    if mapped is None:
        chapter.paragraph(f"No circle counts ({title}): there is no map over circle centres.")
        return
    F = safety_words(mapped.least.F)
    caption = (
        f"Least safety over the radii at each circle centre ({title}): numbered contours, the centre of "
        f"the least safe circle (F\u00a0=\u00a0{F}) a cross, its radii dashed. Dots: centres tried; where there is "
        "none, no circle counts"
    )
    if found.critical is not None and found.critical.kind not in ("circle", "composite"):
        caption += f". The critical surface is no circle and less safe (F\u00a0=\u00a0{safety_words(found.critical.F)})"
    chapter.figure(
        f"{prefix}-map.svg",
        map_figure(model, mapped, units, title=f"Map of safety, {title}", setting=setting), caption,
    )  # fmt: skip
    if mapped.lowest < mapped.least.F * (1.0 - NOTICED):
        x, y = mapped.lowest_at
        length = QUANTITIES["length"]
        chapter.paragraph(
            f"The map has F = {safety_words(mapped.lowest)} about the centre at x "
            f"{length.text(x, units)}, elevation {length.text(y + setting.datum, units)}, below the least "
            "safe circle of the search: with fewer slices, or outside what the search admits."
        )


NOTICED = 0.01
"""Share by which the map may lie below the search before the report says so."""
