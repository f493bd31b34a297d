"""Figures of the staged analysis: a small multiple per stage on common scales, and anchor loads by stage."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from backstay.checks import expand
from backstay.design import SectionDesign
from backstay.drawing.lettering import CAP_HEIGHT, wrapped
from backstay.quantity import QUANTITIES, Quantity, UnitSystem, significant
from backstay.report.svg import ACCENT, FAINT, FILL, INK, Canvas, Point, spread
from backstay.wall.staged import StagedResult, StageResult
from backstay.wall.staged.result import Floats

_WIDTH = 500.0
_COLUMNS = (("As dug", 96.0), ("Total pressure", 150.0), ("Moment", 116.0), ("Deflection", 116.0))
_GAP = 7.0
_ROW = 128.0
_PLOT = 96.0
_HEAD = 30.0
_PER_FIGURE = 4
_SMALL = 6.5


def staged_figures(done: SectionDesign, units: UnitSystem) -> list[str]:
    """Return the figures of all stages, four stages to a figure, all on the same scales."""
    result = done.staged.mean
    shown = [s for s in result.stages if s.status == "stands"]
    scales = _Scales(shown, result, done)
    return [
        _figure(done, shown[i : i + _PER_FIGURE], scales, units)
        for i in range(0, len(shown), _PER_FIGURE)
    ]


class _Scales:
    """Common scales of every stage: deepest node, widest pressure, moment and deflection."""

    def __init__(
        self, stages: Sequence[StageResult], result: StagedResult, done: SectionDesign
    ) -> None:
        self.depth = float(result.input.z[-1])
        self.pressure = max([1.0, *(float(max(s.p_retained.max(), s.p_cut.max())) for s in stages)])
        self.moment = max([1e-9, *(float(abs(s.M).max()) for s in stages)])
        self.deflection = max([1e-9, *(float(abs(s.w).max()) for s in stages)])
        self.H = done.ground.H


def _figure(
    done: SectionDesign, stages: Sequence[StageResult], scales: _Scales, units: UnitSystem
) -> str:
    canvas = Canvas(_WIDTH, _HEAD + _ROW * len(stages))
    left = 0.0
    per = "" if done.wall.kind == "soldier piles" else " per length"
    quantities = (
        QUANTITIES["length"], QUANTITIES["stress"], QUANTITIES[f"moment{per}"],
        QUANTITIES["small length"],
    )  # fmt: skip
    for (title, width), quantity in zip(_COLUMNS, quantities, strict=True):
        canvas.text((left, 10), title, size=7.5, bold=True)
        canvas.text((left, 19), quantity.unit(units).label, size=_SMALL, colour=FAINT)
        left += width + _GAP
    for i, stage in enumerate(stages):
        top = _HEAD + i * _ROW
        words = wrapped(
            f"Stage {stage.number}: {expand(stage.title, units)}", 7.2 * CAP_HEIGHT, _WIDTH - 4
        )
        canvas.text((0, top + 7), words[0], size=7.2, bold=True)
        _row(canvas, done, stage, scales, units, top + 13, quantities)
    return canvas.document("Stages of the dig: section, pressures, moment and deflection")


def _row(
    canvas: Canvas,
    done: SectionDesign,
    stage: StageResult,
    scales: _Scales,
    units: UnitSystem,
    top: float,
    quantities: Sequence[Quantity],
) -> None:
    def y(z: float) -> float:
        return top + z / scales.depth * _PLOT

    left = 0.0
    edges = []
    for _, width in _COLUMNS:
        edges.append((left, width))
        left += width + _GAP
    _as_dug(canvas, done, stage, scales, y, edges[0])
    _pressures(canvas, stage, scales, y, edges[1], quantities[1], units)
    for (start, width), values, most, quantity in (
        (edges[2], stage.M, scales.moment, quantities[2]),
        (edges[3], stage.w, scales.deflection, quantities[3]),
    ):
        middle = 0.5 if values is stage.M else 0.28
        _curve(canvas, stage, values, most, y, start, width, middle, quantity, units)
    for start, width in edges[1:]:
        canvas.line(
            [(start, y(stage.dig)), (start + width, y(stage.dig))],
            colour=FAINT,
            width=0.4,
            dash="2 2",
        )


def _as_dug(
    canvas: Canvas,
    done: SectionDesign,
    stage: StageResult,
    scales: _Scales,
    y: Callable[[float], float],
    edge: tuple[float, float],
) -> None:
    left, width = edge
    wall = left + 0.42 * width
    canvas.area(
        [
            (wall, y(0)),
            (left + width, y(0)),
            (left + width, y(scales.depth)),
            (wall, y(scales.depth)),
        ]
    )
    canvas.area(
        [
            (left, y(stage.dig)),
            (wall, y(stage.dig)),
            (wall, y(scales.depth)),
            (left, y(scales.depth)),
        ]
    )
    canvas.line([(left, y(stage.dig)), (wall, y(stage.dig))], width=0.7)
    canvas.line([(wall, y(0)), (left + width, y(0))], width=0.7)
    canvas.line([(wall, y(0)), (wall, y(scales.depth))], width=1.6)
    scale = _PLOT / scales.depth
    for k, load in enumerate(stage.T):
        if load <= 0.0 or k >= len(done.anchors):
            continue
        anchor = done.anchors[k]
        (x1, z1), (x2, z2) = anchor.head, anchor.bond_end
        share = min(1.0, 0.56 * width / max((x2 - x1) * scale, 1e-9))
        tip = (wall + (x2 - x1) * share * scale, y(z1 + (z2 - z1) * share))
        canvas.line([(wall, y(z1)), tip], width=0.9)
    canvas.line([(left, y(scales.H)), (wall, y(scales.H))], colour=FAINT, width=0.4, dash="2 2")


def _pressures(
    canvas: Canvas,
    stage: StageResult,
    scales: _Scales,
    y: Callable[[float], float],
    edge: tuple[float, float],
    quantity: Quantity,
    units: UnitSystem,
) -> None:
    """Draw pressure behind to the right and in front to the left, with their limits, clipped."""
    left, width = edge
    zero = left + 0.5 * width
    factor = 0.44 * width / scales.pressure

    def trace(values: Floats, sign: float) -> list[Point]:
        return [
            (zero + sign * min(float(v), scales.pressure * 1.1) * factor, y(float(z)))
            for z, v in zip(stage.depth_g, values, strict=True)
        ]

    for values, sign in ((stage.p_retained, 1.0), (stage.p_cut, -1.0)):
        points = trace(values, sign)
        canvas.area([(zero, points[0][1]), *points, (zero, points[-1][1])], fill=FILL)
        canvas.line(points, width=0.9)
    for values, sign in (
        (stage.active_retained, 1.0), (stage.passive_retained, 1.0),
        (stage.passive_cut, -1.0), (stage.active_cut, -1.0),
    ):  # fmt: skip
        canvas.line(trace(values, sign), colour=FAINT, width=0.5, dash="1.5 1.5")
    canvas.line([(zero, y(0)), (zero, y(scales.depth))], width=0.6)
    peak = int(stage.p_retained.argmax())
    label = significant(quantity.shown(float(stage.p_retained[peak]), units), 3)
    x = zero + float(stage.p_retained[peak]) * factor
    canvas.text(
        (min(x + 2, left + width - 16), y(float(stage.depth_g[peak])) - 2),
        label,
        size=_SMALL,
        halo=True,
    )


def _curve(
    canvas: Canvas,
    stage: StageResult,
    values: Floats,
    most: float,
    y: Callable[[float], float],
    left: float,
    width: float,
    middle: float,
    quantity: Quantity,
    units: UnitSystem,
) -> None:
    """Draw one curve about its axis, which stands at `middle` of the column's width."""
    zero = left + middle * width
    factor = (0.86 - max(middle, 0.5)) * width / most
    points = [(zero + float(v) * factor, y(float(z))) for z, v in zip(stage.z, values, strict=True)]
    canvas.area([(zero, points[0][1]), *points, (zero, points[-1][1])], fill=FILL)
    canvas.line(points, width=1.0)
    canvas.line([(zero, y(float(stage.z[0]))), (zero, y(float(stage.z[-1])))], width=0.6)
    numbers = [float(v) for v in values]
    marks = [
        i
        for i in (numbers.index(max(numbers)), numbers.index(min(numbers)))
        if abs(numbers[i]) > 0.02 * most
    ]
    places = spread((y(float(stage.z[i])) for i in marks), 8.0, y(0.0) + 5, y(float(stage.z[-1])))
    for i, place in zip(marks, places, strict=True):
        text = significant(quantity.shown(numbers[i], units), 3)
        right = numbers[i] >= 0.0
        canvas.text(
            (points[i][0] + (2 if right else -2), place + 2), text, size=_SMALL, colour=INK,
            anchor="start" if right else "end", halo=True,
        )  # fmt: skip


