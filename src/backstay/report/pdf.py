"""Compile the calculation to PDF with Typst: offline, with the shipped fonts, the same bytes each time."""

from __future__ import annotations

import json
import tempfile
import warnings
from importlib.resources import files
from pathlib import Path

from backstay.design import Design
from backstay.errors import BackstayError
from backstay.files import atomic_write
from backstay.fonts import font_folder
from backstay.quantity import UnitSystem
from backstay.report.document import Document


def report_bytes(design: Design, units: UnitSystem) -> bytes:
    """Return the PDF of the calculation."""
    import typst

    document = Document(design, units)
    data = document.build()
    with tempfile.TemporaryDirectory(prefix="backstay-") as folder:
        root = Path(folder)
        template = files("backstay.report").joinpath("calculation.typ").read_text("utf-8")
        (root / "calculation.typ").write_text(template, "utf-8")
        (root / "data.json").write_text(json.dumps(data), "utf-8")
        for name, svg in document.figures.items():
            (root / name).write_text(svg, "utf-8")
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                pdf = typst.compile(
                    str(root / "calculation.typ"), root=str(root), font_paths=[str(font_folder())],
                    ignore_system_fonts=True, timestamp=0,
                )  # fmt: skip
        except (typst.TypstError, typst.TypstWarning) as error:
            raise BackstayError(f"the calculation could not be typeset: {error}") from error
    if not isinstance(pdf, bytes):
        raise BackstayError("the typesetter returned no document")
    return pdf


def write_report(design: Design, path: Path, units: UnitSystem) -> Path:
    """Write the PDF of the calculation; the file is whole or not there."""
    atomic_write(path, report_bytes(design, units))
    return path
