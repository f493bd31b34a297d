"""What the section comes to, below it: the rows with their loads, and the checks that fail."""

from __future__ import annotations

from html import escape

from nicegui import ui

from backstay.checks import Check
from backstay.design import Part, SectionDesign
from backstay.quantity import QUANTITIES, Quantity
from backstay.stability.slope_design import SlopeDesign
from backstay.workbench.desk import Desk
from backstay.workbench.parts import panel_address
from backstay.workbench.section.editing import fail_words, failing_checks

_MOST = 5
"""Failing checks that are named here; all stand in the panel of checks."""
_HEAD = ("Row", "Needs", "Design load", "Test load", "Lock-off", "Unbonded", "Bond")
_NO_DESIGN = "<p>Not known: there is no design.</p>"


class Outcome:
    """Rows and failing checks; while something is dragged, those that would be."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        with ui.element("section").props('aria-label="Rows of anchors"'):
            self.rows = ui.html("", sanitize=False)
        with ui.element("section").props('aria-label="Checks that fail"'):
            self.fails = ui.html("", sanitize=False)

    def show(self, part: Part | None, *, preview: bool = False) -> None:
        """Show a part as it is, or as it would be."""
        note = " <span class='quiet'>while it is moved</span>" if preview else ""
        self.rows.content = f"<h2>Rows of anchors{note}</h2>{_table(part, self.desk)}"
        self.fails.content = f"<h2>Checks that fail{note}</h2>{_fails(part, self.desk)}"


def _table(part: Part | None, desk: Desk) -> str:
    if part is None:
        return _NO_DESIGN
    anchors = _anchors(part)
    if not anchors:
        return "<p>No anchors are needed.</p>"
    force, length = (QUANTITIES[name].unit(desk.units).label for name in ("force", "length"))
    units = ("", force, force, force, force, length, length)
    head = "".join(
        f'<th class="number">{name}<br><span class="quiet">{unit}</span></th>'
        if unit else f"<th>{name}</th>"
        for name, unit in zip(_HEAD, units, strict=True)
    )  # fmt: skip
    F, L = QUANTITIES["force"], QUANTITIES["length"]
    lines = []
    for a in anchors:
        values: tuple[tuple[Quantity, float], ...] = (
            (F, a.required_load), (F, a.design_load), (F, a.test_load), (F, a.lock_off_load),
            (L, a.unbonded_length), (L, a.bond_length),
        )  # fmt: skip
        cells = "".join(f'<td class="number">{q.number(v, desk.units)}</td>' for q, v in values)
        lines.append(f"<tr><td>{a.row}</td>{cells}</tr>")
    return f'<table class="sheet"><thead><tr>{head}</tr></thead><tbody>{"".join(lines)}</tbody></table>'


def _anchors(part: Part | None) -> list:  # type: ignore[type-arg]
    if isinstance(part, SectionDesign):
        return list(part.anchors)
    if isinstance(part, SlopeDesign):
        return [row.anchor for row in part.rows]
    return []


def _fails(part: Part | None, desk: Desk) -> str:
    if part is None:
        return _NO_DESIGN
    failing = failing_checks(part)
    if not failing:
        return '<p class="verdict-pass">✓ none</p>'
    items = "".join(
        f'<li>✗ <a href="{escape(_check_address(c, desk))}">{escape(fail_words(c, desk))}</a></li>'
        for c in failing[:_MOST]
    )
    rest = len(failing) - _MOST
    all_checks = escape(panel_address(desk, "checks"))
    more = f'<li><a href="{all_checks}">and {rest} more</a></li>' if rest > 0 else ""
    return f'<ul class="failing">{items}{more}</ul>'


def _check_address(check: Check, desk: Desk) -> str:
    """Return where a check of the part that is looked at is opened, within this project."""
    where = {"where": check.where} if check.where else {}
    return panel_address(desk, "checks", check=check.id, **where)
