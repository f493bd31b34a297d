"""Panels of diagrams side by side over one depth axis, so that a reader can look across."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from backstay.drawing.lettering import CAP_HEIGHT, wrapped
from backstay.quantity import QUANTITIES, Quantity, UnitSystem, significant
from backstay.report.svg import FAINT, FILL, INK, Canvas, around

WIDTH, HEIGHT = 500.0, 300.0
LEFT, TOP, FOOT = 50.0, 46.0, 22.0
SMALL = 7.5
_GAP = 22.0
_LEAST = 50.0
_TITLE = 7.5
_LINES = 3


@dataclass(frozen=True, slots=True)
class Curve:
    """One curve of a panel: values against depth; dash "" is solid."""

    z: Sequence[float]
    value: Sequence[float]
    dash: str = ""
    fill: bool = False


@dataclass(frozen=True, slots=True)
class Panel:
    """One diagram: title, quantity, curves; remarks stand below the title."""

    title: str
    quantity: Quantity
    curves: tuple[Curve, ...]
    remarks: tuple[str, ...] = ()

    @property
    def low(self) -> float:
        """Return the least value, not above nil."""
        return min([0.0, *(v for c in self.curves for v in c.value)])

    @property
    def span(self) -> float:
        """Return the range of values, nil included."""
        values = [0.0, *(v for c in self.curves for v in c.value)]
        return max(values) - min(values)


@dataclass(frozen=True, slots=True)
class Frame:
    """The canvas with its depth axis; right: where the panels end; y: of a depth."""

    canvas: Canvas
    right: float
    y: Callable[[float], float]


def frame(
    depth: float, units: UnitSystem, *, rows: Sequence[float], level: float, right: float
) -> Frame:
    """Draw the depth axis down to `depth`, the rows as dotted lines and a line at a dig level."""
    canvas = Canvas(WIDTH, HEIGHT)
    scale = (HEIGHT - TOP - FOOT) / depth

    def y(z: float) -> float:
        return TOP + z * scale

    length = QUANTITIES["length"]
    canvas.text((4, 12), "Depth", size=_TITLE, bold=True)
    canvas.text((4, 21), length.unit(units).label, size=6.5, colour=FAINT)
    for tick in ticks(0, length.shown(depth, units), 8):
        place = y(length.internal(tick, units))
        canvas.line([(LEFT - 4, place), (LEFT, place)], width=0.5)
        canvas.text((LEFT - 6, place + 2.5), f"{tick:g}", size=SMALL, anchor="end")
    canvas.line([(LEFT, y(0)), (LEFT, y(depth))], width=0.6)
    for row in rows:
        canvas.line([(LEFT, y(row)), (right, y(row))], colour=FAINT, width=0.4, dash="2 3")
    canvas.line([(LEFT, y(level)), (right, y(level))], width=0.6)
    return Frame(canvas, right, y)


def draw_panels(
    frame: Frame, panels: Sequence[Panel], units: UnitSystem, *, common_scale: bool
) -> None:
    """Draw panels from left to right; with a common scale their widths follow their values."""
    room = frame.right - LEFT - 8 - _GAP * len(panels)
    spans = [panel.span or 1.0 for panel in panels]
    widths = _shared(spans, room) if common_scale else [room / len(panels)] * len(panels)
    scale = min(w / s for w, s in zip(widths, spans, strict=True))
    left = LEFT + 8
    for panel, span, width in zip(panels, spans, widths, strict=True):
        factor = scale if common_scale else width / span
        _draw_panel(frame, panel, left, width, factor, units)
        left += width + _GAP


def _shared(spans: Sequence[float], room: float) -> list[float]:
    """Return widths in proportion to the spans, none less than the title needs."""
    widths = [0.0] * len(spans)
    narrow: set[int] = set()
    while True:
        free = room - _LEAST * len(narrow)
        total = sum(s for i, s in enumerate(spans) if i not in narrow)
        widths = [_LEAST if i in narrow else free * s / total for i, s in enumerate(spans)]
        more = {i for i, w in enumerate(widths) if w < _LEAST} - narrow
        if not more or len(narrow | more) == len(spans):
            return widths if not more else [room / len(spans)] * len(spans)
        narrow |= more


def _draw_panel(
    frame: Frame, panel: Panel, left: float, width: float, factor: float, units: UnitSystem
) -> None:
    canvas, y = frame.canvas, frame.y
    zero = left - panel.low * factor

    def x(value: float) -> float:
        return zero + value * factor

    words = wrapped(panel.title, _TITLE * CAP_HEIGHT, width + _GAP - 6, bold=True)[:_LINES]
    for line, text in enumerate(words):
        canvas.text((left, 12 + 8.5 * line), text, size=_TITLE, bold=True)
    label = panel.quantity.unit(units).label
    for line, text in enumerate((label, *panel.remarks)):
        place = (left, 12 + 8.5 * (len(words) + line))
        canvas.text(place, text, size=6.5, colour=FAINT if not line else INK)
    for curve in panel.curves:
        points = [(x(v), y(z)) for z, v in zip(curve.z, curve.value, strict=True)]
        if not points:
            continue
        outline = [(x(0), points[0][1]), *points, (x(0), points[-1][1])]
        if curve.fill:
            canvas.area(outline, fill=FILL)
        canvas.line(outline, width=1.1, dash=curve.dash)
    first = panel.curves[0]
    canvas.line([(x(0), y(first.z[0])), (x(0), y(first.z[-1]))], width=0.6)
    marks = sorted(_corners(first), key=lambda mark: -abs(mark[1]))
    for z, value in marks:
        text = significant(panel.quantity.shown(value, units), 3)
        canvas.label(around((x(value), y(z)), right=value >= 0), text)


def _corners(curve: Curve) -> list[tuple[float, float]]:
    """Return the points worth a number: local extremes and jumps, at most eight, largest first."""
    z, v = list(curve.z), list(curve.value)
    size = max(abs(a) for a in v) or 1.0
    found: list[tuple[float, float]] = []
    for i, value in enumerate(v):
        before = v[i - 1] if i else 0.0
        after = v[i + 1] if i + 1 < len(v) else 0.0
        peak = (value >= before and value > after) or (value > before and value >= after)
        trough = (value <= before and value < after) or (value < before and value <= after)
        if abs(value) > 0.04 * size and (peak or trough):
            found.append((z[i], value))
    found.sort(key=lambda m: -abs(m[1]))
    kept: list[tuple[float, float]] = []
    for mark in found:
        near = any(abs(mark[0] - k[0]) < 1e-6 and abs(mark[1] - k[1]) < 0.02 * size for k in kept)
        if not near and len(kept) < 8:
            kept.append(mark)
    return kept


def ticks(low: float, high: float, most: int) -> list[float]:
    """Return round tick values in low..high, at most `most` intervals."""
    span = max(high - low, 1e-12)
    for power in range(-6, 9):
        for lead in (1, 2, 5):
            step = lead * 10.0**power
            if span / step <= most:
                first = int(low / step)
                last = int(high / step + 1e-9)
                return [round(k * step, 9) for k in range(first, last + 1)]
    return [low, high]
