"""The works in a section: wall, lagging, benches, anchors, the critical surface."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import cos, degrees, hypot, sin, tan
from typing import TYPE_CHECKING

from backstay.data import steel_shape
from backstay.drawing.board import Board, block_height
from backstay.drawing.boxes import stacked
from backstay.drawing.figures import length, length_with_unit, short
from backstay.drawing.frame import Frame
from backstay.drawing.ground import surface_depth
from backstay.drawing.labels import NoRoomError, label
from backstay.drawing.lettering import shortened, text_width, wrapped
from backstay.drawing.marks import Point
from backstay.model.sequence import bench_depth
from backstay.model.wall import SoldierPiles
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.tables import scheduled_length

if TYPE_CHECKING:
    from backstay.anchors import AnchorDesign
    from backstay.design import SectionDesign

_SHELF = 1.6
"""Height of a row label's first line above its shelf, over the cap height."""
_FAR = 6.0
"""Distance (mm) from its head beyond which a row's label is shortened rather than moved."""
LEAST_BOND = 1.1
"""Least drawn width (mm) of a bond zone."""


def wall_thickness(done: SectionDesign) -> float:
    """Return the thickness of the wall across the section (m): the depth of the pile's section."""
    wall = done.section.wall
    if not isinstance(wall, SoldierPiles):
        return wall.width
    return steel_shape(done.wall.section_name).d


def draw_wall(board: Board, frame: Frame, done: SectionDesign) -> None:
    """Draw pile, hole and lagging (or the continuous wall) to true depth."""
    view, wall = frame.view, done.section.wall
    half = wall_thickness(done) / 2
    H, toe = done.ground.H, done.wall.toe
    if isinstance(wall, SoldierPiles):
        if wall.installation == "drilled" and wall.hole_diameter:
            r = wall.hole_diameter / 2
            corners = [view.at(x, z) for x, z in ((-r, H), (r, H), (r, toe), (-r, toe))]
            board.hatch(corners, "concrete")
            board.line(
                "WALL-HOLE", view.at(-r, H), view.at(-r, toe), view.at(r, toe), view.at(r, 0)
            )
        lagging = done.wall.lagging
        given = lagging.thickness if lagging and lagging.thickness else 0.08
        thick = max(given * view.mm, 0.5)
        x, top, bottom = view.at(half, 0)[0], view.at(0, 0)[1], view.at(0, H)[1]
        board.line(
            "WALL-LAGGING", (x, top), (x + thick, top), (x + thick, bottom), (x, bottom),
            closed=True, fill="tone",
        )  # fmt: skip
    board.line(
        "WALL-PILE", view.at(-half, 0), view.at(half, 0), view.at(half, toe), view.at(-half, toe),
        closed=True, fill="paper" if isinstance(wall, SoldierPiles) else "tone",
    )  # fmt: skip
    if isinstance(wall, SoldierPiles):
        flange = steel_shape(done.wall.section_name).tf
        for x in (-half + flange, half - flange):
            board.sign("WALL-LAGGING", view.at(x, 0), view.at(x, toe))


def bench_depths(done: SectionDesign) -> list[float]:
    """Return the depth dug to before each row is stressed (m), not below subgrade."""
    return [bench_depth(done.section, anchor.row) for anchor in done.anchors]


def draw_benches(board: Board, frame: Frame, done: SectionDesign) -> None:
    """Draw the bench of each row in front of the wall."""
    for z in bench_depths(done):
        if z < done.ground.H - 1e-6:
            y = frame.view.at(0, z)[1]
            board.line(
                "CUT-BENCH", (frame.x_labels, y), frame.view.at(-wall_thickness(done) / 2, z)
            )


