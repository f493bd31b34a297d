"""The fields of the thing that is chosen, and what can be added and taken out."""

from __future__ import annotations

from typing import Any

from nicegui import ui
from nicegui.events import GenericEventArguments, ValueChangeEventArguments

from backstay.design import SectionDesign
from backstay.model.changes import Change, Remove
from backstay.model.document import Path, spelt
from backstay.workbench.desk import Desk
from backstay.workbench.section.additions import additions
from backstay.workbench.section.editing import Editing, why_not
from backstay.workbench.section.element import said_by
from backstay.workbench.section.fields import Field, fields_of
from backstay.workbench.section.things import Thing, nearest, things_of

_BY_ARROWS = """(event) => {
  const items = [...event.currentTarget.querySelectorAll(".q-item")];
  const at = items.indexOf(document.activeElement);
  const to = { ArrowDown: at + 1, ArrowUp: at < 0 ? -1 : at - 1, Home: 0, End: -1 }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  items.at(to % items.length)?.focus();
}"""
"""Lets arrow keys go through the items of a menu."""


class FieldsElement(ui.element, component="../static/fields.js"):
    """The fields of a thing; what is typed stays until it is answered for."""

    def show(self, form: dict[str, Any]) -> None:
        """Show a form."""
        self._props["form"] = form
        self.update()


