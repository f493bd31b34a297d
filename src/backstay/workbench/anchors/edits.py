"""What was typed or pasted into a table: changes of the project file, or what is wrong with each cell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from pydantic_core import PydanticCustomError

from backstay.errors import ProjectError
from backstay.model.changes import Change, Insert, Remove, changed
from backstay.model.document import Path, compose, spelt
from backstay.model.reading import read_text
from backstay.model.units import parse
from backstay.model.writing import Value
from backstay.quantity import UnitSystem
from backstay.workbench.anchors.block import BlockError, cells_of
from backstay.workbench.anchors.columns import Given
from backstay.workbench.anchors.grid import Grid, Place, Refused
from backstay.workbench.desk import words_of
from backstay.workbench.writing_back import set_at

_FORMULA = ("=", "@")


@dataclass(frozen=True, slots=True)
class Edits:
    """Changes to make as one step, in words; or what is wrong: by cell, and as a whole.

    cells: places of the cells that are changed, by the place of their values in the file.
    """

    what: str = ""
    changes: tuple[Change, ...] = ()
    refused: dict[Place, Refused] = field(default_factory=dict)
    why: str = ""
    cells: dict[Path, tuple[Place, str]] = field(default_factory=dict)

    @property
    def good(self) -> bool:
        """Say whether they can be made."""
        return not self.refused and not self.why


class CellError(Exception):
    """A text does not belong into a cell; says why, and what is accepted."""


def cleared(grid: Grid, at: Place, to: Place, file: str, own: UnitSystem) -> Edits:
    """Return what emptying the cells of a rectangle changes; those of the design stay."""
    last = min(to[1], len(grid.given) - 1)
    rows = [[""] * (last - at[1] + 1) for _ in range(at[0], to[0] + 1)]
    return _filled(grid, at, rows, file, own, "Clear")


def typed(grid: Grid, at: Place, text: str, file: str, own: UnitSystem) -> Edits:
    """Return what typing into a cell changes; file: text of the project, own: its units."""
    return _filled(grid, at, [[" ".join(text.split())]], file, own, "Set")


def pasted(grid: Grid, at: Place, text: str, file: str, own: UnitSystem) -> Edits:
    """Return what pasting a block at a cell changes, all of it or nothing.

    Heads of the table above the block are left out; cells of the design may be pasted over only
    by what stands there. Lines beyond the last row become rows, like the last but for what is pasted.
    """
    try:
        rows = cells_of(text)
    except BlockError as error:
        return Edits(why=str(error))
    heads = [head.casefold() for head in grid.heads[at[1] : at[1] + len(rows[0])]]
    if len(rows) > 1 and [cell.casefold() for cell in rows[0]] == heads:
        rows = rows[1:]
    if at[1] + len(rows[0]) > grid.width:
        room = grid.width - at[1]
        return Edits(
            why=f"What was pasted is {len(rows[0])} cells wide; from this cell there are {room}."
        )
    over = at[0] + len(rows) - len(grid.lines)
    if over > 0 and grid.list_path is None:
        return Edits(
            why=f"What was pasted has {len(rows)} lines; from this cell the table has {len(rows) - over}."
        )
    return _filled(grid, at, rows, file, own, "Paste into")


def _filled(
    grid: Grid, at: Place, rows: Sequence[Sequence[str]], file: str, own: UnitSystem, verb: str
) -> Edits:
    changes: list[Change] = []
    refused: dict[Place, Refused] = {}
    cells: dict[Path, tuple[Place, str]] = {}
    for i, texts in enumerate(rows):
        row = at[0] + i
        values: dict[tuple[str, ...], Value] = {}
        for j, text in enumerate(texts):
            place = (row, at[1] + j)
            try:
                value = _value(grid, place, text, own)
            except CellError as error:
                refused[place] = Refused(text, str(error))
                continue
            if value is not _SAME:
                values[grid.given[place[1]].path] = value
        if row < len(grid.lines):
            path = grid.lines[row].path
            for key, value in values.items():
                change = _change(file, (*path, *key), value)
                if change is not None:
                    changes.append(change)
                    # what it brings with it (a mapping that was not there) counts for the next one
                    file = changed(file, [change]) if change.path != (*path, *key) else file
        elif grid.list_path is not None:
            path = (*grid.list_path, row)
            changes.append(Insert(path, _like_last(grid, file, values)))
        for j, text in enumerate(texts):
            if at[1] + j < len(grid.given):
                cells[(*path, *grid.given[at[1] + j].path)] = ((row, at[1] + j), text)
    count = len(cells)
    one = f"{grid.heads[at[1]]} of {_name(grid, at[0])}"
    what = f"{verb} {one}" if count == 1 else f"{verb} {count} cells of {grid.title.lower()}"
    if refused:
        return Edits(what, refused=refused)
    return Edits(what, tuple(changes), cells=cells)


_SAME = "\0the same"
"""Stands for a cell that is left as it is."""


def _value(grid: Grid, at: Place, text: str, own: UnitSystem) -> Value:
    """Return what a text in a cell writes into the file: None takes the value out."""
    row, column = at
    stands = grid.cell(row, column) if row < len(grid.lines) else None
    if column >= len(grid.given):
        if stands is None or text in ("", stands.shown):
            return _SAME
        raise CellError(f"this column is found by the design; {stands.shown} stands here")
    if stands is not None and text == stands.edited:
        return _SAME
    return value_of(grid.given[column], text, grid.units, own)


def value_of(column: Given, text: str, shown: UnitSystem, own: UnitSystem) -> Value:
    """Return what a text writes into the file; None: nothing is to stand there. Raises CellError.

    shown: units of a bare number as the person sees it; own: units of the project.
    """
    accepted = column.accepted(shown)
    if text in ("", "–"):
        if column.optional:
            return None
        raise CellError(f"nothing stands here; accepted: {accepted}")
    if text.startswith(_FORMULA):
        raise CellError(f"this is a formula: paste its value; accepted: {accepted}")
    word = next((w for w in column.options if w.casefold() == text.casefold()), None)
    if word is not None:
        return word
    if column.quantity is not None:
        try:
            parse(text, column.quantity, shown)
        except PydanticCustomError as error:
            reason = (error.context or {}).get("reason", "this is not accepted")
            raise CellError(f"{reason}; accepted: {accepted}") from None
        number = _number(text)
        if number is None:
            return text
        unit = column.quantity.unit(shown)
        same = shown is own or unit.label == column.quantity.unit(own).label
        return number if same else f"{text} {unit.label}"
    if column.whole:
        number = _number(text)
        if number is None or number != int(number):
            raise CellError(f"this is not a whole number; accepted: {accepted}")
        return int(number)
    if column.free:
        return text
    raise CellError(f"this is not one of the choices; accepted: {accepted}")


def _number(text: str) -> int | float | None:
    try:
        value = float(text)
    except ValueError:
        return None
    return int(value) if value == int(value) else value


def _change(file: str, path: Path, value: Value) -> Change | None:
    """Return the change that writes a value; None where what is not there is to be taken out."""
    if value is not None:
        return set_at(file, path, value)
    return None if compose(file, "")[0].at(path) is None else Remove(path)


def _like_last(grid: Grid, file: str, values: dict[tuple[str, ...], Value]) -> Value:
    """Return the last row with other values, as it stands in the file."""
    root, _ = compose(file, "")
    node = root.at(grid.lines[-1].path)
    row = plain(node.value) if node is not None else {}
    assert isinstance(row, dict)  # noqa: S101 - rows are mappings, or the project was refused
    for path, value in values.items():
        inside = row
        for piece in path[:-1]:
            inside = inside.setdefault(piece, {})
        if value is None:
            inside.pop(path[-1], None)
        else:
            inside[path[-1]] = value
    return row


def plain(value: object) -> Value:
    """Return what stands in a file without how it is written."""
    if isinstance(value, dict):
        return {str(key): plain(held) for key, held in value.items()}
    if isinstance(value, list):
        return [plain(held) for held in value]
    if value is None or isinstance(value, (bool, str)):
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return float(value)
    raise TypeError(f"{type(value).__name__} does not stand in a project file")


def _name(grid: Grid, row: int) -> str:
    return f"row {grid.lines[row].name}" if row < len(grid.lines) else f"row {row + 1}"


def verified(edits: Edits, file: str, name: str) -> Edits:
    """Return edits with what the project itself refuses, at the cells that it refuses."""
    if not edits.good or not edits.changes:
        return edits
    try:
        read_text(changed(file, edits.changes), name)
    except ProjectError as error:
        at = {spelt(path): cell for path, cell in edits.cells.items()}
        refused: dict[Place, Refused] = {}
        rest = []
        for fault in error.faults:
            cell = at.get(fault.path)
            if cell is None:
                rest.append(fault)
                continue
            accepted = f"; accepted: {fault.accepted}" if fault.accepted else ""
            refused[cell[0]] = Refused(cell[1], f"{fault.rule}{accepted}")
        why = words_of(ProjectError(rest, name)) if rest else ""
        return Edits(edits.what, refused=refused, why=why)
    return edits
