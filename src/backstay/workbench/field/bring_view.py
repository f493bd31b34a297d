"""Bringing in readings or a field book: drop or paste it, see what is understood, then record it."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import cast, get_args

from nicegui import events, ui
from pydantic_core import PydanticCustomError

from backstay.fieldbook.at_hand import Asked
from backstay.fieldbook.cells import MAX_BYTES
from backstay.fieldbook.moments import moment_of
from backstay.fieldbook.readings import BroughtIn
from backstay.model.testing import TestKind
from backstay.model.units import parse
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.report.field.anchor_tables import readings_table
from backstay.report.field.words import VERDICT, said, sentence_of
from backstay.stressing.jack import Jack
from backstay.tables import sentence
from backstay.workbench.desk import Desk
from backstay.workbench.field.anchor_page import table
from backstay.workbench.field.bringing import Brought, Understood, bring, fault_rows
from backstay.workbench.field.uploading import uploader
from backstay.workbench.field.who import Recorder
from backstay.workbench.field.work import FieldError, FieldWork, Refused, attempt
from backstay.workbench.markup import joined, tag

_BY_TABLE = "as the table says"
_BY_PLAN = "the next of the plan"


class BringView:
    """The part of the panel that takes readings and field books."""

    def __init__(
        self, desk: Desk, work: FieldWork, anchors: list[str], jacks: tuple[Jack, ...],
        recorder: Recorder,
    ) -> None:  # fmt: skip
        """Show it. anchors: names of the register; jacks: as recorded."""
        self._desk, self._work, self._recorder = desk, work, recorder
        self._brought: Brought | None = None
        self._units: UnitSystem = desk.units
        ui.label(
            "Readings of load tests as CSV or XLSX, or a field book (YAML). Heads say what a column is "
            "and its unit, such as Step, Minute, Gauge (psi), Dial 1 (in). Nothing is recorded until you "
            "have seen what was understood."
        ).classes("quiet")
        with ui.element("div").classes("fields"):
            self._anchor = ui.select(
                [_BY_TABLE, *anchors], value=_BY_TABLE, label="Anchor", with_input=True
            ).props("outlined dense")
            names = {"": "the only one"} | {
                f"{j.name}\n{j.calibration.certificate}": f"{j.name}, certificate {j.calibration.certificate}"
                for j in jacks
            }  # fmt: skip
            self._jack = ui.select(names, value="", label="Jack").props("outlined dense")
            self._on = ui.input("When the test began; now if empty").props("outlined dense")
            self._tested_by = ui.input("Who was at the jack; you if empty").props("outlined dense")
            self._over = ui.checkbox("The test is over with these readings")
        with ui.element("details"):
            with ui.element("summary"):
                ui.label("More: kind of test, jack length, stopped before its end, exceptions")
            with ui.element("div").classes("fields"):
                kinds = [_BY_PLAN, *get_args(TestKind)]
                self._kind = ui.select(kinds, value=_BY_PLAN, label="Kind of test")
                unit = QUANTITIES["length"].unit(desk.units).label
                self._length = ui.input(
                    f"Tendon from plate to grip ({unit}); of the design if empty"
                )
                self._stopped = ui.input("The test was stopped before its end, because")
                self._exception = ui.input("Record it although it does not fit, because")
                for one in (self._kind, self._length, self._stopped, self._exception):
                    one.props("outlined dense")
                self._as_read = ui.checkbox("Record them although units or order look wrong")
                self._no_return = ui.checkbox("Proof test without return to the alignment load")
        uploader(
            f"CSV, XLSX or field book (YAML), up to {MAX_BYTES // 1_000_000} MB", self._dropped,
            self._refuse_words, most=MAX_BYTES, kinds=".csv,.tsv,.txt,.xlsx,.yaml,.yml",
        )  # fmt: skip
        self._pasted = ui.textarea("Or paste the table here, with its head")
        self._pasted.props("outlined dense maxlength=300000 input-class=pasted")
        with ui.row().classes("gap-3"):
            self._look = ui.button("Look at what is pasted", on_click=self._paste)
            self._again = ui.button("Look again", on_click=self._show)
            for button in (self._look, self._again):
                button.classes("act").props("flat no-caps")
        self._where = ui.element("div").props('role="status" aria-live="polite"')
        self._record = ui.button("Record", on_click=self._recorded)
        self._record.classes("act main").props("flat no-caps")
        self._record.set_visibility(False)
        self._again.set_visibility(False)

    async def _dropped(self, event: events.UploadEventArguments) -> None:
        self._brought = Brought(event.file.name, await event.file.read())
        await self._show()

    async def _paste(self) -> None:
        text = str(self._pasted.value or "")
        self._brought = Brought("What is pasted", text.encode("utf-8"), pasted=True)
        await self._show()

    def _asked(self, by: str) -> Asked:
        """Return what is asked for. Raises FieldError."""
        jack, _, certificate = str(self._jack.value or "").partition("\n")
        chosen = self._anchor.value or _BY_TABLE
        kind = None if self._kind.value == _BY_PLAN else cast("TestKind", self._kind.value)
        return Asked(
            anchor="" if chosen == _BY_TABLE else str(chosen), kind=kind, jack=jack,
            certificate=certificate, jack_length=self._jack_length(),
            residual=not self._no_return.value,
            tested_by=str(self._tested_by.value or "").strip() or by, on=self._moment(),
            closed=bool(self._over.value), stopped=str(self._stopped.value or "").strip(),
            as_read=bool(self._as_read.value), exception=str(self._exception.value or "").strip(),
        )  # fmt: skip

    def _moment(self) -> datetime | None:
        text = str(self._on.value or "").strip()
        try:
            return moment_of(text).at(None, now=datetime.now(UTC)) if text else None
        except ValueError as error:
            raise FieldError(f"When, '{text}': {error}") from None

    def _jack_length(self) -> float | None:
        text = str(self._length.value or "").strip()
        try:
            return parse(text, QUANTITIES["length"], self._units) if text else None
        except PydanticCustomError as error:
            raise FieldError(f"Tendon from plate to grip, '{text}': {error.message()}") from None

    async def _go(self, *, record: bool) -> Understood | Refused:
        brought = self._brought
        if brought is None:
            return Refused("Drop a file, or paste a table, first.")

        def work() -> Understood:
            by = self._recorder.name
            with self._work.records() as records:
                return bring(
                    brought, self._asked(by), self._work, records, self._units, by=by,
                    course="record" if record else "try",
                )  # fmt: skip

        return await attempt(work, self._units)

    async def _show(self) -> None:
        found = await self._go(record=False)
        self._again.set_visibility(self._brought is not None)
        if isinstance(found, Refused):
            self._refuse(found)
            return
        self._where.clear()
        with self._where:
            self._understood(found)
        self._record.set_visibility(found.writes)
        self._record.text = (
            f"Record {found.new} new" if found.new else "Record that the test is over"
        )

    async def _recorded(self) -> None:
        self._record.set_enabled(False)
        found = await self._go(record=True)
        self._record.set_enabled(True)
        if isinstance(found, Refused):
            self._refuse(found)
            return
        self._record.set_visibility(False)
        self._again.set_visibility(False)
        self._where.clear()
        with self._where:
            before = f" {found.before} were recorded before." if found.before else ""
            new = f"Recorded {found.new}." if found.new else "Nothing was new."
            ui.label(f"✓ {new}{before}").classes("verdict verdict-pass")
            for one in found.tests:
                self._standing(one)
        self._pasted.value = ""
        self._brought = None

    def _understood(self, found: Understood) -> None:
        name = self._brought.name if self._brought else ""
        with ui.element("h3"):
            ui.label(f"{name}: {found.what}")
        before = f"{found.before} recorded before" if found.before else ""
        new = f"{found.new} new" if found.new else "nothing new"
        ui.label(f"{', '.join(filter(None, (new, before)))}. Nothing is recorded yet.")
        if found.columns:
            rows = [(head, what, unit or "–") for head, what, unit in found.columns]
            heads = ("Column", "Read as", "Unit")
            ui.html(table(heads, rows, "lll", short=True), sanitize=False)
        if found.passed_over:
            ui.label(f"Not read: {', '.join(found.passed_over)}").classes("notice")
        for one in found.tests:
            self._standing(one)

    def _standing(self, one: BroughtIn) -> None:
        judgement, units = one.judgement, self._units
        begun = "begins" if one.begun else "goes on"
        title = f"{one.anchor}, test {one.test}: {one.record.procedure.kind}, {begun}"
        parts = [
            tag("h3", title),
            tag("p", sentence(VERDICT[judgement.decision]), class_="decision"),
            tag("p", sentence_of(judgement.reason, units)),
        ]
        if judgement.findings:
            lines = [tag("li", said(f.text, units)) for f in judgement.findings]
            parts += [tag("p", "Findings"), tag("ul", lines)]
        made = readings_table(one.record, judgement.evaluation.points, units)
        parts.append(
            tag("details", tag("summary", f"The {len(made.rows)} readings, in the units shown"),
                table(made.head, made.rows, made.align))
        )  # fmt: skip
        ui.html(joined(parts), sanitize=False)

    def _refuse_words(self, words: str) -> None:
        self._refuse(Refused(words))

    def _refuse(self, refused: Refused) -> None:
        """Show why, and every fault with its place; nothing was recorded."""
        self._record.set_visibility(False)
        name = f"{self._brought.name}: " if self._brought and refused.faults else ""
        self._where.clear()
        with self._where:
            count = len(refused.faults)
            faults = f"{count} fault{'s' * (count > 1)} in it. Nothing was recorded."
            words = faults if refused.faults else refused.words
            ui.label(f"✗ {name}{words}").classes("notice").props('role="alert"')
            if refused.faults:
                heads = ("Line", "Field or column", "Stands there", "What is wrong")
                ui.html(table(heads, fault_rows(refused.faults), "rlll"), sanitize=False)
