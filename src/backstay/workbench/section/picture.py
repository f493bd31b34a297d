"""The picture of a section on screen: drawn for the room there is, and kept still while it is dragged in."""

from __future__ import annotations

from dataclasses import dataclass, replace

from backstay.design import Part, SectionDesign
from backstay.drawing.frame import Columns, Frame
from backstay.drawing.ground import LOG
from backstay.drawing.labels import NoRoomError
from backstay.drawing.marks import Drawing, Hatch, Point, Ring, Stroke, Text, View
from backstay.drawing.section import Lettering, compose_in, section_frame
from backstay.drawing.sheet import FIGURE_SCALES, Sheet
from backstay.drawing.slope import compose_slope_in, slope_frame
from backstay.drawing.svg import svg
from backstay.errors import DesignError
from backstay.quantity import UnitSystem

SMALLEST, LARGEST = 4.1, 5.2
"""Pixels of the screen for a mm of the picture: letters are then 11 to 14 pixels of font."""
_ACROSS = 290.0
"""Width (mm) of picture and diagrams from which on a wider screen makes them larger, not more roomy."""
_LETTERS = 1.9
_LETTERINGS: tuple[Lettering, ...] = ("all", "levels", "none")
_COLUMNS = Columns(levels=27.0, chain=0.0, labels=25.0, gap=5.0, right=27.0)
_ROOMY = Columns(levels=27.0, chain=0.0, labels=36.0, gap=7.0, right=33.0)
_SLOPE = Columns(levels=27.0, chain=0.0, labels=2.0, gap=0.0, right=33.0)
_FROM = 185.0
"""Width (mm) of the section from which labels have room for whole lines."""
_NARROWEST, _LOWEST = 130.0, 70.0
"""Least size (mm) that a section can be read in: on a smaller screen it is scaled down."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A section as it is drawn: its frame, the drawing, and whether its labels found their places."""

    frame: Frame
    drawing: Drawing
    lettered: bool

    @property
    def left(self) -> float:
        """Return the distance of the left edge from the wall (m), negative."""
        return (self.frame.window[0][0] - self.frame.view.origin[0]) / self.frame.view.mm

    @property
    def right(self) -> float:
        """Return the distance of the right edge of the ground from the wall (m)."""
        return self.frame.farthest - LOG / self.frame.view.mm

    @property
    def clear(self) -> float:
        """Return how much of the picture's top is empty (mm)."""
        highest = self.drawing.window[0][1]
        for mark in self.drawing.marks:
            if isinstance(mark, Text):
                highest = max(highest, *(y for _, y in mark.quad))
            elif isinstance(mark, Stroke | Hatch):
                highest = max(highest, *(y for _, y in mark.points))
            elif isinstance(mark, Ring):
                highest = max(highest, mark.centre[1] + mark.radius)
        return self.drawing.height - highest

    def at(self, x: float, z: float) -> Point:
        """Return the place on the picture (mm, y downward) of a point of the model (m)."""
        px, py = self.frame.view.at(x, z)
        return px, self.drawing.height - py

    def model(self, place: Point) -> Point:
        """Return (distance behind the wall, depth), m, of a place on the picture (mm, y downward)."""
        view = self.frame.view
        x, elevation = view.model((place[0], self.drawing.height - place[1]), 1.0)
        return x, view.top - elevation

    def svg(self) -> str:
        """Return the drawing as an SVG element that lies in another, at its size in mm."""
        width, height = self.drawing.width, self.drawing.height
        return svg(self.drawing).replace(
            f'width="{width:g}mm" height="{height:g}mm"',
            f'width="{width:g}" height="{height:g}"',
            1,
        )


def frame_for(done: Part, width: float, height: float) -> Frame:
    """Return the frame that shows a section or a slope in a room of width by height (mm).

    Raises DesignError where no scale fits.
    """
    sheet = Sheet(
        "screen", max(width, _NARROWEST), max(height, _LOWEST), 1.0, 1.0, 0.0, _LETTERS,
        FIGURE_SCALES,
    )  # fmt: skip
    if not isinstance(done, SectionDesign):
        return slope_frame(done, sheet, _SLOPE)
    return section_frame(done, sheet, _ROOMY if width >= _FROM else _COLUMNS)


def pixels(width: float) -> float:
    """Return the pixels for a mm of the picture on a screen that gives it a width (pixels)."""
    return min(max(width / _ACROSS, SMALLEST), LARGEST)


def draw(done: Part, frame: Frame, units: UnitSystem, *, lettering: Lettering = "all") -> Picture:
    """Draw a section or a slope in a frame; with fewer labels where they find no place."""
    frame = _seated(frame, done)
    fewer = _LETTERINGS[_LETTERINGS.index(lettering) :]
    for one in fewer[:-1]:
        try:
            return Picture(frame, _composed(frame, done, units, one), lettered=one == lettering)
        except (NoRoomError, DesignError):
            continue
    return Picture(frame, _composed(frame, done, units, fewer[-1]), lettered=False)


def _composed(frame: Frame, done: Part, units: UnitSystem, lettering: Lettering) -> Drawing:
    if not isinstance(done, SectionDesign):
        return compose_slope_in(frame, done, units, lettering=lettering)
    bare = replace(done, overall=None)  # slip surfaces are shown by choice
    return compose_in(frame, bare, units, lettering=lettering)


def _seated(frame: Frame, done: Part) -> Frame:
    """Return a frame in which elevations stay where they were though the top of the wall has moved."""
    view = frame.view
    if not isinstance(done, SectionDesign) or done.section.ground.top == view.top:
        return frame
    top = done.section.ground.top
    x, y = view.origin
    seated = View(view.denominator, (x, y + (top - view.top) * view.mm), top)
    return replace(frame, view=seated)
