"""The files that can be made of a design, each by the same code as the command line uses."""

from __future__ import annotations

import io
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from backstay.design import Design
from backstay.quantity import UnitSystem


@dataclass(frozen=True, slots=True)
class Product:
    """A file: its name on screen, what it holds, its form, its file name, and how it is made."""

    name: str
    holds: str
    form: str
    file_name: str
    make: Callable[[Design, UnitSystem], bytes]


def products(design: Design, stem: str) -> list[Product]:
    """Return everything that can be made of a design; stem: of the project's file."""
    found = [
        Product("Calculation", "Every check with its derivation, line by line", "PDF",
                f"{stem}.pdf", _calculation),
        Product("Schedule and quantities", "Anchors, quantities, loads and checks", "XLSX",
                f"{stem}.xlsx", _workbook),
        Product("Results", "Everything that was found, for another program", "JSON",
                f"{stem}.json", _results),
        Product("All drawings", "Every drawing in every form", "ZIP",
                f"{stem}-drawings.zip", _drawings),
    ]  # fmt: skip
    for kind, of, names in _drawing_names(design):
        for name in names:
            form = name.rsplit(".", 1)[1].upper()
            found.append(Product(kind, of, form, name, _one_drawing(name)))
    return found


def _calculation(design: Design, units: UnitSystem) -> bytes:
    from backstay.report import report_bytes

    return report_bytes(design, units)


def _workbook(design: Design, units: UnitSystem) -> bytes:
    from backstay.report import write_workbook

    with tempfile.TemporaryDirectory() as folder:
        return write_workbook(design, Path(folder) / "schedule.xlsx", units).read_bytes()


def _results(design: Design, units: UnitSystem) -> bytes:
    from backstay.results import design_json

    return design_json(design, units).encode("utf-8")


def _drawings(design: Design, units: UnitSystem) -> bytes:
    from backstay.drawing import drawing_files

    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in drawing_files(design, units):
            archive.writestr(name, content)
    return stream.getvalue()


def _one_drawing(wanted: str) -> Callable[[Design, UnitSystem], bytes]:
    def make(design: Design, units: UnitSystem) -> bytes:
        from backstay.drawing import drawing_files

        return next(content for name, content in drawing_files(design, units) if name == wanted)

    return make


def _drawing_names(design: Design) -> list[tuple[str, str, list[str]]]:
    """Return kind, subject and file names of every drawing."""
    from backstay.drawing.export import file_stems

    found = []
    walls = [done.section.name for done in design.sections]
    for stem, name in zip(file_stems(walls), walls, strict=True):
        for kind in ("section", "elevation"):
            files = [f"{kind}-{stem}.{form}" for form in ("dxf", "svg", "pdf")]
            found.append((kind.capitalize(), f"Section {name}", files))
    slopes = [done.slope.name for done in design.slopes]
    for stem, name in zip(file_stems(slopes), slopes, strict=True):
        files = [f"slope-{stem}.{form}" for form in ("dxf", "svg", "pdf")]
        found.append(("Section of the slope", f"Slope {name}", files))
    return found
