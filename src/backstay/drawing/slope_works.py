"""The works on a slope: anchors with their heads, pads or beams, and the slips that were searched."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, degrees, inf, isfinite, sin
from typing import TYPE_CHECKING

from backstay.drawing.board import Board
from backstay.drawing.figures import length, length_with_unit
from backstay.drawing.frame import Frame
from backstay.drawing.labels import label
from backstay.drawing.marks import Point
from backstay.drawing.slope_ground import ground_window, runs
from backstay.drawing.works import DIMENSION_CLEAR, LEAST_BOND, along, draw_head
from backstay.model.slope_face import ConcreteWaler, SteelWaler
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.slip_tables import lettered
from backstay.stability.least_surface import METHOD_NAMES
from backstay.stability.overall_comparison import whole_surface
from backstay.stability.slope_face import face_angle
from backstay.tables import scheduled_length

if TYPE_CHECKING:
    from backstay.stability.slip.search_result import Minimum
    from backstay.stability.slope_anchors import SlopeAnchor
    from backstay.stability.slope_design import SlopeDesign

_STEEL_DEPTH = 0.3


def scheduled_points(r: SlopeAnchor, units: UnitSystem) -> tuple[Point, Point, Point]:
    """Return (x, elevation) of head, start and end of the bond zone, for the lengths of the schedule."""
    free = scheduled_length(r.anchor.unbonded_length, units)
    whole = free + scheduled_length(r.anchor.bond_length, units)
    return (r.x, r.y), r.at(free), r.at(whole)


def on_paper(frame: Frame, point: Point) -> Point:
    """Return the place on paper of a point (x, elevation)."""
    return frame.view.at(point[0], frame.view.top - point[1])


def draw_slope_anchors(board: Board, frame: Frame, done: SlopeDesign, units: UnitSystem) -> None:
    """Draw each row: what it bears on, its head, free length and bond zone."""
    for r in done.rows:
        head, free, end = (on_paper(frame, p) for p in scheduled_points(r, units))
        ux, uy = r.dx, r.dy
        thick = _draw_bearing(board, frame, done, r)
        front = (head[0] - ux * thick, head[1] - uy * thick)
        board.line("ANCHOR-FREE", front, free)
        w = max(r.anchor.hole_diameter * frame.view.mm, LEAST_BOND) / 2
        nx, ny = -uy * w, ux * w
        board.line(
            "ANCHOR-BOND", (free[0] + nx, free[1] + ny), (end[0] + nx, end[1] + ny),
            (end[0] - nx, end[1] - ny), (free[0] - nx, free[1] - ny), closed=True, fill="tone",
        )  # fmt: skip
        board.line("ANCHOR-FREE", free, end)
        draw_head(board, front, (ux, uy))


def _draw_bearing(board: Board, frame: Frame, done: SlopeDesign, r: SlopeAnchor) -> float:
    """Draw the pad or beam of a row in its section; return how far its front lies out (mm)."""
    pad, waler = done.slope.pad, done.slope.waler
    if pad is not None:
        size, thick, seat = pad.side, pad.thickness, pad.seat
    elif isinstance(waler, ConcreteWaler):
        size, thick, seat = waler.width, waler.thickness, waler.seat
    elif isinstance(waler, SteelWaler):
        size, thick, seat = waler.width, _STEEL_DEPTH, waler.seat
    else:
        return 0.0
    if seat == "square to the anchor":
        out = (-r.dx, -r.dy)
    else:
        beta = face_angle(done.ground.surface, r.x)
        side = -1.0 if r.dx > 0.0 else 1.0
        out = (side * sin(beta), cos(beta))
    up = (-out[1], out[0])
    x, y = on_paper(frame, (r.x, r.y))
    half, deep = 0.5 * size * frame.view.mm, thick * frame.view.mm
    corners = [
        (x + k * half * up[0] + m * deep * out[0], y + k * half * up[1] + m * deep * out[1])
        for k, m in ((-1, 0), (1, 0), (1, 1), (-1, 1))
    ]
    board.line("SLOPE-PAD", *corners, closed=True, fill="tone")
    along_anchor = abs(out[0] * r.dx + out[1] * r.dy)
    return deep / max(along_anchor, 0.2)


def dimension_slope_anchors(
    board: Board, frame: Frame, done: SlopeDesign, units: UnitSystem
) -> None:
    """Dimension free and bond lengths along each anchor, on the side that is less in the way."""
    for r in done.rows:
        head, free, end = (on_paper(frame, p) for p in scheduled_points(r, units))
        w = max(r.anchor.hole_diameter * frame.view.mm, LEAST_BOND) / 2
        clear = w + DIMENSION_CLEAR * board.text
        lengths = (
            scheduled_length(v, units) for v in (r.anchor.unbonded_length, r.anchor.bond_length)
        )
        pieces = tuple(zip((head, free), (free, end), lengths, strict=True))
        below, above = (
            [board.measured(a, b, side * clear, length(true, units), masked=True)
             for a, b, true in pieces]
            for side in (-1.0, 1.0)
        )  # fmt: skip
        in_the_way = [sum(map(board.obstructed, marks)) for marks in (below, above)]
        for mark in above if in_the_way[1] + 2 < in_the_way[0] else below:
            board.add_dimension(mark)


def draw_bond_limit(board: Board, frame: Frame, done: SlopeDesign) -> list[Point]:
    """Draw the line beyond which bond zones may begin; return its points on paper."""
    points = []
    for r in done.rows:
        rule = next((q for q in r.anchor.unbonded_rules if "surface" in q.name), None)
        if rule is not None:
            points.append(r.at(rule.length))
    if len(points) < 2:
        return []
    drawn = [p for run in runs(frame, sorted(points)) for p in run]
    if len(drawn) > 1:
        board.line("SURFACE-BOND-LIMIT", *drawn)
    return drawn


def draw_slips(
    board: Board, frame: Frame, done: SlopeDesign
) -> list[tuple[list[str], list[Point]]]:
    """Draw the least safe slip of each part of the face and around the rows; return their labels."""
    if done.slips is None:
        return []
    shown: list[tuple[float, str, Minimum]] = []
    for part in done.slips.parts:
        if part.found.critical is not None:
            shown.append((part.safety, part.title, part.found.critical))
    for around in done.slips.around:
        if around.found.critical is not None and not around.title:
            title = "around the rows" if done.rows else "of the whole slope"
            shown.append((around.safety, title, around.found.critical))
    found = []
    for safety, title, least in shown:
        drawn = runs(frame, whole_surface(least))
        for run in drawn:
            board.line("SLIP-SURFACE", *run)
        places = [p for run in sorted(drawn, key=len, reverse=True) for p in along(run)]
        if places and isfinite(safety):
            found.append(([f"F = {lettered(safety)} {title}"], places))
    return found


def label_slope_rows(board: Board, frame: Frame, done: SlopeDesign, units: UnitSystem) -> None:
    """Label each row: load, tendon, inclination, lengths, spacing and place, with a leader to its head."""
    high = frame.window[1][1]
    for r in done.rows:
        head = on_paper(frame, (r.x, r.y))
        front = (head[0] - 2.4 * r.dx, head[1] - 2.4 * r.dy)
        air = (frame.window[0], (frame.window[1][0], high))
        label(board, row_lines(r, units), [front], air, upward=25, bold=1)


def row_lines(r: SlopeAnchor, units: UnitSystem) -> list[str]:
    """Return what a row's label says."""
    force, a = QUANTITIES["force"], r.anchor
    load = f"{force.shown(a.design_load, units):.0f} {force.unit(units).label}"
    open_bond = "≥ " if a.bond_open else ""
    free = length(scheduled_length(a.unbonded_length, units), units)
    bond = length_with_unit(scheduled_length(a.bond_length, units), units)
    return [
        f"R{r.row}: design load {load}",
        f"{degrees(a.inclination):.3g}° below horizontal",
        f"free {free} + bond {open_bond}{bond}",
        f"spacing {length_with_unit(a.spacing, units)}",
        f"x {length(r.x, units)}, El {length_with_unit(r.y, units)}",
    ]


def label_known_surface(
    board: Board, frame: Frame, done: SlopeDesign, places: Sequence[Point]
) -> None:
    """Name the known surface, with its safety without and with the anchors."""
    if not places:
        return
    case = done.cases[0]
    words = ["Known slip surface", f"F = {lettered(case.bare.F)} without anchors"]
    if done.rows:
        words.append(f"F = {lettered(case.tied.F)} with them, {METHOD_NAMES[case.tied.method]}")
    label(board, words, along(places), ground_window(frame), colour="accent")


def farthest(done: SlopeDesign) -> tuple[float, float, float]:
    """Return least x, greatest x and least elevation of the works and the known surface (m)."""
    line = done.cases[0].tied.surface
    xs, low = [float(line[:, 0].min()), float(line[:, 0].max())], float(line[:, 1].min())
    for r in done.rows:
        x, y = r.at(r.anchor.total_length)
        xs += [x, r.x]
        low = min(low, y)
    if not isfinite(low):
        low = inf
    return min(xs), max(xs), low
