"""Correcting an entry or a reading of an anchor, or withdrawing it: what was wrong stays to be seen."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

from nicegui import ui

from backstay.fieldbook.correctable import correctable
from backstay.fieldbook.correcting import correct_entry
from backstay.fieldbook.entry_words import entry_words
from backstay.records.entries import Entry
from backstay.records.facts import DesignChanged, VerdictIssued
from backstay.tables import sentence
from backstay.workbench.desk import Desk
from backstay.workbench.field.anchor_page import AnchorSeen
from backstay.workbench.field.who import Recorder, may_record, may_sign
from backstay.workbench.field.work import FieldError, FieldWork, Refused, attempt

_MOST = 120
"""Characters of an entry in the list."""
_ENGINEERS = (VerdictIssued, DesignChanged)
WHO = "A verdict, and a design on record, are corrected by who may design: the engineer."


def may_correct(desk: Desk, entry: Entry[Any]) -> bool:
    """Say whether the person may correct an entry: what the engineer signed, the engineer corrects."""
    return may_record(desk) and (may_sign(desk) or not isinstance(entry.fact, _ENGINEERS))


class CorrectView:
    """Chooses an entry, shows what it says, and takes what it should say."""

    def __init__(
        self, desk: Desk, work: FieldWork, seen: AnchorSeen, recorder: Recorder,
        recorded: Callable[[], Awaitable[None]],
    ) -> None:  # fmt: skip
        """Show it. recorded: called once something is corrected."""
        self._desk, self._work, self._recorder, self._recorded = desk, work, recorder, recorded
        self._units = desk.units
        self._entries = {
            e.id: e for e in seen.history
            if e.superseded_by is None and e.fact is not None and e.kind != "procedure"
        }  # fmt: skip
        self._boxes: dict[str, ui.input] = {}
        words = {
            number: f"{number}: {entry_words(entry, desk.units)}"[:_MOST]
            for number, entry in reversed(self._entries.items())
        }
        self._which = ui.select(words, label="Entry or reading to correct", with_input=True)
        self._which.props("outlined dense").classes("wide").on_value_change(self._chosen)
        self._fields = ui.element("div").classes("fields")
        with ui.element("div").classes("fields"):
            self._reason = ui.input("Why it is corrected or withdrawn *").classes("wide")
            self._exception = ui.input("Record it although it does not fit, because").classes(
                "wide"
            )
            for one in (self._reason, self._exception):
                one.props("outlined dense maxlength=1000")
        self._wrong = ui.label().classes("notice").props('role="alert"')
        self._wrong.set_visibility(False)
        with ui.row().classes("gap-3"):
            correct = ui.button("Correct it", on_click=lambda: self._go(withdraw=False))
            correct.classes("act main").props("flat no-caps")
            away = ui.button("It should not have been: withdraw it", on_click=self._withdraw)
            away.classes("act").props("flat no-caps")

    def _chosen(self) -> None:
        """Offer the values of the entry chosen: what stays empty stays as it is."""
        self._fields.clear()
        self._boxes = {}
        entry = self._entries.get(self._which.value)
        if entry is None:
            return
        with self._fields:
            for key, now in correctable(entry, self._units):
                words = sentence(key.replace("_", " ")) + (f", now {now[:60]}" if now else "")
                box = ui.input(words).props("outlined dense maxlength=2000")
                self._boxes[key] = box

    async def _withdraw(self) -> None:
        with ui.dialog() as asked, ui.card():
            ui.label(f"Withdraw entry {self._which.value}? Nothing takes its place.")
            with ui.row():
                yes = ui.button("Withdraw it", on_click=lambda: asked.submit(True))
                yes.classes("act main").props("flat no-caps")
                no = ui.button("Leave it", on_click=lambda: asked.submit(False))
                no.classes("act").props("flat no-caps")
        if await asked:
            await self._go(withdraw=True)

    async def _go(self, *, withdraw: bool) -> None:
        number = self._which.value
        written = {k: str(b.value or "").strip() for k, b in self._boxes.items()}
        written = {} if withdraw else {k: text for k, text in written.items() if text}
        reason, exception = (str(b.value or "").strip() for b in (self._reason, self._exception))
        for box in self._boxes.values():
            box.error = None

        def work() -> str:
            by = self._recorder.name
            if number not in self._entries:
                raise FieldError("Choose the entry first.")
            if not may_correct(self._desk, self._entries[number]):
                raise FieldError(WHO)
            if not reason:
                raise FieldError("Say why it is corrected or withdrawn.")
            if not withdraw and not written:
                raise FieldError("Write what it should say; what stays empty stays as it is.")
            with self._work.records() as records:
                return correct_entry(
                    records, number, written, self._units, by=by, reason=reason,
                    withdraw=withdraw, exception=exception, rules=self._work.rules,
                ).words  # fmt: skip

        done = await attempt(work, self._units)
        if isinstance(done, Refused):
            self._refuse(done)
            return
        self._wrong.set_visibility(False)
        self._desk.say(done, "good")
        await self._recorded()

    def _refuse(self, refused: Refused) -> None:
        whole = [] if refused.faults else [refused.words]
        for fault in refused.faults:
            accepted = f". Accepted: {fault.accepted}" if fault.accepted else ""
            words = f"{fault.read}: {fault.rule}{accepted}"
            if fault.path in self._boxes:
                self._boxes[fault.path].error = words
            else:
                whole.append(words)
        self._wrong.text = "\n".join(whole or ["Nothing was recorded: mend what is marked."])
        self._wrong.set_visibility(True)
