"""The slices of the surface that a check stands on, so that each can be added up by hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rich.console import Console
from rich.text import Text

from backstay.checked_surface import Checked
from backstay.quantity import UnitSystem
from backstay.slip_tables import (
    SLICES_WORDS,
    applied_table,
    closing_table,
    equilibrium_words,
    one_slice_table,
    safety_words,
    slices_table,
    strength_words,
)
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.slip_forces import applied_forces, heaviest, slice_forces
from backstay.tables import Table
from backstay.terminal.table import WIDE, print_table, print_turned

_BASE = 11
"""Columns that tell the slice and its base; those after them tell the forces it is held by."""


def print_slices(console: Console, checked: Checked, units: UnitSystem) -> None:
    """Print the forces on a surface, all its slices, and one of them as it is added up by hand."""
    model, result = checked.model, checked.result
    table = result.slices
    if table is None:
        return
    applied = applied_forces(model, result)
    if applied:
        outside = applied_table(applied, units, datum=checked.datum)
        titled = replace(outside, title="Forces on the mass from outside, per unit length")
        _shown(console, titled)
    _words(console, equilibrium_words(result, model, units))
    whole = closing_table(
        slices_table(result, units, datum=checked.datum), result, to_left=model.to_left
    )
    last = len(whole.head)
    of = f"F = {safety_words(result.F)}, {METHOD_NAMES[result.method]}"
    for title, columns in (
        (f"Slices, {of}: loads and base, per unit length", [*range(_BASE)]),
        (f"Slices, {of}: forces on base and sides, per unit length", [0, *range(_BASE, last)]),
    ):
        _shown(console, _part_of(whole, title, columns))
    _words(console, f"{SLICES_WORDS} Left over: of the sum of all forces, over the heaviest slice.")
    one = heaviest(table)
    forces = slice_forces(table, one, to_left=model.to_left)
    print_table(console, one_slice_table(forces, units))
    plus, minus = ("+", "−") if model.to_left else ("−", "+")
    console.print()
    for line in (
        strength_words(table, one, result.F, units),
        f"Across: Qx + E left − E right {minus} (N′ + U) sin α {plus} S cos α = 0",
        "Upward: Qy − W + X left − X right + (N′ + U) cos α + S sin α = 0",
    ):
        console.print(Text(f"  {line}"))


def _part_of(table: Table, title: str, columns: Sequence[int]) -> Table:
    """Return some columns of a table, without a row that says nothing in them."""
    rows = (tuple(row[i] for i in columns) for row in table.rows)
    return Table(
        title,
        tuple(table.head[i] for i in columns),
        tuple(row for row in rows if any(row[1:])),
        "".join(table.align[i] for i in columns),
    )


def _shown(console: Console, table: Table) -> None:
    """Print a table with its units below its heads, on its side where the page is narrow."""
    low = replace(table, head=tuple(h.replace(" (", "\n(") for h in table.head))
    if console.width >= WIDE:
        print_table(console, low)
    else:
        print_turned(console, table)


def _words(console: Console, words: str) -> None:
    console.print()
    console.print(Text(words))
