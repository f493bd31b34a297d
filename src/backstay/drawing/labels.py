"""Placing labels: near what they name, clear of every other text, and off the lines if possible.

Text may never meet text nor leave its window. Crossing a line is allowed but costs, as does
distance; the cheapest of a fixed set of places wins, so that a drawing is the same every time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, hypot, inf, pi, sin

from backstay.drawing.board import Board, block_height
from backstay.drawing.boxes import (
    Box,
    Segment,
    bounds,
    quads_meet,
    segment_meets_box,
    segments_meet,
)
from backstay.drawing.lettering import text_width
from backstay.drawing.marks import Point, Quad
from backstay.errors import BackstayError

_GAP = 0.7
_CROSSING = 4.0
_LEADER_CROSSING = 1.5
_LEADER_THROUGH_TEXT = 60.0
_DIRECTIONS = tuple(2 * pi * i / 16 for i in range(16))


class NoRoomError(BackstayError):
    """A label finds no place in its window."""


def label(
    board: Board,
    lines: Sequence[str],
    targets: Sequence[Point],
    window: tuple[Point, Point],
    *,
    upward: float = 0.0,
    inside: bool = False,
    size: float | None = None,
    bold: int = 0,
    colour: str = "",
) -> None:
    """Write a label near one of its targets, with a leader unless it touches the target.

    upward: cost of each 10 mm that the label falls below its target (negative: above it);
    inside: the label may stand centred on the target, without leader. Raises NoRoomError.
    """
    size = size or board.text
    width = max(text_width(w, size, bold=i < bold) for i, w in enumerate(lines))
    height = block_height(len(lines), size)
    (left, low), (right, high) = window
    taken = _Taken(board)
    best: tuple[float, Box, Point, Point | None] | None = None
    for target, centre, distance in _places(targets, width, height, window, inside):
        if best is not None and best[0] <= distance:
            break
        x1, y1 = centre[0] - width / 2, centre[1] - height / 2
        box = (x1, y1, x1 + width, y1 + height)
        if x1 < left or y1 < low or box[2] > right or box[3] > high:
            continue
        below = target[1] - centre[1]
        cost = distance + max(0.0, upward * below / 10)
        limit = inf if best is None else best[0]
        if cost >= limit or taken.text_at(box):
            continue
        cost += _CROSSING * taken.lines_through(box)
        if cost >= limit:
            continue
        end = None if distance <= 0.0 else _nearest(box, target)
        if end is not None:
            cost += taken.leader_cost((target, end))
        if cost < limit:
            best = (cost, box, target, end)
    if best is None:
        raise NoRoomError(f"no room on the drawing for the label {lines[0]!r}")
    _, box, target, leader_end = best
    if leader_end is not None:
        _draw_leader(board, target, leader_end)
    crossed = any(segment_meets_box(s, box) for s in board.lines)
    board.paragraph((box[0], box[3]), lines, size=size, bold=bold, masked=crossed, colour=colour)


class _Taken:
    """What a label must keep clear of, with the box of each piece for a quick first test."""

    def __init__(self, board: Board) -> None:
        self.texts = [(bounds(quad), quad) for quad in board.texts]
        self.lines = [(bounds(segment), segment) for segment in board.lines]

    def text_at(self, box: Box) -> bool:
        """Return whether a box meets any text."""
        quad = _quad(box)
        x1, y1, x2, y2 = box[0] - _GAP, box[1] - _GAP, box[2] + _GAP, box[3] + _GAP
        return any(
            b[0] < x2 and b[2] > x1 and b[1] < y2 and b[3] > y1 and quads_meet(quad, other, _GAP)
            for b, other in self.texts
        )

    def lines_through(self, box: Box) -> int:
        """Return how many lines pass through a box or close by."""
        x1, y1, x2, y2 = box[0] - _GAP, box[1] - _GAP, box[2] + _GAP, box[3] + _GAP
        grown = (x1, y1, x2, y2)
        return sum(
            b[0] <= x2 and b[2] >= x1 and b[1] <= y2 and b[3] >= y1 and segment_meets_box(s, grown)
            for b, s in self.lines
        )

    def leader_cost(self, leader: Segment) -> float:
        """Return what a leader costs for the texts and lines it crosses."""
        x1, y1, x2, y2 = bounds(leader)
        through = sum(
            b[0] < x2 and b[2] > x1 and b[1] < y2 and b[3] > y1 and segment_meets_box(leader, b)
            for b, _ in self.texts
        )
        crossed = sum(
            b[0] <= x2 and b[2] >= x1 and b[1] <= y2 and b[3] >= y1 and segments_meet(leader, s)
            for b, s in self.lines
        )
        return _LEADER_THROUGH_TEXT * through + _LEADER_CROSSING * crossed


def _places(
    targets: Sequence[Point],
    width: float,
    height: float,
    window: tuple[Point, Point],
    inside: bool,
) -> Iterator[tuple[Point, Point, float]]:
    if inside:
        for target in targets:
            yield target, target, 0.0
    for reach in (2.5, 5.0, 8.0, 12.0, 17.0, 24.0, 33.0):
        for target in targets:
            for angle in _DIRECTIONS:
                ux, uy = cos(angle), sin(angle)
                x = target[0] + reach * ux + width / 2 * max(-1.0, min(1.0, 1.6 * ux))
                y = target[1] + reach * uy + height / 2 * max(-1.0, min(1.0, 1.6 * uy))
                yield target, (x, y), reach
    (left, low), (right, high) = window
    target = targets[0]
    for i in range(40):
        for j in range(40):
            x = left + width / 2 + (right - left - width) * i / 39
            y = low + height / 2 + (high - low - height) * j / 39
            yield target, (x, y), 34.0 + hypot(x - target[0], y - target[1])


def _draw_leader(board: Board, target: Point, end: Point) -> None:
    dx, dy = end[0] - target[0], end[1] - target[1]
    length = hypot(dx, dy)
    board.line("LEADER", target, end)
    if length > 1.0:
        board.ring("LEADER", target, 0.35, fill="ink")


def _nearest(box: Box, target: Point) -> Point:
    x = (
        box[0] - 0.5 if target[0] < box[0] else box[2] + 0.5 if target[0] > box[2]
        else (box[0] + box[2]) / 2
    )  # fmt: skip
    if target[1] > box[3]:
        y = box[3] + 0.2 if box[0] <= target[0] <= box[2] else box[3] - 0.9
    elif target[1] < box[1]:
        y = box[1] - 0.2 if box[0] <= target[0] <= box[2] else box[1] + 0.9
    else:
        y = min(max(target[1], box[1] + 0.5), box[3] - 0.5)
    return (x, y)


def _quad(box: Box) -> Quad:
    x1, y1, x2, y2 = box
    return ((x1, y1), (x2, y1), (x2, y2), (x1, y2))
