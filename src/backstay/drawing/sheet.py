"""The sheet: its size, its lettering, its scale, and how its space is shared out."""

from __future__ import annotations

from dataclasses import dataclass

from backstay.errors import DesignError
from backstay.quantity import UnitSystem

_FT = 12
SCALES: dict[UnitSystem, tuple[int, ...]] = {
    UnitSystem.SI: (20, 25, 50, 100, 200, 250, 500, 1000),
    UnitSystem.US: tuple(_FT * n for n in (5, 10, 20, 30, 40, 50, 60, 100)),
}
"""Scales 1 : n of engineering drawings (ISO 5455 and its customary intermediates; engineer's scale)."""
FIGURE_SCALES: tuple[int, ...] = (
    *range(25, 60, 5), *range(60, 120, 10), *range(120, 300, 15), *range(300, 600, 50),
    *range(600, 2001, 100),
)  # fmt: skip
"""A figure carries a scale bar and is not measured, so any even scale will do."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet (mm): margins to the frame, lettering (cap height), height of the strip at its foot.

    A figure is a sheet without frame and strip.
    """

    name: str
    width: float
    height: float
    binding: float
    margin: float
    strip: float
    text: float
    scales: tuple[int, ...]

    @property
    def is_figure(self) -> bool:
        """Return whether this is a figure of a report or a page, not a sheet."""
        return self.strip == 0.0

    @property
    def left(self) -> float:
        """Return the left edge of the field inside the frame."""
        return self.binding

    @property
    def right(self) -> float:
        """Return the right edge of the field."""
        return self.width - self.margin

    @property
    def top(self) -> float:
        """Return the top of the field."""
        return self.height - self.margin

    @property
    def foot(self) -> float:
        """Return the foot of the drawing space, above the strip."""
        return self.margin + self.strip


def sheet(units: UnitSystem) -> Sheet:
    """Return the drawing sheet of a unit system: ISO A3 or ANSI B."""
    if units is UnitSystem.SI:
        return Sheet("ISO A3", 420.0, 297.0, 20.0, 10.0, 58.0, 2.0, SCALES[units])
    return Sheet("ANSI B", 431.8, 279.4, 19.05, 9.525, 58.0, 2.0, SCALES[units])


def figure(height: float = 150.0) -> Sheet:
    """Return the ground of a figure, 210 mm wide, for a report or a page."""
    return Sheet("figure", 210.0, height, 1.0, 1.0, 0.0, 1.9, FIGURE_SCALES)


def scale_that_fits(
    scales: tuple[int, ...], across: float, upward: float, width: float, height: float
) -> int:
    """Return the largest scale at which across x upward (m) fits into width x height (mm).

    Raises DesignError where none does.
    """
    for n in scales:
        if across * 1000 / n <= width and upward * 1000 / n <= height:
            return n
    raise DesignError(
        f"no drawing scale fits {{length:{across:g}}} by {{length:{upward:g}}}", "drawing"
    )


def scale_text(denominator: float, units: UnitSystem) -> str:
    """Write a scale: ``1:100`` or ``1 in = 10 ft``."""
    if units is UnitSystem.US and denominator % _FT == 0:
        return f"1 in = {denominator / _FT:g} ft"
    return f"1:{denominator:g}"
