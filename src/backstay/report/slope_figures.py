"""Figures of a slope: pairs of strength that explain its movement, and force by inclination."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite

from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.panels import ticks
from backstay.report.svg import ACCENT, FAINT, FILL, Canvas, Point, around
from backstay.stability.slope import Locus
from backstay.stability.slope_design import SlopeDesign

WIDTH, HEIGHT = 500.0, 270.0
_LEFT, _RIGHT, _TOP, _FOOT = 46.0, 22.0, 24.0, 34.0
_DASHES = {
    "best estimate": "", "safety lower": "5 2", "safety higher": "5 2",
    "water higher": "1.5 2", "water lower": "1.5 2",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Graph:
    """A canvas with two axes: x and y of a point, in shown units."""

    canvas: Canvas
    x: Callable[[float], float]
    y: Callable[[float], float]


def _graph(
    across: tuple[float, float], up: tuple[float, float], across_words: str, up_words: str,
    right: float,
) -> _Graph:  # fmt: skip
    canvas = Canvas(WIDTH, HEIGHT)
    (x1, x2), (y1, y2) = across, up
    foot = HEIGHT - _FOOT

    def x(value: float) -> float:
        return _LEFT + (value - x1) / (x2 - x1) * (right - _LEFT)

    def y(value: float) -> float:
        return foot - (value - y1) / (y2 - y1) * (foot - _TOP)

    for tick in ticks(x1, x2, 10):
        if x1 - 1e-9 <= tick <= x2 + 1e-9:
            canvas.line([(x(tick), foot), (x(tick), foot + 3)], width=0.5)
            canvas.text((x(tick), foot + 11), f"{tick:g}", size=7.5, anchor="middle")
    for tick in ticks(y1, y2, 8):
        if y1 - 1e-9 <= tick <= y2 + 1e-9:
            canvas.line([(_LEFT - 3, y(tick)), (_LEFT, y(tick))], width=0.5)
            canvas.line([(_LEFT, y(tick)), (right, y(tick))], width=0.3, colour="#d8d8d8")
            canvas.text((_LEFT - 5, y(tick) + 2.5), f"{tick:g}", size=7.5, anchor="end")
    canvas.line([(_LEFT, _TOP), (_LEFT, foot), (right, foot)], width=0.7)
    canvas.text((right, foot + 22), across_words, size=7.5, anchor="end", bold=True)
    canvas.text((4, 12), up_words, size=7.5, bold=True)
    return _Graph(canvas, x, y)


def strength_figure(done: SlopeDesign, units: UnitSystem) -> str:
    """Return the pairs of cohesion and friction that explain the movement, and the pair carried."""
    stress, angle = QUANTITIES["stress"], QUANTITIES["angle"]
    most_c = stress.shown(max(locus.most for locus in done.loci), units)
    most_phi = angle.shown(max(p.phi for locus in done.loci for p in locus.pairs), units)
    graph = _graph(
        (0.0, 1.06 * most_c), (0.0, 1.1 * most_phi),
        f"Cohesion along the surface ({stress.unit(units).label})",
        f"Angle of friction along the surface ({angle.unit(units).label})",
        WIDTH - _RIGHT - 104.0,
    )  # fmt: skip

    def curve(locus: Locus) -> list[Point]:
        return [
            (graph.x(stress.shown(p.c, units)), graph.y(angle.shown(p.phi, units)))
            for p in locus.pairs
        ]

    canvas = graph.canvas
    if len(done.loci) > 1:
        low, high = (pick(done.loci, key=lambda k: k.most) for pick in (min, max))
        canvas.area([*curve(low), *reversed(curve(high))], fill=FILL)
    for locus in done.loci:
        canvas.line(curve(locus), width=1.4 if not _DASHES[locus.title] else 0.8,
                    dash=_DASHES[locus.title])  # fmt: skip
    at = (
        graph.x(stress.shown(done.cohesion, units)), graph.y(angle.shown(done.friction, units))
    )  # fmt: skip
    _cross(canvas, at)
    left, y = WIDTH - _RIGHT - 92.0, _legend(canvas, done)
    _cross(canvas, (left + 10, y - 2.5))
    canvas.text((left + 24, y), "carried:", size=7, colour=ACCENT, bold=True)
    for k, words in enumerate(
        (f"c {stress.text(done.cohesion, units)}", f"φ {angle.text(done.friction, units)}"), start=1
    ):
        canvas.text((left + 24, y + 9 * k), words, size=7, colour=ACCENT, bold=True)
    return canvas.document("Strength that explains the movement")


def _legend(canvas: Canvas, done: SlopeDesign) -> float:
    """Say which case is which, at the right; return where more may stand."""
    left, y = WIDTH - _RIGHT - 92.0, _TOP + 6
    shown: list[str] = []
    for locus in done.loci:
        kind = locus.title.split()[0]
        if kind in shown:
            continue
        shown.append(kind)
        dash = _DASHES[locus.title]
        canvas.line([(left, y - 2.5), (left + 20, y - 2.5)], width=0.8 if dash else 1.4, dash=dash)
        moved = done.slope.movement
        words = {
            "best": f"best estimate, F = {locus.safety:.2f}",
            "safety": f"F ± {moved.uncertainty:.2f}",
            "water": "water higher, lower",
        }[kind]
        canvas.text((left + 24, y), words, size=7)
        y += 11
    if len(done.loci) > 1:
        canvas.area(
            [(left, y - 6), (left + 20, y - 6), (left + 20, y + 1), (left, y + 1)], fill=FILL
        )
        canvas.text((left + 24, y), "what stays uncertain", size=7)
        y += 11
    return y


def force_figure(done: SlopeDesign, units: UnitSystem) -> str:
    """Return the force that the target asks for, over the inclination of the anchors."""
    force, angle = QUANTITIES["force per length"], QUANTITIES["angle"]
    points = [
        (angle.shown(f.inclination, units), force.shown(f.force, units))
        for f in done.forces
        if isfinite(f.force)
    ]
    chosen = (
        angle.shown(done.required.inclination, units), force.shown(done.required.force, units)
    )  # fmt: skip
    every = [*points, chosen]
    most = max(1e-9, *(f for _, f in every))
    first, last = min(i for i, _ in every), max(i for i, _ in every)
    graph = _graph(
        (first, max(last, first + 1.0)), (0.0, 1.12 * most),
        f"Inclination below horizontal ({angle.unit(units).label})",
        f"Anchor force ({force.unit(units).label})", WIDTH - _RIGHT,
    )  # fmt: skip
    canvas = graph.canvas
    canvas.line([(graph.x(i), graph.y(f)) for i, f in points], width=1.2)
    for i, f in points:
        _dot(canvas, (graph.x(i), graph.y(f)))
    at = (graph.x(chosen[0]), graph.y(chosen[1]))
    canvas.line([(at[0], HEIGHT - _FOOT), at], colour=ACCENT, width=0.7, dash="3 2")
    _cross(canvas, at)
    words = (
        f"{force.text(done.required.force, units)} at "
        f"{angle.text(done.required.inclination, units)}, chosen"
    )
    places = [(at[0] + 8, at[1] + 16 + 9 * k) for k in range(6)]
    canvas.label([(p, "start") for p in places] + around(at, right=False), words,
                 colour=ACCENT, bold=True, backed=True)  # fmt: skip
    return canvas.document("Force by inclination")


def _cross(canvas: Canvas, at: Point) -> None:
    x, y = at
    for line in ([(x - 4, y), (x + 4, y)], [(x, y - 4), (x, y + 4)]):
        canvas.line(line, colour=ACCENT, width=1.2)


def _dot(canvas: Canvas, at: Point) -> None:
    x, y = at
    corners: Sequence[Point] = [(x - 1.4, y - 1.4), (x + 1.4, y - 1.4), (x + 1.4, y + 1.4), (x - 1.4, y + 1.4)]  # fmt: skip
    canvas.area(corners, fill=FAINT)
