"""The axis of levels at the left, and the chain of dimensions beside it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from backstay.drawing.board import Board, block_height
from backstay.drawing.boxes import stacked
from backstay.drawing.figures import length, unit
from backstay.drawing.frame import Frame
from backstay.drawing.labels import NoRoomError
from backstay.drawing.lettering import shortened, text_width
from backstay.quantity import UnitSystem


@dataclass(frozen=True, slots=True)
class Level:
    """A level: depth (m), name, and rank (0 always named; higher ranks give way where levels coincide)."""

    z: float
    name: str
    rank: int = 0


def draw_levels(board: Board, frame: Frame, levels: Sequence[Level], units: UnitSystem) -> None:
    """Draw the axis with an elevation and a name at each level."""
    marks = _merged(levels)
    size = board.text
    view = frame.view
    x = frame.x_levels
    ys = [view.at(0, z)[1] for z, _ in marks]
    pitch = block_height(1, size) + 0.25
    low, high = frame.foot_y + 4.6, frame.title_y
    head = f"El ({unit(units)})"
    places = stacked(ys, [pitch] * len(ys), low, high - pitch)
    while places is None:
        size *= 0.9
        pitch = block_height(1, size) + 0.15
        places = stacked(ys, [pitch] * len(ys), low, high - pitch)
        if size < 0.8:
            raise NoRoomError("the levels do not fit beside the section")
    board.line("LEVEL", (x, min(ys)), (x, max(ys)))
    figures = [length(view.top - z, units) for z, _ in marks]
    widest = max(text_width(f, size) for f in figures)
    for (_, name), figure, y, place in zip(marks, figures, ys, places, strict=True):
        board.line("LEVEL", (x + 1.2, y), (x - 1.2, y), (x - 3.0, place), (x - 4.0, place))
        base = place - 0.45 * size
        board.write((x - 4.6, base), figure, size=size, align="right")
        room = x - 4.6 - widest - 1.4 - frame.sheet.left
        board.write((frame.sheet.left + 0.6, base), shortened(name, size, room - 0.6), size=size)
    top = places[0] + pitch
    board.write((x - 4.6, top - 0.45 * size), head, size=size, align="right", bold=True)


def _merged(levels: Sequence[Level]) -> list[tuple[float, str]]:
    """Return levels from the top down; those within 10 mm of one another share a line."""
    groups: list[list[Level]] = []
    for level in sorted(levels, key=lambda v: v.z):
        if groups and level.z - groups[-1][0].z < 0.01:
            groups[-1].append(level)
        else:
            groups.append([level])
    merged = []
    for group in groups:
        first = min(level.rank for level in group)
        names = list(dict.fromkeys(v.name for v in group if v.rank == first))
        merged.append((group[0].z, ", ".join(names)))
    return merged


def _spaced(depths: Sequence[float], least: float) -> list[float]:
    """Return depths at least so far apart (m): rows too close to dimension singly go together."""
    kept = [depths[0]]
    for z in depths[1:-1]:
        if z - kept[-1] >= least and depths[-1] - z >= least:
            kept.append(z)
    return [*kept, depths[-1]]


def draw_chain(
    board: Board,
    frame: Frame,
    inner: Sequence[float],
    outer: Sequence[float],
    units: UnitSystem,
) -> None:
    """Draw two columns of vertical dimensions between depths: rows inside, the whole outside."""
    x = frame.x_chain - 2.0
    pitch = frame.x_chain - frame.x_levels - 4.0
    for depths, at in ((inner, x - 0.12 * pitch), (outer, x - 0.62 * pitch)):
        marks = _spaced(depths, 1.5 * board.text / frame.view.mm)
        for upper, lower in itertools.pairwise(marks):
            a, b = frame.view.at(0, upper), frame.view.at(0, lower)
            board.dimension((at + 1.0, b[1]), (at + 1.0, a[1]), 1.0, length(lower - upper, units))
