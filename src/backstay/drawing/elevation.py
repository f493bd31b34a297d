"""The elevation of the wall, seen from the cut: piles, rows and numbered anchors, to scale."""

from __future__ import annotations

import itertools
from dataclasses import replace
from math import inf
from typing import TYPE_CHECKING

from backstay.data import steel_shape
from backstay.drawing.along import BREAK, Run, anchor_places, pile_places
from backstay.drawing.board import Board
from backstay.drawing.boxes import quads_meet
from backstay.drawing.figures import length, length_with_unit, short
from backstay.drawing.frame import Columns, Extent, Frame, arrange
from backstay.drawing.ground import draw_strata_column
from backstay.drawing.lettering import text_width
from backstay.drawing.levels import Level, draw_chain, draw_levels
from backstay.drawing.marks import Drawing, Point, Text
from backstay.drawing.sheet import Sheet
from backstay.drawing.strip import (
    ANCHOR_SIGN,
    Caption,
    crossed_circle,
    draw_strip,
    scale_bar,
    title,
)
from backstay.errors import DesignError
from backstay.model.wall import SoldierPiles
from backstay.quantity import UnitSystem

if TYPE_CHECKING:
    from backstay.anchors import AnchorDesign
    from backstay.design import SectionDesign
    from backstay.model.project import ProjectData

SHEET_COLUMNS = Columns(levels=31.0, chain=22.0, labels=0.0, gap=6.0, right=50.0)
FIGURE_COLUMNS = Columns(levels=27.0, chain=0.0, labels=0.0, gap=5.0, right=33.0)
_BAYS_LAGGED = 2
_BOARD = 0.25
"""Drawn height of a lagging board (m): an indication."""


def compose_elevation(
    done: SectionDesign, sheet: Sheet, units: UnitSystem, project: ProjectData | None = None
) -> Drawing:
    """Return the drawing of the wall's elevation; a very long wall is broken in its middle.

    Raises DesignError where no scale fits, NoRoomError where a label finds no place.
    """
    columns = FIGURE_COLUMNS if sheet.is_figure else SHEET_COLUMNS
    run, frame = _fitted(done, sheet, columns)
    board = Board(sheet.text)
    unmarked = _draw(board, frame, done, run, units)
    scale_bar(board, frame, units)
    name = f"Elevation {done.section.name}"
    paper = Board(sheet.text, "paper")
    if not sheet.is_figure:
        title(board, frame, name)
        remarks = []
        if run.shown:
            remarks.append("The middle of the wall is left out at the break lines.")
        if unmarked:
            rows = ", ".join(str(row) for row in unmarked)
            remarks.append(f"Rows without marks for want of room, numbered alike: {rows}.")
        layers = {mark.layer for mark in board.marks}
        draw_strip(paper, frame, Caption(name, "elevation", project, tuple(remarks)), layers, units)
    return Drawing(
        name, frame.sheet.width, frame.sheet.height, frame.view, units, frame.window,
        (*board.marks, *paper.marks),
    )  # fmt: skip


def _fitted(done: SectionDesign, sheet: Sheet, columns: Columns) -> tuple[Run, Frame]:
    """Return the run and its frame: whole at a readable scale, else broken to fit."""
    L = done.section.wall_length
    deepest = max(done.wall.toe, done.ground.H)
    readable = (
        tuple(n for n in sheet.scales if n <= (400 if sheet.is_figure else 250)) or sheet.scales
    )
    width = sheet.right - sheet.left - columns.before - columns.right
    extent = Extent(0.0, L, 0.0, deepest, 14.0, 15.0)
    try:
        return Run(L), arrange(
            replace(sheet, scales=readable), replace(extent, right=L + 16.0 * L / width),
            columns, done.section.ground.top,
        )  # fmt: skip
    except DesignError:
        pass
    for n in sheet.scales:
        shown = (width - BREAK - 16.0) * n / 1000 / 2
        try:
            frame = arrange(
                replace(sheet, scales=(n,)), replace(extent, right=2 * shown), columns,
                done.section.ground.top,
            )  # fmt: skip
        except DesignError:
            continue
        if n >= readable[-1] or 2 * shown >= L:
            whole = 2 * shown >= L
            return (Run(L) if whole else Run(L, shown)), frame
    raise DesignError("no drawing scale fits the elevation", "drawing")


