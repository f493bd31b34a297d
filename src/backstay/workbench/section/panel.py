"""The panel of the section."""

from __future__ import annotations

from nicegui import ui

from backstay.design import SectionDesign
from backstay.drawing import section_svg
from backstay.workbench.desk import Desk


def build(desk: Desk) -> None:
    """Show the section of the part that is looked at."""
    picture = ui.html("", sanitize=False).classes("drawing")

    def show() -> None:
        part = desk.part
        if isinstance(part, SectionDesign):
            picture.content = section_svg(part, desk.units)

    desk.on_change(show)
    show()
