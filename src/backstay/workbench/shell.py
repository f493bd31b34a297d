"""What stands around every panel: the head with the project and its steps, and the ways."""

from __future__ import annotations

import json

from nicegui import ui
from nicegui.events import ValueChangeEventArguments

from backstay.checks import Verdict
from backstay.quantity import UnitSystem
from backstay.workbench.access.pages import WHO
from backstay.workbench.desk import Desk
from backstay.workbench.left_unsaved import offer_left_unsaved
from backstay.workbench.look import keep, theme_button
from backstay.workbench.outside import watch_outside
from backstay.workbench.parts import panel_address
from backstay.workbench.ways import WAYS

VERDICTS = {
    Verdict.PASS: ("✓", "all checks pass", "verdict-pass"),
    Verdict.FAIL: ("✗", "checks fail", "verdict-fail"),
    Verdict.SHOW: ("○", "some checks are for the contractor to show", "verdict-show"),
}
SO_FAR = ("○", "all checks so far pass", "verdict-show")
LOOK_AGAIN = "Look for slip surfaces"
NOT_YET = {"searching": " · looking for slip surfaces", "stopped": " · without slip surfaces"}
"""What is said of a design whose slip surfaces are not known: it is never said to pass as a whole."""

_INTO_ADDRESS = """{
  const part = %s, here = new URL(location.href);
  if (part === null) here.searchParams.delete("part");
  else here.searchParams.set("part", part);
  history.replaceState(history.state, "", here);
}"""
"""Puts the section that is looked at into the address."""


def build_shell(desk: Desk, way: str) -> None:
    """Build a page: head, ways, and the panel of a way."""
    ui.link("To the panel", "#panel").classes("skip")
    with ui.element("header").classes("head"):
        _title(desk)
        _verdict(desk)
        _search_again(desk)
        _steps(desk)
        _units(desk)
        theme_button(desk.look)
        if desk.person.name:
            ui.link(desk.person.name, WHO).props('title="Who is signed in; sign out"')
    with ui.element("nav").classes("ways").props('aria-label="Panels"'):
        _ways(desk, way)
        ui.link("All projects", "/projects").classes("last")
    offer_left_unsaved(desk)
    watch_outside(desk)
    with ui.element("div").classes("panel").props('id="panel" tabindex="-1"'):
        next((one for one in WAYS if one.key == way), WAYS[0]).build()(desk)


def _ways(desk: Desk, way: str) -> None:
    """Show the panels; each opens on the section that is looked at, and so does a reload."""
    links = {}
    for one in WAYS:
        links[one.key] = ui.link(one.name, panel_address(desk, one.key))
        if one.key == way:
            links[one.key].props('aria-current="page"')
    said: list[int | None] = [desk.part_asked]

    def show() -> None:
        if said[0] == desk.part_asked:
            return
        said[0] = desk.part_asked
        for key, link in links.items():
            link.props["href"] = panel_address(desk, key)
        desk.client.run_javascript(_INTO_ADDRESS % json.dumps(said[0]))

    desk.on_change(show)


def _title(desk: Desk) -> None:
    with ui.element("div").classes("grow"):
        name = ui.element("h1")
        with name:
            words = ui.label()
        below = ui.label().classes("quiet")

    def show() -> None:
        project = desk.design.project.project if desk.design else None
        words.text = project.name if project else desk.opened.name
        unsaved = desk.state.unsaved
        trouble = desk.state.trouble
        lost = f" · lost if the program ends before: no draft can be kept ({trouble})"
        below.text = (
            f"{desk.opened.name}{' · not saved' if unsaved else ''}"
            f"{lost if unsaved and trouble else ''}"
        )
        below.props(f'data-unsaved="{"yes" if unsaved else "no"}"')
        title = f"{words.text} - Backstay"
        if desk.client.title != title:
            ui.page_title(title)

    desk.on_change(show)
    show()


