"""One page that an engineer can act on."""

from __future__ import annotations

from math import isfinite

from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from backstay.checks import Verdict, expand
from backstay.design import Design, SectionDesign
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.staged_tables import staged_comparison_table
from backstay.tables import (
    loads_table,
    schedule_table,
)
from backstay.terminal.checks import STYLES, print_checks, print_label, print_remedies
from backstay.terminal.console import page_console
from backstay.terminal.table import WIDE, print_table, print_turned
from backstay.words import DISCLAIMER, cautions


def print_page(design: Design, units: UnitSystem) -> None:
    """Print the design: envelope and why, loads, schedule, checks by utilisation, verdict."""
    with page_console() as console:
        _head(console, design)
        for done in design.sections:
            _section(console, done, units)
        for slope in design.slopes:
            from backstay.terminal.slopes import print_slope

            print_slope(console, slope, units)
        _cautions(console, design)
        _verdict(console, design)


def _head(console: Console, design: Design) -> None:
    project, service = design.project.project, design.project.service
    number = f" ({project.number})" if project.number else ""
    console.print(Text(f"{project.name}{number}", style="bold"))
    months = f", {service.months:g} months" if service.months else ""
    what = " and ".join(
        [*(["wall"] if design.sections else []), *(["slope"] if design.slopes else [])]
    )
    console.print(Text(f"{service.life} {what}{months}; basis of design {design.basis.title}"))


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
    print_checks(console, done.checks, units)
    print_remedies(console, done.checks, units)


def _pressures(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    envelope = done.pressures.envelope
    p = QUANTITIES["stress"].text(envelope.p, units)
    total = QUANTITIES["force per length"].text(envelope.total_load, units)
    print_label(console, "Envelope", f"{envelope.title}: p = {p}, total load {total}")
    for reason in done.pressures.reasons:
        print_label(console, "", expand(reason, units))
    added = [
        *(["water"] if done.pressures.water else []),
        *(diagram.name for diagram in done.pressures.surcharges),
        *(["earthquake"] if done.pressures.earthquake else []),
    ]
    if added:
        print_label(console, "Added to it", ", ".join(added))


def _wall(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    wall, length = done.wall, QUANTITIES["length"]
    small = QUANTITIES["small length"]
    console.print()
    spaced = wall.kind == "soldier piles"
    spacing = f" at {length.text(wall.spacing, units)}, {wall.steel_title}" if spaced else ""
    print_label(console, "Wall", f"{wall.section_name}{spacing}")
    toe = length.text(done.section.elevation(wall.toe), units)
    print_label(
        console, "Toe",
        f"{length.text(wall.embedment, units)} below the cut, elevation {toe} "
        f"(needs {length.text(wall.embedment_required, units)})",
    )  # fmt: skip
    if wall.lagging is not None and wall.lagging.thickness is not None:
        print_label(console, "Lagging", small.text(wall.lagging.thickness, units))


def _stages(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    staged = done.staged
    (print_table if console.width >= WIDE else print_turned)(
        console, staged_comparison_table(done, units)
    )
    for ground, result in zip(("Soft", "Mean", "Stiff"), staged.results, strict=True):
        if result.failed is not None:
            failed = result.failed
            print_label(
                console, "Stages",
                expand(
                    f"{ground} ground: does not stand at stage {failed.stage} ({failed.title}): "
                    f"{failed.mechanism}. {failed.remedy}",
                    units,
                ),
            )  # fmt: skip
    if all(result.stands for result in staged.results):
        print_label(
            console, "Stages",
            f"stands at all {staged.mean.input.stages} stages in soft, mean and stiff ground",
        )  # fmt: skip


def _slip_surfaces(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    overall = done.overall
    if overall is None:
        print_label(console, "Slips", "slip surfaces were not searched")
        return
    found = [
        f"{s.stage.title} "
        + (QUANTITIES["ratio"].text(s.safety, units) if isfinite(s.safety) else "none slides")
        for s in reversed(overall.stages)
    ]
    target = QUANTITIES["ratio"].text(overall.target, units)
    print_label(
        console, "Slips", f"least safety on slip surfaces {', '.join(found)}; target {target}"
    )
    if overall.lengthened is not None:
        more = overall.lengthened
        rows = [
            f"row {row} by {QUANTITIES['length'].text(added, units)}"
            for row, added in sorted(more.added.items())
            if added > 0.0
        ]
        print_label(
            console, "",
            f"the target is reached with the unbonded length of {', '.join(rows)} longer",
        )  # fmt: skip
    for note in overall.notes:
        print_label(console, "", expand(note, units))


def _movement(console: Console, done: SectionDesign, units: UnitSystem) -> None:
    small = QUANTITIES["small length"]
    wall = small.text(done.movement.wall_movement, units)
    ground = small.text(done.movement.settlement, units)
    print_label(console, "Movement", f"wall about {wall}, ground about {ground} (estimates)")


def _cautions(console: Console, design: Design) -> None:
    console.print()
    console.print(Text("Cautions", style="bold"))
    for caution in cautions(walls=bool(design.sections), slopes=bool(design.slopes)):
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
    console.print(Text(f"{words}.", style=STYLES[Verdict.FAIL if failing else Verdict.SHOW]))
