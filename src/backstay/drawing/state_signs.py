"""The sign of an anchor by its state: a letter, a shape and a colour of its own, each enough alone.

Round: not loaded yet; square: tested, or locked off; on its point: asks for action. Colours are pale,
so that a copy in black and white loses nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from backstay.drawing.board import Board
from backstay.drawing.lettering import ASCENT, DESCENT
from backstay.drawing.marks import Point
from backstay.records.entries import State

Shape = Literal["round", "square", "point"]
RADIUS = 2.0
"""Half the width of a sign (mm)."""
_LETTER = 1.9


@dataclass(frozen=True, slots=True)
class StateSign:
    """Letter, words for the legend, shape, fill and colour of the letter."""

    letter: str
    words: str
    shape: Shape
    fill: str
    ink: str = ""
    layer: str = "ANCHOR-STATE"


SIGNS: dict[State, StateSign] = {
    "planned": StateSign("P", "planned", "round", "paper", layer="ANCHOR-PLANNED"),
    "submittal": StateSign("S", "submittal judged", "round", "paper"),
    "drilled": StateSign("D", "drilled", "round", "sand"),
    "grouted": StateSign("G", "grouted", "round", "tone"),
    "stressed": StateSign("T", "tested, no verdict yet", "square", "sand"),
    "accepted": StateSign("A", "accepted", "square", "green"),
    "not accepted": StateSign("N", "not accepted", "point", "accent", "paper"),
    "locked off": StateSign("L", "locked off", "square", "blue"),
    "lifted off": StateSign("F", "lifted off", "square", "paper"),
    "repaired": StateSign("R", "repaired, to be tested", "point", "sand"),
    "replaced": StateSign("X", "replaced", "square", "tone"),
}


def draw_state(board: Board, at: Point, state: State, *, outlier: bool = False) -> None:
    """Draw the sign of a state; outlier: with a ring around it."""
    sign = SIGNS[state]
    x, y = at
    r = RADIUS
    if sign.shape == "round":
        board.ring(sign.layer, at, 0.92 * r, sign.fill)
    elif sign.shape == "square":
        a = 0.86 * r
        corners = ((x - a, y - a), (x + a, y - a), (x + a, y + a), (x - a, y + a))
        board.sign(sign.layer, *corners, closed=True, fill=sign.fill)
        if state == "lifted off":  # proved by a lift-off: a double outline
            b = a - 0.38
            inner = ((x - b, y - b), (x + b, y - b), (x + b, y + b), (x - b, y + b))
            board.sign(sign.layer, *inner, closed=True)
    else:
        a = 1.18 * r
        corners = ((x - a, y), (x, y - a), (x + a, y), (x, y + a))
        board.sign(sign.layer, *corners, closed=True, fill=sign.fill)
    if outlier:
        board.ring("ANCHOR-OUTLIER", at, 1.34 * r)
    size = _LETTER * (0.84 if state == "lifted off" else 1.0)
    board.write(
        (x, y - (ASCENT - DESCENT) / 2 * size * 1.2), sign.letter, size=size, align="centre",
        bold=True, colour=sign.ink,
    )  # fmt: skip
