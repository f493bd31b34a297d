"""The strip at the foot of a sheet: notes, legend, title block; and title and scale bar."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from backstay.drawing.board import Board
from backstay.drawing.figures import unit
from backstay.drawing.frame import Frame
from backstay.drawing.ground import water_sign
from backstay.drawing.labels import NoRoomError
from backstay.drawing.lettering import ASCENT, LEADING, shortened, wrapped
from backstay.drawing.marks import Point
from backstay.drawing.sheet import Sheet, scale_text
from backstay.quantity import UnitSystem

if TYPE_CHECKING:
    from backstay.model.project import ProjectData

ANCHOR_SIGN = 0.9
"""Radius (mm) of the sign of an anchor on the face of the wall."""
SEAL = "Not for construction unless sealed by the engineer of record."
_CAUTIONS = (
    "Locate and expose utilities before drilling; keep the clearances shown.",
    "Stressing: nobody behind the jack or in line with the tendon.",
    "Compare the ground met with the strata assumed; stop and ask the engineer if it differs.",
    "Local codes and the engineer of record govern.",
)
_KIND_NOTES = {
    "section": "Lengths along anchors are true lengths, rounded up as in the schedule; ≥ marks a bond length that "
    "is the contractor's choice: the shortest estimated, to be shown by test.",
    "elevation": "Seen from the cut. Anchors are marked row-number, from the left.",
    "slope": "Lengths along anchors are true lengths, rounded up as in the schedule; ≥ marks a bond length that "
    "is the contractor's choice: the shortest estimated, to be shown by test.",
}
_SLOPE_CAUTIONS = (
    "Work stops, and people leave the slope, where movement quickens.",
    "Holes are cased through moving ground; flush is kept from the slip surface.",
)
_CUT_CAUTION = "Dig no deeper than the bench of a row until its anchors are tested and locked off."


@dataclass(frozen=True, slots=True)
class Caption:
    """What the title block says; remarks: further notes."""

    name: str
    kind: Literal["section", "elevation", "slope"]
    project: ProjectData | None
    remarks: tuple[str, ...] = ()


def draw_strip(
    board: Board, frame: Frame, caption: Caption, layers: Iterable[str], units: UnitSystem
) -> None:
    """Draw the sheet's frame and its strip. layers: those used, for the legend."""
    s = frame.sheet
    board.line(
        "SHEET-FRAME", (s.left, s.margin), (s.right, s.margin), (s.right, s.top), (s.left, s.top),
        closed=True,
    )  # fmt: skip
    board.line("SHEET-FRAME", (s.left, s.foot), (s.right, s.foot))
    width = s.right - s.left
    x1, x2 = s.left + 0.36 * width, s.left + 0.66 * width
    for x in (x1, x2):
        board.line("SHEET-RULE", (x, s.margin), (x, s.foot))
    _notes(board, s, s.left, x1, caption, units)
    _legend(board, s, x1, x2, set(layers), caption.kind)
    _title_block(board, frame, x2, caption, units)


def _notes(
    board: Board, s: Sheet, left: float, right: float, caption: Caption, units: UnitSystem
) -> None:
    word = "feet (ft)" if units is UnitSystem.US else "metres (m)"
    slope = caption.kind == "slope"
    across = "across the slope, from the origin of the survey" if slope else "square to the wall"
    notes = [
        f"All dimensions and elevations in {word}; x is measured {across}.",
        *(_SLOPE_CAUTIONS if slope else (_CUT_CAUTION,)),
        *_CAUTIONS,
        _KIND_NOTES[caption.kind],
        *caption.remarks,
    ]
    board.write((left + 3, s.foot - 5.0), "NOTES", size=2.5, bold=True)
    room = s.foot - s.margin - 7.5
    for size in (2.0, 1.9, 1.8, 1.7, 1.6, 1.5, 1.3, 1.1):
        lines = [wrapped(n, size, right - left - 11) for n in notes]
        if sum(len(block) * LEADING * size + 0.5 for block in lines) <= room:
            break
    else:
        raise NoRoomError("the notes do not fit on the sheet")
    y = s.foot - 7.0
    for i, block in enumerate(lines, 1):
        board.write((left + 3, y - ASCENT * size), f"{i}.", size=size)
        board.paragraph((left + 7.5, y), block, size=size)
        y -= len(block) * LEADING * size + 0.5


