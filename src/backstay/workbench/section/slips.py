"""The slip surfaces that the full design has found: one is chosen to be seen; the map of safety."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from html import escape

from nicegui import run, ui

from backstay.design import SectionDesign
from backstay.drawing.boxes import quads_meet
from backstay.drawing.clip import clipped
from backstay.drawing.marks import Point, Text
from backstay.drawing.slip import slip_window
from backstay.report.slip_map import map_figure
from backstay.report.slip_scene import Setting, along
from backstay.slip_tables import lettered
from backstay.stability.overall import StageSafety
from backstay.stability.overall_comparison import map_circles, whole_surface
from backstay.stability.slip.search_result import Minimum
from backstay.workbench.desk import Desk
from backstay.workbench.section.picture import Picture

NONE = ""
_LETTERS = 1.9


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip surface to choose. key: stable while the search finds as many; name: in words."""

    key: str
    name: str
    stage: StageSafety
    minimum: Minimum


def slips_of(done: SectionDesign) -> tuple[Slip, ...]:
    """Return the surfaces that were found: the least safe state first, in each the least safe first."""
    if done.overall is None:
        return ()
    stages = sorted(enumerate(done.overall.stages), key=lambda s: s[1].safety)
    return tuple(
        Slip(
            f"{i}-{k}",
            f"F = {lettered(m.F)}, {stage.stage.title}, {m.kind}",
            stage,
            m,
        )
        for i, stage in stages
        for k, m in enumerate(stage.found.minima)
    )


def slip_svg(slip: Slip, picture: Picture) -> str:
    """Return a slip surface on a picture, as far as it is seen, with its safety."""
    frame, height = picture.frame, picture.drawing.height
    points = [frame.view.at(float(x), -float(y)) for x, y in whole_surface(slip.minimum)]
    runs = clipped(points, slip_window(frame))
    parts = []
    for line in runs:
        places = " ".join(f"{x:.2f},{height - y:.2f}" for x, y in line)
        parts.append(f'<polyline class="slip-shown" points="{places}"/>')
    words = f"F = {lettered(slip.minimum.F)}"
    place = _clear(runs, words, picture)
    if place is not None:
        x, y = place
        parts.append(
            f'<text class="slip-word" x="{x:.2f}" y="{height - y:.2f}">{escape(words)}</text>'
        )
    return "".join(parts)


def _clear(runs: list[list[Point]], words: str, picture: Picture) -> Point | None:
    """Return where words beside a line meet no text of the drawing; else beside its middle."""
    texts = [t.quad for t in picture.drawing.texts]
    spots = [
        along(line, t) for line in runs for t in (0.75, 0.65, 0.85, 0.55, 0.45, 0.35, 0.25, 0.15)
    ]
    for x, y in spots:
        for dx, dy in ((1.5, -3.0), (1.5, 1.0), (-9.5, -3.0), (-9.5, 1.0)):
            text = Text((x + dx, y + dy), words, _LETTERS, bold=True)
            if not any(quads_meet(text.quad, other) for other in texts):
                return text.at
    return spots[0] if spots else None


class Slips:
    """The list of slip surfaces below the section. changed: called when another one is chosen."""

    def __init__(self, desk: Desk, changed: Callable[[], None]) -> None:
        self.desk, self.changed = desk, changed
        self.chosen = NONE
        self._filled: object = None
        with ui.element("section").props('aria-label="Slip surfaces"') as self.box:
            ui.label("Slip surfaces").props("role=heading aria-level=2").classes("text-bold")
            with ui.row().classes("items-center"):
                self.words = ui.label().props('role="status" aria-live="polite"')
                self.stop = ui.button("Stop", on_click=lambda: desk.opened.live.stop())
                self.again = ui.button(
                    "Look for them", on_click=lambda: desk.opened.live.search_again()
                )
                for button in (self.stop, self.again):
                    button.classes("act").props("flat no-caps")
            self.pick = (
                ui.select({}, label="Shown in the section", on_change=self._picked)
                .props("dense outlined options-dense")
                .classes("w-full")
            )
            self.map = ui.button("Map of safety", on_click=self._map).classes("act")
            self.map.props("flat no-caps")
        self.show()

    def show(self) -> None:
        """Show what is known: being looked for, stopped, or the list."""
        standing, part = self.desk.standing, self.desk.part
        self.box.set_visibility(isinstance(part, SectionDesign))
        course = standing.course if standing else "refused"
        found = self._found()
        said = {
            "searching": "Looking for slip surfaces …",
            "stopped": "The search was stopped: overall stability is not checked.",
            "refused": "There is no design to look for slip surfaces in.",
            "done": "" if found else "No slip surface counts.",
        }
        self.words.text = said[course]
        self.stop.set_visibility(course == "searching")
        self.again.set_visibility(course == "stopped")
        self.pick.set_visibility(bool(found))
        self.map.set_visibility(bool(found))
        if found and self._filled is not part:
            self._filled = part
            names = {NONE: "none", **{slip.key: slip.name for slip in found}}
            if self.chosen not in names:
                self.chosen = NONE
            self.pick.set_options(names, value=self.chosen)

    def overlay(self, picture: Picture) -> str:
        """Return the chosen surface on a picture; nothing where there is none."""
        slip = next((s for s in self._found() if s.key == self.chosen), None)
        return slip_svg(slip, picture) if slip else ""

    def _found(self) -> tuple[Slip, ...]:
        part = self.desk.part
        return slips_of(part) if isinstance(part, SectionDesign) else ()

    def _picked(self) -> None:
        chosen = str(self.pick.value or NONE)
        if chosen != self.chosen:
            self.chosen = chosen
            self.changed()

    async def _map(self) -> None:
        """Show the map of safety of the chosen state, or of the least safe one; closing leaves it."""
        part, found = self.desk.part, self._found()
        if not isinstance(part, SectionDesign) or not found:
            return
        slip = next((s for s in found if s.key == self.chosen), found[0])
        with self.box, ui.dialog(value=True) as dialog, ui.card().classes("map"):
            title = f"Safety over circle centres, {slip.stage.stage.title}"
            ui.label(title).classes("text-bold")
            body = ui.element("div").props('role="status"')
            with body:
                ui.label("Working: some thousand circles are analysed …")
            ui.button("Close", on_click=dialog.close).classes("act").props("flat no-caps")
        dialog.on("hide", dialog.delete)
        picture = await run.io_bound(_map_svg, part, slip, self.desk)
        if dialog.is_deleted:
            return
        body.clear()
        with body:
            if picture:
                ui.html(picture, sanitize=False).classes("drawing")
            else:
                ui.label("No circle counts: there is no map.")


def _map_svg(done: SectionDesign, slip: Slip, desk: Desk) -> str:
    """Return the map of a state as SVG; "" where no circle counts."""
    state = slip.stage
    mapped = map_circles(state.model, state.found, state.options)
    if mapped is None:
        return ""
    setting = Setting(
        datum=done.section.ground.top, wall=(0.0, 0.0, -done.wall.toe),
        strata=tuple(layer.name for layer in done.ground.layers),
    )  # fmt: skip
    title = f"Map of safety, {state.stage.title}"
    return map_figure(state.model, mapped, desk.units, title=title, setting=setting)
