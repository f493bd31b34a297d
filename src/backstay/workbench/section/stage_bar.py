"""The slider through the stages of the dig."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import ui
from nicegui.events import GenericEventArguments

from backstay.design import SectionDesign
from backstay.quantity import QUANTITIES
from backstay.workbench.desk import Desk
from backstay.workbench.section.stages import ENVELOPE, cautions_of, shown_states


class StageBar:
    """Chooses the state that is shown. changed: called with its number."""

    def __init__(self, desk: Desk, changed: Callable[[int], None]) -> None:
        self.desk, self.changed = desk, changed
        self.number = ENVELOPE
        with ui.element("div").classes("stages") as self.box:
            self.back = ui.button("‹", on_click=lambda: self._go(-1)).classes("act")
            self.back.props('flat no-caps aria-label="Stage before"')
            # the browser's own: the library's takes the focus where no screen reader is told what it is
            self.slider = ui.element("input").props(
                'type="range" min="0" max="1" step="1" aria-label="Stage of the dig"'
            )
            self.slider.on("input", self._moved, js_handler="(e) => emit(e.target.valueAsNumber)")
            self.on = ui.button("›", on_click=lambda: self._go(1)).classes("act")
            self.on.props('flat no-caps aria-label="Next stage"')
            self.words = ui.label().classes("words").props('role="status" aria-live="polite"')
        self.mind = ui.label().classes("mind")
        self.show()

    def show(self) -> None:
        """Show the states that there are."""
        part = self.desk.part
        self.box.set_visibility(isinstance(part, SectionDesign))
        self.mind.set_visibility(visible=False)
        if not isinstance(part, SectionDesign):
            return
        states = shown_states(part, self.desk.units)
        self.number = min(self.number, len(states) - 1)
        loads = _loads(part, self.number, self.desk) if self.number else ""
        self.words.text = states[self.number].title + loads
        self.slider.props["max"], self.slider.props["value"] = len(states) - 1, self.number
        self.slider.props["aria-valuetext"] = states[self.number].title
        self.mind.text = "\n".join(cautions_of(part, states[self.number]))
        self.mind.set_visibility(bool(self.mind.text))
        self.back.set_enabled(self.number > 0)
        self.on.set_enabled(self.number < len(states) - 1)

    def _go(self, by: int) -> None:
        self._show(self.number + by)

    def _moved(self, event: GenericEventArguments) -> None:
        if isinstance(event.args, int):
            self._show(event.args)

    def _show(self, number: int) -> None:
        if number != self.number and 0 <= number <= self.slider.props["max"]:
            self.number = number
            self.show()
            self.changed(number)


def _loads(done: SectionDesign, number: int, desk: Desk) -> str:
    """Return the load of each row in a stage, in words."""
    stage = done.staged.mean.stages[number - 1]
    said = [
        f"row {a.row} {desk.text(QUANTITIES['force'], stage.anchor_loads[a.row - 1])}"
        for a in done.anchors
        if stage.anchor_loads[a.row - 1] > 0.0
    ]
    return f" ({', '.join(said)})" if said else ""
