"""One page that an engineer can act on."""

from __future__ import annotations

from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from backstay.checks import Check, Verdict, expand, worst_first
from backstay.design import Design, SectionDesign
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.words import CAUTIONS, DISCLAIMER
from backstay.tables import Table, loads_table, schedule_table, utilisation_words
from backstay.terminal.console import page_console

_STYLES = {Verdict.FAIL: "bold red", Verdict.SHOW: "bold", Verdict.PASS: ""}
_WORDS = {Verdict.FAIL: "FAILS", Verdict.SHOW: "to be shown", Verdict.PASS: "passes"}


def print_page(design: Design, units: UnitSystem) -> None:
    """Print the design: envelope and why, loads, schedule, checks by utilisation, verdict."""
    console = page_console()
    project = design.project
    number = f" ({project.project.number})" if project.project.number else ""
    console.print(Text(f"{project.project.name}{number}", style="bold"))
    service = project.service
    months = f", {service.months:g} months" if service.months else ""
    console.print(Text(f"{service.life} wall{months}; basis of design {design.basis.title}"))
    for done in design.sections:
        _section(console, done, units)
    _cautions(console)
    _verdict(console, design)


def _section(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    length = QUANTITIES["length"]
    console.print()
    name = f"Section {done.section.name}: "
    console.rule(
        Text(f"{name}cut {length.text(done.ground.H, units)} deep", style="bold"),
        align="left",
        style="dim",
    )
    _pressures(console, done, units)
    _table(console, loads_table(done, units))
    _table(console, schedule_table(done, units))
    _wall(console, done, units)
    _checks(console, done.checks, units)
    _remedies(console, done.checks, units)


def _pressures(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    envelope = done.pressures.envelope
    p = QUANTITIES["stress"].text(envelope.p, units)
    total = QUANTITIES["force per length"].text(envelope.total_load, units)
    _label(console, "Envelope", f"{envelope.title}: p = {p}, total load {total}")
    for reason in done.pressures.reasons:
        _label(console, "", expand(reason, units))
    added = [
        *(["water"] if done.pressures.water else []),
        *(diagram.title for diagram in done.pressures.surcharges),
        *(["earthquake"] if done.pressures.earthquake else []),
    ]
    if added:
        _label(console, "Added to it", ", ".join(added))


def _wall(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    wall, length = done.wall, QUANTITIES["length"]
    small = QUANTITIES["small length"]
    console.print()
    spacing = f" at {length.text(wall.spacing, units)}" if wall.spacing else ""
    _label(console, "Wall", f"{wall.section_name}{spacing}, {wall.steel_title}")
    toe = length.text(done.section.elevation(wall.toe), units)
    _label(
        console, "Toe",
        f"{length.text(wall.embedment, units)} below the cut, elevation {toe} "
        f"(needs {length.text(wall.embedment_required, units)})",
    )  # fmt: skip
    if wall.lagging is not None and wall.lagging.thickness is not None:
        _label(console, "Lagging", small.text(wall.lagging.thickness, units))


def _label(console: Console, label: str, text: str) -> None:
    grid = RichTable.grid(padding=(0, 1))
    grid.add_column(width=12)
    grid.add_column(ratio=1)
    grid.add_row(Text(label, style="bold"), Text(text))
    console.print(grid)


def _table(console: Console, table: Table) -> None:
    console.print()
    console.print(Text(table.title, style="bold"))
    shown = RichTable(box=SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    for head, align in zip(table.head, table.align, strict=True):
        shown.add_column(Text(head), justify="right" if align == "r" else "left", overflow="fold")
    for row in table.rows:
        shown.add_row(*(Text(cell) for cell in row))
    console.print(shown)


def _checks(console: Console, checks: Sequence[Check], units: UnitSystem) -> None:
    """Print each kind of check once, at its worst place, with the number of places."""
    console.print()
    console.print(Text("Checks, the most used first", style="bold"))
    shown = RichTable(box=SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    for head, right in (
        ("Used", True),
        ("Verdict", False),
        ("Check", False),
        ("Worst at", False),
        ("Demand and limit", False),
        ("To explain", False),
    ):
        shown.add_column(
            head,
            justify="right" if right else "left",
            overflow="fold",
            no_wrap=head in ("Used", "Verdict"),
        )
    places: dict[tuple[str, Verdict], int] = {}
    for check in checks:
        key = (check.id, check.verdict)
        places[key] = places.get(key, 0) + 1
    seen: set[tuple[str, Verdict]] = set()
    for check in worst_first(checks):
        key = (check.id, check.verdict)
        if key in seen:
            continue
        seen.add(key)
        more = f" (of {places[key]})" if places[key] > 1 else ""
        shown.add_row(
            utilisation_words(check) if check.verdict is not Verdict.SHOW else "–",
            Text(_WORDS[check.verdict], style=_STYLES[check.verdict]),
            Text(check.name), Text(check.where + more), Text(check.comparison(units)), Text(check.id),
        )  # fmt: skip
    console.print(shown)


def _remedies(console: Console, checks: Sequence[Check], units: UnitSystem) -> None:
    failing = [c for c in worst_first(checks) if c.verdict is Verdict.FAIL]
    to_show = [c for c in checks if c.verdict is Verdict.SHOW]
    if failing:
        console.print()
        console.print(Text("What fails, and what would help", style="bold"))
        for check in failing:
            _item(console, check, expand(check.remedy, units) or check.comparison(units))
    if to_show:
        console.print()
        console.print(Text("What the contractor must show", style="bold"))
        for check in to_show:
            _item(console, check, expand(check.open_choice, units))


def _item(console: Console, check: Check, words: str) -> None:
    where = f", {check.where}" if check.where else ""
    grid = RichTable.grid(padding=(0, 1))
    grid.add_column(width=1)
    grid.add_column(ratio=1)
    grid.add_row("-", Text(f"{check.name}{where}: {words}"))
    console.print(grid)


def _cautions(console: Console) -> None:
    console.print()
    console.print(Text("Cautions", style="bold"))
    for caution in CAUTIONS:
        grid = RichTable.grid(padding=(0, 1))
        grid.add_column(width=1)
        grid.add_column(ratio=1)
        grid.add_row("-", Text(caution))
        console.print(grid)
    console.print(Text(DISCLAIMER))


def _verdict(console: Console, design: Design) -> None:
    checks = [check for _, check in design.checks]
    counts = {verdict: sum(c.verdict is verdict for c in checks) for verdict in Verdict}
    console.print()
    failing, to_show = counts[Verdict.FAIL], counts[Verdict.SHOW]
    if failing:
        words = f"FAILS: {failing} of {len(checks)} checks fail"
    else:
        words = f"PASSES: all {len(checks) - to_show} checks that the design settles are met"
    if to_show:
        words += f"; {to_show} left to the contractor to show"
    console.print(Text(f"{words}.", style=_STYLES[Verdict.FAIL if failing else Verdict.SHOW]))
