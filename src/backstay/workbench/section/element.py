"""The element of the page that shows a section with its handles."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

from nicegui import ui
from nicegui.events import GenericEventArguments

from backstay.workbench.section.editing import Answer, Editing
from backstay.workbench.section.picture import pixels

_TALLEST, _LOWEST = 1400.0, 240.0
_FOOT = 150.0
"""Pixels below the picture that are left for what stands there."""


class SectionElement(ui.element, component="../static/section.js"):
    """A section on screen. chosen: called with the handle that a person takes hold of."""

    def __init__(self, editing: Editing, chosen: Callable[[str], None]) -> None:
        super().__init__()
        self.editing = editing
        self._props["scene"] = None
        self._props["room"] = ""
        for name, work, method in (
            ("drag", editing.drag, "answer"), ("step", editing.step, "answer"),
            ("drop", editing.drop, "settled"), ("keep", editing.keep, "settled"),
            ("type", editing.type, "settled"),
        ):  # fmt: skip
            self.on(name, self._answering(work, method))
        self.on("leave", self._left)
        self.on("room", self._roomed)
        self.on("choose", lambda e: chosen(str(said_by(e).get("id", ""))))
        self.show()

    def show(self) -> None:
        """Draw the section as it stands, where anything that is seen has changed."""
        before = self.editing.scene
        scene = self.editing.settle()
        self.set_visibility(scene is not None)
        if scene is not None and scene is not before:
            self._props["scene"] = scene.sent(self.editing.spelling, self.editing.view)
            self.update()

    def _answering(
        self, work: Callable[[Answer], Awaitable[Answer]], method: str
    ) -> Callable[[GenericEventArguments], Awaitable[None]]:
        editing = self.editing

        async def answer(event: GenericEventArguments) -> None:
            with editing.desk.asking():
                found = await work(said_by(event))
            self.show()  # first, so that the page has the new picture when it is told
            self.run_method(method, found)

        return answer

    def _left(self) -> None:
        """Draw what may have changed while something was held."""
        self.editing.leave()
        self.show()

    def _roomed(self, event: GenericEventArguments) -> None:
        """Draw anew for the room that the page has, in pixels."""
        said = said_by(event)
        width, height = said.get("w"), said.get("h")
        if not isinstance(width, int | float) or not isinstance(height, int | float):
            return
        tall = min(max(height - _FOOT, _LOWEST), _TALLEST)
        wide = min(max(width, 300.0), 4000.0)
        self.editing.room = (wide / pixels(wide), tall / pixels(wide))
        self._props["room"] = f"{width:g} {height:g}"  # the page waits for the picture of this room
        self.show()
        self.update()


def said_by(event: GenericEventArguments) -> dict[str, Any]:
    """Return what an event of the page carries; nothing where it is no mapping."""
    found = event.args
    if isinstance(found, list) and found:
        found = found[0]
    return found if isinstance(found, dict) else {}
