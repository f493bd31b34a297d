"""What stands on and in the ground behind the wall: surcharges, buildings, obstacles, right-of-way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from backstay.drawing.board import Board
from backstay.drawing.figures import length_with_unit, short
from backstay.drawing.frame import Frame
from backstay.drawing.ground import LOG, surface_depth, surface_line
from backstay.drawing.labels import label
from backstay.drawing.lettering import wrapped
from backstay.drawing.marks import Point, View
from backstay.model.loads import Footing, Line, Strip, Surcharge, Traffic, Uniform
from backstay.model.loads import Point as PointLoad
from backstay.model.site import Building, CircleObstacle, PolygonObstacle
from backstay.quantity import UnitSystem

if TYPE_CHECKING:
    from backstay.design import SectionDesign

TIER = 9.5
_ARROW = 5.0
_START = 0.4


@dataclass(frozen=True, slots=True)
class _Placed:
    load: Surcharge
    near: float
    far: float
    tier: int


def tiers(done: SectionDesign, far: float) -> list[_Placed]:
    """Give every surcharge a tier above the surface, so that none covers another."""
    placed: list[_Placed] = []
    for load in sorted(done.section.surcharges, key=lambda s: not isinstance(s, Footing)):
        near, end = _reach(load, done, far)
        if near >= far:
            continue
        tier = 0
        while not _buried(load) and any(
            p.tier == tier and not _buried(p.load) and near < p.far + 0.5 and p.near < end + 0.5
            for p in placed
        ):
            tier += 1
        placed.append(_Placed(load, near, min(end, far), tier))
    return placed


def _buried(load: Surcharge) -> bool:
    return not isinstance(load, Uniform | Traffic) and load.elevation is not None


def _reach(load: Surcharge, done: SectionDesign, far: float) -> tuple[float, float]:
    if isinstance(load, Uniform | Traffic):
        fronts = [b.near for b in done.section.buildings if b.near > 3.0]
        return _START, min([far, *fronts])
    if isinstance(load, Strip | Footing):
        return load.distance, load.distance + load.width
    return load.distance - 0.2, load.distance + 0.2


def draw_surcharges(
    board: Board, frame: Frame, done: SectionDesign, units: UnitSystem
) -> list[tuple[list[str], list[Point]]]:
    """Draw surcharges as arrows; return the label of each and what it may point at."""
    far = frame.farthest - LOG / frame.view.mm
    labels = []
    for placed in tiers(done, far):
        load = placed.load
        if isinstance(load, Line | PointLoad):
            targets = _single(board, frame, done, placed)
        else:
            targets = _spread(board, frame, done, placed)
        words = _surcharge_words(load, units)
        if isinstance(load, Uniform | Traffic) and placed.far < far - 1e-6:
            words = [*words, "(on the whole surface)"]
        labels.append((words, targets))
    return labels


def _face(done: SectionDesign, load: Surcharge, x: float) -> float:
    if not isinstance(load, Uniform | Traffic) and load.elevation is not None:
        return done.section.depth(load.elevation)
    return surface_depth(done.ground, x)


def _spread(board: Board, frame: Frame, done: SectionDesign, placed: _Placed) -> list[Point]:
    view, load = frame.view, placed.load
    lift = placed.tier * TIER + 0.6
    if isinstance(load, Footing):
        foot = view.at(placed.near, _face(done, load, placed.near))
        w, h = (placed.far - placed.near) * view.mm, max(0.4 * view.mm, 1.5)
        x, y = foot
        board.line(
            "SITE-BUILDING", (x, y), (x + w, y), (x + w, y + h), (x, y + h),
            closed=True, fill="tone",
        )  # fmt: skip
        lift = h + 0.4
    span = (placed.far - placed.near) * view.mm
    count = max(2, round(span / 9.0) + 1)
    tails = []
    for i in range(count):
        x = placed.near + (placed.far - placed.near) * i / (count - 1)
        px, py = view.at(x, _face(done, load, x))
        tails.append((px, py + lift + _ARROW))
        board.arrow("LOAD-SURCHARGE", tails[-1], (px, py + lift), head=1.4)
    if isinstance(load, Uniform | Traffic):
        line = [
            (view.at(x, z)[0], view.at(x, z)[1] + lift + _ARROW)
            for x, z in surface_line(done.ground, placed.near, placed.far)
        ]
    else:
        line = [tails[0], tails[-1]]
    board.line("LOAD-SURCHARGE", *line)
    return [tails[len(tails) // 2], *tails[1:-1], tails[0], tails[-1]]


def _single(board: Board, frame: Frame, done: SectionDesign, placed: _Placed) -> list[Point]:
    x = (placed.near + placed.far) / 2
    px, py = frame.view.at(x, _face(done, placed.load, x))
    tail = (px, py + placed.tier * TIER + 8.0)
    board.arrow("LOAD-SURCHARGE", tail, (px, py + 0.3), head=2.2)
    return [tail]


def _surcharge_words(load: Surcharge, units: UnitSystem) -> list[str]:
    if isinstance(load, Line):
        value = short(load.load, "force per length", units)
    elif isinstance(load, PointLoad):
        value = short(load.load, "force", units)
    else:
        value = short(load.pressure, "stress", units)
    return [f"{load.name}: {value}"]


def draw_buildings(
    board: Board, frame: Frame, done: SectionDesign
) -> list[tuple[str, Point, float]]:
    """Draw neighbouring buildings, broken off where they leave the window.

    Returns name, middle of its drawn face, and drawn width (mm) of each.
    """
    view = frame.view
    (_, _), (right, top) = frame.window
    labels = []
    for building in done.section.buildings:
        edge = right - LOG
        x1, x2 = view.at(building.near, 0)[0], view.at(building.far, 0)[0]
        if x1 >= edge - 1.0:
            continue
        near, far = (surface_depth(done.ground, x) for x in (building.near, building.far))
        y, y_far = view.at(0, near)[1], view.at(0, far)[1]
        roof = max(y, y_far) + building.height * view.mm
        cut_x, cut_y = min(x2, edge), min(roof, top - 1.0)
        board.line("SITE-BUILDING", (x1, y), (x1, cut_y))
        if roof > cut_y:
            _break(board, (x1, cut_y), (cut_x, cut_y))
        else:
            board.line("SITE-BUILDING", (x1, cut_y), (cut_x, cut_y))
        if x2 > cut_x:
            _break(board, (cut_x, y), (cut_x, cut_y))
        else:
            board.line("SITE-BUILDING", (cut_x, cut_y), (cut_x, y_far))
        labels.append((building.name, ((x1 + cut_x) / 2, (y + cut_y) / 2), cut_x - x1))
    return labels


def _break(board: Board, a: Point, b: Point) -> None:
    """Draw a break line: straight, with a zigzag in its middle."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    d = max((dx * dx + dy * dy) ** 0.5, 1e-6)
    ux, uy = dx / d, dy / d
    path = [a]
    for along, aside in ((-1.5, 0.0), (-0.6, 1.4), (0.6, -1.4), (1.5, 0.0)):
        x, y = a[0] + ux * (d / 2 + along), a[1] + uy * (d / 2 + along)
        path.append((x - uy * aside, y + ux * aside))
    path.append(b)
    board.line("SITE-BUILDING", *path)


