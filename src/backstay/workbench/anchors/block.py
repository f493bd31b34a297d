"""Text of a spreadsheet as cells: lines of cells divided by tabs, quoted where they hold either."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence

MOST_CELLS = 2_000
MOST_CHARACTERS = 100_000
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


class BlockError(Exception):
    """What was pasted is no block of cells; says why."""


def cells_of(text: str) -> list[list[str]]:
    """Return the cells of a pasted block, all lines of the same width.

    Raises BlockError where it is empty, too large, or its lines differ in width.
    """
    if len(text) > MOST_CHARACTERS:
        raise BlockError("What was pasted is too long for a schedule of anchors.")
    plain = text.replace("\r\n", "\n").replace("\r", "\n").removesuffix("\n")
    if not plain.strip():
        raise BlockError("What was pasted holds no cells.")
    try:
        rows = list(csv.reader(plain.split("\n") if '"' not in plain else _lines(plain), "excel-tab"))  # fmt: skip
    except csv.Error as error:
        raise BlockError(f"What was pasted cannot be read as cells: {error}.") from None
    rows = [[" ".join(cell.replace("\N{NO-BREAK SPACE}", " ").split()) for cell in row] or [""] for row in rows]  # fmt: skip
    widths = sorted({len(row) for row in rows})
    if len(widths) > 1:
        raise BlockError(
            f"The lines of what was pasted differ in width ({widths[0]} to {widths[-1]} cells): "
            "copy a rectangle of cells."
        )
    if len(rows) * widths[0] > MOST_CELLS:
        raise BlockError(f"What was pasted has more than {MOST_CELLS} cells.")
    return rows


def _lines(text: str) -> list[str]:
    """Return lines with their ends, so that a quoted cell may run over several."""
    return text.splitlines(keepends=True)


def block_text(rows: Iterable[Sequence[str]]) -> str:
    """Return cells as the text of a block. What a spreadsheet would run as a formula becomes text."""
    return "\n".join("\t".join(map(_cell, row)) for row in rows)


def _cell(text: str) -> str:
    safe = f"'{text}" if text.startswith(_FORMULA) and not _is_number(text) else text
    if any(sign in safe for sign in '\t\n\r"'):
        doubled = safe.replace('"', '""')
        return f'"{doubled}"'
    return safe


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
