"""The section of a slope: composed to scale from its design."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from backstay.drawing.board import Board
from backstay.drawing.figures import length
from backstay.drawing.frame import Columns, Extent, Frame, arrange
from backstay.drawing.ground import LOG, draw_layers_column
from backstay.drawing.labels import NoRoomError, label
from backstay.drawing.levels import Level, draw_chain, draw_levels
from backstay.drawing.marks import Drawing
from backstay.drawing.section import Lettering
from backstay.drawing.sheet import Sheet
from backstay.drawing.slope_ground import (
    draw_known_surface,
    draw_piles,
    draw_slope_ground,
    draw_slope_loads,
    draw_slope_water,
    layers_at,
    level_at,
    load_places,
    nearest,
)
from backstay.drawing.slope_works import (
    dimension_slope_anchors,
    draw_bond_limit,
    draw_slips,
    draw_slope_anchors,
    farthest,
    label_known_surface,
    label_slope_rows,
)
from backstay.drawing.strip import Caption, draw_strip, scale_bar, title
from backstay.drawing.works import along
from backstay.quantity import UnitSystem
from backstay.stability.slip.terrain import mirrored, terrain

if TYPE_CHECKING:
    from backstay.model.project import ProjectData
    from backstay.stability.slope_design import SlopeDesign

SHEET_COLUMNS = Columns(levels=31.0, chain=22.0, labels=2.0, gap=0.0, right=50.0)
FIGURE_COLUMNS = Columns(levels=29.0, chain=0.0, labels=2.0, gap=0.0, right=36.0)
BESIDE = 0.35
"""Ground shown beside works and slip surface, as a share of the height."""
UNDER = 0.12


def compose_slope(
    done: SlopeDesign, sheet: Sheet, units: UnitSystem, project: ProjectData | None = None
) -> Drawing:
    """Return the drawing of a slope on a sheet, or as a figure.

    project: for the title block of a sheet. Raises DesignError where no scale fits, NoRoomError
    where a label finds no place.
    """
    columns = FIGURE_COLUMNS if sheet.is_figure else SHEET_COLUMNS
    return compose_slope_in(slope_frame(done, sheet, columns), done, units, project)


def slope_frame(done: SlopeDesign, sheet: Sheet, columns: Columns) -> Frame:
    """Return the frame that shows all of a slope on a sheet. Raises DesignError where no scale fits."""
    return arrange(sheet, _extent(done, sheet), columns, float(done.ground.surface[:, 1].max()))


def compose_slope_in(
    frame: Frame,
    done: SlopeDesign,
    units: UnitSystem,
    project: ProjectData | None = None,
    *,
    lettering: Lettering = "all",
) -> Drawing:
    """Return the drawing of a slope in a frame that stays as it is, as of `compose_slope`.

    What lies outside of the frame is cut, or not drawn, as while something is dragged out of it.
    """
    sheet = frame.sheet
    board = Board(sheet.text)
    _draw(board, frame, done, units, lettering)
    name = f"Slope {done.slope.name}"
    scale_bar(board, frame, units)
    paper = Board(sheet.text, "paper")
    if not sheet.is_figure:
        title(board, frame, name)
        layers = {mark.layer for mark in board.marks}
        draw_strip(
            paper,
            frame,
            Caption(name, "slope", project, _remarks(done, frame, units)),
            layers,
            units,
        )
    return Drawing(
        name, frame.sheet.width, frame.sheet.height, frame.view, units, frame.window,
        (*board.marks, *paper.marks),
    )  # fmt: skip


def _draw(
    board: Board, frame: Frame, done: SlopeDesign, units: UnitSystem, lettering: Lettering
) -> None:
    draw_slope_ground(board, frame, done)
    water = draw_slope_water(board, frame, done)
    places = draw_known_surface(board, frame, done)
    slips = draw_slips(board, frame, done)
    piles = draw_piles(board, frame, done)
    draw_slope_anchors(board, frame, done, units)
    limit = draw_bond_limit(board, frame, done)
    loads = draw_slope_loads(board, frame, done, units)
    if lettering == "none":
        return
    top = frame.view.top
    edge = (frame.window[1][0] - LOG - frame.view.origin[0]) / frame.view.mm
    draw_layers_column(
        board, frame, layers_at(done, edge, top), units, top - level_at(done.ground.surface, edge),
    )  # fmt: skip
    draw_levels(board, frame, _levels(done, top), units)
    if lettering == "levels":
        return
    if not frame.sheet.is_figure:
        inner, outer = _chain(done, top)
        draw_chain(board, frame, inner, outer, units)
        _across(board, frame, done, units)
        dimension_slope_anchors(board, frame, done, units)
    label_slope_rows(board, frame, done, units)
    for lines, targets in loads:
        label(board, lines, targets, frame.window, upward=20)
    label_known_surface(board, frame, done, places)
    for lines, targets in (*piles, *water):
        label(board, lines, targets, frame.window, upward=3)
    if len(limit) > 1:
        label(board, ["Bond zones begin", "beyond this line"], along(limit), frame.window)
    _name_what_fits(board, frame, slips)
    _name_lost_strata(board, frame, done, edge)


def _name_what_fits(
    board: Board, frame: Frame, slips: list[tuple[list[str], list[tuple[float, float]]]]
) -> None:
    """Letter the slips that were searched where there is room: each stands in the table too."""
    for lines, targets in slips:
        try:
            label(board, lines, targets, frame.window)
        except NoRoomError:
            continue


def _name_lost_strata(board: Board, frame: Frame, done: SlopeDesign, edge: float) -> None:
    """Name in place the strata that end before the column at the right edge."""
    top = frame.view.top
    named = {layer.name for layer in layers_at(done, edge, top) if layer.top < frame.deepest}
    left = (frame.window[0][0] - frame.view.origin[0]) / frame.view.mm
    for stratum in done.slope.strata:
        if stratum.name in named:
            continue
        for x in np.linspace(left, edge, 41)[1:-1]:
            layers = layers_at(done, float(x), top)
            layer = next((la for la in layers if la.name == stratum.name), None)
            if layer is not None and layer.top < frame.deepest:
                middle = 0.5 * (layer.top + min(layer.bottom, frame.deepest))
                place = frame.view.at(float(x), middle)
                label(board, [stratum.name], [place], frame.window, inside=True)
                break


def _toe_and_crest(done: SlopeDesign) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return (x, elevation) of the toe and of the crest of the slope."""
    model = done.ground
    seen = terrain(model.surface if model.to_left else mirrored(model.surface))
    if seen is None:
        ends = model.surface[[0, -1]]
        return (float(ends[0, 0]), float(ends[0, 1])), (float(ends[1, 0]), float(ends[1, 1]))
    sign = 1.0 if model.to_left else -1.0
    (x1, y1), (x2, y2) = (seen.at(np.array([s]))[0] for s in (seen.low, seen.high))
    return (sign * float(x1), float(y1)), (sign * float(x2), float(y2))


