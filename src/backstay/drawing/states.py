"""The elevation of a wall by the state of its anchors, to scale, in bands where the wall is long.

Every anchor stands where it was planned, with its number above its sign. A wall whose anchors would
stand too close to read is cut into bands below each other, and bands go on to further drawings.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from statistics import median

from backstay.drawing.board import Board
from backstay.drawing.figures import length, unit
from backstay.drawing.labels import NoRoomError
from backstay.drawing.lettering import text_width
from backstay.drawing.marks import Drawing, Point, View
from backstay.drawing.state_signs import RADIUS, SIGNS, draw_state
from backstay.errors import DesignError
from backstay.quantity import QUANTITIES, UnitSystem
from backstay.records.entries import State

_TEXT = 1.7
_PITCH = 2 * RADIUS + 1.1
_ROWS_APART = 2 * RADIUS + 4.2
_ABOVE = 1.42 * RADIUS + 0.45
"""Of the number of an anchor above its middle: clear of the ring of one that stands out."""
_LEFT, _RIGHT = 16.0, 8.0
_HEAD, _FOOT = 9.0, 9.0
_LEGEND = 6.2
_LARGEST = 14.0
"""mm on paper of a metre of a short wall: more would only be empty."""


@dataclass(frozen=True, slots=True)
class StatePlace:
    """An anchor on the face: row and number from 1, place along the wall and depth (m), state, name."""

    row: int
    number: int
    along: float
    depth: float
    state: State
    outlier: bool = False
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class StatePicture:
    """A drawing by state, and where on it (mm from its lower left) the sign of each anchor stands."""

    drawing: Drawing
    signs: tuple[tuple[StatePlace, Point], ...]


@dataclass(frozen=True, slots=True)
class Face:
    """The face of a wall: its length and the depth of its cut (m), None where it is not known."""

    length: float | None = None
    depth: float | None = None


@dataclass(frozen=True, slots=True)
class _Scale:
    mm: float
    bands: int
    start: float
    reach: float
    top: float
    low: float

    @property
    def height(self) -> float:
        """Return the height of a band with its head and foot (mm)."""
        return (self.low - self.top) * self.mm + _HEAD + _FOOT


def compose_states(
    places: Sequence[StatePlace],
    face: Face,
    units: UnitSystem,
    *,
    title: str,
    width: float = 262.0,
    height: float = 150.0,
) -> tuple[Drawing, ...]:
    """Return the elevation as one drawing or more, as of `state_pictures`."""
    made = state_pictures(places, face, units, title=title, width=width, height=height)
    return tuple(one.drawing for one in made)


def state_pictures(
    places: Sequence[StatePlace],
    face: Face,
    units: UnitSystem,
    *,
    title: str,
    width: float = 262.0,
    height: float = 150.0,
) -> tuple[StatePicture, ...]:
    """Return the elevation as one drawing or more, each `width` mm wide and at most `height` high.

    Raises DesignError where there is no anchor, NoRoomError where a row has more than fit.
    """
    if not places:
        raise DesignError("there is no anchor to draw", "drawing")
    scale = _scale(places, face, width, height)
    each = int((height - _legend_height(places, width)) // scale.height)
    if each < 1:
        raise NoRoomError("the rows are too many for one drawing")
    found = []
    for first in range(0, scale.bands, each):
        bands = range(first, min(first + each, scale.bands))
        found.append(_drawing(places, face, units, scale, bands, title, width))
    return tuple(found)


def _scale(places: Sequence[StatePlace], face: Face, width: float, height: float) -> _Scale:
    rows = _by_row(places)
    start = min(0.0 if face.length is not None else min(p.along for p in places), *(
        p.along for p in places
    ))  # fmt: skip
    end = max(face.length or 0.0, *(p.along for p in places))
    depths = [median(p.depth for p in row) for row in rows]
    apart = [abs(b - a) for a, b in pairwise(sorted(depths)) if abs(b - a) > 1e-6]
    gaps = [b.along - a.along for row in rows for a, b in pairwise(row) if b.along > a.along]
    least = max(_PITCH / median(gaps) if gaps else 0.0, _ROWS_APART / min(apart) if apart else 0.0)
    room = width - _LEFT - _RIGHT - 2 * RADIUS
    top, low = min(0.0, min(depths)), max(face.depth or 0.0, max(depths) + RADIUS / max(least, 1.0))
    whole = room / max(end - start, 1e-6)
    tallest = (height - _legend_height(places, width) - _HEAD - _FOOT) / max(low - top, 1e-6)
    if whole >= least:
        mm, bands = max(least, min(whole, tallest, _LARGEST)), 1
    else:
        mm = least
        bands = ceil((end - start) * mm / room - 1e-9)
    reach = (end - start) / bands
    return _Scale(mm, bands, start, reach, top, low)


def _by_row(places: Iterable[StatePlace]) -> list[list[StatePlace]]:
    rows: dict[int, list[StatePlace]] = {}
    for place in sorted(places, key=lambda p: (p.row, p.along, p.number)):
        rows.setdefault(place.row, []).append(place)
    return list(rows.values())


def _drawing(
    places: Sequence[StatePlace],
    face: Face,
    units: UnitSystem,
    scale: _Scale,
    bands: range,
    title: str,
    width: float,
) -> StatePicture:
    foot = _legend_height(places, width)
    height = foot + len(bands) * scale.height
    board = Board(_TEXT)
    signs: list[tuple[StatePlace, Point]] = []
    for k, band in enumerate(bands):
        top = height - k * scale.height - _HEAD
        signs += _band(board, places, face, units, scale, band, top, width)
    _legend(board, places, foot, width)
    view = View(1000.0 / scale.mm, (_LEFT, height - _HEAD), 0.0)
    whole = ((0.0, 0.0), (width, height))
    drawing = Drawing(title, width, height, view, units, whole, tuple(board.marks))
    return StatePicture(drawing, tuple(signs))


def _band(
    board: Board,
    places: Sequence[StatePlace],
    face: Face,
    units: UnitSystem,
    scale: _Scale,
    band: int,
    top: float,
    width: float,
) -> list[tuple[StatePlace, Point]]:
    """Draw one band: the wall, its rows, and stations along it; return where its signs stand.

    top: paper height of its top.
    """
    signs = []
    near = scale.start + band * scale.reach
    far = near + scale.reach
    x0 = _LEFT + RADIUS
    x1 = x0 + scale.reach * scale.mm
    last = band == scale.bands - 1

    def y(depth: float) -> float:
        return top - (depth - scale.top) * scale.mm

    board.line("WALL-PILE", (x0 - RADIUS, y(0.0)), (x1 + RADIUS, y(0.0)))
    if face.depth is not None:
        board.line("CUT-SUBGRADE", (x0 - RADIUS, y(face.depth)), (x1 + RADIUS, y(face.depth)))
    for row in _by_row(places):
        here = [p for p in row if near - 1e-9 <= p.along < far or (last and p.along >= far)]
        depth = median(p.depth for p in row)
        board.write((1.0, y(depth) - _TEXT / 2), f"Row {row[0].row}", bold=True)
        wanted = [x0 + (p.along - near) * scale.mm for p in here]
        low, high = x0 - 0.5 * RADIUS, min(x1 + RADIUS, width - RADIUS - 1.0)
        for place, x in zip(here, _spread(wanted, _PITCH, low, high), strict=True):
            at = (x, y(place.depth))
            signs.append((place, at))
            draw_state(board, at, place.state, outlier=place.outlier)
            board.write(
                (x, at[1] + _ABOVE), f"{place.number}", size=1.5, align="centre", masked=True
            )
    _stations(board, units, scale, (near, far), y(scale.low) - 2.0)
    if scale.bands > 1:
        words = f"band {band + 1} of {scale.bands}"
        board.write((x0 - RADIUS, top + 6.4), words, size=_TEXT)
    return signs


def _spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Return rising places moved as little as needed to be a gap apart; raise NoRoomError."""
    if (len(wanted) - 1) * gap > high - low + 1e-6:
        raise NoRoomError("a row has more anchors than find room on the drawing")
    placed: list[float] = []
    for i, x in enumerate(wanted):
        placed.append(max(x, low if i == 0 else placed[-1] + gap))
    ceiling = high + gap
    for i in reversed(range(len(placed))):
        placed[i] = min(placed[i], ceiling - gap)
        ceiling = placed[i]
    return placed


