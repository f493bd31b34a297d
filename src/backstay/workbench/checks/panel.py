"""The panel of checks: the list beside the derivation of the one that is opened.

A check has an address: ``?at=checks&check=ID&where=PLACE``, and ``&part=NUMBER`` where there are several parts.
"""

from __future__ import annotations

import json

from nicegui import events, ui

from backstay.design import Design
from backstay.quantity import UnitSystem
from backstay.trace import FormulaError
from backstay.workbench.checks.cure_offer import CureOffer
from backstay.workbench.checks.listing import (
    KINDS,
    SHOWS,
    Asked,
    Key,
    Row,
    Show,
    filtered,
    found,
    list_table,
    rows_of,
)
from backstay.workbench.checks.sheet import body_of, head_of
from backstay.workbench.desk import Desk
from backstay.workbench.parts import panel_address

_KEY_OF_CLICK = """(event) => {
    const button = event.target.closest("tr")?.querySelector("[data-key]");
    if (button) emit(button.dataset.key);
}"""


def build(desk: Desk) -> None:
    """Show the checks of the design."""
    ui.add_head_html('<link rel="stylesheet" href="/static/checks.css">')
    ui.add_head_html('<script src="/static/checks.js" defer></script>')
    _Panel(desk)


class _Panel:
    """The list, what is asked of it, and the check that is opened."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.asked = Asked()
        self.grouped = len(desk.design.parts) > 1 if desk.design else False
        self.rows: list[Row] = []
        self.chosen: Key | None = None
        self.addressed = False
        self.drawn: Design | None = None
        self.drawn_as: tuple[UnitSystem, Key | None] | None = None
        self.stale = ui.label().classes("notice").props('role="status"')
        with ui.element("div").classes("checks") as self.frame:
            with ui.element("section").classes("checks-all").props('aria-label="All checks"'):
                self._filters()
                self.list = ui.html("", sanitize=False).classes("checks-list")
                self.list.on("click", self._clicked, js_handler=_KEY_OF_CLICK)
            with ui.element("section").classes("checks-one").props('aria-label="Opened check"'):
                with ui.element("div").classes("checks-back"):
                    back = ui.button("All checks", on_click=self.close)
                    back.classes("act").props("flat no-caps")
                self.head = ui.html("", sanitize=False)
                self.offer = CureOffer(desk)
                self.body = ui.html("", sanitize=False)
        desk.on_change(self.show)
        desk.client.on_delete(self.offer.cancel)
        self.show()

    def _filters(self) -> None:
        with ui.element("div").classes("checks-filter").props('role="search"'):
            show = ui.toggle(dict(SHOWS), value=self.asked.show)
            show.props(
                'no-caps unelevated dense toggle-text-color=dark aria-label="Which checks"'
            ).classes("units")
            kind = ui.select({"": "Every kind", **KINDS}, value="").classes("checks-kind")
            kind.props('dense outlined options-dense aria-label="Kind of check"')
            words = ui.input(placeholder="Words: row 2, toe, clause …").classes("checks-words")
            words.props('dense outlined clearable aria-label="Find checks by words" debounce=150')
            grouped = ui.checkbox("By part", value=self.grouped).props("dense")
            grouped.set_visibility(self.grouped)

        def ask() -> None:
            shown: Show = show.value or "all"
            self.asked = Asked(shown, kind.value or "", words.value or "")
            self.grouped = bool(grouped.value)
            self.draw_list()

        for one in (show, kind, words, grouped):
            one.on_value_change(ask)

    def _from_address(self) -> None:
        """Open the check of the address; one of slip surfaces is waited for until they are found."""
        asked = self.desk.client.request.query_params
        id, part = asked.get("check", ""), asked.get("part", "")
        design, standing = self.desk.design, self.desk.standing
        if not id or self.addressed or design is None:
            return
        at = int(part) if part.isdecimal() and len(part) < 4 else None
        row = found(rows_of(design), id, asked.get("where", ""), at)
        if row is not None:
            self.chosen, self.addressed = row.key, True
            self.desk.choose_part(row.key.part)
        elif standing is not None and standing.course == "searching":
            return
        else:
            self.desk.say(f"There is no check {id} in this design.", "bad")
        self.addressed = True

    def show(self) -> None:
        """Show everything again where it may have changed."""
        self._from_address()
        standing, design = self.desk.standing, self.desk.design
        refused = standing is not None and standing.course == "refused"
        self.stale.set_visibility(refused or design is None)
        self.stale.text = (
            "The project cannot be designed as it stands: these are the checks of its last design."
            if design is not None
            else "There is no design, and so there are no checks yet."
        )
        if self.drawn is design and self.drawn_as == (self.desk.units, self.chosen):
            self._show_offer()
            return
        self.drawn, self.drawn_as = design, (self.desk.units, self.chosen)
        self.rows = rows_of(design) if design is not None else []
        self.draw_list()
        self.draw_check()

    def draw_list(self) -> None:
        """Draw the list as it is asked for."""
        self.list.content = list_table(
            filtered(self.rows, self.asked),
            self.desk.units,
            grouped=self.grouped,
            chosen=self.chosen,
        )

    def _row(self) -> Row | None:
        if self.chosen is None:
            return None
        exact = next((row for row in self.rows if row.key == self.chosen), None)
        return exact or found(self.rows, self.chosen.id, self.chosen.where, self.chosen.part)

    def draw_check(self) -> None:
        """Draw the check that is opened."""
        row, design, units = self._row(), self.desk.design, self.desk.units
        self.frame.classes(add="opened" if row else "", remove="" if row else "opened")
        if row is None or design is None:
            self.head.content = (
                '<p class="quiet">Open a check to read how it is derived: each line with its '
                "equation, the numbers put in, and where it comes from.</p>"
            )
            self.body.content = ""
        else:
            self.head.content = head_of(row, units)
            try:
                self.body.content = body_of(design.parts[row.key.part], row.check, units)
            except FormulaError as error:
                self.desk.say(f"This derivation cannot be shown: {error}", "bad")
        self._show_offer()

    def _show_offer(self) -> None:
        row = self._row()
        if row is not None:
            self.offer.show(row.key, row.check.verdict)
        self.offer.place.set_visibility(row is not None)

    def _clicked(self, event: events.GenericEventArguments) -> None:
        key = next((row.key for row in self.rows if row.key.text == event.args), None)
        if key is not None:
            self.open(key)

    def open(self, key: Key) -> None:
        """Open a check, and put it into the address."""
        self.addressed = True
        self.chosen = key
        self.show()
        self.desk.choose_part(key.part)
        asked = {"check": key.id} | ({"where": key.where} if key.where else {})
        self._address(panel_address(self.desk, "checks", **asked))
        ui.run_javascript("backstayChecks.opened()")

    def close(self) -> None:
        """Go back to the list."""
        key, self.chosen = self.chosen, None
        self.show()
        self._address(panel_address(self.desk, "checks"))
        if key is not None:
            ui.run_javascript(f"backstayChecks.closed({json.dumps(key.text)})")

    @staticmethod
    def _address(query: str) -> None:
        ui.run_javascript(f"history.replaceState(history.state, '', {json.dumps(query)})")