def scheduled_ends(anchor: AnchorDesign, units: UnitSystem) -> tuple[Point, Point, Point]:
    """Return (x, z) of head, start and end of the bond zone, for the lengths of the schedule.

    Those are rounded up, so what is drawn is what is built, and dimensions measure it.
    """
    (x, z), (far, deep) = anchor.head, anchor.bond_end
    free = scheduled_length(anchor.unbonded_length, units)
    whole = free + scheduled_length(anchor.bond_length, units)
    drawn = anchor.unbonded_length + anchor.bond_length
    ux, uz = (far - x) / drawn, (deep - z) / drawn
    return anchor.head, (x + ux * free, z + uz * free), (x + ux * whole, z + uz * whole)


def draw_anchors(board: Board, frame: Frame, done: SectionDesign, units: UnitSystem) -> None:
    """Draw each row's anchor: head, free length, bond zone to its true diameter if that shows."""
    view = frame.view
    half = wall_thickness(done) / 2
    for anchor in done.anchors:
        head, free, end = (view.at(*p) for p in scheduled_ends(anchor, units))
        ux, uy = _direction(head, end)
        front = (head[0] - half * view.mm, head[1] - half * view.mm * uy / ux)
        board.line("ANCHOR-FREE", front, free)
        w = max(anchor.hole_diameter * view.mm, LEAST_BOND) / 2
        nx, ny = -uy * w, ux * w
        board.line(
            "ANCHOR-BOND", (free[0] + nx, free[1] + ny), (end[0] + nx, end[1] + ny),
            (end[0] - nx, end[1] - ny), (free[0] - nx, free[1] - ny), closed=True, fill="tone",
        )  # fmt: skip
        board.line("ANCHOR-FREE", free, end)
        draw_head(board, front, (ux, uy))


def draw_head(board: Board, at: Point, direction: Point) -> None:
    """Draw the head of an anchor with its tail for the jack."""
    ux, uy = direction
    px, py = -uy * 1.4, ux * 1.4
    x, y = at
    board.sign(
        "ANCHOR-HEAD", (x + px, y + py), (x - px, y - py),
        (x - px - 0.7 * ux, y - py - 0.7 * uy), (x + px - 0.7 * ux, y + py - 0.7 * uy),
        closed=True, fill="ink",
    )  # fmt: skip
    board.sign("ANCHOR-HEAD", at, (x - 2.2 * ux, y - 2.2 * uy))


def _direction(a: Point, b: Point) -> Point:
    dx, dy = b[0] - a[0], b[1] - a[1]
    d = hypot(dx, dy) or 1.0
    return (dx / d, dy / d)


def dimension_anchors(board: Board, frame: Frame, done: SectionDesign, units: UnitSystem) -> None:
    """Dimension free and bond lengths along each anchor (true lengths), where rows leave room."""
    view = frame.view
    room = 3.2 * board.text + 2.0
    ends = [view.at(*a.head) for a in done.anchors]
    for a, b in itertools.pairwise(ends):
        if (a[1] - b[1]) * cos(max(x.inclination for x in done.anchors)) < room:
            return
    for anchor in done.anchors:
        head, free, end = (view.at(*p) for p in scheduled_ends(anchor, units))
        w = max(anchor.hole_diameter * view.mm, LEAST_BOND) / 2
        clear = w + DIMENSION_CLEAR * board.text
        lengths = (scheduled_length(v, units) for v in (anchor.unbonded_length, anchor.bond_length))
        pieces = tuple(zip((head, free), (free, end), lengths, strict=True))
        below, above = (
            [board.measured(a, b, side * clear, length(true, units), masked=True)
             for a, b, true in pieces]
            for side in (-1.0, 1.0)
        )  # fmt: skip
        in_the_way = [sum(map(board.obstructed, marks)) for marks in (below, above)]
        for mark in above if in_the_way[1] + 2 < in_the_way[0] else below:
            board.add_dimension(mark)


DIMENSION_CLEAR = 2.1
"""Clear distance of an anchor's dimension line from its bond zone, over the cap height."""


