"""Tables of a design, as text in a unit system: made once for terminal, page, PDF and spreadsheet.

Units stand in the heads; cells are plain numbers or words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import inf, isinf
from typing import TYPE_CHECKING

from backstay.checks import Check, Verdict, expand, worst_first
from backstay.quantity import QUANTITIES, UnitSystem, significant

if TYPE_CHECKING:  # a field page has tables and no design
    from backstay.anchors import AnchorDesign, Schedule
    from backstay.design import Part, SectionDesign

_ROUNDING = 1e-6
"""A limit below this share is the rounding of numbers, not a limit that a person reads."""


@dataclass(frozen=True, slots=True)
class Table:
    """head: with units; rows: cells as text; align: "l" or "r" per column; weights: relative widths."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str
    weights: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Writer:
    """Writes heads and cells in one unit system."""

    units: UnitSystem

    def head(self, words: str, name: str) -> str:
        """Return a head with its unit: ``Design load (kN)``."""
        label = QUANTITIES[name].unit(self.units).label
        return f"{words} ({label})" if label else words

    def cell(self, value: float | None, name: str, digits: int = 0) -> str:
        """Return a number without its unit, or a dash where there is none."""
        if value is None or isinf(value):
            return "–"
        quantity = QUANTITIES[name]
        if digits:
            return significant(quantity.shown(value, self.units), digits)
        return quantity.number(value, self.units)

    def fixed(self, value: float | None, name: str, places: int) -> str:
        """Return a number with a fixed count of decimals: elevations, lengths, loads in columns."""
        if value is None or value in (inf, -inf):
            return "–"
        shown = QUANTITIES[name].shown(value, self.units)
        return f"{shown + 0.0:.{places}f}"


def strata_table(done: SectionDesign, units: UnitSystem) -> Table:
    """Return the strata with their parameters as given."""
    w = Writer(units)
    rows = []
    for layer in done.ground.layers:
        rows.append(
            (
                layer.name, w.fixed(done.section.elevation(layer.top), "length", 2), layer.kind,
                w.cell(layer.gamma, "unit weight"), w.cell(layer.gamma_sat, "unit weight"),
                w.cell(layer.phi, "angle", 3), w.cell(layer.c, "stress", 3),
                w.cell(layer.su, "stress", 3), w.cell(layer.su_gradient or None, "stress gradient", 3),
                w.cell(layer.stratum.spt_n, "ratio", 2),
            )
        )  # fmt: skip
    head = (
        "Stratum", w.head("Top, elev.", "length"), "Kind", w.head("γ moist", "unit weight"),
        w.head("γ sat.", "unit weight"), w.head("φ′", "angle"), w.head("c′", "stress"),
        w.head("su at top", "stress"), w.head("su gradient", "stress gradient"), "SPT N",
    )  # fmt: skip
    return Table(
        "Strata", head, tuple(rows), "lrlrrrrrrr", (2.2, 1, 1.4, 1.1, 1.1, 0.8, 1, 1.1, 1.2, 0.8)
    )


def stress_table(done: SectionDesign, units: UnitSystem) -> Table:
    """Return the stresses beside the wall before anything moves, behind it and in front."""
    w = Writer(units)
    rows = tuple(
        (
            "behind" if p.side == "retained" else "in front", p.stratum,
            w.fixed(done.section.elevation(p.depth), "length", 2), w.fixed(p.depth, "length", 2),
            w.cell(p.total, "stress"), w.cell(p.pore, "stress"), w.cell(p.effective, "stress"),
            w.cell(p.K_0, "ratio", 3), w.cell(p.horizontal, "stress"),
        )
        for p in done.stresses
    )  # fmt: skip
    head = (
        "Side", "Stratum", w.head("Elev.", "length"), w.head("Depth", "length"),
        w.head("Total σv", "stress"), w.head("Pore u", "stress"), w.head("Effective σ′v", "stress"),
        "K0", w.head("σh at rest", "stress"),
    )  # fmt: skip
    return Table("Stresses", head, rows, "llrrrrrrr", (1, 2.2, 1, 1, 1.2, 1.2, 1.3, 0.8, 1.3))


