"""Everything recorded about an anchor, as it was recorded."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.table import Table as RichTable
from rich.text import Text

from backstay.fieldbook.entry_words import entry_words
from backstay.quantity import UnitSystem
from backstay.records.anchor_file import AnchorFile
from backstay.records.entries import Entry
from backstay.terminal.console import page_console


def print_history(
    anchor: str, entries: Sequence[Entry[Any]], file: AnchorFile, units: UnitSystem
) -> None:
    """Print every entry and reading: number, when, who, what, and what became of it.

    A time in brackets is that of recording, where it was not told when it happened.
    """
    with page_console() as console:
        line = file.line
        console.print(
            Text(f"Anchor {anchor}: {line.state} since {line.since.date()}", style="bold")
        )
        shown = RichTable.grid(padding=(0, 1))
        shown.add_column(justify="right", no_wrap=True)
        shown.add_column(no_wrap=True)
        shown.add_column(no_wrap=True, max_width=14)
        shown.add_column(ratio=1, overflow="fold")
        shown.add_row("No.", "When", "Who", "What")
        for entry in entries:
            style = "dim" if entry.superseded_by else ""
            when = (
                f"{entry.happened:%Y-%m-%d %H:%M}"
                if entry.happened
                else f"({entry.recorded:%Y-%m-%d %H:%M})"
            )
            shown.add_row(
                f"{entry.id}", when, Text(entry.author),
                Text(entry_words(entry, units), style=style),
            )  # fmt: skip
        console.print(shown)
        for misfit in file.misfits:
            console.print(Text(f"Entry {misfit.id} was recorded although {misfit.words}."))