def label_rows(board: Board, frame: Frame, done: SectionDesign, units: UnitSystem) -> None:
    """Label each row in the open cut: loads, tendon, inclination, lengths, with a leader to its head."""
    view, size = frame.view, board.text
    right, left = frame.x_labels, frame.x_chain + 1.0
    half = wall_thickness(done) / 2 * view.mm
    heads = [
        (x, y + half * tan(a.inclination)) for a in done.anchors for x, y in (view.at(*a.head),)
    ]
    low, high = view.at(0, done.ground.H)[1] + 0.8, frame.title_y
    chosen: tuple[list[list[str]], list[float]] | None = None
    for detail in (4, 3, 2, 1):
        blocks = [_row_lines(a, units, size, right - left, detail) for a in done.anchors]
        heights = [block_height(len(lines), size) + 1.0 for lines in blocks]
        # the shelf of a label lies under its first line
        rise = [height / 2 - 0.5 - _SHELF * size for height in heights]
        wanted = [y - r for (_, y), r in zip(heads, rise, strict=True)]
        places = stacked(wanted, heights, low, high)
        if places is None:
            continue
        chosen = (blocks, places)
        if max(abs(p - w) for p, w in zip(places, wanted, strict=True)) <= _FAR:
            break
    if chosen is None:
        raise NoRoomError("the rows of anchors do not fit beside the section")
    blocks, places = chosen
    for lines, (x, y), place in zip(blocks, heads, places, strict=True):
        top = place + block_height(len(lines), size) / 2
        shelf = top - _SHELF * size
        board.line(
            "LEADER", (x - half - 2.4, y), (right + 2.0, shelf if abs(shelf - y) > 0.05 else y),
            (left, shelf),
        )  # fmt: skip
        board.write((left + 0.4, shelf + 0.42 * size), lines[0], size=size, bold=True)
        board.paragraph((left + 0.4, shelf - 0.25 * size), lines[1:], size=size)


def _row_lines(
    anchor: AnchorDesign, units: UnitSystem, size: float, width: float, detail: int
) -> list[str]:
    force = QUANTITIES["force"]
    load = f"{force.shown(anchor.design_load, units):.0f} {force.unit(units).label}"
    slope = f"{degrees(anchor.inclination):.3g}° below horizontal"
    if anchor.skew:
        slope = f"{degrees(anchor.inclination):.3g}° down, skew {degrees(anchor.skew):.3g}°"
    open_bond = "≥ " if anchor.bond_open else ""
    free = length(scheduled_length(anchor.unbonded_length, units), units)
    bond = length_with_unit(scheduled_length(anchor.bond_length, units), units)
    tendon = [
        line
        for part in anchor.tendon.title.split(", ")
        for line in wrapped(part, size, width - 1.0)
    ]
    lengths = f"free {free} + bond {open_bond}{bond}"
    spacing = f"spacing {length_with_unit(anchor.spacing, units)}"
    name = f"R{anchor.row}: design load {load}"
    if text_width(name, size, bold=True) > width - 1.0:
        name = f"R{anchor.row}: {load}"
    lines = {
        4: [name, *tendon, slope, lengths, spacing],
        3: [name, f"{degrees(anchor.inclination):.3g}°, {lengths}", spacing],
        2: [name, f"{degrees(anchor.inclination):.3g}°, {lengths}"],
        1: [f"R{anchor.row}: {load}, {degrees(anchor.inclination):.3g}°"],
    }[detail]
    # values go to the next line where there is no room: a length that is cut off is worse than none
    return [shortened(lines[0], size, width - 1.0, bold=True)] + [
        line for words in lines[1:] for line in wrapped(words, size, width - 1.0)
    ]


