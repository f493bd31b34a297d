"""One slope on the page: strength, force, rows, schedule, slips and checks."""

from __future__ import annotations

from math import isfinite

from rich.console import Console
from rich.text import Text

from backstay.model.slope_face import ConcreteWaler
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.slope_tables import force_table, slips_table, slope_schedule_table, strength_table
from backstay.stability.slope_design import SlopeDesign
from backstay.tables import sentence
from backstay.terminal.checks import print_checks, print_label, print_remedies
from backstay.terminal.table import print_table, print_turned


def print_slope(console: Console, done: SlopeDesign, units: UnitSystem) -> None:
    """Print what the design of a slope found, and its checks."""
    height = QUANTITIES["length"].text(done.slope.height, units)
    console.print()
    console.rule(
        Text(f"{sentence(done.title)}: {height} high", style="bold"), align="left", style="dim"
    )
    print_label(console, "Strength", _strength(done, units))
    print_label(console, "Force", _force(done, units))
    print_table(console, strength_table(done, units))
    print_table(console, force_table(done, units))
    if done.rows:
        print_turned(console, slope_schedule_table(done, units))
        console.print()
        print_label(console, "On the face", face_words(done, units))
    slips = slips_table(done, units)
    if slips is None:
        print_label(
            console, "Slips", "smaller slips, and slips around the bonds, were not searched"
        )
    else:
        print_table(console, slips)
        _longer(console, done, units)
    print_checks(console, done.checks, units)
    print_remedies(console, done.checks, units)


def _strength(done: SlopeDesign, units: UnitSystem) -> str:
    c = QUANTITIES["stress"].text(done.cohesion, units)
    phi = QUANTITIES["angle"].text(done.friction, units)
    return f"φ′ {phi}, c′ {c} along the slip surface: the least that explains it ({done.carried.title})"


def _force(done: SlopeDesign, units: UnitSystem) -> str:
    required, angle = done.required, QUANTITIES["angle"]
    if required.force <= 0.0:
        return "none: the known surface has its target without anchors"
    governing = max(done.cases, key=lambda case: case.required.force)
    words = (
        f"{QUANTITIES['force per length'].text(required.force, units)} along the anchors at "
        f"{angle.text(required.inclination, units)} below horizontal"
    )
    if len(done.cases) > 1:
        words += f", for {governing.title or 'the slope at rest'}"
    least = min((f for f in done.forces if isfinite(f.force)), key=lambda f: f.force, default=None)
    if least is not None and least.force < required.force * 0.999:
        words += (
            f"; {QUANTITIES['force per length'].text(least.force, units)} at "
            f"{angle.text(least.inclination, units)} would do"
        )
    return words


def face_words(done: SlopeDesign, units: UnitSystem) -> str:
    """Return what the anchors bear on, in words."""
    length = QUANTITIES["length"]
    pad, waler = done.slope.pad, done.slope.waler
    if pad is not None:
        side, thick = (length.text(v, units) for v in (pad.side, pad.thickness))
        return f"pads of reinforced concrete {side} square, {thick} thick, {pad.seat}"
    if waler is None:
        return "nothing is described that the anchors bear on"
    width = length.text(waler.width, units)
    if isinstance(waler, ConcreteWaler):
        return f"beams of reinforced concrete {width} wide, {length.text(waler.thickness, units)} thick, {waler.seat}"
    pair = "pairs of " if waler.arrangement == "double" else ""
    return f"beams of {pair}{waler.section}, {waler.steel}, on a width of {width}, {waler.seat}"


def _longer(console: Console, done: SlopeDesign, units: UnitSystem) -> None:
    longer = done.slips.lengthened if done.slips is not None else None
    if longer is None:
        return
    rows = ", ".join(
        f"row {row} by {QUANTITIES['length'].text(added, units)}"
        for row, added in sorted(longer.added.items())
    )
    print_label(
        console, "", f"the target is reached with the unbonded length of {rows} longer"
    )  # fmt: skip
