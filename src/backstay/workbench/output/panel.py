"""The panel of what leaves the workbench as a file."""

from __future__ import annotations

import asyncio
from pathlib import PurePosixPath

from nicegui import run, ui

from backstay.errors import BackstayError
from backstay.workbench.desk import Desk
from backstay.workbench.output.products import Product, products

WAIT = 0.2
"""Seconds between looks at whether slip surfaces have been found."""


def build(desk: Desk) -> None:
    """Show a table of files to make."""
    stem = PurePosixPath(desk.opened.name).stem
    ui.label(
        "Files are made of the project as it stands on screen, saved or not, in the units chosen above. "
        "The tool advises; the engineer of record checks and decides."
    ).classes("quiet")
    table = ui.element("div")
    drawn: list[str] = []

    def show() -> None:
        design = desk.design
        names = [one.file_name for one in products(design, stem)] if design else []
        if names == drawn and names:
            return
        drawn[:] = names
        table.clear()
        with table:
            if design is None:
                ui.label("There is no design to make files of.").classes("notice")
                return
            with ui.element("table").classes("sheet"):
                _heads(("File", "What it holds", "Form", ""))
                with ui.element("tbody"):
                    for one in products(design, stem):
                        _row(desk, one)
                    _project_row(desk)

    desk.on_change(show)
    show()


def _heads(names: tuple[str, ...]) -> None:
    with ui.element("thead"), ui.element("tr"):
        for name in names:
            with ui.element("th").props('scope="col"'):
                ui.label(name)


def _row(desk: Desk, product: Product) -> None:
    with ui.element("tr"):
        for words in (product.name, product.holds, product.form):
            with ui.element("td"):
                ui.label(words)
        with ui.element("td"), ui.row().classes("items-center gap-2"):
            make = ui.button("Make").classes("act").props("flat no-caps")
            make.props(f'aria-label="Make {product.name}, {product.form}"')
            stop = ui.button("Stop").classes("act").props("flat no-caps")
            busy = ui.label().props('role="status"')
        stop.set_visibility(False)
        task: list[asyncio.Task[None]] = []

        async def work() -> None:
            make.set_enabled(False)
            stop.set_visibility(True)
            try:
                await _made(desk, product, busy)
            except asyncio.CancelledError:
                busy.text = "Stopped"
            except (BackstayError, OSError) as error:
                busy.text = ""
                desk.say(f"{product.name} cannot be made: {error}", "bad")
            finally:
                make.set_enabled(True)
                stop.set_visibility(False)

        def begin() -> None:
            task[:] = [asyncio.create_task(work())]

        make.on_click(begin)
        stop.on_click(lambda: task and task[0].cancel())


async def _made(desk: Desk, product: Product, busy: ui.label) -> None:
    """Make a file and hand it to the browser; say what is waited for."""
    standing = desk.standing
    while standing is not None and standing.course == "searching":
        busy.text = "Looking for slip surfaces …"
        await asyncio.sleep(WAIT)
        standing = desk.standing
    if standing is None or standing.design is None:
        busy.text = ""
        desk.say("The project cannot be designed as it stands, so there is nothing to make.", "bad")
        return
    if standing.course == "stopped":
        busy.text = ""
        desk.say(
            "The search of slip surfaces was stopped: let it end before files are made. It is begun "
            "again in the head of the page.",
            "bad",
        )
        return
    busy.text = "Making …"
    design, units = standing.design, desk.units
    content = await run.io_bound(lambda: product.make(design, units))
    if content is None:  # so ends work in a thread that is no longer waited for
        busy.text = "Stopped"
        return
    busy.text = f"✓ {product.file_name}"
    with desk.client:
        ui.download.content(content, product.file_name)


def _project_row(desk: Desk) -> None:
    with ui.element("tr").classes("foot"):
        for words in ("Project file", "What all of it is made from", "YAML"):
            with ui.element("td"):
                ui.label(words)
        with ui.element("td"):
            ui.button(
                "Make",
                on_click=lambda: ui.download.content(
                    desk.state.text.encode("utf-8"), PurePosixPath(desk.opened.name).name
                ),
            ).classes("act").props('flat no-caps aria-label="Make the project file"')
