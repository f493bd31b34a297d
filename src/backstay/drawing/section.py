"""The section: composed to scale from a section's design."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from backstay.drawing.board import Board, block_height
from backstay.drawing.frame import Columns, Extent, Frame, arrange
from backstay.drawing.ground import (
    draw_ground,
    draw_strata_column,
    draw_water,
    label_water,
    surface_depth,
    visible_surface,
)
from backstay.drawing.levels import Level, draw_chain, draw_levels
from backstay.drawing.marks import Drawing
from backstay.drawing.sheet import Sheet
from backstay.drawing.site import (
    TIER,
    draw_buildings,
    draw_obstacles,
    draw_right_of_way,
    draw_surcharges,
    label_site,
    tiers,
    unseen,
)
from backstay.drawing.slip import draw_slip, label_slip
from backstay.drawing.strip import Caption, draw_strip, scale_bar, title
from backstay.drawing.works import (
    bench_depths,
    dimension_anchors,
    draw_anchors,
    draw_benches,
    draw_surface,
    draw_wall,
    label_rows,
    label_surface,
    label_wall,
)
from backstay.model.site import CircleObstacle
from backstay.quantity import UnitSystem

if TYPE_CHECKING:
    from backstay.design import SectionDesign
    from backstay.model.project import ProjectData

Lettering = Literal["all", "levels", "none"]
"""all: names, levels and values; levels: levels, strata and rows, which stand in columns of their own,
without names that must find a place; none: nothing that needs a place beside anything else."""
SHEET_COLUMNS = Columns(levels=31.0, chain=22.0, labels=44.0, gap=13.0, right=50.0)
FIGURE_COLUMNS = Columns(levels=29.0, chain=0.0, labels=36.0, gap=9.0, right=33.0)


def compose_section(
    done: SectionDesign, sheet: Sheet, units: UnitSystem, project: ProjectData | None = None
) -> Drawing:
    """Return the drawing of a section on a sheet, or as a figure.

    project: for the title block of a sheet. Raises DesignError where no scale fits, NoRoomError
    where a label finds no place.
    """
    columns = FIGURE_COLUMNS if sheet.is_figure else SHEET_COLUMNS
    return compose_in(section_frame(done, sheet, columns), done, units, project)


def section_frame(done: SectionDesign, sheet: Sheet, columns: Columns) -> Frame:
    """Return the frame that shows all of a section on a sheet. Raises DesignError where no scale fits."""
    return arrange(sheet, _extent(done), columns, done.section.ground.top)


def compose_in(
    frame: Frame,
    done: SectionDesign,
    units: UnitSystem,
    project: ProjectData | None = None,
    *,
    lettering: Lettering = "all",
) -> Drawing:
    """Return the drawing of a section in a frame that stays as it is, as of `compose_section`.

    What lies outside of the frame is cut, or not drawn, as while something is dragged out of it.
    """
    sheet = frame.sheet
    board = Board(sheet.text)
    _draw(board, frame, done, units, lettering)
    name = f"Section {done.section.name}"
    scale_bar(board, frame, units)
    paper = Board(sheet.text, "paper")
    if not sheet.is_figure:
        title(board, frame, name)
        layers = {mark.layer for mark in board.marks}
        caption = Caption(name, "section", project, tuple(unseen(done, frame, units)))
        draw_strip(paper, frame, caption, layers, units)
    return Drawing(
        name, frame.sheet.width, frame.sheet.height, frame.view, units, frame.window,
        (*board.marks, *paper.marks),
    )  # fmt: skip


def _draw(
    board: Board, frame: Frame, done: SectionDesign, units: UnitSystem, lettering: Lettering
) -> None:
    draw_ground(board, frame, done)
    water = draw_water(board, frame, done)
    buildings = draw_buildings(board, frame, done)
    obstacles = draw_obstacles(board, frame, done)
    row = draw_right_of_way(board, frame, done)
    limit = draw_surface(board, frame, done)
    slip = draw_slip(board, frame, done)
    draw_anchors(board, frame, done, units)
    draw_wall(board, frame, done)
    draw_benches(board, frame, done)
    surcharges = draw_surcharges(board, frame, done, units)
    if lettering == "none":
        return
    top = visible_surface(frame, done.ground)[-1][1]
    draw_strata_column(board, frame, done, units, top)
    draw_levels(board, frame, _levels(done, frame, water), units)
    if not frame.sheet.is_figure:
        rows = [a.z for a in done.anchors]
        H, toe = done.ground.H, done.wall.toe
        draw_chain(board, frame, [0.0, *rows, H, toe], [0.0, H, toe], units)
        dimension_anchors(board, frame, done, units)
    label_rows(board, frame, done, units)
    if lettering == "levels":
        return
    label_site(board, frame, surcharges, buildings, obstacles, row)
    label_wall(board, frame, done, units)
    label_water(board, frame, water)
    label_surface(board, frame, done, limit)
    label_slip(board, frame, done, slip)


def _levels(done: SectionDesign, frame: Frame, water: list[tuple[float, str]]) -> list[Level]:
    levels = [
        Level(0.0, "Top of wall"),
        Level(done.ground.H, "Subgrade"),
        Level(done.wall.toe, "Toe"),
        *(Level(a.z, f"Row {a.row}") for a in done.anchors),
        *(Level(z, name) for z, name in water),
    ]
    for anchor, z in zip(done.anchors, bench_depths(done), strict=True):
        levels.append(Level(z, f"Bench {anchor.row}", 1))
    for i, layer in enumerate(done.ground.layers):
        if 0.0 < layer.top < frame.deepest:
            levels.append(Level(layer.top, f"Stratum {i + 1}", 2))
    return levels


def _extent(done: SectionDesign) -> Extent:
    ground, section = done.ground, done.section
    reach = max(
        *(a.bond_end[0] for a in done.anchors), *(p[0] for p in done.surface.points), ground.H
    )
    for obstacle in section.constraints.obstacles:
        if isinstance(obstacle, CircleObstacle):
            x = obstacle.centre.distance + obstacle.diameter / 2 + obstacle.clearance
        else:
            x = max(p.distance for p in obstacle.points)
        if x < 1.6 * reach:
            reach = max(reach, x)
    row = section.constraints.right_of_way
    if row is not None and row < 1.6 * reach:
        reach = max(reach, row)
    for building in section.buildings:
        if building.near + 3.0 < 1.6 * reach:
            reach = max(reach, min(building.far, building.near + 3.0))
    for load in section.surcharges:
        distance = getattr(load, "distance", 0.0)
        if distance < 1.6 * reach:
            reach = max(reach, distance + getattr(load, "width", 0.5))
    reach *= 1.04
    high = min(0.0, *(surface_depth(ground, x) for x in (reach, reach / 2)))
    deepest = max(done.wall.toe, *(a.bond_end[1] for a in done.anchors))
    tops = [
        min(b.height, 0.5 * ground.H) - surface_depth(ground, b.near)
        for b in section.buildings
        if b.near < reach
    ]
    high = min(high, *(-t for t in tops), 0.0)
    stack = max((p.tier + 1 for p in tiers(done, reach)), default=0)
    above = max(0.0, stack * TIER + block_height(1, 2.0) + 4.0)
    return Extent(0.0, reach + 7.0 * reach / 200, high, deepest, above, 8.0)
