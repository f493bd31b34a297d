"""A form on the page: fields with units, faults beside them, and recording."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from datetime import UTC, datetime

from nicegui import ui
from nicegui.elements.mixins.validation_element import ValidationElement

from backstay.fieldbook.forms import FormField, Written, fields_of, record_form, stratum_fields
from backstay.quantity import UnitSystem
from backstay.workbench.desk import Desk
from backstay.workbench.field.forms import LONG, Form, label
from backstay.workbench.field.who import Recorder
from backstay.workbench.field.work import FieldWork, Refused, attempt

_STRATA = re.compile(r"strata\[(\d+)\]\.(\w+)")
_MOST_STRATA = 40
Box = ui.input | ui.select


class FormView:
    """A form for one kind of entry about an anchor."""

    def __init__(
        self,
        desk: Desk,
        work: FieldWork,
        anchor: str,
        form: Form,
        recorder: Recorder,
        recorded: Callable[[], Awaitable[None]],
    ) -> None:
        """Show the form. recorded: called once something of it is on the records."""
        self._desk, self._work, self._anchor, self._form = desk, work, anchor, form
        self._recorder, self._recorded = recorder, recorded
        self._units: UnitSystem = desk.units
        self._boxes: dict[str, Box] = {}
        self._strata: list[dict[str, Box]] = []
        if form.caution:
            ui.label(f"⚠ {form.caution}").classes("caution")
        with ui.element("div").classes("fields"):
            fields = fields_of(form.entry, desk.units)
            for field in sorted(fields, key=lambda one: one.key == "exception"):
                self._boxes[field.key] = _box(form.entry, field)
        self._boxes["on"].value = datetime.now(UTC).astimezone().strftime("%Y-%m-%d %H:%M")
        if form.entry == "drilled":
            self._log()
        self._wrong = ui.label().classes("notice").props('role="alert"')
        self._wrong.set_visibility(False)
        self._button = ui.button(f"Record: {form.title.lower()}", on_click=self._record)
        self._button.classes("act main").props("flat no-caps")

    def _log(self) -> None:
        with ui.element("fieldset"):
            with ui.element("legend"):
                ui.label("Ground met, from the mouth of the hole").classes("quiet")
            rows = ui.element("div")

            def more() -> None:
                if len(self._strata) < _MOST_STRATA:
                    with rows, ui.element("div").classes("fields"):
                        fields = stratum_fields(self._units)
                        number = len(self._strata) + 1
                        self._strata.append(
                            {f.key: _box("strata", f, f" {number}") for f in fields}
                        )

            ui.button("Add a stratum", on_click=more).classes("act").props("flat no-caps")

    def _written(self) -> dict[str, Written]:
        found: dict[str, Written] = {k: str(b.value or "") for k, b in self._boxes.items()}
        if self._strata:
            found["strata"] = [
                {k: str(b.value or "") for k, b in row.items()} for row in self._strata
            ]
        return found

    async def _record(self) -> None:
        written = self._written()
        for box in [*self._boxes.values(), *(b for row in self._strata for b in row.values())]:
            box.error = None

        def work() -> int:
            by = self._recorder.name
            with self._work.records() as records:
                return record_form(
                    self._form.entry, self._anchor, written, records, self._units, by=by,
                    now=datetime.now(UTC), rules=self._work.rules,
                ).new  # fmt: skip

        self._button.set_enabled(False)
        done = await attempt(work, self._units)
        self._button.set_enabled(True)
        if isinstance(done, Refused):
            self._refuse(done)
            return
        self._wrong.set_visibility(False)
        said = f"Recorded: {self._form.title.lower()}." if done else "This is recorded already."
        self._desk.say(said, "good")
        await self._recorded()

    def _refuse(self, refused: Refused) -> None:
        """Say each fault beside its field, and those of the whole below."""
        whole = [] if refused.faults else [refused.words]
        for fault in refused.faults:
            read = f"{fault.read}: " if fault.read else ""
            accepted = f". Accepted: {fault.accepted}" if fault.accepted else ""
            hint = f" ({fault.hint})" if fault.hint else ""
            words = f"{read}{fault.rule}{hint}{accepted}"
            box = self._box_of(fault.path)
            if isinstance(box, ValidationElement):
                box.error = words
            else:
                whole.append(words)
        if not whole:
            whole.append("Nothing was recorded: mend what is marked.")
        self._wrong.text = "\n".join(whole)
        self._wrong.set_visibility(True)

    def _box_of(self, path: str) -> Box | None:
        found = _STRATA.fullmatch(path)
        if found and int(found[1]) < len(self._strata):
            return self._strata[int(found[1])].get(found[2])
        return self._boxes.get(re.split(r"[.\[]", path)[0])


def _box(entry: str, field: FormField, more: str = "") -> Box:
    words = label(entry, field, more)
    box: Box
    if field.choices:
        choices = ["", *field.choices] if field.choices == ("yes", "no") else list(field.choices)
        box = ui.select(choices, label=words, value=choices[0]).props("outlined dense")
    else:
        box = ui.input(words).props("outlined dense maxlength=2000")
    if field.key in LONG:
        box.classes("wide")
    return box