def draw_obstacles(
    board: Board, frame: Frame, done: SectionDesign
) -> list[tuple[str, list[Point]]]:
    """Draw pipes, basements and other obstacles with their clearance; return names and targets."""
    view = frame.view
    labels: list[tuple[str, list[Point]]] = []
    limit = frame.farthest - LOG / view.mm
    for obstacle in done.section.constraints.obstacles:
        if isinstance(obstacle, CircleObstacle):
            if obstacle.centre.distance > limit:
                continue
            c = view.at(obstacle.centre.distance, done.section.depth(obstacle.centre.elevation))
            r = obstacle.diameter / 2 * view.mm
            board.ring("SITE-OBSTACLE", c, r, fill="paper")
            if obstacle.clearance > 0:
                board.ring("SITE-CLEARANCE", c, r + obstacle.clearance * view.mm)
            targets = [(c[0] + 0.7 * r * k, c[1] + 0.7 * r * m) for k, m in _CORNERS]
        else:
            points = _clipped(view, obstacle, done, limit)
            if len(points) < 3:
                continue
            board.line("SITE-OBSTACLE", *points, closed=True)
            middle = (
                sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points),
            )  # fmt: skip
            targets = [middle]
        labels.append((obstacle.name, targets))
    return labels


_CORNERS = ((1, 1), (-1, 1), (1, -1), (-1, -1))