def _stations(
    board: Board, units: UnitSystem, scale: _Scale, span: tuple[float, float], y: float
) -> None:
    """Draw a scale of places along the wall below a band."""
    near, far = span
    x0 = _LEFT + RADIUS
    x1 = x0 + (far - near) * scale.mm
    board.line("DIMENSION", (x0, y), (x1, y))
    of = QUANTITIES["length"]
    step = next(
        (s for s in (1, 2, 5, 10, 20, 25, 50, 100, 200, 500) if of.internal(s, units) * scale.mm >= 14.0),
        1000,
    )  # fmt: skip
    first = ceil(of.shown(near, units) / step - 1e-6)
    k = first
    while of.internal(k * step, units) <= far + 1e-6:
        x = x0 + (of.internal(k * step, units) - near) * scale.mm
        board.line("DIMENSION", (x, y), (x, y - 1.0))
        words = f"{k * step:g}"
        if k == first:
            words += f" {unit(units)}"
        board.write((x, y - 3.4), words, size=1.5, align="centre")
        k += 1
    if k == first:
        board.write((x0, y - 3.4), f"{length(near, units)} {unit(units)}", size=1.5)


def _entries(places: Sequence[StatePlace]) -> list[tuple[State | None, str]]:
    counts: dict[State, int] = {}
    for p in places:
        counts[p.state] = counts.get(p.state, 0) + 1
    found: list[tuple[State | None, str]] = [
        (state, f"{sign.words}: {counts[state]}")
        for state, sign in SIGNS.items()
        if state in counts
    ]
    out = sum(p.outlier for p in places)
    if out:
        found.append((None, f"ring: stands out among those tested alike: {out}"))
    return found


def _columns(places: Sequence[StatePlace], width: float) -> int:
    widest = max(text_width(words, _TEXT) for _, words in _entries(places))
    return max(1, int((width - 4.0) // (widest + 2 * RADIUS + 6.0)))


def _legend_height(places: Sequence[StatePlace], width: float) -> float:
    return ceil(len(_entries(places)) / _columns(places, width)) * _LEGEND + 3.0


def _legend(board: Board, places: Sequence[StatePlace], top: float, width: float) -> None:
    entries, columns = _entries(places), _columns(places, width)
    each = (width - 4.0) / columns
    for i, (state, words) in enumerate(entries):
        x = 4.0 + (i % columns) * each
        y = top - 4.0 - (i // columns) * _LEGEND
        if state is None:
            board.ring("ANCHOR-OUTLIER", (x, y), RADIUS)
        else:
            draw_state(board, (x, y), state)
        board.write((x + RADIUS + 1.8, y - 0.5 * _TEXT), words)


def state_svgs(
    places: Sequence[StatePlace], face: Face, units: UnitSystem, *, title: str
) -> tuple[str, ...]:
    """Return the elevation by state as figures for a page."""
    from backstay.drawing.svg import svg

    return tuple(svg(d) for d in compose_states(places, face, units, title=title))
