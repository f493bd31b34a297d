"""The stages of the dig on the terminal: table, extremes, and a small multiple drawn in characters."""

from __future__ import annotations

import numpy as np
from rich.console import Console
from rich.text import Text

from backstay.checks import expand
from backstay.design import Design, SectionDesign
from backstay.quantity import QUANTITIES, UnitSystem, significant
from backstay.staged_tables import extremes_table, staged_comparison_table, staged_table
from backstay.terminal.console import page_console
from backstay.terminal.table import WIDE, print_table, print_turned
from backstay.wall.staged import StageResult
from backstay.wall.staged.result import Floats

_LINES = 14
_BAR = 17
"""Characters of one curve: its middle stands for nil."""


def print_stages(design: Design, units: UnitSystem) -> None:
    """Print the staged analysis of every section, in mean ground: tables, then each stage drawn."""
    with page_console() as console:
        for done in design.sections:
            console.print(Text(f"Section {done.section.name}", style="bold"))
            show = print_table if console.width >= WIDE else print_turned
            show(console, staged_comparison_table(done, units))
            print_turned(console, staged_table(done, units))  # too many columns for a terminal
            extremes = extremes_table(done.staged.mean, done, units)
            if extremes is not None:
                print_table(console, extremes)
            for stage in done.staged.mean.stages:
                if stage.status == "stands":
                    _drawn(console, done, stage, units)


def _drawn(console: Console, done: SectionDesign, stage: StageResult, units: UnitSystem) -> None:
    """Draw one stage: depth, wall as dug, net pressure, moment and deflection, all to common scales."""
    shown = [s for s in done.staged.mean.stages if s.status == "stands"]
    per = "" if done.wall.kind == "soldier piles" else " per length"
    depths = np.linspace(0.0, float(stage.z[-1]), _LINES)
    curves: list[tuple[str, str, Floats, float]] = []
    for title, name, values, every in (
        ("Pressure", "stress", _net(stage, depths), [_net(s, depths) for s in shown]),
        ("Moment", f"moment{per}", np.interp(depths, stage.z, stage.M), [s.M for s in shown]),
        ("Deflection", "small length", np.interp(depths, stage.z, stage.w), [s.w for s in shown]),
    ):
        most = max(1e-12, *(float(np.abs(v).max()) for v in every))
        curves.append((title, name, values, most))
    console.print()
    console.print(Text(f"Stage {stage.number}: {expand(stage.title, units)}", style="bold"))
    length = QUANTITIES["length"]
    heads = [
        f"{t} ±{significant(QUANTITIES[n].shown(m, units), 3)} {QUANTITIES[n].unit(units).label}"
        for t, n, _, m in curves
    ]
    console.print(
        Text(f"{length.unit(units).label:>7}  cut│ground  " + "  ".join(f"{h:<24}" for h in heads))
    )
    rows = {
        int(np.argmin(np.abs(depths - a.z)))
        for a, load in zip(done.anchors, stage.anchor_loads, strict=True)
        if load > 0.0
    }
    for i, depth in enumerate(depths):
        front = "    " if depth < stage.dig - 1e-9 else "::::"
        tie = "────" if i in rows else "::::"
        bars = "  ".join(f"{_bar(float(v[i]), most):<24}" for _, _, v, most in curves)
        console.print(
            Text(f"{length.shown(float(depth), units):7.1f}  {front} ┃ {tie}    {bars}".rstrip())
        )


def _net(stage: StageResult, depths: Floats) -> Floats:
    """Return the pressure behind less that in front at depths."""
    net: Floats = np.interp(depths, stage.depth_g, stage.p_retained - stage.p_cut)
    return net


def _bar(value: float, most: float) -> str:
    """Return a bar from the middle: to the right where positive."""
    half = _BAR // 2
    size = min(half, round(abs(value) / most * half))
    left = "█" * size if value < 0.0 else ""
    right = "█" * size if value > 0.0 else ""
    return f"{left:>{half}}│{right:<{half}}"
