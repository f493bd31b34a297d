"""A small canvas for figures: SVG with real text, in points, y downward."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from backstay.drawing.lettering import CAP_HEIGHT, text_width
from backstay.fonts import CSS_FAMILY

INK = "#111111"
ACCENT = "#9b2d1f"
FAINT = "#8a8a8a"
FILL = "#e9e5dd"

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]
Box = tuple[float, float, float, float]
"""Left, top, right, bottom."""
_ASCENT, _DESCENT = 0.78, 0.22
"""Reach of figures and letters above and below the baseline, over the size of the font."""


class Canvas:
    """Collects shapes and writes them as one SVG document."""

    def __init__(self, width: float, height: float) -> None:
        self.width = width
        self.height = height
        self._parts: list[str] = []
        self.boxes: list[tuple[str, Box]] = []
        """Every text with its box."""

    def line(
        self, points: Sequence[Point], *, colour: str = INK, width: float = 0.8, dash: str = ""
    ) -> None:
        """Draw an open polyline."""
        style = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(
            f'<polyline points="{_points(points)}" fill="none" stroke="{colour}" '
            f'stroke-width="{width:g}" stroke-linejoin="round"{style}/>'
        )

    def area(self, points: Sequence[Point], *, fill: str = FILL) -> None:
        """Fill a polygon without outline."""
        self._parts.append(f'<polygon points="{_points(points)}" fill="{fill}" stroke="none"/>')

    def arrow(self, tail: Point, tip: Point, *, colour: str = INK, width: float = 0.9) -> None:
        """Draw an arrow."""
        (x1, y1), (x2, y2) = tail, tip
        length = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5, 1e-9)
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        bx, by = x2 - 5 * ux, y2 - 5 * uy
        self.line([tail, (bx, by)], colour=colour, width=width)
        self.area(
            [tip, (bx - 2 * uy, by + 2 * ux), (bx + 2 * uy, by - 2 * ux)],
            fill=colour,
        )

    def text(
        self,
        at: Point,
        words: str,
        *,
        size: float = 8,
        anchor: Anchor = "start",
        colour: str = INK,
        bold: bool = False,
        halo: bool = False,
    ) -> None:
        """Write words with their baseline at a point; `halo` keeps them readable over lines."""
        self.boxes.append((words, text_box(at, words, size=size, anchor=anchor, bold=bold)))
        weight = ' font-weight="bold"' if bold else ""
        common = (
            f'x="{at[0]:.2f}" y="{at[1]:.2f}" font-size="{size:g}" text-anchor="{anchor}"'
            f" font-family={quoteattr(CSS_FAMILY)}{weight}"
        )
        if halo:
            self._parts.append(
                f'<text {common} fill="#ffffff" stroke="#ffffff" stroke-width="2.5" '
                f'stroke-linejoin="round">{escape(words)}</text>'
            )
        self._parts.append(f'<text {common} fill="{colour}">{escape(words)}</text>')

    def label(
        self,
        places: Iterable[tuple[Point, Anchor]],
        words: str,
        *,
        size: float = 7,
        colour: str = INK,
        bold: bool = False,
        backed: bool = False,
    ) -> bool:
        """Write words at the first place where they meet no text and stay on the canvas.

        backed: what lies behind them is blanked, as for a number on its own line. Returns False, and writes nothing, where there is none: a number that stands in the
        derivation too is better left out than printed over another.
        """
        for at, anchor in places:
            box = text_box(at, words, size=size, anchor=anchor, bold=bold)
            if self._free(box):
                if backed:
                    left, top, right, bottom = box
                    self.area(
                        [
                            (left - 1, top),
                            (right + 1, top),
                            (right + 1, bottom),
                            (left - 1, bottom),
                        ],
                        fill="#ffffff",
                    )
                self.text(at, words, size=size, anchor=anchor, colour=colour, bold=bold, halo=True)
                return True
        return False

    def _free(self, box: Box) -> bool:
        left, top, right, bottom = box
        if left < 1.0 or top < 1.0 or right > self.width - 1.0 or bottom > self.height - 1.0:
            return False
        return not any(
            left < b[2] + 1.0 and right > b[0] - 1.0 and top < b[3] and bottom > b[1]
            for _, b in self.boxes
        )

    def document(self, title: str) -> str:
        """Return the SVG document."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} {self.height:g}" '
            f'width="{self.width:g}pt" height="{self.height:g}pt" role="img">'
            f"<title>{escape(title)}</title>{''.join(self._parts)}</svg>"
        )


def text_box(
    at: Point, words: str, *, size: float, anchor: Anchor = "start", bold: bool = False
) -> Box:
    """Return the box of a text with its baseline at a point."""
    width = words_width(words, size, bold=bold)
    left = at[0] - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    return (left, at[1] - _ASCENT * size, left + width, at[1] + _DESCENT * size)


def words_width(words: str, size: float, *, bold: bool = False) -> float:
    """Return the length of a text in points; `size` is that of the font."""
    return text_width(words, size * CAP_HEIGHT, bold=bold)


def around(at: Point, *, right: bool, reach: int = 6) -> list[tuple[Point, Anchor]]:
    """Return places for a label beside a point: on its outer side, then above and below, then within."""
    places: list[tuple[Point, Anchor]] = []
    for step in range(reach):
        for shift in (4.0 * step, -4.0 * step) if step else (0.0,):
            y = at[1] + 2.5 + shift
            outer, inner = ((at[0] + 2.5, "start"), (at[0] - 2.5, "end"))
            if not right:
                outer, inner = inner, outer
            places += [((x, y), _anchor(name)) for x, name in (outer, inner)]
    return places


def _anchor(name: str) -> Anchor:
    return "start" if name == "start" else "end"


def spread(positions: Iterable[float], gap: float, low: float, high: float) -> list[float]:
    """Return positions moved as little as needed so that neighbours are `gap` apart, in low..high.

    Order of the input is kept: the result for each input stands at its index.
    """
    wanted = list(positions)
    order = sorted(range(len(wanted)), key=lambda i: wanted[i])
    placed = [0.0] * len(wanted)
    last = low - gap
    for i in order:
        placed[i] = max(wanted[i], last + gap)
        last = placed[i]
    ceiling = high + gap
    for i in reversed(order):
        placed[i] = min(placed[i], ceiling - gap)
        ceiling = placed[i]
    return placed


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
