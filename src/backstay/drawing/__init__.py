"""Drawings: the section and the elevation of a wall, the section of a slope, to scale.

A drawing is composed once, as a list of marks in mm on paper (`section`, `elevation`), and
written from that one list as DXF at true size, as SVG with real text, and as PDF on the sheet's
true size. What is where on the paper is decided here, nothing is computed: every length, load and
level comes from the design. Text never overlaps text (`labels`, `levels`, `boxes`), so that a
drawing can be checked by eye; a drawing that cannot be made so is refused (`NoRoomError`).
Symbols follow common practice and are explained in the legend of each sheet.
"""

from backstay.drawing.export import (
    drawing_files,
    elevation_svg,
    section_svg,
    slope_svg,
    write_drawings,
)

__all__ = ["drawing_files", "elevation_svg", "section_svg", "slope_svg", "write_drawings"]