def history_figure(done: SectionDesign, units: UnitSystem) -> str:
    """Return the load of each row's anchors by stage, with its design load, in mean ground."""
    result = done.staged.mean
    stages = [s for s in result.stages if s.status == "stands"]
    force = QUANTITIES["force"]
    width, height, left, foot = _WIDTH, 190.0, 46.0, 24.0
    right = width - 120.0
    canvas = Canvas(width, height)
    loads = [[s.anchor_loads[a.row - 1] for s in stages] for a in done.anchors]
    most = 1.08 * max([a.design_load for a in done.anchors] + [v for row in loads for v in row])

    def at(k: float, load: float) -> Point:
        reach = max(len(stages) - 1, 1)
        return left + k / reach * (right - left), height - foot - load / most * (height - foot - 24)

    canvas.text((4, 12), f"Load of one anchor ({force.unit(units).label})", size=7.5, bold=True)
    canvas.line([at(0, 0), at(len(stages) - 1, 0)], width=0.6)
    canvas.line([at(0, 0), at(0, most)], width=0.6)
    for share in (0.25, 0.5, 0.75, 1.0):
        x, y = at(0, share * most)
        canvas.line([(x - 3, y), (x, y)], width=0.5)
        canvas.text(
            (x - 5, y + 2.5),
            significant(force.shown(share * most, units), 3),
            size=_SMALL,
            anchor="end",
        )
    for k, stage in enumerate(stages):
        x, y = at(k, 0)
        canvas.line([(x, y), (x, y + 3)], width=0.5)
        canvas.text((x, y + 11), str(stage.number), size=_SMALL, anchor="middle")
    canvas.text((right, height - 3), "stage", size=_SMALL, anchor="end", colour=FAINT)
    ends = []
    for anchor, row in zip(done.anchors, loads, strict=True):
        start = next((k for k, v in enumerate(row) if v > 0.0), None)
        if start is None:
            continue
        canvas.line([at(k, row[k]) for k in range(start, len(stages))], width=1.2)
        canvas.line(
            [at(start, anchor.design_load), at(len(stages) - 1, anchor.design_load)],
            colour=ACCENT,
            width=0.7,
            dash="4 2",
        )
        last = significant(force.shown(row[-1], units), 3)
        design = significant(force.shown(anchor.design_load, units), 3)
        ends.append((at(0, row[-1])[1], f"row {anchor.row}: {last}, design {design}"))
    places = spread((y for y, _ in ends), 9.0, 20.0, height - foot)
    for (_, words), place in zip(ends, places, strict=True):
        canvas.text((right + 5, place + 2.5), words, size=_SMALL)
    canvas.text((right + 5, 12), "solid: load; dashed: design load", size=_SMALL, colour=FAINT)
    return canvas.document("Anchor loads by stage")
