"""The panel of the section: the picture that is the editor, its fields, stages, slips and outcome."""

from __future__ import annotations

from nicegui import ui

from backstay.design import Part
from backstay.stability.slope_design import SlopeDesign
from backstay.words import DISCLAIMER, cautions
from backstay.workbench.desk import Desk
from backstay.workbench.parts import choose_part
from backstay.workbench.section.editing import Editing
from backstay.workbench.section.element import SectionElement
from backstay.workbench.section.inspector import Inspector
from backstay.workbench.section.outcome import Outcome
from backstay.workbench.section.slips import Slips
from backstay.workbench.section.slope_grips import KINDS, Kind, kinds_of
from backstay.workbench.section.stage_bar import StageBar

_HINT = (
    "Drag a handle, or go to it with Tab and move it with the arrow keys; Shift for finer steps, "
    "Enter to type a value, Escape to drop it. Dashed handles stand for what the file leaves open."
)


def build(desk: Desk) -> None:
    """Show the part that is looked at, and let it be changed in place."""
    ui.add_head_html('<link rel="stylesheet" href="/static/section.css">')
    _Panel(desk)


def _kinds(kinds: tuple[Kind, ...]) -> dict[Kind, str]:
    return {kind: f"Drag {kind}" for kind in kinds}


class _Panel:
    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.editing = Editing(desk, self._preview)
        with ui.element("div").classes("bench") as self.bench:
            with ui.element("div").classes("tools"):
                choose_part(desk)
                self.kind = ui.select(_kinds(KINDS), value=KINDS[0], on_change=self._kind)
                self.kind.props('dense outlined options-dense aria-label="What is dragged"')
                self.stages = StageBar(desk, self._state)
                self.wide = ui.button("Hide fields", on_click=self._widen).classes("act")
                self.wide.props("flat no-caps")
            with ui.element("div"):
                self.notice = ui.label().classes("notice").props('role="alert"')
                self.element = SectionElement(self.editing, self._chosen)
                self.hint = ui.label(_HINT).classes("quiet sec-hint")
                with ui.element("div").classes("below"):
                    self.outcome = Outcome(desk)
                    self.slips = Slips(desk, self._redraw)
                with ui.element("details").classes("cautions"):
                    with ui.element("summary"):
                        ui.label("Cautions, and what this is").classes("inline")
                    self.cautions = ui.label().style("white-space: pre-line")
            self.inspector = Inspector(desk, self.editing)
        self.editing.slip = self.slips.overlay
        desk.on_change(self.show)
        self.show()

    def show(self) -> None:
        """Show everything as it stands."""
        desk, part = self.desk, self.desk.part
        standing = desk.standing
        refused = standing is not None and standing.course == "refused"
        self.notice.set_visibility(refused)
        if standing is not None and refused:
            where = f"{standing.where}: " if standing.where else ""
            said = [f"{where}{standing.reason}"] if standing.reason else []
            said += [f"line {f.line}: {f.path}: {f.rule}" for f in standing.faults]
            shown = "there is no design to show" if part is None else "the last design is shown"
            self.notice.text = "\n".join(
                (f"The project cannot be designed as it stands; {shown}.", *said)
            )
        self.hint.set_visibility(part is not None and self.editing.editable)
        slope = isinstance(part, SlopeDesign)
        self.kind.set_visibility(slope and self.editing.editable)
        if isinstance(part, SlopeDesign):
            kinds = _kinds(kinds_of(part.slope))
            if self.kind.options != kinds:
                now = self.kind.value
                self.kind.set_options(kinds, value=now if now in kinds else KINDS[0])
        minded = cautions(walls=part is not None and not slope, slopes=slope)
        self.cautions.text = "\n".join((*minded, DISCLAIMER))
        self.stages.show()
        self.editing.look_at(self.stages.number)
        self.slips.show()
        self.element.show()
        self.outcome.show(part)
        self.inspector.show()

    def _preview(self, done: Part | None) -> None:
        """Show what a part would come to while it is moved."""
        self.outcome.show(done or self.desk.part, preview=done is not None)

    def _redraw(self) -> None:
        self.element.show()

    def _state(self, number: int) -> None:
        self.editing.look_at(number)
        self.element.show()

    def _kind(self) -> None:
        self.editing.take_hold_of(self.kind.value)
        self.element.show()

    def _chosen(self, id: str) -> None:
        handle = self.editing.handle(id)
        if handle is not None:
            self.inspector.choose(handle.thing)

    def _widen(self) -> None:
        hidden = not self.inspector.hidden
        self.inspector.hide(hidden)
        self.wide.text = "Show fields" if hidden else "Hide fields"
        self.bench.classes(add="wide" if hidden else "", remove="" if hidden else "wide")
