"""Rows put in and taken out of the schedule, with the sequence of the dig that counts them."""

from __future__ import annotations

from backstay.design import SectionDesign
from backstay.model.changes import Change, Insert, Remove, Set
from backstay.model.document import Path, compose
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.workbench.anchors.edits import plain
from backstay.workbench.anchors.grid import Grid
from backstay.workbench.writing_back import written_value

_STEP = {UnitSystem.SI: 0.1, UnitSystem.US: 0.5}
"""Elevations of new rows are rounded to this, in the shown unit."""


def duplicated(grid: Grid, row: int, done: SectionDesign, file: str, own: UnitSystem) -> list[Change]:  # fmt: skip
    """Return the changes that put a copy of a row of a wall below it: halfway to the next, or to subgrade."""
    levels = [r.elevation for r in done.section.anchors]
    below = levels[row + 1] if row + 1 < len(levels) else done.section.cut.subgrade
    value = _copy(grid, row, file)
    value["elevation"] = _rounded(0.5 * (levels[row] + below), grid.units, own)
    assert grid.list_path is not None  # noqa: S101 - only such tables have rows to add
    section = grid.list_path[:-1]
    return [Insert((*grid.list_path, row + 1), value), *_renumbered(done, section, row + 2, 1)]


def duplicated_head(grid: Grid, row: int, file: str, own: UnitSystem) -> list[Change]:
    """Return the changes that put another row of heads on a slope: halfway to the next, or a step on."""
    points = [(float(getattr(line.row, "x")), float(getattr(line.row, "elevation"))) for line in grid.lines]  # noqa: B009  # fmt: skip
    here = points[row]
    if row + 1 < len(points):
        there = points[row + 1]
        new = (0.5 * (here[0] + there[0]), 0.5 * (here[1] + there[1]))
    else:
        before = points[row - 1] if row else (here[0] + 3.0, here[1] + 1.5)
        new = (2 * here[0] - before[0], 2 * here[1] - before[1])
    value = _copy(grid, row, file)
    value |= {"x": _rounded(new[0], grid.units, own), "elevation": _rounded(new[1], grid.units, own)}  # fmt: skip
    assert grid.list_path is not None  # noqa: S101
    return [Insert((*grid.list_path, row + 1), value)]


def removed(grid: Grid, row: int, done: object) -> list[Change]:
    """Return the changes that take a row out."""
    assert grid.list_path is not None  # noqa: S101
    changes: list[Change] = []
    if isinstance(done, SectionDesign):
        changes = _renumbered(done, grid.list_path[:-1], row + 1, -1)
    return [*changes, Remove((*grid.list_path, row))]


def _copy(grid: Grid, row: int, file: str) -> dict[str, object]:
    node = compose(file, "")[0].at(grid.lines[row].path)
    value = plain(node.value) if node is not None else None
    return dict(value) if isinstance(value, dict) else {}


def _rounded(elevation: float, shown: UnitSystem, own: UnitSystem) -> str | float | int:
    length, step = QUANTITIES["length"], _STEP[shown]
    steps = round(length.shown(elevation, shown) / step)
    return written_value(length.internal(steps * step, shown), length, shown, own)


def _renumbered(done: SectionDesign, section: Path, first: int, by: int) -> list[Change]:
    """Return the changes of the stated sequence of the dig for rows from `first` on that are renumbered.

    A row that goes is stressed no more; that a new one is to be stressed is for the person to say.
    """
    changes: list[Change] = []
    for i, stage in reversed(list(enumerate(done.section.cut.sequence))):
        path = (*section, "cut", "sequence", i)
        if stage.stress_row is None or stage.stress_row < first:
            continue
        if by > 0 or stage.stress_row > first:
            changes.append(Set((*path, "stress_row"), stage.stress_row + by))
        else:
            only = stage.excavate_to is None and not stage.note
            changes.append(Remove(path if only else (*path, "stress_row")))
    return changes
