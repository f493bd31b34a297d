"""One table of the panel as cells, and as markup: a grid that assistive technology reads cell by cell."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from json import dumps

from markupsafe import Markup
from pydantic import BaseModel

from backstay.anchors import AnchorDesign
from backstay.anchors.schedule import ScheduleRow
from backstay.model.document import Path
from backstay.quantity import UnitSystem, significant
from backstay.tables import Writer
from backstay.workbench.anchors.block import block_text
from backstay.workbench.anchors.columns import Found, Given
from backstay.workbench.markup import tag

Place = tuple[int, int]
_MANY_DIGITS = 9


@dataclass(frozen=True, slots=True)
class Line:
    """One row of a table: its name, its place in the project file, and what stands there.

    anchor, planned: of the design, None where there is none or it does not belong to one row.
    """

    name: str
    path: Path
    row: BaseModel
    anchor: AnchorDesign | None = None
    planned: ScheduleRow | None = None


@dataclass(frozen=True, slots=True)
class Cell:
    """A cell: as it is read; as it is edited, None where it cannot be."""

    shown: str
    edited: str | None


@dataclass(frozen=True, slots=True)
class Refused:
    """What was typed into a cell and was not taken, and why."""

    text: str
    why: str


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: key in the page, title, lines, columns. list_path: of the list of its rows, if it is one."""

    key: str
    title: str
    lines: tuple[Line, ...]
    given: tuple[Given, ...]
    found: tuple[Found, ...]
    units: UnitSystem
    list_path: Path | None = None
    refused: Mapping[Place, Refused] = field(default_factory=dict)

    def cell(self, row: int, column: int) -> Cell:
        """Return a cell. Raises IndexError where there is none."""
        line = self.lines[row]
        if column < len(self.given):
            return given_cell(self.given[column], line.row, self.units)
        found = self.found[column - len(self.given)]
        if line.anchor is None or line.planned is None:
            return Cell("–", None)
        return Cell(found.text(line.anchor, line.planned, Writer(self.units)), None)

    @property
    def width(self) -> int:
        """Return the number of columns."""
        return len(self.given) + len(self.found)

    @property
    def heads(self) -> tuple[str, ...]:
        """Return the heads, with units."""
        columns: tuple[Given | Found, ...] = (*self.given, *self.found)
        return tuple(column.head(self.units) for column in columns)


def given_cell(column: Given, row: BaseModel, units: UnitSystem) -> Cell:
    """Return the cell of a value of the project file."""
    value, quantity = column.value(row), column.quantity
    if value is None:
        return Cell("–", "")
    if quantity is None or isinstance(value, str):
        return Cell(str(value) or "–", str(value))
    if not isinstance(value, (int, float)):
        raise TypeError(f"{column.words}: {type(value).__name__} has no cell")
    shown = quantity.shown(float(value), units)
    text = trimmed(shown)
    return Cell(text if quantity.name == "ratio" else quantity.number(float(value), units), text)


def trimmed(value: float) -> str:
    """Return a number with nine digits, without zeros at its end: 28.0416, 92."""
    text = significant(value, _MANY_DIGITS)
    return text.rstrip("0").rstrip(".") if "." in text else text


def grid_table(grid: Grid, *, may_edit: bool) -> Markup:
    """Return a table as markup; may_edit: False where nothing can be changed now."""
    given_head = tag("th", "In the project: edited here", colspan=len(grid.given), scope="colgroup")
    found_head = tag("th", "Found by the design: not edited", colspan=len(grid.found), scope="colgroup", class_="found")  # fmt: skip
    heads = [
        tag("th", head, scope="col", id=f"{grid.key}-h{i}", class_="found" if i >= len(grid.given) else None)
        for i, head in enumerate(grid.heads)
    ]  # fmt: skip
    return tag(
        "table",
        tag("caption", grid.title),
        tag(
            "thead",
            tag("tr", tag("td"), given_head, *([found_head] if grid.found else []), role="row"),
            tag("tr", tag("th", "Row", scope="col"), *heads, role="row"),
        ),
        tag("tbody", *(_row(grid, i, may_edit) for i in range(len(grid.lines)))),
        role="grid", data_grid=grid.key, class_="sheet anchors-grid",
        aria_label=grid.title, aria_multiselectable="true", aria_describedby="anchors-keys", aria_readonly=None if may_edit else "true",
    )  # fmt: skip


def _row(grid: Grid, row: int, may_edit: bool) -> Markup:
    cells = (_cell(grid, row, column, may_edit) for column in range(grid.width))
    return tag("tr", tag("th", grid.lines[row].name, scope="row"), *cells, role="row")


def _cell(grid: Grid, row: int, column: int, may_edit: bool) -> Markup:
    cell, refused = grid.cell(row, column), grid.refused.get((row, column))
    open_ = may_edit and cell.edited is not None
    id = f"{grid.key}-{row}-{column}"
    right = _is_right(grid, column)
    looks = ["number" if right else "", "" if cell.edited is not None else "found", "refused" if refused else ""]  # fmt: skip
    options: Sequence[str] = grid.given[column].options if open_ else ()
    inside: list[Markup | str] = [refused.text if refused else cell.shown]
    if refused:
        inside.append(tag("span", f"✗ {refused.why}", class_="why", id=f"{id}-why"))
    return tag(
        "td", *inside,
        role="gridcell", id=id, tabindex=0 if (row, column) == (0, 0) else -1,
        class_=" ".join(filter(None, looks)) or None, headers=f"{grid.key}-h{column}",
        data_row=row, data_column=column,
        data_edit=(refused.text if refused else cell.edited) if open_ else None,
        data_copy=block_text([[cell.edited if cell.edited is not None else cell.shown]]),
        data_options=dumps(options) if options else None,
        aria_readonly=None if open_ else "true",
        aria_invalid="true" if refused else None,
        aria_describedby=f"{id}-why" if refused else None,
    )  # fmt: skip


def _is_right(grid: Grid, column: int) -> bool:
    if column < len(grid.given):
        return grid.given[column].quantity is not None or grid.given[column].whole
    return grid.found[column - len(grid.given)].right
