"""The frame of a section or elevation: its columns, its scale, and where the model lies in it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from backstay.drawing.marks import Point, View
from backstay.drawing.sheet import Sheet, scale_that_fits

_LEAST_FIGURE = 90.0
"""Least height (mm) of a figure: the columns of strata and levels need it."""


@dataclass(frozen=True, slots=True)
class Extent:
    """What must be seen: x from..to (m behind the wall), depth from..to (m).

    above, below: mm on paper to be kept free above and below it.
    """

    left: float
    right: float
    high: float
    low: float
    above: float
    below: float


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths (mm) of the columns of a drawing, from the left, and of the column at the right."""

    levels: float
    chain: float
    labels: float
    gap: float
    right: float

    @property
    def before(self) -> float:
        """Return the width of all columns left of the model."""
        return self.levels + self.chain + self.labels + self.gap


@dataclass(frozen=True, slots=True)
class Frame:
    """The shared-out drawing space, in mm.

    window: lower left and upper right corner of the model's picture; x_levels: the axis of
    levels; x_chain: right edge of the dimension chain; x_labels: right edge of the labels.
    """

    sheet: Sheet
    view: View
    window: tuple[Point, Point]
    x_levels: float
    x_chain: float
    x_labels: float
    title_y: float
    foot_y: float

    @property
    def deepest(self) -> float:
        """Return the depth at the foot of the window (m)."""
        return (self.view.origin[1] - self.window[0][1]) / self.view.mm

    @property
    def highest(self) -> float:
        """Return the depth at the top of the window (m; negative: above the wall)."""
        return (self.view.origin[1] - self.window[1][1]) / self.view.mm

    @property
    def farthest(self) -> float:
        """Return the distance behind the wall at the right edge of the window (m)."""
        return (self.window[1][0] - self.view.origin[0]) / self.view.mm


def arrange(sheet: Sheet, extent: Extent, columns: Columns, top: float) -> Frame:
    """Choose the scale and lay the model into the sheet; a figure is cut to the height it needs.

    top: elevation of depth 0 (m). Raises DesignError where no scale fits.
    """
    head = 0.0 if sheet.is_figure else 11.0
    foot = 8.0
    width = sheet.right - sheet.left - columns.before - columns.right
    height = sheet.top - sheet.foot - head - foot - extent.above - extent.below
    upward = extent.low - extent.high
    n = scale_that_fits(sheet.scales, extent.right - extent.left, upward, width, height)
    mm = 1000.0 / n
    if sheet.is_figure:
        spare = max(0.0, min(height - upward * mm, sheet.height - _LEAST_FIGURE))
        sheet = replace(sheet, height=sheet.height - spare)
        height -= spare
    window_foot = sheet.foot + foot
    spare = height - upward * mm
    x0 = sheet.left + columns.before - extent.left * mm
    y0 = window_foot + extent.below + 0.6 * spare + extent.low * mm
    return Frame(
        sheet,
        View(n, (x0, y0), top),
        ((sheet.left + columns.levels + columns.chain, window_foot),
         (sheet.right - columns.right, sheet.top - head)),
        sheet.left + columns.levels,
        sheet.left + columns.levels + columns.chain,
        sheet.left + columns.levels + columns.chain + columns.labels,
        sheet.top - head,
        sheet.foot + 1.5,
    )  # fmt: skip