class Inspector:
    """What is chosen beside the section."""

    def __init__(self, desk: Desk, editing: Editing) -> None:
        self.desk, self.editing = desk, editing
        self.path: Path = ()
        self.fields: dict[str, Field] = {}
        self._adding: dict[str, Any] = {}
        self.hidden = False
        with ui.element("aside").classes("fields").props('aria-label="What is chosen"') as self.box:
            self.pick = (
                ui.select({}, label="Chosen", on_change=self._picked)
                .props("dense outlined options-dense")
                .classes("w-full")
            )
            self.form = FieldsElement()
            self.form.on("set", self._set)
            with ui.element("div").classes("buttons"):
                self.remove = ui.button("Take out", on_click=self._remove).classes("act")
                self.remove.props("flat no-caps")
                with ui.button("Add").classes("act").props("flat no-caps") as self.add:
                    self.menu = (
                        ui.menu()
                        .props("role=menu")
                        .classes("adding")
                        .on("keydown", js_handler=_BY_ARROWS)
                    )
            self.why = ui.label().classes("sec-why").props('role="alert"')
            self._refused_at = 0
        self.show()

    @property
    def things(self) -> tuple[Thing, ...]:
        """Return what can be chosen."""
        part = self.desk.part
        if part is None:
            return ()
        model = part.section if isinstance(part, SectionDesign) else part.slope
        return things_of(model, self.desk.part_path)

    def choose(self, path: Path) -> None:
        """Choose the thing that holds a place of the file."""
        self.path = path
        self.show()

    def hide(self, hidden: bool) -> None:
        """Hide or show the fields, for more room for the section."""
        self.hidden = hidden
        self.box.set_visibility(not hidden)

    def show(self) -> None:
        """Show the fields of what is chosen as they stand."""
        things, spelling = self.things, self.editing.spelling
        if self.desk.state.revision != self._refused_at:
            self.why.text = ""  # what was refused then may be possible now
        thing = nearest(things, self.path) or (things[0] if things else None)
        if thing is None:
            self.form.show({"of": "", "groups": [], "editable": False})
            return
        self.path = thing.path
        names = {spelt(t.path): t.name for t in things}
        if self.pick.options != names or self.pick.value != spelt(thing.path):
            self.pick.set_options(names, value=spelt(thing.path))
        found = fields_of(thing, spelling)
        self.fields = {field.key: field for field in found}
        self.form.show({
            "of": f"{spelt(thing.path)} {spelling.shown}",
            "revision": self.desk.state.revision,
            "editable": self.desk.may_design,
            "groups": _groups(found, self.editing),
        })  # fmt: skip
        self.remove.set_visibility(thing.removable and self.desk.may_design)
        self.remove.text = f"Take out {thing.name.split(':')[0].lower()}"
        self._show_menu()

    def _show_menu(self) -> None:
        part = self.desk.part
        self.add.set_visibility(isinstance(part, SectionDesign) and self.desk.may_design)
        if not isinstance(part, SectionDesign):
            return
        offered = additions(
            part.section, self.desk.part_path, self.desk.state.text, self.editing.spelling
        )
        known = {a.key: a for a in offered}
        same = known.keys() == self._adding.keys()
        self._adding = known
        if same:
            return
        self.menu.clear()
        with self.menu:
            for one in offered:
                item = ui.menu_item(one.name, on_click=lambda key=one.key: self._add(key))
                item.props("role=menuitem")

    async def _add(self, key: str) -> None:
        addition = self._adding.get(key)
        if addition is None:
            return
        self.path = addition.thing
        await self._do(addition.changes(), f"Add {addition.name.lower()}")

    async def _remove(self) -> None:
        thing = nearest(self.things, self.path)
        if thing is not None and thing.removable:
            await self._do([Remove(thing.path)], f"Take out {thing.name}")

    async def _do(self, changes: list[Change], what: str) -> None:
        bad = self.editing.said_of(await self.desk.edit(changes, what), changes)
        self.why.text = f"✗ {bad}" if bad else ""
        self._refused_at = self.desk.state.revision

    def _picked(self, event: ValueChangeEventArguments[Any]) -> None:
        path = next((t.path for t in self.things if spelt(t.path) == event.value), None)
        if path is not None and path != self.path:
            self.why.text = ""
            self.choose(path)

    async def _set(self, event: GenericEventArguments) -> None:
        with self.desk.asking():
            await self._take_in(event)

    async def _take_in(self, event: GenericEventArguments) -> None:
        """Take what was typed into a field: it is tried first, and refused with the reason."""
        said = said_by(event)
        field = self.fields.get(str(said.get("key")))
        text = str(said.get("text", ""))[:20_000]
        if field is None:
            return
        answer: dict[str, Any] = {"key": field.key, "text": text, "bad": "", "retry": False}
        changes = field.change(text, self.editing.spelling)
        if isinstance(changes, str):
            answer["bad"] = changes
        elif changes:
            tried = await self.desk.preview(changes)
            bad = why_not(tried)
            answer["retry"] = bool(bad) and not isinstance(tried, str)
            if not bad or (answer["retry"] and said.get("anyway")):
                answer["retry"] = False
                thing = nearest(self.things, self.path)
                name = f"{thing.name}: " if thing else ""
                bad = await self.desk.edit(changes, f"{name}{field.label.lower()}")
            answer["bad"] = self.editing.said_of(bad, changes)
        answer["revision"] = self.desk.state.revision
        self.form.run_method("settled", answer)


def _groups(fields: tuple[Field, ...], editing: Editing) -> list[dict[str, Any]]:
    """Return fields in groups: what the file says, group by group, then what it leaves to defaults."""
    spelling = editing.spelling
    titles = dict.fromkeys(("", *(f.group for f in fields)))
    groups: list[dict[str, Any]] = []
    for title in titles:
        own = [f.sent(spelling) for f in fields if f.group == title and (f.given or f.required)]
        given_any = any(f["given"] for f in own)
        if own and (given_any or not title):
            groups.append({"key": f"g-{title}", "title": title, "closed": False, "fields": own})
    there = {f["key"] for g in groups for f in g["fields"]}
    left = [
        {**f.sent(spelling), "label": f"{f.group}: {f.label.lower()}" if f.group else f.label}
        for f in fields
        if f.key not in there
    ]
    if left:
        groups.append(
            {
                "key": "left",
                "title": f"Not given: {len(left)}, defaults hold",
                "closed": True,
                "fields": left,
            }
        )
    return groups