def _levels(done: SlopeDesign, top: float) -> list[Level]:
    toe, crest = _toe_and_crest(done)
    return [
        Level(top - crest[1], "Crest"),
        Level(top - toe[1], "Toe"),
        *(Level(top - r.y, f"Row {r.row}") for r in done.rows),
    ]


def _chain(done: SlopeDesign, top: float) -> tuple[list[float], list[float]]:
    toe, crest = _toe_and_crest(done)
    ends = [top - crest[1], top - toe[1]]
    rows = [top - r.y for r in done.rows if ends[0] < top - r.y < ends[1]]
    return [ends[0], *rows, ends[1]], ends


def _across(board: Board, frame: Frame, done: SlopeDesign, units: UnitSystem) -> None:
    """Dimension toe, heads and crest horizontally, along the foot of the window."""
    toe, crest = _toe_and_crest(done)
    xs = sorted({round(v, 6) for v in (toe[0], crest[0], *(r.x for r in done.rows))})
    (left, low), (right, _) = frame.window
    shown = [x for x in xs if left <= frame.view.at(x, 0.0)[0] <= right - LOG]
    y = low + 2.2 * board.text
    for a, b in pairwise(shown):
        if (b - a) * frame.view.mm < 1.5 * board.text:
            continue
        start, end = ((frame.view.at(x, 0.0)[0], y) for x in (a, b))
        board.dimension(start, end, 0.0, length(b - a, units), masked=True)


def _extent(done: SlopeDesign, sheet: Sheet) -> Extent:
    model = done.ground
    toe, crest = _toe_and_crest(done)
    left, right, low = farthest(done)
    top = float(model.surface[:, 1].max())
    beside = BESIDE * done.slope.height
    reach = 0.3 * (right - left)
    for x in load_places(done):
        if left - reach <= x <= right + reach:
            left, right = min(left, x), max(right, x)
    first = max(min(left, toe[0], crest[0]) - beside, float(model.surface[0, 0]))
    last = min(max(right, toe[0], crest[0]) + beside, float(model.surface[-1, 0]))
    last = max(last, right + 1.0)
    first = min(first, left)
    deepest = top - min(low, toe[1]) + UNDER * done.slope.height
    below = 2.0 if sheet.is_figure else 7.0
    return Extent(first, last, 0.0, deepest, 26.0, below)


def _remarks(done: SlopeDesign, frame: Frame, units: UnitSystem) -> tuple[str, ...]:
    left, right = (
        (x - frame.view.origin[0]) / frame.view.mm
        for x in (frame.window[0][0], frame.window[1][0] - LOG)
    )
    found = [
        f"{load.name} stands at x {length(place, units)}, beyond this drawing."
        for load in done.slope.surcharges
        for place in (nearest(load),)
        if place is not None and not left <= place <= right
    ]
    if done.slips is None:
        found.append("Smaller slips, and slips around the bonds, were not searched.")
    return tuple(found)
