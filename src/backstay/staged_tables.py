"""Tables of the staged analysis, as text in a unit system."""

from __future__ import annotations

from backstay.checks import expand
from backstay.design import SectionDesign
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.tables import Table, Writer
from backstay.wall.staged import StagedResult


def staged_table(done: SectionDesign, units: UnitSystem) -> Table:
    """Return what every stage does to the wall, in mean ground: extremes, anchor loads, toe."""
    w = Writer(units)
    per = "" if done.wall.kind == "soldier piles" else " per length"
    rows = []
    for s in done.staged.mean.stages:
        stands = s.status == "stands"
        loads = [w.cell(load, "force", 3) if load > 0.0 else "–" for load in s.anchor_loads]
        numbers = (
            w.cell(float(s.w[0]), "small length", 3), w.cell(float(abs(s.w).max()), "small length", 3),
            w.cell(float(s.M.max()), f"moment{per}", 3), w.cell(float(s.M.min()), f"moment{per}", 3),
            w.cell(float(abs(s.V).max()), f"force{per}", 3), *loads, w.cell(s.reaction, f"force{per}", 3),
            w.cell(s.toe_use, "percent", 3),
        ) if stands else ("–",) * (7 + len(loads))  # fmt: skip
        title = expand(s.title, units)
        rows.append((str(s.number), title if stands else f"{title}: {s.status}", *numbers))
    heads = [w.head(f"Row {a.row}", "force") for a in done.anchors]
    head = (
        "Stage", "What is done", w.head("Top", "small length"), w.head("Most", "small length"),
        w.head("Moment +", f"moment{per}"), w.head("Moment −", f"moment{per}"),
        w.head("Shear", f"force{per}"), *heads,
        w.head("Below dig", f"force{per}"), w.head("Toe used", "percent"),
    )  # fmt: skip
    count = len(heads)
    return Table(
        "Stage by stage, mean ground: deflection of the top and at most, moments, shear, load of one anchor, "
        "force from the ground below the dig",
        head,
        tuple(rows),
        "ll" + "r" * (7 + count),
        (0.6, 3.0, 0.9, 1.0, 1.1, 1.1, 1, *[0.9] * count, 1, 0.9),
    )


def staged_comparison_table(done: SectionDesign, units: UnitSystem) -> Table:
    """Return the design envelope and the staged analysis side by side."""
    w = Writer(units)
    rows = tuple(
        (
            c.what, c.where, QUANTITIES[c.quantity].unit(units).label,
            w.cell(c.envelope, c.quantity, 4) if c.envelope > 0.0 else "–",
            *(w.cell(v, c.quantity, 4) for v in (c.soft, c.mean, c.stiff)),
            w.cell(c.carried, c.quantity, 4),
        )
        for c in done.staged.comparison
    )  # fmt: skip
    head = (
        "Action",
        "Where",
        "Unit",
        "Envelope",
        "Staged, soft",
        "Staged, mean",
        "Staged, stiff",
        "Carried",
    )
    return Table(
        "Envelope and stages", head, rows, "lllrrrrr", (3, 1, 0.8, 1.1, 1.1, 1.1, 1.1, 1.1)
    )


def extremes_table(result: StagedResult, done: SectionDesign, units: UnitSystem) -> Table | None:
    """Return the extremes over all stages with stage and depth; None if no stage stands."""
    if result.envelope is None:
        return None
    w = Writer(units)
    per = "" if done.wall.kind == "soldier piles" else " per length"
    e = result.envelope
    rows = tuple(
        (
            what,
            w.cell(x.value, name, 4),
            QUANTITIES[name].unit(units).label,
            str(x.stage),
            w.fixed(x.depth, "length", 2),
        )
        for what, x, name in (
            ("Greatest moment, sagging toward the cut", e.M_max, f"moment{per}"),
            ("Greatest moment over a row or as a cantilever", e.M_min, f"moment{per}"),
            ("Greatest shear", e.V_max, f"force{per}"),
            ("Greatest deflection toward the cut", e.w_max, "small length"),
            ("Greatest deflection into the ground", e.w_min, "small length"),
        )
    )
    head = ("Extreme", "Value", "Unit", "Stage", w.head("Depth", "length"))
    return Table("Extremes", head, rows, "lrlrr", (4, 1.2, 1, 0.8, 1))
