"""The slider through the stages of the dig."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import ui

from backstay.design import SectionDesign
from backstay.quantity import QUANTITIES
from backstay.workbench.desk import Desk
from backstay.workbench.section.stages import ENVELOPE, cautions_of, shown_states


class StageBar:
    """Chooses the state that is shown. changed: called with its number."""

    def __init__(self, desk: Desk, changed: Callable[[int], None]) -> None:
        self.desk, self.changed = desk, changed
        self.number = ENVELOPE
        self._setting = False
        with ui.element("div").classes("stages") as self.box:
            self.back = ui.button("‹", on_click=lambda: self._go(-1)).classes("act")
            self.back.props('flat no-caps aria-label="Stage before"')
            self.slider = ui.slider(min=0, max=1, step=1, value=0, on_change=self._moved)
            self.slider.props('aria-label="Stage of the dig" markers snap color="primary"')
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
        self._setting = True
        self.slider.props(f"max={len(states) - 1}")
        self.slider.value = self.number
        self._setting = False
        loads = _loads(part, self.number, self.desk) if self.number else ""
        self.words.text = states[self.number].title + loads
        self.mind.text = "\n".join(cautions_of(part, states[self.number]))
        self.mind.set_visibility(bool(self.mind.text))
        self.back.set_enabled(self.number > 0)
        self.on.set_enabled(self.number < len(states) - 1)

    def _go(self, by: int) -> None:
        self.slider.value = self.number + by

    def _moved(self) -> None:
        if self._setting or self.slider.value is None:
            return
        number = int(self.slider.value)
        if number != self.number:
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
