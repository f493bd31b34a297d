"""Checks on the terminal: by utilisation, then what fails and what would help."""

from __future__ import annotations

from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from backstay.checks import Check, Verdict, expand, worst_first
from backstay.quantity import UnitSystem
from backstay.tables import (
    alike,
    comparison_words,
    place_words,
    sentence,
    utilisation_words,
    worst_place,
)

STYLES = {Verdict.FAIL: "bold red", Verdict.SHOW: "bold", Verdict.PASS: ""}
_WORDS = {Verdict.FAIL: "FAILS", Verdict.SHOW: "to show", Verdict.PASS: "passes"}


def print_checks(console: Console, checks: Sequence[Check], units: UnitSystem) -> None:
    """Print what passes by one rule once, at its worst place; what fails or is open, one by one."""
    console.print()
    console.print(Text("Checks, the most used first", style="bold"))
    shown = RichTable(box=SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    shown.add_column("Used", justify="right", no_wrap=True)
    shown.add_column("Verdict", no_wrap=True)
    shown.add_column("Check", overflow="fold")
    shown.add_column("Demand and limit", no_wrap=True)
    for group in alike(checks):
        worst, place = group[0], worst_place(group)
        settled = worst.verdict is not Verdict.SHOW
        shown.add_row(
            utilisation_words(worst) if settled else "–",
            Text(_WORDS[worst.verdict], style=STYLES[worst.verdict]),
            Text(f"{sentence(worst.name)} ({place})" if place else sentence(worst.name)),
            Text(comparison_words(worst, units)),
        )
    console.print(shown)


def print_remedies(console: Console, checks: Sequence[Check], units: UnitSystem) -> None:
    """Print what fails with what would help, and what is left open with what is to be shown."""
    failing = [c for c in worst_first(checks) if c.verdict is Verdict.FAIL]
    to_show = [c for c in checks if c.verdict is Verdict.SHOW]
    if failing:
        console.print()
        console.print(Text("What fails, and what would help", style="bold"))
        for check in failing:
            _item(console, check, expand(check.remedy, units) or comparison_words(check, units))
    if to_show:
        console.print()
        console.print(Text("What the contractor must show", style="bold"))
        for check in to_show:
            _item(console, check, expand(check.open_choice, units))


def _item(console: Console, check: Check, words: str) -> None:
    where = f", {place_words(check)}" if check.where else ""
    name = f"{sentence(check.name)}{where} ({check.id})"
    grid = RichTable.grid(padding=(0, 1))
    grid.add_column(width=1)
    grid.add_column(ratio=1)
    grid.add_row("-", Text(f"{name}: {words}"))
    console.print(grid)


def print_label(console: Console, label: str, text: str) -> None:
    """Print a line with its label at the left."""
    grid = RichTable.grid(padding=(0, 1))
    grid.add_column(width=12)
    grid.add_column(ratio=1)
    grid.add_row(Text(label, style="bold"), Text(text))
    console.print(grid)
