"""The board on which a drawing is composed: it collects marks and knows what space is taken."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from math import atan2, degrees, hypot

from backstay.drawing.boxes import Segment, quads_meet, segments_meet
from backstay.drawing.lettering import ASCENT, DESCENT, LEADING
from backstay.drawing.marks import (
    Align,
    Dimension,
    Hatch,
    Mark,
    Point,
    Quad,
    Ring,
    Space,
    Stroke,
    Text,
)


class Board:
    """Collects the marks of one space; `texts` and `lines` are what a label must keep clear of."""

    def __init__(self, text: float, space: Space = "model") -> None:
        self.text = text
        self.space: Space = space
        self.marks: list[Mark] = []
        self.texts: list[Quad] = []
        self.lines: list[Segment] = []

    def line(
        self,
        layer: str,
        *points: Point,
        closed: bool = False,
        fill: str = "",
        outlined: bool = True,
    ) -> None:
        """Draw a polyline; labels will avoid it."""
        self.marks.append(Stroke(layer, points, closed, fill, outlined, self.space))
        ends = (*points, points[0]) if closed else points
        self.lines.extend(itertools.pairwise(ends))

    def sign(
        self,
        layer: str,
        *points: Point,
        closed: bool = False,
        fill: str = "",
        outlined: bool = True,
    ) -> None:
        """Draw a small sign that labels need not avoid."""
        self.marks.append(Stroke(layer, points, closed, fill, outlined, self.space))

    def ring(self, layer: str, centre: Point, radius: float, fill: str = "") -> None:
        """Draw a circle; labels will avoid it."""
        self.marks.append(Ring(layer, centre, radius, fill, self.space))
        x, y = centre
        r = radius
        corners = ((x - r, y), (x, y - r), (x + r, y), (x, y + r), (x - r, y))
        self.lines.extend(itertools.pairwise(corners))

    def hatch(self, points: Sequence[Point], pattern: str) -> None:
        """Fill a region with the sign of a kind of ground."""
        self.marks.append(Hatch(tuple(points), pattern, space=self.space))

    def arrow(self, layer: str, tail: Point, tip: Point, head: float = 1.8) -> None:
        """Draw an arrow."""
        dx, dy = tip[0] - tail[0], tip[1] - tail[1]
        length = hypot(dx, dy) or 1.0
        ux, uy = dx / length, dy / length
        bx, by = tip[0] - head * ux, tip[1] - head * uy
        w = head * 0.22
        self.line(layer, tail, (bx, by))
        self.sign(
            layer, tip, (bx - w * uy, by + w * ux), (bx + w * uy, by - w * ux),
            closed=True, fill="ink", outlined=False,
        )  # fmt: skip

    def write(
        self,
        at: Point,
        words: str,
        *,
        size: float | None = None,
        align: Align = "left",
        rotation: float = 0.0,
        bold: bool = False,
        masked: bool = False,
        colour: str = "",
        layer: str = "TEXT",
    ) -> Text:
        """Write one line of text with its baseline at a point."""
        text = Text(
            at,
            words.replace("\u00a0", " "),
            size or self.text,
            align,
            rotation,
            bold,
            colour,
            masked,
            layer,
            self.space,
        )
        self.place(text)
        return text

    def place(self, text: Text) -> None:
        """Place a text that is already made."""
        self.marks.append(text)
        self.texts.append(text.quad)

    def paragraph(
        self,
        at: Point,
        lines: Sequence[str],
        *,
        size: float | None = None,
        align: Align = "left",
        bold: int = 0,
        masked: bool = False,
        colour: str = "",
    ) -> float:
        """Write lines downward, the top of the first at a point; return the foot of the last.

        bold: how many of the lines, from the first, are bold.
        """
        size = size or self.text
        y = at[1] - ASCENT * size
        for i, words in enumerate(lines):
            self.write(
                (at[0], y), words, size=size, align=align, bold=i < bold, masked=masked,
                colour=colour,
            )  # fmt: skip
            y -= LEADING * size
        return y + (LEADING - DESCENT) * size

    def dimension(
        self, first: Point, second: Point, offset: float, words: str, *, masked: bool = False
    ) -> None:
        """Draw a dimension with its figure along the line, or beside it where it is too short."""
        self.add_dimension(self.measured(first, second, offset, words, masked=masked))

    def add_dimension(self, mark: Dimension) -> None:
        """Draw a dimension that is already made."""
        self.marks.append(mark)
        self.texts.append(mark.text.quad)
        self.lines.append(mark.line)

    def obstructed(self, mark: Dimension) -> int:
        """Return how many texts and lines the figure of a dimension would cover; a text counts ten."""
        quad = mark.text.quad
        sides = list(zip(quad, (*quad[1:], quad[0]), strict=True))
        lines = sum(any(segments_meet(side, line) for side in sides) for line in self.lines)
        return lines + 10 * sum(quads_meet(quad, other) for other in self.texts)

    def measured(
        self,
        first: Point,
        second: Point,
        offset: float,
        words: str,
        *,
        masked: bool = False,
        extended: bool = True,
    ) -> Dimension:
        """Return a dimension with its figure along the line, or beside it where it is too short."""
        size = self.text
        bare = Dimension(first, second, offset, Text(first, words, size), extended)
        (x1, y1), (x2, y2) = bare.line
        angle = degrees(atan2(y2 - y1, x2 - x1))
        readable = angle if -89.0 < angle <= 90.5 else angle - 180.0 if angle > 0 else angle + 180.0
        x, y = (x1 + x2) / 2, (y1 + y2) / 2
        nx, ny = bare.normal
        if readable != angle:
            nx, ny = -nx, -ny
        gap = DESCENT * size + 0.2
        if bare.text.width + 1.0 <= hypot(x2 - x1, y2 - y1):
            place = ((x + nx * gap, y + ny * gap), readable, "centre")
        elif abs(x1 - x2) < 1e-6:
            place = ((x - 0.9, y - size / 2), 0.0, "right")
        else:
            place = ((x, y + gap), 0.0, "centre")
        at, rotation, align = place
        text = Text(at, words, size, align, rotation, masked=masked, space=self.space)  # type: ignore[arg-type]
        return Dimension(first, second, offset, text, extended, space=self.space)


def block_height(lines: int, size: float) -> float:
    """Return the height (mm) of a paragraph of so many lines."""
    return (ASCENT + DESCENT + (lines - 1) * LEADING) * size if lines else 0.0
