"""The panel of anchors: the schedule as a table, then quantities and the notes of the drawings."""

from __future__ import annotations

from collections.abc import Callable

from nicegui import events, run, ui

from backstay.checks import expand
from backstay.design import Part, SectionDesign
from backstay.model.changes import Change
from backstay.model.wall import SoldierPiles
from backstay.quantity import UnitSystem
from backstay.stability.slope_design import SlopeDesign
from backstay.tables import quantities_table
from backstay.workbench.anchors.columns import FOUND, head_columns, slope_columns, wall_columns
from backstay.workbench.anchors.edits import Edits, cleared, pasted, typed, verified
from backstay.workbench.anchors.grid import Grid, Line, Place, Refused, grid_table
from backstay.workbench.anchors.rows import duplicated, duplicated_head, removed
from backstay.workbench.desk import Desk
from backstay.workbench.markup import table_of, tag
from backstay.workbench.parts import choose_part

_KEYS = (
    "Arrow keys go from cell to cell, with Shift they mark a block. Enter, F2 or typing edits a cell; Enter or Tab "
    "takes what was typed, Escape drops it. Delete empties cells. Copy and paste work with a spreadsheet. "
    "Numbers may carry a unit: 30 ft, 9.2 m, 115 kip. Escape, then Tab, leaves the table."
)


def build(desk: Desk) -> None:
    """Show the schedule of the part that is looked at."""
    ui.add_head_html('<link rel="stylesheet" href="/static/anchors.css">')
    ui.add_head_html('<script src="/static/anchors.js" defer></script>')
    _Panel(desk)


def grids_of(part: Part, part_path: tuple[str | int, ...], units: UnitSystem, *, seldom: bool) -> list[Grid]:  # fmt: skip
    """Return the tables of a part: of a wall its rows; of a slope its heads, and what they share."""
    if isinstance(part, SectionDesign):
        path = (*part_path, "anchors")
        lines = tuple(
            Line(str(i + 1), (*path, i), row, part.anchors[i], part.schedule.rows[i])
            for i, row in enumerate(part.section.anchors)
        )
        columns = wall_columns(piles=isinstance(part.section.wall, SoldierPiles))
        shown = tuple(column for column in columns if seldom or not column.seldom)
        return [Grid("rows", "Anchor schedule", lines, shown, FOUND, units, path)]
    anchors, path = part.slope.anchors, (*part_path, "anchors")
    by_row = {row.row: row.anchor for row in part.rows}
    planned = {row.row: row for row in part.schedule.rows}
    heads = tuple(
        Line(str(i + 1), (*path, "heads", i), head, by_row.get(i + 1), planned.get(i + 1))
        for i, head in enumerate(anchors.heads)
    )
    shown = tuple(column for column in slope_columns() if seldom or not column.seldom)
    return [
        Grid("rows", "Rows of anchors", heads, head_columns(), FOUND, units, (*path, "heads")),
        Grid("shared", "What all rows share", (Line("all", path, anchors),), shown, (), units),
    ]


