"""The register as a table, and which of its lines are wanted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from backstay.drawing.state_signs import SIGNS
from backstay.fieldbook.line_words import state_words, tests_words
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.entries import RegisterLine
from backstay.workbench.markup import joined, tag


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which lines are shown. row: part and row; words: all must be found in name, state or tests."""

    state: str = ""
    row: tuple[str, int] | None = None
    words: str = ""

    def takes(self, line: RegisterLine) -> bool:
        """Say whether a line is wanted."""
        if self.state and line.state != self.state:
            return False
        if self.row is not None and (line.part, line.row) != self.row:
            return False
        where = " ".join(
            (line.anchor, state_words(line), tests_words(line), line.verdict or "",
             f"pile {line.pile}", *line.design.ground)
        ).casefold()  # fmt: skip
        return all(word in where for word in self.words.casefold().split())


def register_table(
    lines: Sequence[RegisterLine], units: UnitSystem, address: Callable[[str], str]
) -> Markup:
    """Return the lines of the register as a table. address: of the page of an anchor."""
    force = QUANTITIES["force"]
    unit = force.unit(units).label
    heads = (
        ("Anchor", ""), ("Pile", "number"), ("State", ""), ("Since", ""),
        (f"Design load ({unit})", "number"), (f"Test load ({unit})", "number"), ("Tests", ""),
        ("Verdict", ""), (f"Locked off at ({unit})", "number"), (f"Lifted off at ({unit})", "number"),
    )  # fmt: skip
    rows = []
    for a in lines:
        cells: tuple[tuple[str | Markup, str], ...] = (
            (tag("a", a.anchor, href=address(a.anchor)), ""),
            ("–" if a.pile is None else f"{a.pile}", "number"),
            (joined([tag("b", SIGNS[a.state].letter, class_="letter"), " ", state_words(a)]), ""),
            (a.since.date().isoformat(), "day"),
            (force.number(a.design.design_load, units), "number"),
            (force.number(a.design.test_load, units), "number"),
            (tests_words(a), ""),
            (a.verdict or ("open" if a.tests else ""), ""),
            (_load(a.lock_off_load, units), "number"), (_load(a.lift_off_load, units), "number"),
        )  # fmt: skip
        rows.append(tag("tr", [tag("td", cell, class_=kind or None) for cell, kind in cells]))
    head = tag("tr", [tag("th", name, scope="col", class_=kind or None) for name, kind in heads])
    table = tag("table", tag("thead", head), tag("tbody", rows), class_="sheet")
    return tag("div", table, class_="scrolls")


def _load(value: float | None, units: UnitSystem) -> str:
    return "" if value is None else QUANTITIES["force"].number(value, units)