def _verdict(desk: Desk) -> None:
    chip = ui.label().classes("verdict").props('role="status" aria-live="polite"')

    def show() -> None:
        chip.classes(remove="verdict-pass verdict-fail verdict-show")
        standing, design = desk.standing, desk.design
        if standing is not None and standing.course == "refused":
            chip.text = "✗ cannot be designed as it stands"
            chip.classes("verdict-fail")
            return
        if design is None:
            chip.text = ""
            return
        sign, words, look = VERDICTS[design.verdict]
        course = standing.course if standing else "done"
        failing = sum(check.verdict is Verdict.FAIL for _, check in design.checks)
        if failing:
            words = f"{failing} check{'s' if failing > 1 else ''} fail{'' if failing > 1 else 's'}"
        elif design.verdict is Verdict.PASS and course in NOT_YET:
            sign, words, look = SO_FAR
        chip.text = f"{sign} {words}{NOT_YET.get(course, '')}"
        chip.classes(look)

    desk.on_change(show)
    show()


def _search_again(desk: Desk) -> None:
    """Offer, in whatever panel, to look for slip surfaces again after that was stopped."""
    again = ui.button(LOOK_AGAIN, on_click=lambda: desk.opened.live.search_again())
    again.classes("act").props("flat no-caps")

    def show() -> None:
        again.set_visibility(desk.standing is not None and desk.standing.course == "stopped")

    desk.on_change(show)
    show()


def _steps(desk: Desk) -> None:
    async def go(step: str) -> None:
        refused = await (desk.undo() if step == "undo" else desk.redo())
        if refused:
            desk.say(refused, "bad")

    async def save() -> None:
        refused = await desk.save()
        if isinstance(refused, str):
            desk.say(refused or f"Saved {desk.opened.name}", "bad" if refused else "good")
        # what was changed outside is offered by `watch_outside`

    async def save_by_key() -> None:
        await desk.settled()  # the button may not be enabled yet: what was just typed is on its way
        if desk.state.unsaved:
            await save()

    undo = ui.button("Undo", on_click=lambda: go("undo")).classes("act").props("flat no-caps")
    redo = ui.button("Redo", on_click=lambda: go("redo")).classes("act").props("flat no-caps")
    keep = ui.button("Save", on_click=save).classes("act main").props("flat no-caps data-save")
    # beside the button, whose events are not heard while it is not enabled
    ui.element("span").props("data-saves hidden").on("saveasked", save_by_key)
    keys = ui.keyboard(ignore=["input", "textarea"])

    async def pressed(event: object) -> None:
        key, held = event.key, event.modifiers  # type: ignore[attr-defined]
        if not event.action.keydown or not (held.ctrl or held.meta):  # type: ignore[attr-defined]
            return
        if key == "z" or key == "Z":
            await go("redo" if held.shift else "undo")
        elif key == "y":
            await go("redo")

    keys.on_key(pressed)

    def show() -> None:
        state = desk.state
        for button, what in ((undo, state.undo), (redo, state.redo)):
            button.set_enabled(bool(what) and desk.may_design)
            button.props(f'title="{_quoted(what)}"' if what else 'title="Nothing to go to"')
        keep.set_enabled(state.unsaved and desk.may_design)

    desk.on_change(show)
    show()


def _units(desk: Desk) -> None:
    def chosen(event: ValueChangeEventArguments[str]) -> None:
        keep("units", event.value)  # first, so that a page left as soon as it shows them keeps them
        desk.choose_units(UnitSystem(event.value))

    ui.toggle(
        {UnitSystem.SI: "SI", UnitSystem.US: "US"},
        value=desk.units,
        on_change=chosen,
    ).props('no-caps unelevated dense toggle-text-color=dark aria-label="Units shown"').classes(
        "units"
    )


def _quoted(words: str) -> str:
    """Return words for an attribute that NiceGUI parses: without quotes and backslashes."""
    return words.replace("\\", "/").replace('"', "'")
