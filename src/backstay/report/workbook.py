"""The schedule, quantities, loads and checks as a spreadsheet.

Text that a person typed is written as text, never as a formula.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from backstay.checks import expand, worst_first
from backstay.design import Design, Part, SectionDesign
from backstay.files import atomic_write
from backstay.quantity import UnitSystem
from backstay.slope_tables import (
    force_table,
    inclinations_table,
    rows_table,
    slips_table,
    slope_schedule_table,
    slope_strata_table,
    strength_table,
)
from backstay.tables import (
    Table,
    checks_table,
    loads_table,
    quantities_table,
    schedule_table,
    strata_table,
)
from backstay.words import DISCLAIMER, cautions

LONGEST = 31
"""Characters that the name of a sheet may have."""


def workbook_bytes(design: Design, units: UnitSystem) -> bytes:
    """Return the spreadsheet: a sheet for each table of each section and slope, and the notes."""
    import xlsxwriter

    stream = io.BytesIO()
    options = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = xlsxwriter.Workbook(stream, options)
    formats = {
        "title": book.add_format({"bold": True, "font_size": 13}),
        "head": book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"}),
        "cell": book.add_format({"valign": "top", "text_wrap": True}),
        "number": book.add_format({"valign": "top", "align": "right"}),
    }
    several = len(design.parts) > 1
    for index, part in enumerate(design.parts, start=1):
        for table in _tables(part, units):
            number = f" {index}" if several else ""
            sheet = book.add_worksheet(table.title[: LONGEST - len(number)] + number)
            sheet.write_string(
                0,
                0,
                f"{design.project.project.name}, {part.title}: {table.title}",
                formats["title"],
            )
            _table(sheet, table, formats)
        notes = book.add_worksheet(f"Notes {index}" if several else "Notes")
        notes.set_column(0, 0, 110)
        wall = isinstance(part, SectionDesign)
        lines = [
            *(expand(n, units) for n in part.schedule.notes), *cautions(walls=wall, slopes=not wall),
            DISCLAIMER,
        ]  # fmt: skip
        for line, text in enumerate(lines):
            notes.write_string(line, 0, text, formats["cell"])
    book.close()
    return stream.getvalue()


def _tables(part: Part, units: UnitSystem) -> list[Table]:
    """Return the tables of a section or a slope, each for a sheet of its own."""
    if isinstance(part, SectionDesign):
        return [
            schedule_table(part, units),
            quantities_table(part, units),
            loads_table(part, units),
            checks_table(worst_first(part.checks), units),
            strata_table(part, units),
        ]
    slips = slips_table(part, units)
    return [
        slope_schedule_table(part, units),
        quantities_table(part, units),
        rows_table(part, units),
        strength_table(part, units),
        force_table(part, units),
        inclinations_table(part, units),
        *([slips] if slips is not None else []),
        checks_table(worst_first(part.checks), units),
        slope_strata_table(part.slope, units),
    ]


def write_workbook(design: Design, path: Path, units: UnitSystem) -> Path:
    """Write the spreadsheet; the file is whole or not there."""
    atomic_write(path, workbook_bytes(design, units))
    return path


def _table(sheet: Any, table: Table, formats: dict[str, Any]) -> None:
    sheet.freeze_panes(3, 0)
    for column, head in enumerate(table.head):
        sheet.write_string(2, column, head, formats["head"])
        longest = max([len(head) // 2, *(len(row[column]) for row in table.rows)], default=8)
        sheet.set_column(column, column, min(max(longest + 2, 9), 48))
    for line, row in enumerate(table.rows, start=3):
        for column, text in enumerate(row):
            number = _number(text) if table.align[column] == "r" else None
            if number is None:
                sheet.write_string(line, column, text, formats["cell"])
            else:
                sheet.write_number(line, column, number, formats["number"])


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
