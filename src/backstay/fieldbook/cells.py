"""Tables as cells: CSV files, spreadsheets, and text pasted from either.

A table is text of one delimiter (comma, semicolon or tab, whichever the head has most of), or the
first sheet of a workbook that has one. Cells keep their place as a person finds it: line and
column from 1. Nothing is understood here.
"""

from __future__ import annotations

import csv
import io
import warnings
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from backstay.errors import Fault, ProjectError
from backstay.fieldbook.column_words import role_of

MAX_BYTES = 10_000_000
MAX_UNPACKED = 100_000_000
MAX_ROWS = 5_000
MAX_COLUMNS = 60
HEAD_WITHIN = 25
"""Rows among which the head is looked for: titles may stand above it."""
_BEGINNING = 20_000
Value = str | float | datetime | time | None
"""Text, a number, a day or time as a workbook keeps it, or nothing."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row that is not empty. line: from 1, as the file counts."""

    line: int
    cells: tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class Cells:
    """A table. name: of the file, with the sheet of a workbook."""

    name: str
    rows: tuple[Row, ...]


def cells_of_file(path: Path, *, sheet: str = "") -> tuple[Cells, ...]:
    """Return the tables of a file: of a workbook each sheet, or the one named.

    Raises ProjectError where the file cannot be read as a table.
    """
    name = str(path)
    try:
        if not path.is_file():
            what = "this is a folder" if path.is_dir() else "there is no such file"
            raise _refused(name, what)
        with path.open("rb") as stream:
            raw = stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refused(name, f"the file cannot be read: {reason}") from None
    return cells_of_content(raw, name, sheet=sheet)


def cells_of_content(raw: bytes, name: str, *, sheet: str = "") -> tuple[Cells, ...]:
    """Return the tables of the content of a file, as of `cells_of_file`. Raises ProjectError."""
    if len(raw) > MAX_BYTES:
        raise _refused(name, f"the file is larger than {MAX_BYTES // 1_000_000} MB")
    if raw.startswith(b"PK"):
        return _workbook(raw, name, sheet)
    if raw.startswith(b"\xd0\xcf\x11\xe0"):
        raise _refused(name, "this is a workbook of the old format; save it as XLSX or CSV")
    if sheet:
        raise _refused(name, "this is no workbook: it has no sheets to name")
    return (cells_of_bytes(raw, name),)


def cells_of_bytes(raw: bytes, name: str) -> Cells:
    """Return the table of some text as bytes. Raises ProjectError."""
    if len(raw) > MAX_BYTES:
        raise _refused(name, f"the text is larger than {MAX_BYTES // 1_000_000} MB")
    encoding = "utf-16" if raw.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise ProjectError(
            [Fault(line, 1, "", "this is not UTF-8 text", accepted="a table saved as CSV in UTF-8, or XLSX")],
            name,
        ) from None  # fmt: skip
    if "\x00" in text:
        raise _refused(name, "this is not text", "CSV, XLSX or pasted text")
    return Cells(name, _rows_of_text(text, name))


def _rows_of_text(text: str, name: str) -> tuple[Row, ...]:
    delimiter = max(",;\t", key=lambda mark: _heads(text, mark))
    reader = csv.reader(
        io.StringIO(text, newline=""), delimiter=delimiter, skipinitialspace=True, strict=True
    )
    rows: list[Row] = []
    line = 1
    try:
        for cells in reader:
            _append(rows, line, [cell.strip() or None for cell in cells], name)
            line = reader.line_num + 1
    except csv.Error as error:
        raise ProjectError(
            [Fault(line, 1, "", f"the line cannot be read: {error}")], name
        ) from None
    return tuple(rows)


def _heads(text: str, mark: str) -> int:
    """Return how many heads of columns a line at the beginning has, split at a mark."""
    lines = text[:_BEGINNING].splitlines()[:HEAD_WITHIN]
    return max(
        (sum(role_of(c.strip(' "'))[0] is not None for c in line.split(mark)) for line in lines),
        default=0,
    )


def _workbook(raw: bytes, name: str, sheet: str) -> tuple[Cells, ...]:
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            if sum(one.file_size for one in packed.infolist()) > MAX_UNPACKED:
                raise _refused(name, "the workbook unpacks to more than a table of readings has")
        from openpyxl import load_workbook

        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
            names = [one.title for one in book.worksheets]
            wanted = [sheet] if sheet else names
            if sheet and sheet not in names:
                raise _refused(name, f"the workbook has no sheet {sheet!r}", ", ".join(names))
            return tuple(
                Cells(f"{name}, sheet {one}", _rows_of_sheet(book[one], name)) for one in wanted
            )
    except ProjectError:
        raise
    except Exception:  # the library fails in many ways on what is no workbook
        raise _refused(
            name, "this workbook cannot be read", "an XLSX file, CSV or pasted text"
        ) from None


def _rows_of_sheet(sheet: Any, name: str) -> tuple[Row, ...]:
    rows: list[Row] = []
    empty = 0
    for line, cells in enumerate(
        sheet.iter_rows(values_only=True, max_col=MAX_COLUMNS + 1), start=1
    ):
        before = len(rows)
        _append(rows, line, [_value(cell) for cell in cells], name)
        empty = 0 if len(rows) > before else empty + 1
        if empty > MAX_ROWS:  # nothing but formats follow
            break
    return tuple(rows)


def _append(rows: list[Row], line: int, cells: Sequence[Value], name: str) -> None:
    cells = list(cells)
    while cells and cells[-1] is None:
        cells.pop()
    if not cells:
        return
    if len(cells) > MAX_COLUMNS:
        raise ProjectError([Fault(line, MAX_COLUMNS, "", f"more than {MAX_COLUMNS} columns")], name)
    if len(rows) >= MAX_ROWS:
        raise ProjectError([Fault(line, 1, "", f"more than {MAX_ROWS} rows")], name)
    rows.append(Row(line, tuple(cells)))


def _value(cell: Any) -> Value:
    """Return a cell of a workbook; what is no number, text or time is told as its text."""
    if cell is None or isinstance(cell, datetime | time):
        return cell
    if isinstance(cell, bool):
        return str(cell).lower()
    if isinstance(cell, int | float):
        return float(cell) if abs(cell) < 1e300 else str(cell)
    if isinstance(cell, date):
        return datetime(cell.year, cell.month, cell.day)
    return str(cell).strip() or None


def _refused(name: str, rule: str, accepted: str = "") -> ProjectError:
    return ProjectError([Fault(0, 0, "", rule, accepted=accepted)], name)
