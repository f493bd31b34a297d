"""The calculation as a PDF."""

from __future__ import annotations

from pathlib import Path

from backstay.design import Design
from backstay.files import atomic_write
from backstay.quantity import UnitSystem
from backstay.report.document import Document
from backstay.report.typesetting import typeset_pdf


def report_bytes(design: Design, units: UnitSystem) -> bytes:
    """Return the PDF of the calculation."""
    document = Document(design, units)
    data = document.build()
    return typeset_pdf("calculation.typ", data, document.figures, what="the calculation")


def write_report(design: Design, path: Path, units: UnitSystem) -> Path:
    """Write the PDF of the calculation; the file is whole or not there."""
    atomic_write(path, report_bytes(design, units))
    return path
