"""The panel of the section."""

from __future__ import annotations

from nicegui import ui

from backstay.workbench.desk import Desk
from backstay.workbench.section.editing import Editing
from backstay.workbench.section.element import SectionElement


def build(desk: Desk) -> None:
    """Show the section of the part that is looked at."""
    ui.add_head_html('<link rel="stylesheet" href="/static/section.css">')
    with ui.element("div").classes("bench"):
        editing = Editing(desk, lambda done: None)
        element = SectionElement(editing, lambda id: None)
    desk.on_change(element.show)