def loads_table(done: SectionDesign, units: UnitSystem) -> Table:
    """Return the horizontal load of each row by both methods, and the load of each anchor."""
    w = Writer(units)
    rows = []
    for row, anchor in zip(done.loads.rows, done.anchors, strict=True):
        rows.append(
            (
                str(row.row), w.fixed(done.section.elevation(row.z), "length", 2),
                w.cell(row.tributary, "force per length"), w.cell(row.hinge, "force per length"),
                w.cell(row.horizontal, "force per length"), w.cell(anchor.spacing, "length", 3),
                w.cell(anchor.inclination, "angle", 3), w.cell(anchor.required_load, "force"),
                w.cell(anchor.vertical, "force per length"),
            )
        )  # fmt: skip
    loads = done.loads
    rows.append(
        (
            "subgrade", w.fixed(done.section.cut.subgrade, "length", 2),
            w.cell(loads.reaction_tributary, "force per length"),
            w.cell(loads.reaction_hinge, "force per length"),
            w.cell(loads.reaction, "force per length"), "", "", "", "",
        )
    )  # fmt: skip
    head = (
        "Row", w.head("Elev.", "length"), w.head("Tributary", "force per length"),
        w.head("Hinge", "force per length"), w.head("Carried", "force per length"),
        w.head("Spacing", "length"), w.head("Incl.", "angle"),
        w.head("Required per anchor", "force"), w.head("Vertical", "force per length"),
    )  # fmt: skip
    return Table(
        "Loads of rows", head, tuple(rows), "lrrrrrrrr", (1.1, 0.9, 1.2, 1.1, 1.1, 1, 0.8, 1.3, 1.1)
    )


def schedule_table(done: SectionDesign, units: UnitSystem) -> Table:
    """Return the anchor schedule of the drawings."""
    return anchor_schedule_table(done.anchors, done.schedule, units, spacing=False)


def anchor_schedule_table(
    anchors: Iterable[AnchorDesign], schedule: Schedule, units: UnitSystem, *, spacing: bool
) -> Table:
    """Return a schedule of anchors; spacing: with theirs along the face, where no pile tells it.

    Least lengths are rounded up and loads to whole kN or kip, so that what is written is safe.
    """
    w = Writer(units)
    tests = {row.row: row for row in schedule.rows}
    rows = []
    for anchor in anchors:
        planned = tests[anchor.row]
        apart = (w.fixed(anchor.spacing, "length", 2),) if spacing else ()
        rows.append(
            (
                str(anchor.row), str(planned.number), *apart, w.fixed(anchor.design_load, "force", 0),
                w.fixed(anchor.test_load, "force", 0), w.fixed(anchor.lock_off_load, "force", 0),
                w.cell(anchor.inclination, "angle", 3), least_length(anchor.unbonded_length, units),
                bond_words(anchor, units), anchor.tendon.title, w.cell(anchor.hole_diameter, "small length", 3),
                anchor.protection, planned.tests,
            )
        )  # fmt: skip
    apart_head = (w.head("Spacing", "length"),) if spacing else ()
    head = (
        "Row", "No.", *apart_head, w.head("Design load", "force"), w.head("Test load", "force"),
        w.head("Lock-off", "force"), w.head("Incl.", "angle"), w.head("Least unbonded", "length"),
        w.head("Bond", "length"), "Tendon", w.head("Hole", "small length"), "Protection", "Tests",
    )  # fmt: skip
    first = (0.7, 0.7, 1.1) if spacing else (0.7, 0.7)
    return Table(
        "Anchor schedule",
        head,
        tuple(rows),
        "r" * len(first) + "rrrrrllrll",
        (*first, 1.0, 1.0, 1.1, 0.8, 1.5, 1.7, 2.8, 0.8, 1.4, 2.1),
    )


def least_length(value: float, units: UnitSystem) -> str:
    """Return a least length as the schedule states it."""
    return f"{QUANTITIES['length'].shown(scheduled_length(value, units), units):.1f}"


