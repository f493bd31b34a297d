"""Figures of forces: design pressures, shear and moment, the cantilever stage; to scale, with units."""

from __future__ import annotations

from backstay.design import SectionDesign
from backstay.pressure import Diagram
from backstay.quantity import QUANTITIES, UnitSystem, significant
from backstay.report.panels import (
    FOOT,
    HEIGHT,
    LEFT,
    SMALL,
    TOP,
    WIDTH,
    Curve,
    Frame,
    Panel,
    draw_panels,
    frame,
)
from backstay.report.svg import ACCENT, FAINT, spread
from backstay.wall import Actions

_MOST = 5
"""Panels of one figure."""
_ARROWS = 86.0
"""Width kept for what holds the wall, at the right."""


def pressure_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return the design envelope, each increment and their sum, with row loads and reaction."""
    stress = QUANTITIES["stress"]
    pressures = done.pressures
    parts: list[Diagram] = [pressures.envelope.diagram]
    parts += [d for d in (pressures.water, *pressures.surcharges, pressures.earthquake) if d]
    panels = [Panel(d.name, stress, (Curve(d.z, d.p, fill=True),)) for d in parts]
    if len(parts) > 1:
        whole = pressures.design
        panels.append(Panel("Sum: design diagram", stress, (Curve(whole.z, whole.p, fill=True),)))
    framed = _framed(done, units)
    draw_panels(framed, _at_most(panels, _MOST), units, common_scale=True)
    _supports(framed, done, units)
    return framed.canvas.document("Pressure diagrams")


def actions_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return shear and moment per length of wall by both methods, with their extremes."""
    a, b = done.wall.closed_form, done.wall.continuous
    panels = [
        Panel(
            title,
            QUANTITIES[name],
            (Curve(a.z, getattr(a, field), fill=True), Curve(b.z, getattr(b, field), "4 2")),
            tuple(_greatest(actions, field, name, units) for actions in (a, b)),
        )
        for title, name, field in (
            ("Shear", "force per length", "shear"),
            ("Moment", "moment per length", "moment"),
        )
    ]
    framed = _framed(done, units)
    draw_panels(framed, panels, units, common_scale=False)
    _supports(framed, done, units)
    foot, canvas = HEIGHT - 4, framed.canvas
    for x, words, dash in ((LEFT, a.title, ""), (LEFT + 190, b.title, "4 2")):
        canvas.line([(x, foot - 3), (x + 22, foot - 3)], width=1.1, dash=dash)
        canvas.text((x + 26, foot), words, size=SMALL)
    return canvas.document("Shear and moment diagrams")


def cantilever_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return the net pressure on one pile before the first row is stressed, and its moment."""
    stage = done.wall.cantilever
    length = QUANTITIES["length"]
    single = done.wall.kind == "soldier piles"
    force = QUANTITIES["force per length" if single else "stress"]
    moment = QUANTITIES["moment" if single else "moment per length"]
    reach = stage.depth + max(stage.embedment_zero, 0.1 * stage.depth)
    shown = _above(stage.pressure, reach)
    name = "Net pressure on one pile" if single else "Net pressure on the wall"
    framed = frame(reach, units, rows=(), level=stage.depth, right=WIDTH - 206.0)
    curve = Curve(shown.z, shown.p, fill=True)
    draw_panels(
        framed,
        [Panel(f"{name}, passive pressure factored", force, (curve,))],
        units,
        common_scale=False,
    )
    canvas, y = framed.canvas, framed.y
    notes = [
        (stage.depth, f"dig level {length.text(stage.depth, units)}"),
        (
            stage.moment_z,
            f"greatest moment {moment.text(stage.moment, units)} at {length.text(stage.moment_z, units)}",
        ),
        (reach, f"moments vanish {length.text(stage.embedment_zero, units)} below the dig level"),
    ]
    notes = [n for n in notes if 0.0 <= n[0] <= reach]
    places = spread((y(z) for z, _ in notes), 11, TOP, HEIGHT - FOOT)
    for (z, words), place in zip(notes, places, strict=True):
        canvas.line(
            [(framed.right + 6, y(z)), (framed.right + 14, y(z)), (framed.right + 20, place)],
            colour=ACCENT, width=0.6,
        )  # fmt: skip
        canvas.text((framed.right + 23, place + 2.5), words, size=SMALL)
    return canvas.document("Cantilever stage")


def _above(diagram: Diagram, depth: float) -> Diagram:
    """Return a diagram down to a depth."""
    z = [a for a in diagram.z if a < depth]
    p = list(diagram.p[: len(z)])
    return Diagram(diagram.name, (*z, depth), (*p, diagram.at(depth, below=False)))


def _greatest(actions: Actions, field: str, name: str, units: UnitSystem) -> str:
    """Return the greatest value of one method in words: ``closed form: 96.8 at 5.60 m``."""
    z, value = max(
        zip(actions.z, getattr(actions, field), strict=True), key=lambda point: abs(point[1])
    )
    quantity, length = QUANTITIES[name], QUANTITIES["length"]
    shown = significant(quantity.shown(value, units), 4)
    depth = significant(length.shown(z, units), 3)
    return f"{actions.title.split(' (')[0]}: {shown} at {depth} {length.unit(units).label}"


def _at_most(panels: list[Panel], most: int) -> list[Panel]:
    """Keep the first and last panels and merge the smaller increments between, if too many."""
    if len(panels) <= most:
        return panels
    keep = panels[: most - 2]
    merged = tuple(c for p in panels[most - 2 : -1] for c in p.curves)
    names = f"{len(panels) - most + 1} further increments"
    return [*keep, Panel(names, panels[0].quantity, merged), panels[-1]]


def _framed(done: SectionDesign, units: UnitSystem) -> Frame:
    rows = [row.z for row in done.loads.rows]
    H = done.ground.H
    return frame(H, units, rows=rows, level=H, right=WIDTH - _ARROWS)


def _supports(framed: Frame, done: SectionDesign, units: UnitSystem) -> None:
    """Write the force by which each row, and the ground at subgrade, holds the wall back."""
    force = QUANTITIES["force per length"]
    canvas, y = framed.canvas, framed.y
    marks: list[tuple[float, str, float]] = [
        (r.z, f"Row {r.row}", r.horizontal) for r in done.loads.rows
    ]
    marks.append((done.ground.H, "Subgrade", done.loads.reaction))
    left = WIDTH - _ARROWS + 4
    canvas.text((left, 12), "Held back by", size=SMALL, bold=True)
    canvas.text((left, 20.5), force.unit(units).label, size=6.5, colour=FAINT)
    places = spread([y(z) for z, _, _ in marks], 18, TOP, HEIGHT - FOOT)
    for (z, name, load), place in zip(marks, places, strict=True):
        canvas.arrow((left, y(z)), (left + 24, y(z)), colour=ACCENT)
        canvas.text((left + 28, place - 1), name, size=7)
        shown = significant(force.shown(load, units), 4)
        canvas.text((left + 28, place + 7.5), shown, size=SMALL, bold=True)