class _Panel:
    """The tables, and what was typed into them that was not taken."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.grids: dict[str, Grid] = {}
        self.refused: dict[str, dict[Place, Refused]] = {}
        self.at: Place = (0, 0)
        self.answers = 0
        self._judged: object = None
        choose_part(desk)
        self.stale = ui.label().classes("notice").props('role="status"')
        with ui.element("div").classes("anchors-do no-print"):
            if desk.may_design:
                self._button("Add a row below", self._add)
                self._button("Remove the row", self._remove)
            self.seldom = ui.checkbox("All columns", on_change=self.show).props("dense")
        self.said = ui.label().classes("anchors-said").props('role="status" aria-live="polite"')
        self.wrong = ui.label().classes("notice").props('role="alert"')
        self.wrong.set_visibility(False)
        self.tables = ui.html("", sanitize=False).classes("anchors-tables")
        self.tables.on("gridedit", self._edited, js_handler="(event) => emit(event.detail)")
        ui.label(_KEYS).classes("quiet no-print").props('id="anchors-keys"')
        self.below = ui.html("", sanitize=False).classes("anchors-below")
        desk.on_change(self.show)
        self.show()

    @staticmethod
    def _button(words: str, act: Callable[[], object]) -> None:
        ui.button(words, on_click=act).classes("act").props("flat no-caps")

    def show(self) -> None:
        """Draw everything as it stands."""
        part, standing = self.desk.part, self.desk.standing
        current = standing is not None and standing.course != "refused"
        self.stale.set_visibility(not current)
        self.stale.text = (
            "The project cannot be designed as it stands. What the table shows is of its last "
            "design, and takes no changes: undo the last step, or mend the file."
        )
        if self._judged != self._now():
            self._forget()
        if part is None:
            self.tables.content = self.below.content = ""
            return
        found = grids_of(part, self.desk.part_path, self.desk.units, seldom=bool(self.seldom.value))
        self.grids = {
            grid.key: Grid(
                grid.key, grid.title, grid.lines, grid.given, grid.found, grid.units, grid.list_path,
                self.refused.get(grid.key, {}),
            )
            for grid in found
        }  # fmt: skip
        may = self.desk.may_design and current
        self.tables.content = tag(
            "div",
            *(
                tag("div", grid_table(grid, may_edit=may), class_="anchors-wide")
                for grid in self.grids.values()
            ),
            data_answers=self.answers,
        )
        self.below.content = _below(part, self.desk.units)

    async def _edited(self, event: events.GenericEventArguments) -> None:
        said = event.args
        if not isinstance(said, dict):
            return
        grid = self.grids.get(str(said.get("grid")))
        at, text, kind = _place(said.get("at")), said.get("text"), said.get("kind")
        if grid is None or at is None or at[0] >= len(grid.lines) or at[1] >= grid.width:
            return
        self.at = at
        if kind == "drop" and self.refused:
            self._forget()
            self.said.text = ""
            self._answer()
        if kind in ("at", "drop") or not isinstance(text, str):
            return
        file, own = self.desk.opened.file, self._own_units()
        to = _place(said.get("to")) or at

        def work() -> Edits:
            if kind == "clear":
                made = cleared(grid, at, to, file.text, own)
            else:
                made = (pasted if kind == "paste" else typed)(grid, at, text, file.text, own)
            return verified(made, file.text, file.path.name)

        with self.desk.asking():
            edits = await run.io_bound(work)
            if edits is not None:
                await self._take(grid, edits)

    async def _take(self, grid: Grid, edits: Edits) -> None:
        why = edits.why
        if edits.good:
            why = await self.desk.edit(edits.changes, edits.what) if edits.changes else ""
        self.refused = {} if not edits.refused else {grid.key: edits.refused}
        self._tell(why or _summary(edits, grid), edits.what if edits.changes and not why else "")
        self._answer()

    def _now(self) -> object:
        """Return what a refusal is of: the text of the project, and the part that is looked at."""
        return self.desk.state.revision, self.desk.part_path

    def _forget(self) -> None:
        """Take back what was refused as the project was: it may be right now."""
        self._judged = self._now()
        self.refused = {}
        self.wrong.text = ""
        self.wrong.set_visibility(False)

    def _answer(self) -> None:
        """Draw the table again even where nothing changed: a cell may still show what was typed."""
        self.answers += 1
        self.show()

    def _tell(self, why: str, done: str) -> None:
        self._judged = self._now()
        self.wrong.text = why
        self.wrong.set_visibility(bool(why))
        self.said.text = f"✓ {done}" if done else ""

    def _own_units(self) -> UnitSystem:
        design = self.desk.design
        return design.project.units if design is not None else self.desk.units

    async def _add(self) -> None:
        part, grid = self.desk.part, self.grids.get("rows")
        if part is None or grid is None:
            return
        row = min(self.at[0], len(grid.lines) - 1)
        file, own = self.desk.opened.file.text, self._own_units()
        if isinstance(part, SectionDesign):
            changes = duplicated(grid, row, part, file, own)
        else:
            changes = duplicated_head(grid, row, file, own)
        await self._rows(changes, f"Add a row below row {row + 1}")

    async def _remove(self) -> None:
        part, grid = self.desk.part, self.grids.get("rows")
        if part is not None and grid is not None:
            row = min(self.at[0], len(grid.lines) - 1)
            await self._rows(removed(grid, row, part), f"Remove row {row + 1}")

    async def _rows(self, changes: list[Change], what: str) -> None:
        why = await self.desk.edit(changes, what)
        self.refused = {}
        self._tell(why, "" if why else what)
        self.show()


def _summary(edits: Edits, grid: Grid) -> str:
    """Return in words which cells are wrong; nothing was changed then."""
    lines = [
        f"Row {row + 1}, {grid.heads[column]}: “{refused.text}”: {refused.why}"
        for (row, column), refused in sorted(edits.refused.items())
    ]
    return "\n".join(["Nothing was changed.", *lines]) if lines else ""


def _place(said: object) -> Place | None:
    if isinstance(said, list) and len(said) == 2 and all(isinstance(n, int) for n in said):
        return (max(0, said[0]), max(0, said[1]))
    return None


def _below(part: Part, units: UnitSystem) -> str:
    notes = part.schedule.notes
    slope = isinstance(part, SlopeDesign)
    return tag(
        "div",
        tag(
            "section", tag("h2", "Notes"), tag("ol", *(tag("li", expand(n, units)) for n in notes))
        ),
        tag(
            "section",
            tag("h2", "Quantities" + (" of the slope" if slope else "")),
            tag(
                "div", table_of(quantities_table(part, units)), class_="anchors-wide", tabindex="0"
            ),
        ),
    )