def draw_surface(board: Board, frame: Frame, done: SectionDesign) -> list[Point]:
    """Draw the critical failure surface, and the line beyond which bond zones may begin.

    Returns the points (mm) of that line, or none where no anchor has such a rule.
    """
    view = frame.view
    points = [view.at(*p) for p in done.surface.points]
    board.line("SURFACE-FAILURE", *points)
    limit = _bond_limit(done)
    drawn = [view.at(*p) for p in limit]
    if len(drawn) > 1:
        board.line("SURFACE-BOND-LIMIT", *drawn)
    return drawn


def _bond_limit(done: SectionDesign) -> list[Point]:
    """Return (x, z) of the points where bond zones may begin, carried on parallel to the surface."""
    found: list[Point] = []
    for anchor in done.anchors:
        rules = [r.length for r in anchor.unbonded_rules if "surface" in r.name]
        if rules:
            run = cos(anchor.inclination) * cos(anchor.skew)
            found.append((rules[0] * run, anchor.z + rules[0] * sin(anchor.inclination)))
    if not found:
        return []
    (x1, z1), (x2, z2) = done.surface.points[-2], done.surface.points[-1]
    upper, lower = found[0], found[-1]
    slope = (x2 - x1) / (z2 - z1) if z2 != z1 else 0.0
    z = surface_depth(done.ground, upper[0])
    start = (upper[0] + slope * (z - upper[1]), z)
    (x1, z1), (x2, z2) = done.surface.points[0], done.surface.points[1]
    slope = (x2 - x1) / (z2 - z1) if z2 != z1 else 0.0
    end = (lower[0] + slope * (done.ground.H - lower[1]), done.ground.H)
    return [start, *found, end]


def label_wall(board: Board, frame: Frame, done: SectionDesign, units: UnitSystem) -> None:
    """Name the wall below subgrade: section, steel, hole, spacing, lagging."""
    wall, view = done.section.wall, frame.view
    H, toe = done.ground.H, done.wall.toe
    if isinstance(wall, SoldierPiles):
        pair = "pairs of " if wall.arrangement == "double" else ""
        lines = [
            f"{pair}{done.wall.section_name}, {wall.steel}",
            f"at {length_with_unit(done.wall.spacing, units)} centres, {wall.installation}",
        ]
        if wall.installation == "drilled" and wall.hole_diameter:
            lines.append(f"hole {length_with_unit(wall.hole_diameter, units)}, {wall.hole_filling}")
        if done.wall.lagging is not None and done.wall.lagging.thickness is not None:
            thick = short(done.wall.lagging.thickness, "small length", units)
            lines.append(f"{wall.lagging.material} lagging {thick}")
    else:
        lines = wrapped(done.wall.section_name, board.text, 34.0)
    half = wall_thickness(done) / 2
    depths = [H + t * (toe - H) for t in (0.5, 0.3, 0.7, 0.85, 0.95)]
    targets = [view.at(-half, z) for z in depths] + [view.at(half, z) for z in depths]
    label(board, lines, targets, frame.window, bold=1)


def label_surface(board: Board, frame: Frame, done: SectionDesign, limit: Sequence[Point]) -> None:
    """Name the critical surface with its angle, and the line of bond zones."""
    points = [frame.view.at(*p) for p in done.surface.points]
    angle = f"{degrees(done.surface.angle):.1f}°"
    label(
        board, ["Critical failure surface", f"{angle} above horizontal"], along(points),
        frame.window, colour="accent",
    )  # fmt: skip
    if len(limit) > 1:
        label(board, ["Bond zones begin", "beyond this line"], along(limit), frame.window)


def along(points: Sequence[Point]) -> list[Point]:
    """Return places along a line that a label may point at, the middle first."""
    found = []
    for t in (0.5, 0.6, 0.4, 0.7, 0.3, 0.8, 0.2, 0.9, 0.95):
        k = t * (len(points) - 1)
        i = min(int(k), len(points) - 2)
        f = k - i
        (x1, y1), (x2, y2) = points[i], points[i + 1]
        found.append((x1 + f * (x2 - x1), y1 + f * (y2 - y1)))
    return found
