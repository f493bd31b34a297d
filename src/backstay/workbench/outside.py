"""Notices that something else has changed the file, and offers what can be done about it."""

from __future__ import annotations

from nicegui import run, ui

from backstay.workbench.desk import Desk

LOOK = 2.0
"""Seconds between looks at the disk."""


def watch_outside(desk: Desk) -> None:
    """Show a notice while the file on the disk is not what was read or saved here."""
    with ui.element("div").classes("notice no-print").props('role="alert"') as notice:
        words = ui.label()
        with ui.row().classes("gap-2"):
            disk = ui.button("Take the file from the disk", on_click=lambda: take()).classes("act")
            disk.props("flat no-caps")
            over = ui.button("Write over it", on_click=lambda: write_over()).classes("act")
            over.props("flat no-caps")
    notice.set_visibility(False)

    async def look() -> None:
        outside = await run.io_bound(desk.opened.file.outside)
        notice.set_visibility(outside is not None)
        for button in (disk, over):
            button.set_visibility(desk.may_design)
        if outside is None:
            return
        gone = " It is gone or cannot be read." if outside == "" else ""
        disk.set_enabled(not gone)
        can = (
            "Taking it is a step that can be undone."
            if desk.may_design
            else "Somebody who designs may take it, or write over it."
        )
        words.text = f"{desk.opened.name} was changed by something else since it was opened here.{gone} {can}"

    async def take() -> None:
        refused = await desk.take_outside()
        if refused:
            desk.say(refused, "bad")
        await look()

    async def write_over() -> None:
        refused = await desk.save(over=True)
        if refused:
            desk.say(str(refused), "bad")
        await look()

    ui.timer(LOOK, look)
