"""One page that an engineer can act on."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from backstay.checks import Check, Verdict, expand, worst_first
from backstay.design import Design, SectionDesign
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.staged_tables import staged_comparison_table
from backstay.tables import (
    alike,
    comparison_words,
    loads_table,
    place_words,
    schedule_table,
    sentence,
    utilisation_words,
    worst_place,
)
from backstay.terminal.console import page_console
from backstay.terminal.table import WIDE, print_table, print_turned
from backstay.words import CAUTIONS, DISCLAIMER

_STYLES = {Verdict.FAIL: "bold red", Verdict.SHOW: "bold", Verdict.PASS: ""}
_WORDS = {Verdict.FAIL: "FAILS", Verdict.SHOW: "to show", Verdict.PASS: "passes"}


def print_page(design: Design, units: UnitSystem) -> None:
    """Print the design: envelope and why, loads, schedule, checks by utilisation, verdict."""
    with page_console() as console:
        _head(console, design)
        for done in design.sections:
            _section(console, done, units)
        _cautions(console)
        _verdict(console, design)


def _head(console: Console, design: Design) -> None:
    project, service = design.project.project, design.project.service
    number = f" ({project.number})" if project.number else ""
    console.print(Text(f"{project.name}{number}", style="bold"))
    months = f", {service.months:g} months" if service.months else ""
    console.print(Text(f"{service.life} wall{months}; basis of design {design.basis.title}"))


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
    show = print_table if console.width >= WIDE else print_turned
    show(console, loads_table(done, units))
    print_turned(console, schedule_table(done, units))
    _wall(console, done, units)
    _stages(console, done, units)
    _slip_surfaces(console, done, units)
    _movement(console, done, units)
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
        *(diagram.name for diagram in done.pressures.surcharges),
        *(["earthquake"] if done.pressures.earthquake else []),
    ]
    if added:
        _label(console, "Added to it", ", ".join(added))


def _wall(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    wall, length = done.wall, QUANTITIES["length"]
    small = QUANTITIES["small length"]
    console.print()
    spaced = wall.kind == "soldier piles"
    spacing = f" at {length.text(wall.spacing, units)}, {wall.steel_title}" if spaced else ""
    _label(console, "Wall", f"{wall.section_name}{spacing}")
    toe = length.text(done.section.elevation(wall.toe), units)
    _label(
        console, "Toe",
        f"{length.text(wall.embedment, units)} below the cut, elevation {toe} "
        f"(needs {length.text(wall.embedment_required, units)})",
    )  # fmt: skip
    if wall.lagging is not None and wall.lagging.thickness is not None:
        _label(console, "Lagging", small.text(wall.lagging.thickness, units))


def _stages(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    staged = done.staged
    (print_table if console.width >= WIDE else print_turned)(
        console, staged_comparison_table(done, units)
    )
    for ground, result in zip(("Soft", "Mean", "Stiff"), staged.results, strict=True):
        if result.failed is not None:
            failed = result.failed
            _label(
                console, "Stages",
                expand(
                    f"{ground} ground: does not stand at stage {failed.stage} ({failed.title}): "
                    f"{failed.mechanism}. {failed.remedy}",
                    units,
                ),
            )  # fmt: skip
    if all(result.stands for result in staged.results):
        _label(
            console, "Stages",
            f"stands at all {staged.mean.input.stages} stages in soft, mean and stiff ground",
        )  # fmt: skip


def _slip_surfaces(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    overall = done.overall
    if overall is None:
        _label(console, "Slips", "slip surfaces were not searched")
        return
    found = [
        f"{s.stage.title} "
        + (QUANTITIES["ratio"].text(s.safety, units) if isfinite(s.safety) else "none slides")
        for s in reversed(overall.stages)
    ]
    target = QUANTITIES["ratio"].text(overall.target, units)
    _label(console, "Slips", f"least safety on slip surfaces {', '.join(found)}; target {target}")
    if overall.lengthened is not None:
        more = overall.lengthened
        rows = [
            f"row {row} by {QUANTITIES['length'].text(added, units)}"
            for row, added in sorted(more.added.items())
            if added > 0.0
        ]
        _label(
            console, "",
            f"the target is reached with the unbonded length of {', '.join(rows)} longer",
        )  # fmt: skip
    for note in overall.notes:
        _label(console, "", expand(note, units))


def _label(console: Console, label: str, text: str) -> None:
    grid = RichTable.grid(padding=(0, 1))
    grid.add_column(width=12)
    grid.add_column(ratio=1)
    grid.add_row(Text(label, style="bold"), Text(text))
    console.print(grid)


def _movement(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    small = QUANTITIES["small length"]
    wall = small.text(done.movement.wall_movement, units)
    ground = small.text(done.movement.settlement, units)
    _label(console, "Movement", f"wall about {wall}, ground about {ground} (estimates)")


def _checks(console: Console, checks: Sequence[Check], units: UnitSystem) -> None:
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
            Text(_WORDS[worst.verdict], style=_STYLES[worst.verdict]),
            Text(f"{sentence(worst.name)} ({place})" if place else sentence(worst.name)),
            Text(comparison_words(worst, units)),
        )
    console.print(shown)


def _remedies(console: Console, checks: Sequence[Check], units: UnitSystem) -> None:
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
    console.print(
        Text("How a check is derived: backstay explain CHECK FILE, by its name or identifier.")
    )
    console.print(Text(f"{words}.", style=_STYLES[Verdict.FAIL if failing else Verdict.SHOW]))