def _legend(board: Board, s: Sheet, left: float, right: float, used: set[str], kind: str) -> None:
    board.write((left + 3, s.foot - 5.0), "LEGEND", size=2.5, bold=True)
    own = _SLOPE_WORDS if kind == "slope" else {}
    entries = [(name, own.get(name, words), draw) for name, words, draw in _SAMPLES if name in used]
    half = (len(entries) + 1) // 2
    pitch = min(5.6, (s.foot - s.margin - 9.0) / max(half, 1))
    size = min(2.0, pitch / 2.4)
    column = (right - left - 3) / 2
    for i, (name, words, draw) in enumerate(entries):
        x = left + 3 + (i // half) * column
        y = s.foot - 7.5 - pitch * (i % half + 0.5)
        draw(board, name, x, y)
        lines = wrapped(words, size, column - 15)
        if len(lines) > 1:
            size_two = size * 0.85
            lines = wrapped(words, size_two, column - 15)[:2]
            board.paragraph((x + 13, y + 1.45 * size_two), lines, size=size_two)
        else:
            board.write((x + 13, y - 0.45 * size), lines[0], size=size)


Sample = Callable[[Board, str, float, float], None]


def _dash(board: Board, name: str, x: float, y: float) -> None:
    board.line(name, (x, y), (x + 11, y))


def _bar(board: Board, name: str, x: float, y: float) -> None:
    board.line(
        name, (x, y - 0.7), (x + 11, y - 0.7), (x + 11, y + 0.7), (x, y + 0.7),
        closed=True, fill="tone",
    )  # fmt: skip


def _hole(board: Board, name: str, x: float, y: float) -> None:
    corners = ((x, y - 1), (x + 11, y - 1), (x + 11, y + 1), (x, y + 1))
    board.hatch(corners, "concrete")
    board.line(name, *corners, closed=True)


def _plate(board: Board, name: str, x: float, y: float) -> None:
    board.line("ANCHOR-FREE", (x + 2, y), (x + 11, y))
    board.sign(
        name, (x + 2, y - 1.4), (x + 2.7, y - 1.4), (x + 2.7, y + 1.4), (x + 2, y + 1.4),
        closed=True, fill="ink",
    )  # fmt: skip


def _water(board: Board, name: str, x: float, y: float) -> None:
    board.line(name, (x, y - 0.7), (x + 11, y - 0.7))
    water_sign(board, (x + 5.5, y - 0.7))


def _arrow(board: Board, name: str, x: float, y: float) -> None:
    board.line(name, (x + 1, y + 2), (x + 10, y + 2))
    for k in (1.0, 5.5, 10.0):
        board.arrow(name, (x + k, y + 2), (x + k, y - 2), head=1.4)


def _circle(board: Board, name: str, x: float, y: float) -> None:
    board.ring(name, (x + 5.5, y), 1.5)


def _cross(board: Board, name: str, x: float, y: float) -> None:
    crossed_circle(board, name, (x + 5.5, y))


def crossed_circle(board: Board, name: str, at: Point) -> None:
    """Draw the sign of an anchor on the face of the wall."""
    x, y = at
    r = ANCHOR_SIGN
    board.ring(name, at, r, fill="paper")
    board.sign(name, (x - r, y), (x + r, y))
    board.sign(name, (x, y - r), (x, y + r))


_SAMPLES: tuple[tuple[str, str, Sample], ...] = (
    ("SURFACE-FAILURE", "Critical failure surface", _dash),
    ("SLIP-SURFACE", "Critical slip surface, finished cut", _dash),
    ("SURFACE-BOND-LIMIT", "Least set-back of bond zones", _dash),
    ("ANCHOR-FREE", "Free (unbonded) length", _dash),
    ("ANCHOR-BOND", "Bond length", _bar),
    ("ANCHOR-HEAD", "Anchor head", _plate),
    ("ANCHOR-FACE", "Anchor, with its mark", _cross),
    ("SLOPE-PAD", "Pad or beam on the face", _bar),
    ("WALL-PILE", "Wall: pile or panel", _bar),
    ("WALL-HIDDEN", "Wall below the cut", _dash),
    ("WALL-HOLE", "Drilled hole, filled", _hole),
    ("WALL-LAGGING", "Lagging", _bar),
    ("CUT-SUBGRADE", "Ground surface, subgrade", _dash),
    ("CUT-BENCH", "Bench before stressing", _dash),
    ("GROUND-STRATA", "Boundary of strata", _dash),
    ("WATER", "Water level", _water),
    ("LOAD-SURCHARGE", "Surcharge", _arrow),
    ("SITE-BUILDING", "Building, footing", _dash),
    ("SITE-OBSTACLE", "Utility, obstacle", _circle),
    ("SITE-CLEARANCE", "Clearance to keep", _circle),
    ("SITE-LIMIT", "Right-of-way", _dash),
)


_SLOPE_WORDS = {
    "SURFACE-FAILURE": "Known slip surface",
    "SLIP-SURFACE": "Least safe slip of a part of the face",
    "CUT-SUBGRADE": "Ground surface",
    "GROUND-SURFACE": "Ground surface",
    "WALL-PILE": "Row of piles",
}
"""What layers hold in the section of a slope, where it is not what they hold beside a wall."""


def _title_block(
    board: Board, frame: Frame, left: float, caption: Caption, units: UnitSystem
) -> None:
    s, project = frame.sheet, caption.project
    width = s.right - left
    y = s.foot
    name = project.name if project else ""
    place = project.location if project else ""
    board.paragraph(
        (left + 3, y - 2.5), [shortened(name, 3.0, width - 6, bold=True)], size=3.0, bold=1
    )
    board.paragraph((left + 3, y - 8.0), [shortened(place, 2.0, width - 6)], size=2.0)
    rows = [
        ("Drawing", caption.name),
        ("Scale", f"{scale_text(frame.view.denominator, units)} on {s.name} "
                  f"({s.width:.4g} x {s.height:.4g} mm)"),
        ("Units", unit(units)),
        ("Project no.", project.number if project else ""),
        ("Client", project.client if project else ""),
        ("Engineer", project.engineer if project else ""),
        ("Checker", project.checker if project else ""),
        ("Date", project.date if project else ""),
    ]  # fmt: skip
    top, foot = y - 12.5, s.margin + 9.0
    pitch = (top - foot) / len(rows)
    for i, (head, words) in enumerate(rows):
        line = top - pitch * i
        board.line("SHEET-RULE", (left, line), (s.right, line))
        base = line - pitch / 2 - 0.9
        board.write((left + 3, base), head, size=1.8)
        board.write((left + 22, base), shortened(words, 2.0, width - 25, bold=i == 0), bold=i == 0)
    board.line("SHEET-RULE", (left, foot), (s.right, foot))
    lines = wrapped(SEAL, 2.2, width - 6, bold=True)
    high = s.margin + 4.5 + len(lines) * 1.8
    board.paragraph((left + 3, high), lines, size=2.2, bold=len(lines))


def title(board: Board, frame: Frame, name: str) -> None:
    """Write the title over the drawing."""
    s = frame.sheet
    board.write(
        (s.left + 4, frame.title_y + 4.0),
        shortened(name.upper(), 3.5, 0.6 * (s.right - s.left), bold=True), size=3.5, bold=True,
    )  # fmt: skip


def scale_bar(board: Board, frame: Frame, units: UnitSystem) -> None:
    """Draw a scale bar with its length, at the left foot of the drawing."""
    metre = 1.0 if units is UnitSystem.SI else 0.3048
    mm = frame.view.mm * metre
    step = max(n for n in (0.5, 1, 2, 5, 10, 20, 50) if n * mm <= 15.0 or n == 0.5)
    x, y = frame.sheet.left + 4.0, frame.foot_y
    for i in range(2):
        a, b = x + i * step * mm, x + (i + 1) * step * mm
        board.sign(
            "LEVEL", (a, y), (b, y), (b, y + 1.0), (a, y + 1.0), closed=True,
            fill="ink" if i == 0 else "paper",
        )  # fmt: skip
    for i in range(3):
        label = f"{i * step:g}" + (f" {unit(units)}" if i == 2 else "")
        board.write(
            (x + i * step * mm, y + 1.8), label, size=1.6, align="centre" if i < 2 else "left"
        )
    if not frame.sheet.is_figure:
        words = f"Scale {scale_text(frame.view.denominator, units)}"
        board.write((x + 2 * step * mm + 10.0, y), words)
