"""The chapter of a slope, in parts: inputs, strength, force and rows, the known surface, slips."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from backstay.model.slope import Slope
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.derivation import Block
from backstay.report.entries import slope_entry_blocks
from backstay.report.prose import prose
from backstay.report.slip_chapter import Chapter, add_search, printed
from backstay.report.slip_figures import polygon_figure, slip_figure
from backstay.report.slip_scene import Setting
from backstay.report.slope_figures import force_figure, strength_figure
from backstay.slip_tables import (
    SLICES_WORDS,
    applied_table,
    counts_table,
    equilibrium_words,
    minima_table,
    safety_words,
    slices_table,
)
from backstay.slope_tables import (
    force_table,
    inclinations_table,
    pairs_table,
    rows_table,
    slips_table,
    slope_strata_table,
    strength_table,
)
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.overall_comparison import compare_methods
from backstay.stability.slip.model import Circle, SlipModel
from backstay.stability.slip.search_result import Minimum, SearchResult
from backstay.stability.slip_forces import applied_forces, heaviest, slice_forces
from backstay.stability.slope_design import SlopeCase, SlopeDesign

ORIGIN = "from the origin of the survey"


def inputs(done: SlopeDesign, units: UnitSystem) -> list[Block]:
    """Return the inputs: strata, what acts in words, and every entry of the file."""
    chapter = Chapter()
    chapter.table(slope_strata_table(done.slope, units))
    chapter.blocks.append({"type": "list", "items": _words(done.slope, units)})
    return [*chapter.blocks, *slope_entry_blocks(done.slope, units)]


def _words(slope: Slope, units: UnitSystem) -> list[str]:
    def text(value: float, name: str) -> str:
        return QUANTITIES[name].text(value, units)

    moved = slope.movement
    found = [
        f"Surveyed ground {text(slope.height, 'length')} high; this section stands for "
        f"{text(slope.run, 'length')} of slope.",
        f"Safety as it stands {moved.safety:g}, uncertain by {moved.uncertainty:g} to either side; water "
        f"uncertain by {text(moved.water_change, 'length')}; cohesion counted on along the surface "
        f"{text(moved.slip_cohesion, 'stress')}.",
        f"Target {slope.target:g}"
        + (f", of smaller slips and slips around the bonds {slope.slips_target:g}." if slope.slips_target else
           ", of smaller slips and slips around the bonds as well."),
    ]  # fmt: skip
    if not slope.water and slope.pore_pressures is None:
        found.append("No water line in reach.")
    elif slope.water:
        other = "; another line to design for" if slope.design_water else ""
        found.append(f"Water by a line of {len(slope.water)} points, {slope.water_flow}{other}.")
    if slope.pore_pressures is not None:
        found.append("Pore pressures on a grid, instead of the water line.")
    if slope.tension_crack is not None:
        crack = slope.tension_crack
        found.append(
            f"Tension crack {text(crack.depth, 'length')} deep at the head of every surface, "
            f"{100 * crack.water:.0f}% full."
        )
    if slope.earthquake is not None:
        quake = slope.earthquake
        found.append(
            f"Pseudo-static coefficients kh {quake.kh:g}, kv {quake.kv:g}; target {quake.target:g}."
        )
    how = (
        "taken off what drives"
        if slope.anchors.counts == "active"
        else "divided by the safety, like strength"
    )
    found.append(f"Anchor force counts as it is, {how}." if slope.anchors.counts == "active" else
                 f"Anchor force is {how}.")  # fmt: skip
    return found


def strength(prefix: str, done: SlopeDesign, units: UnitSystem) -> Chapter:
    """Return the cases of the back-analysis: table, pairs and figure."""
    chapter = Chapter()
    chapter.table(strength_table(done, units))
    chapter.paragraph(
        prose(
            "Equilibrium contains strength as c/F and tan φ/F alone, so that a pair which gives one safety "
            "gives any other in proportion: the pairs are exact to the residual of the analysis, "
            f"{max(locus.residual for locus in done.loci):.0e} in F.",
            units,
        )
    )
    pairs = pairs_table(done, units)
    chapter.strong(pairs.title)
    chapter.table(pairs)
    chapter.figure(
        f"{prefix}-strength.svg", strength_figure(done, units),
        "Pairs of cohesion and friction along the slip surface that explain its safety as it stands: best "
        "estimate, safety a little lower and higher, water a little higher and lower",
    )  # fmt: skip
    return chapter


def force(prefix: str, done: SlopeDesign, units: UnitSystem) -> Chapter:
    """Return the force for the target, over the inclination, and the rows that share it."""
    chapter = Chapter()
    chapter.table(force_table(done, units))
    if done.required.force > 0.0:
        chapter.figure(
            f"{prefix}-force.svg", force_figure(done, units),
            "Anchor force per length of slope that reaches every target, over the inclination of the anchors",
        )  # fmt: skip
        table = inclinations_table(done, units)
        turned = replace(
            table, head=(table.head[0], *(row[0] for row in table.rows)),
            rows=((table.head[1], *(row[1] for row in table.rows)),),
            align="l" + "r" * len(table.rows), weights=(1.8, *[1.0] * len(table.rows)),
        )  # fmt: skip
        chapter.table(turned)
    if done.rows:
        chapter.strong("Rows on the face")
        chapter.table(rows_table(done, units))
    return chapter


def known_surface(prefix: str, done: SlopeDesign, units: UnitSystem) -> Chapter:
    """Return the known surface with its slices and forces, in every case."""
    chapter = Chapter()
    setting = _setting(done)
    for k, case in enumerate(done.cases, start=1):
        model = replace(case.model, anchors=done.anchored.anchors)
        title = case.title or "at rest"
        one = as_minimum(done, case)
        found = _as_search(one, model)
        table = case.tied.slices
        if table is None:
            continue
        chosen = heaviest(table)
        chapter.strong(f"The known surface, {title}: F by every method that suits its form")
        chapter.table(
            minima_table(
                "Case", [(title, compare_methods(model, one))], units, searched=found.method
            )
        )
        chapter.figure(
            f"{prefix}-known-{k}.svg",
            slip_figure(model, found, units, title=f"Known slip surface, {title}", setting=setting,
                        chosen=chosen),
            f"The known surface with its slices ({title}), to scale, with the strength carried and the "
            "anchors as designed; thrust line dash-dotted where the push is more than a tenth of the "
            f"greatest; x is {ORIGIN}",
        )  # fmt: skip
        applied = applied_forces(model, case.tied)
        if applied:
            chapter.strong("Forces on the mass from outside, per unit length")
            chapter.table(applied_table(applied, units))
        chapter.paragraph(printed(equilibrium_words(case.tied, model, units)))
        if k == 1:
            chapter.figure(
                f"{prefix}-known-{k}-polygon.svg",
                polygon_figure(table, slice_forces(table, chosen, to_left=model.to_left), units,
                               F=case.tied.F, title=f"Forces on one slice, {title}"),
                "Forces on the heaviest slice (toned above), to be checked by hand",
            )  # fmt: skip
            chapter.paragraph(f"Columns of the table of slices that follows. {SLICES_WORDS}")
            chapter.table(
                slices_table(case.tied, units), kind="wide table",
                title=f"Slices of the known surface, {title}: F = {safety_words(case.tied.F)}, "
                f"{METHOD_NAMES[case.tied.method]}, forces per unit length",
            )  # fmt: skip
    return chapter


def slips(prefix: str, done: SlopeDesign, units: UnitSystem) -> Chapter:
    """Return the slips that were searched: table, figures of parts, and the worst around the rows in full."""
    chapter = Chapter()
    found = done.slips
    if found is None:
        chapter.paragraph("Smaller slips, and slips around the bonds, were not searched.")
        return chapter
    table = slips_table(done, units)
    if table is not None:
        chapter.table(table)
    chapter.paragraph(
        "Lacks: force per length of slope at the inclination of the anchors, spread over the face of the slip, "
        "that would bring it to its target. Parts of the face are searched with the known surface as a weak "
        "seam in the ground as described; around the rows the ground is as described, since the known "
        "surface is checked by itself."
    )
    setting = _setting(done)
    parts = [(p.title, p.model, p.found) for p in found.parts]
    for k, (title, model, search) in enumerate(parts, start=1):
        if search.critical is not None:
            chapter.figure(
                f"{prefix}-part-{k}.svg",
                slip_figure(model, search, units, title=f"Smaller slips {title}",
                            setting=replace(setting, strata=_parted(done, model))),
                f"Least safe slip {title}, with the anchors for what it leaves them; other minima thin",
            )  # fmt: skip
    searches = [(p.title, p.found) for p in found.parts]
    searches += [
        (f"around the rows{f', {a.title}' if a.title else ''}", a.found) for a in found.around
    ]
    chapter.strong("What the searches looked at")
    chapter.table(counts_table(searches))
    for k, around in enumerate(found.around, start=1):
        words = "around the rows" if done.rows else "whole slope"
        add_search(
            chapter, f"{prefix}-around-{k}", around.model, around.found, around.options, units,
            title=f"{words}{f', {around.title}' if around.title else ''}", setting=setting,
            origin=ORIGIN,
        )  # fmt: skip
    return chapter


def _setting(done: SlopeDesign) -> Setting:
    return Setting(strata=tuple(s.name for s in done.slope.strata))


def _parted(done: SlopeDesign, model: SlipModel) -> tuple[str, ...]:
    """Return the names of strata that the known surface parts, as the model has them."""
    names = [s.name for s in done.slope.strata]
    above = model.layers - len(names) - 1
    if above < 0:
        return tuple(names)
    return (*names[:above], "Slip surface", *names)


def as_minimum(done: SlopeDesign, case: SlopeCase) -> Minimum:
    """Return the known surface in the form of a surface that a search found."""
    surface, line = done.surface, case.tied.surface
    low, high = (line[0], line[-1]) if done.ground.to_left else (line[-1], line[0])
    x = np.linspace(line[0, 0], line[-1, 0], 200)
    ground = np.interp(x, done.ground.surface[:, 0], done.ground.surface[:, 1])
    chord = np.hypot(*(line[-1] - line[0]))
    deep = float((ground - np.interp(x, line[:, 0], line[:, 1])).max())
    return Minimum(
        F=case.tied.F, kind="circle" if isinstance(surface, Circle) else "general",
        circle=surface if isinstance(surface, Circle) else None, points=line,
        out=(float(low[0]), float(low[1])), start=(float(high[0]), float(high[1])),
        thickness=deep * float(line[-1, 0] - line[0, 0]) / float(chord), last_change=0.0,
        at_edge=False, result=case.tied,
    )  # fmt: skip


def _as_search(one: Minimum, model: SlipModel) -> SearchResult:
    left, right = float(model.surface[0, 0]), float(model.surface[-1, 0])
    return SearchResult(
        minima=(one,), circles=np.empty((0, 3)), safety=np.empty(0), exits=(left, right),
        entries=(left, right), least_depth=0.0, analysed=1, set_aside={}, lowest_aside=None,
        method=one.result.method,
    )  # fmt: skip