def _draw(
    board: Board, frame: Frame, done: SectionDesign, run: Run, units: UnitSystem
) -> list[int]:
    """Draw the elevation; return the rows whose anchors have no room for marks."""
    view, wall = frame.view, done.section.wall
    x0 = view.origin[0]
    H, toe = done.ground.H, done.wall.toe
    end = x0 + (run.place(run.length, view.mm) or 0.0)
    top, subgrade, foot = (view.at(0, z)[1] for z in (0.0, H, toe))
    for layer in done.ground.layers[1:]:
        if 0 < layer.top < frame.deepest:
            y = view.at(0, layer.top)[1]
            board.line("GROUND-STRATA", (x0 - 3, y), (frame.window[1][0] - 7.0, y))
    pieces = [(x0, end)]
    if run.shown:
        a = x0 + run.shown * view.mm
        pieces = [(x0, a), (a + BREAK, end)]
    for a, b in pieces:
        board.line("WALL-PILE", (a, top), (b, top))
        board.line("CUT-SUBGRADE", (a, subgrade), (b, subgrade))
    if isinstance(wall, SoldierPiles):
        _piles(board, frame, done, run)
        _lagging(board, frame, done, run)
    else:
        for a, b in pieces:
            board.line("WALL-HIDDEN", (a, subgrade), (a, foot), (b, foot), (b, subgrade))
        for x in (x0, end):
            board.line("WALL-PILE", (x, top), (x, subgrade))
    if run.shown:
        for a in (pieces[0][1], pieces[1][0]):
            _break(board, a, foot - 2.0, top + 2.0)
    unmarked = _anchors(board, frame, done, run)
    draw_levels(board, frame, _levels(done, frame), units)
    if not frame.sheet.is_figure:
        rows = [a.z for a in done.anchors]
        draw_chain(board, frame, [0.0, *rows, H, toe], [0.0, H, toe], units)
    draw_strata_column(board, frame, done, units, 0.0)
    _strings(board, frame, done, run, end, units)
    _words(board, frame, done, units)
    return unmarked


def _half_width(done: SectionDesign, mm: float) -> float:
    """Return half the drawn width of a pile (mm): that of its flange, or of the whole pair."""
    wall = done.section.wall
    if not isinstance(wall, SoldierPiles):
        return 0.35
    shape = steel_shape(done.wall.section_name)
    width = shape.bf if wall.arrangement == "single" else 2 * shape.bf + wall.gap
    return max(width / 2 * mm, 0.35)


def _piles(board: Board, frame: Frame, done: SectionDesign, run: Run) -> None:
    view = frame.view
    top, subgrade, foot = (view.at(0, z)[1] for z in (0.0, done.ground.H, done.wall.toe))
    half = _half_width(done, view.mm)
    for y in pile_places(done):
        at = run.place(y, view.mm)
        if at is None:
            continue
        x = view.origin[0] + at
        board.line("WALL-PILE", (x - half, subgrade), (x - half, top))
        board.line("WALL-PILE", (x + half, subgrade), (x + half, top))
        board.line(
            "WALL-HIDDEN", (x - half, subgrade), (x - half, foot), (x + half, foot),
            (x + half, subgrade),
        )  # fmt: skip


def _lagging(board: Board, frame: Frame, done: SectionDesign, run: Run) -> None:
    """Draw lagging boards in the first bays, as an indication for all."""
    view = frame.view
    half = _half_width(done, view.mm)
    places = [run.place(y, view.mm) for y in pile_places(done)[: _BAYS_LAGGED + 1]]
    count = int(done.ground.H / max(_BOARD, 1.3 / view.mm))
    for a, b in itertools.pairwise(places):
        if a is None or b is None:
            continue
        for k in range(1, count + 1):
            y = view.at(0, done.ground.H * k / (count + 1))[1]
            board.sign(
                "WALL-LAGGING", (view.origin[0] + a + half, y), (view.origin[0] + b - half, y)
            )


def _anchors(board: Board, frame: Frame, done: SectionDesign, run: Run) -> list[int]:
    """Draw the anchors with their marks; return the rows that have no room for marks."""
    view = frame.view
    half = _half_width(done, view.mm)
    unmarked = []
    for anchor in done.anchors:
        y = view.at(0, anchor.z)[1]
        signs = [
            (i, view.origin[0] + at)
            for i, along in enumerate(anchor_places(done, anchor), 1)
            if (at := run.place(along, view.mm)) is not None
        ]
        for _, x in signs:
            crossed_circle(board, "ANCHOR-FACE", (x, y))
        pitch = anchor.spacing * view.mm
        piles = isinstance(done.section.wall, SoldierPiles)
        marks = _marks(anchor, signs, y, pitch, half if piles else inf, board.text * 0.85)
        if any(quads_meet(mark.quad, other) for mark in marks for other in board.texts):
            unmarked.append(anchor.row)
            continue
        for mark in marks:
            board.place(mark)
    return unmarked


