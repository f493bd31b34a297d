"""The calculation in PDF, and the schedule as a spreadsheet.

`write_report(design, path, units)` writes it; `report_bytes` returns it. Equations are derived from
the definitions that ran; nothing is computed here.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from backstay.design import Design
    from backstay.quantity import UnitSystem

__all__ = ["report_bytes", "write_report", "write_workbook"]


def report_bytes(design: Design, units: UnitSystem) -> bytes:
    """Return the PDF of the calculation."""
    from backstay.report.pdf import report_bytes as make

    return make(design, units)


def write_report(design: Design, path: Path, units: UnitSystem) -> Path:
    """Write the PDF of the calculation; the file is whole or not there."""
    from backstay.report.pdf import write_report as write

    return write(design, path, units)


def write_workbook(design: Design, path: Path, units: UnitSystem) -> Path:
    """Write schedule, quantities, loads and checks as a spreadsheet."""
    from backstay.report.workbook import write_workbook as write

    return write(design, path, units)
