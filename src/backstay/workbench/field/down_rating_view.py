"""Down-rating an anchor that failed: what it may carry, what that does to the wall, and recording it."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from markupsafe import Markup
from nicegui import ui

from backstay.checks import expand
from backstay.design import Design
from backstay.fieldbook.down_rating import (
    consequences,
    failed_anchor,
    record_down_rating,
    require_recordable,
)
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.stressing.derating import Derating
from backstay.stressing.down_rating import Rating
from backstay.tables import checks_table, sentence
from backstay.workbench.desk import Desk
from backstay.workbench.field.anchor_page import pairs, table
from backstay.workbench.field.who import Recorder, may_sign
from backstay.workbench.field.work import FieldError, FieldWork, Refused, attempt
from backstay.workbench.markup import joined, tag

_RATES: dict[Rating, str] = {
    "rule": "by the rule of the practice", "proven": "by the load that was proven",
}  # fmt: skip
WHO = "A down-rating is recorded by who may design: the engineer."
_NO_DESIGN = "The project cannot be designed as it stands, so nothing can be said of the wall."


class DownRatingView:
    """Shows what follows from a down-rating, and records it."""

    def __init__(
        self, desk: Desk, work: FieldWork, anchor: str, recorder: Recorder,
        recorded: Callable[[], Awaitable[None]],
    ) -> None:  # fmt: skip
        """Show it. recorded: called once a down-rating is on the records."""
        self._desk, self._work, self._anchor = desk, work, anchor
        self._recorder, self._recorded = recorder, recorded
        self._rate = ui.select(dict(_RATES), value="rule", label="Down-rated")
        self._rate.props("outlined dense").classes("wide")
        look = ui.button("What it may carry, and the wall with it", on_click=self._look)
        look.classes("act").props("flat no-caps")
        self._where = ui.html("", sanitize=False).props('role="status" aria-live="polite"')
        if not may_sign(desk):
            ui.label(WHO).classes("notice")
            return
        self._reason = ui.input("Why it is down-rated *").props("outlined dense maxlength=1000")
        button = ui.button("Record the down-rating", on_click=self._record)
        button.classes("act main").props("flat no-caps")

    def _design(self) -> Design:
        """Return the design. Raises FieldError where there is none."""
        standing = self._desk.standing
        if standing is None or standing.design is None:
            raise FieldError(_NO_DESIGN)
        return standing.design

    async def _look(self) -> None:
        rate, units = self._chosen(), self._desk.units

        def work() -> Markup:
            design = self._design()
            with self._work.records() as records:
                failed = failed_anchor(records, self._work.rules, self._anchor)
            found = consequences(failed, self._work.rules, design, rate=rate)
            return shown_derating(found, units)

        found = await attempt(work, units)
        self._where.content = (
            tag("p", found.words, class_="notice") if isinstance(found, Refused) else found
        )

    def _chosen(self) -> Rating:
        return "proven" if self._rate.value == "proven" else "rule"

    async def _record(self) -> None:
        rate, reason = self._chosen(), str(self._reason.value or "").strip()

        def work() -> str:
            if not may_sign(self._desk):
                raise FieldError(WHO)
            by, design = self._recorder.name, self._design()
            if not reason:
                raise FieldError("Say why it is down-rated.")
            with self._work.records() as records:
                failed = failed_anchor(records, self._work.rules, self._anchor)
                require_recordable(records, failed, by=by, reason=reason, on=None)
                found = consequences(failed, self._work.rules, design, rate=rate)
                entry = record_down_rating(
                    records, failed.line, found.rated, by=by, reason=reason, on=None
                )
            if entry is None:
                return "This is recorded already."
            return f"Recorded as entry {entry}: the design of {self._anchor} is down-rated."

        done = await attempt(work, self._desk.units)
        if isinstance(done, Refused):
            self._desk.say(done.words, "bad")
            return
        self._desk.say(done, "good")
        await self._recorded()


def shown_derating(found: Derating, units: UnitSystem) -> Markup:
    """Return what an anchor may carry, the wall before and after, checks, and what may be done."""
    force, rated = QUANTITIES["force"], found.rated
    said = [
        ("Held", "none" if rated.held is None else force.text(rated.held, units)),
        ("May carry", f"{force.text(rated.load, units)} ({rated.clause})"),
        ("Lock off", f"at most at {force.text(rated.lock_off, units)}"),
        ("Lacking", f"{force.text(rated.lacking, units)} of {force.text(rated.wanted, units)} that the wall wants"),
    ]  # fmt: skip
    for one in found.beside:
        test = "still to be tested" if one.held is None else f"held {force.text(one.held, units)}"
        said.append(("Beside", f"{one.name}: {test}, may carry {force.text(one.rated, units)}"))
    if found.dig is not None:
        depth = QUANTITIES["length"].text(found.dig.depth, units)
        deep = (
            "every stage in mean ground stands without it"
            if found.dig.full
            else f"no deeper than {depth} below the top of wall"
        )
        said.append(("Dig", ": ".join(filter(None, (deep, expand(found.dig.why, units))))))
    rows = [
        (line.what, line.where, _value(line.quantity, line.before, units),
         _value(line.quantity, line.after, units), _value(line.quantity, line.limit, units, ""))
        for line in found.lines
    ]  # fmt: skip
    checks = checks_table(found.checks, units)
    failing = len(found.failing)
    verdict, look = (
        ("✓ The wall carries on.", "verdict-pass")
        if found.carries
        else (f"✗ {failing} check{'s' * (failing > 1)} fail{'s' * (failing == 1)}.", "verdict-fail")
    )
    return joined([
        tag("p", verdict, class_=f"verdict decision {look}"),
        tag("div", pairs(said), class_="columns"),
        tag("h3", "Before and after"),
        table(("Of the wall", "Where", "Before", "After", "Limit"), rows, "llrrr"),
        tag("h3", "Checks"), table(checks.head, checks.rows, checks.align),
        tag("h3", "What may be done"),
        tag("ul", [tag("li", sentence(expand(words, units))) for words in found.advice]),
        tag("p", "The tool advises; the engineer of record decides.", class_="quiet"),
    ])  # fmt: skip


def _value(
    quantity: str, value: float | None, units: UnitSystem, none: str = "does not stand"
) -> str:
    return none if value is None else QUANTITIES[quantity].text(value, units)