def scheduled_length(value: float, units: UnitSystem) -> float:
    """Return a least length (m) rounded up to 0.1 m, or to half a foot."""
    step = 0.1 if units is UnitSystem.SI else 0.5
    length = QUANTITIES["length"]
    steps = -(-(length.shown(value, units) - 1e-9) // step)
    return length.internal(steps * step, units)


def bond_words(anchor: AnchorDesign, units: UnitSystem) -> str:
    """Return the bond length as the schedule says it."""
    if anchor.bond_open:
        return "by contractor"
    text = least_length(anchor.bond_length, units)
    return f"{text} (contractor)" if anchor.bond_by == "contractor" else text


def checks_table(checks: Iterable[Check], units: UnitSystem) -> Table:
    """Return checks in the order given: what, where, comparison, utilisation, verdict."""
    rows = tuple(
        (
            sentence(c.name),
            place_words(c),
            comparison_words(c, units),
            utilisation_words(c),
            c.verdict.value,
        )
        for c in checks
    )
    return Table(
        "Checks",
        ("Check", "Where", "Demand and limit", "Utilisation", "Verdict"),
        rows,
        "lllrl",
        (4, 2.6, 3.8, 1.3, 1),
    )


def kinds_table(checks: Iterable[Check], units: UnitSystem) -> Table:
    """Return each kind of check once, at its worst place; what fails or is open, place by place."""
    rows = tuple(
        (
            sentence(group[0].name), worst_place(group), comparison_words(group[0], units),
            "–" if group[0].verdict is Verdict.SHOW else utilisation_words(group[0]),
            group[0].verdict.value,
        )
        for group in alike(checks)
    )  # fmt: skip
    return Table(
        "Checks, worst first", ("Check", "Worst at", "Demand and limit", "Utilisation", "Verdict"),
        rows, "lllrl", (4, 2.6, 3.8, 1.3, 1.2),
    )  # fmt: skip


def alike(checks: Iterable[Check]) -> list[list[Check]]:
    """Return checks worst first, those that pass by the same rule together; the rest one by one."""
    kinds: dict[tuple[str, str], list[Check]] = {}
    for i, check in enumerate(worst_first(checks)):
        own = check.name if check.verdict is Verdict.PASS else str(i)
        kinds.setdefault((check.id, own), []).append(check)
    return list(kinds.values())


def worst_place(group: list[Check]) -> str:
    """Return where the first of a group is, and how many more places there are."""
    first = place_words(group[0])
    more = len(group) - 1
    if not more:
        return first
    return f"{first}; {more} more" if first else f"and {more} more"


def place_words(check: Check) -> str:
    """Return where a check is, without what its name says already."""
    parts = check.where.split(", ")
    for i in range(1, len(parts)):
        if ", ".join(parts[i:]) in check.name:
            return ", ".join(parts[:i])
    return check.where


def comparison_words(check: Check, units: UnitSystem) -> str:
    """Return demand and limit; of a limit that is rounding, that it is met to rounding."""
    if check.quantity.name == "ratio" and 0.0 < check.capacity < _ROUNDING:
        met = check.demand <= check.capacity
        return "equal, to rounding" if met else f"differ by {100 * check.demand:.2g}%"
    return check.comparison(units)


def sentence(words: str) -> str:
    """Return words with a capital first letter."""
    return words[:1].upper() + words[1:]


def utilisation_words(check: Check) -> str:
    """Return the utilisation as text."""
    return "∞" if isinf(check.utilisation) else f"{check.utilisation:.2f}"


def quantities_table(done: Part, units: UnitSystem) -> Table:
    """Return the quantities of a section or a slope."""
    rows = []
    for item in done.quantities.items:
        quantity = QUANTITIES[item.quantity]
        shown = significant(quantity.shown(item.value, units), 3)
        if item.quantity == "count":
            shown = f"{item.value:.0f}"
        rows.append((item.name, shown, quantity.unit(units).label, expand(item.note, units)))
    return Table(
        "Quantities", ("Item", "Quantity", "Unit", "Note"), tuple(rows), "lrll", (4, 1.3, 0.8, 5)
    )


ALL_TABLES: dict[str, Callable[[SectionDesign, UnitSystem], Table]] = {
    "strata": strata_table,
    "stresses": stress_table,
    "loads": loads_table,
    "schedule": schedule_table,
    "quantities": quantities_table,
}