def _marks(
    anchor: AnchorDesign,
    signs: list[tuple[int, float]],
    y: float,
    pitch: float,
    half: float,
    size: float,
) -> list[Text]:
    """Return the marks of a row: beside the signs, else above them, else of some anchors only.

    signs: number and place (mm) of each; pitch: between them; half: half a pile's drawn width, or
    inf where there are no piles and a mark beside the last sign would leave the wall.
    """
    names = {i: f"R{anchor.row}-{i:02d}" for i, _ in signs}
    widest = max(text_width(name, size) for name in names.values())
    beside = max(half, ANCHOR_SIGN) + 0.5
    if widest + beside + half + 0.4 <= pitch:
        return [Text((x + beside, y + 0.3), names[i], size, masked=True) for i, x in signs]
    step = next(n for n in (1, 2, 5, 10, 20, 50, 100, 10**6) if widest + 1.2 <= n * pitch)
    marks: list[Text] = []
    above = y + ANCHOR_SIGN + 0.45 * size
    last = -inf
    for i, x in signs:
        wanted = i in (1, signs[-1][0]) or i % step == 0
        if wanted and x - last >= widest + 1.0:
            marks.append(Text((x, above), names[i], size, "centre", masked=True))
            last = x
    return marks


def _strings(
    board: Board, frame: Frame, done: SectionDesign, run: Run, end: float, units: UnitSystem
) -> None:
    """Draw the strings of horizontal dimensions under the wall."""
    view = frame.view
    x0 = view.origin[0]
    y = view.at(0, done.wall.toe)[1] - 1.0
    total = length(run.length, units)
    board.dimension((x0, y), (end, y), -11.0, f"Wall length {total}")
    if not isinstance(done.section.wall, SoldierPiles):
        return
    piles = pile_places(done)
    if len(piles) < 2:
        return
    first, last = (run.place(p, view.mm) or 0.0 for p in (piles[0], piles[-1]))
    words = (
        f"{len(piles) - 1} bays at {length(done.wall.spacing, units)}"
        f" = {length(piles[-1] - piles[0], units)}"
    )
    board.dimension((x0 + first, y), (x0 + last, y), -6.0, words)


def _words(board: Board, frame: Frame, done: SectionDesign, units: UnitSystem) -> None:
    view, wall = frame.view, done.section.wall
    top = view.at(0, 0)[1]
    if isinstance(wall, SoldierPiles):
        piles = pile_places(done)
        hole = (
            f", in {length_with_unit(wall.hole_diameter, units)} holes"
            if wall.installation == "drilled" and wall.hole_diameter
            else f", {wall.installation}"
        )
        lines = [f"{len(piles)} soldier piles {done.wall.section_name}{hole}"]
        lagging = done.wall.lagging
        words = f"{wall.lagging.material.capitalize()} lagging in every bay, drawn in two"
        if lagging is not None and lagging.thickness is not None:
            words += f"; {short(lagging.thickness, 'small length', units)} thick"
        lines.append(words)
    else:
        lines = [f"Continuous wall: {done.wall.section_name}"]
    start = view.origin[0]
    board.paragraph((start, top + 11.0), lines)


def _levels(done: SectionDesign, frame: Frame) -> list[Level]:
    return [
        Level(0.0, "Top of wall"),
        Level(done.ground.H, "Subgrade"),
        Level(done.wall.toe, "Toe"),
        *(Level(a.z, f"Row {a.row}") for a in done.anchors),
        *(
            Level(layer.top, f"Stratum {i + 1}", 2)
            for i, layer in enumerate(done.ground.layers)
            if 0.0 < layer.top < frame.deepest
        ),
    ]


def _break(board: Board, x: float, low: float, high: float) -> None:
    middle = (low + high) / 2
    path: list[Point] = [
        (x, low), (x, middle - 2.0), (x + 1.6, middle - 0.8), (x - 1.6, middle + 0.8),
        (x, middle + 2.0), (x, high),
    ]  # fmt: skip
    board.line("LEADER", *path)
