"""Offers what was left unsaved when the program ended: it is taken up or dropped, by who may design."""

from __future__ import annotations

from nicegui import ui

from backstay.workbench.desk import Desk
from backstay.workbench.draft import Left

_MOST = 40
"""Lines that are shown of what differs."""


def offer_left_unsaved(desk: Desk) -> None:
    """Show a notice until it is decided what becomes of what was left unsaved."""
    with ui.element("div").classes("notice no-print").props('role="alert"') as notice:
        words = ui.label()
        with ui.element("details") as details:
            with ui.element("summary"):
                ui.label("What differs from the file").style("display: inline")
            lines = ui.label().classes("lines")
        with ui.row().classes("gap-2"):
            take = ui.button("Take it up", on_click=lambda: taken()).classes("act main")
            take.props("flat no-caps")
            drop = ui.button("Drop it", on_click=lambda: dropped()).classes("act")
            drop.props("flat no-caps")

    async def taken() -> None:
        refused = await desk.take_up()
        if refused:
            desk.say(refused, "bad")

    async def dropped() -> None:
        with ui.dialog() as asked, ui.card():
            ui.label("Drop what was left unsaved, for good?")
            with ui.row():
                yes = ui.button("Drop it for good", on_click=lambda: asked.submit(True))
                yes.classes("act main").props("flat no-caps")
                no = ui.button("Keep it", on_click=lambda: asked.submit(False))
                no.classes("act").props("flat no-caps")
        if await asked:
            refused = await desk.drop_left()
            if refused:
                desk.say(refused, "bad")

    def show() -> None:
        left = desk.state.left
        notice.set_visibility(left is not None)
        if left is None:
            return
        words.text = _words(left, desk)
        details.set_visibility(bool(left.lines))
        lines.text = "\n".join(_shown(left.lines))
        take.set_enabled(left.text is not None)
        for button in (take, drop):
            button.set_visibility(desk.may_design)

    desk.on_change(show)
    show()


def _words(left: Left, desk: Desk) -> str:
    said = [f"Changes to {desk.opened.name} of {left.when:%Y-%m-%d %H:%M} were left unsaved."]
    if left.text is None:
        said.append("What was kept of them cannot be read.")
    if left.later:
        said.append("The file has been written since, so that taking them up goes behind that.")
    if not desk.may_design:
        said.append("Somebody who designs may take them up, or drop them.")
    elif left.text is not None:
        said.append("Taking them up is a step that can be undone; nothing else is changed before.")
    return " ".join(said)


def _shown(lines: tuple[str, ...]) -> list[str]:
    more = [f"and {len(lines) - _MOST} more lines"] if len(lines) > _MOST else []
    return [*lines[:_MOST], *more]