def _clipped(
    view: View, obstacle: PolygonObstacle, done: SectionDesign, limit: float
) -> list[Point]:
    """Return the polygon on paper, cut off at the edge of the window (Sutherland and Hodgman)."""
    points = [(p.distance, done.section.depth(p.elevation)) for p in obstacle.points]
    kept: list[Point] = []
    for (x1, z1), (x2, z2) in zip(points, [*points[1:], points[0]], strict=True):
        if x1 <= limit:
            kept.append((x1, z1))
        if (x1 <= limit) != (x2 <= limit):
            t = (limit - x1) / (x2 - x1)
            kept.append((limit, z1 + t * (z2 - z1)))
    return [view.at(x, z) for x, z in kept]


def draw_right_of_way(board: Board, frame: Frame, done: SectionDesign) -> list[Point]:
    """Draw the right-of-way line; return what its label may point at, or none if not in view."""
    x = done.section.constraints.right_of_way
    if x is None or x > frame.farthest - LOG / frame.view.mm:
        return []
    top = frame.view.at(x, surface_depth(done.ground, x))
    foot = (top[0], frame.window[0][1])
    board.line("SITE-LIMIT", (top[0], top[1] + 6.0), foot)
    return along_vertical(foot, top)


def along_vertical(foot: Point, top: Point) -> list[Point]:
    """Return places on an upright line, near its foot first."""
    return [(foot[0], foot[1] + t * (top[1] - foot[1])) for t in (0.12, 0.25, 0.4, 0.6, 0.8)]


def label_site(
    board: Board,
    frame: Frame,
    surcharges: Sequence[tuple[list[str], list[Point]]],
    buildings: Sequence[tuple[str, Point, float]],
    obstacles: Sequence[tuple[str, list[Point]]],
    right_of_way: Sequence[Point],
) -> None:
    """Name everything, loads first because they have the least room."""
    for lines, targets in surcharges:
        label(board, lines, targets, frame.window, upward=20)
    for name, targets in obstacles:
        label(board, wrapped(name, board.text, 30.0), targets, frame.window)
    for name, middle, width in buildings:
        lines = wrapped(name, board.text, max(width - 4.0, 12.0))
        label(board, lines, [middle], frame.window, inside=True)
    if right_of_way:
        label(board, ["Right-of-way"], right_of_way, frame.window)


def unseen(done: SectionDesign, frame: Frame, units: UnitSystem) -> list[str]:
    """Say what lies beyond the drawing, with its distance."""
    far = frame.farthest - LOG / frame.view.mm
    found = [
        f"{b.name} stands {length_with_unit(b.near, units)} behind the wall, beyond this drawing."
        for b in done.section.buildings
        if _left_out(b, far)
    ]
    row = done.section.constraints.right_of_way
    if row is not None and row > far:
        found.append(
            f"The right-of-way lies {length_with_unit(row, units)} behind the wall, "
            "beyond this drawing."
        )
    return found


def _left_out(building: Building, far: float) -> bool:
    return building.near >= far - 0.05
