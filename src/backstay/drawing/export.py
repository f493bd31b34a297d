"""The drawings of a design as files: section and elevation of walls, section of slopes, three formats each."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from backstay.quantity import UnitSystem

if TYPE_CHECKING:
    from backstay.design import Design, SectionDesign
    from backstay.stability.slope_design import SlopeDesign


def write_drawings(design: Design, folder: Path, units: UnitSystem) -> tuple[Path, ...]:
    """Write every drawing of a design into a folder as DXF, SVG and PDF; return the paths.

    Each file is written whole or not at all. Raises DesignError or NoRoomError where a drawing
    cannot be composed, OSError where a file cannot be written.
    """
    from backstay.files import atomic_write

    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, content in drawing_files(design, units):
        path = folder / name
        atomic_write(path, content)
        written.append(path)
    return tuple(written)


def drawing_files(design: Design, units: UnitSystem) -> Iterator[tuple[str, bytes]]:
    """Yield file name and content of every drawing of a design."""
    from backstay.drawing.dxf import dxf
    from backstay.drawing.elevation import compose_elevation
    from backstay.drawing.pdf import pdf
    from backstay.drawing.section import compose_section
    from backstay.drawing.sheet import sheet
    from backstay.drawing.slope import compose_slope
    from backstay.drawing.svg import svg

    stems = file_stems([done.section.name for done in design.sections])
    for stem, done in zip(stems, design.sections, strict=True):
        for kind, compose in (("section", compose_section), ("elevation", compose_elevation)):
            drawing = compose(done, sheet(units), units, design.project.project)
            picture = svg(drawing)
            yield f"{kind}-{stem}.dxf", dxf(drawing)
            yield f"{kind}-{stem}.svg", picture.encode("utf-8")
            yield f"{kind}-{stem}.pdf", pdf(drawing, picture)
    stems = file_stems([done.slope.name for done in design.slopes])
    for stem, slope in zip(stems, design.slopes, strict=True):
        drawing = compose_slope(slope, sheet(units), units, design.project.project)
        picture = svg(drawing)
        yield f"slope-{stem}.dxf", dxf(drawing)
        yield f"slope-{stem}.svg", picture.encode("utf-8")
        yield f"slope-{stem}.pdf", pdf(drawing, picture)


def section_svg(done: SectionDesign, units: UnitSystem) -> str:
    """Return the section as a figure (210 mm wide, no frame) for a report or a page."""
    from backstay.drawing.section import compose_section
    from backstay.drawing.sheet import figure
    from backstay.drawing.svg import svg

    return svg(compose_section(done, figure(), units))


def slope_svg(done: SlopeDesign, units: UnitSystem) -> str:
    """Return the section of a slope as a figure (210 mm wide, no frame) for a report or a page."""
    from backstay.drawing.sheet import figure
    from backstay.drawing.slope import compose_slope
    from backstay.drawing.svg import svg

    return svg(compose_slope(done, figure(), units))


def elevation_svg(done: SectionDesign, units: UnitSystem) -> str:
    """Return the elevation as a figure (210 mm wide, no frame) for a report or a page."""
    from backstay.drawing.elevation import compose_elevation
    from backstay.drawing.sheet import figure
    from backstay.drawing.svg import svg

    return svg(compose_elevation(done, figure(), units))


def file_stems(names: list[str]) -> list[str]:
    """Return a safe and unique file name for each section name: ``A (Alder Street)`` gives ``A``.

    What stands in brackets is dropped where the names stay different without it.
    """
    short = [_safe(re.sub(r"\(.*?\)", "", name)) for name in names]
    if len({s.lower() for s in short}) < len(short) or not all(short):
        short = [_safe(name) or f"{i}" for i, name in enumerate(names, 1)]
    stems: list[str] = []
    for stem in short:
        unique, n = stem, 2
        while unique.lower() in {s.lower() for s in stems}:
            unique, n = f"{stem}-{n}", n + 1
        stems.append(unique)
    return stems


def _safe(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Za-z0-9]+", "-", plain).strip("-")[:60]
