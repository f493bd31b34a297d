"""Tables on the terminal, as they are or turned on their side."""

from __future__ import annotations

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from backstay.tables import Table

ACROSS = 4
"""Rows side by side in a table that is turned."""
WIDE = 96
"""Characters that a table of many columns needs; on a narrower page it is turned on its side."""


def print_table(console: Console, table: Table) -> None:
    """Print a table as it is."""
    console.print()
    console.print(Text(table.title, style="bold"))
    shown = RichTable(box=SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    for head, align in zip(table.head, table.align, strict=True):
        shown.add_column(Text(head), justify="right" if align == "r" else "left", overflow="fold")
    for row in table.rows:
        shown.add_row(*(Text(cell) for cell in row))
    console.print(shown)


def print_turned(console: Console, table: Table) -> None:
    """Print a table of many columns on its side, a few of its rows at a time."""
    console.print()
    console.print(Text(table.title, style="bold"))
    for start in range(0, len(table.rows), ACROSS):
        rows = table.rows[start : start + ACROSS]
        shown = RichTable(box=SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
        shown.add_column(Text(table.head[0]), no_wrap=True)
        for row in rows:
            shown.add_column(Text(row[0]), overflow="fold")
        for i, head in enumerate(table.head[1:], 1):
            shown.add_row(Text(head), *(Text(row[i]) for row in rows))
        console.print(shown)
