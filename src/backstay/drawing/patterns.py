"""The signs of the ground: small repeating cells of line segments, light enough to write over.

One table serves SVG (a pattern tile) and DXF (families of dashed lines).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot

Segment = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Pattern:
    """A cell of `width` x `height` mm with segments (x1, y1, x2, y2) inside it."""

    width: float
    height: float
    segments: tuple[Segment, ...]

    def families(self) -> list[tuple[float, Segment, float]]:
        """Return for each segment its angle (degrees), itself, and its period along the line."""
        found = []
        for x1, y1, x2, y2 in self.segments:
            dx, dy = x2 - x1, y2 - y1
            along = hypot(dx, dy)
            if dx == 0.0:
                period = self.height
            elif dy == 0.0:
                period = self.width
            else:
                period = along * max(self.width / abs(dx), self.height / abs(dy))
            found.append((degrees(atan2(dy, dx)), (x1, y1, x2, y2), period))
        return found


def _dot(x: float, y: float) -> Segment:
    return (x, y, x + 0.3, y)


PATTERNS: dict[str, Pattern] = {
    "granular": Pattern(3.0, 3.0, (_dot(0.6, 0.7), _dot(2.1, 2.2))),
    "stiff clay": Pattern(3.0, 3.0, ((0.4, 0.4, 2.6, 2.6),)),
    "soft clay": Pattern(4.0, 3.0, ((0.3, 0.75, 2.3, 0.75), (2.3, 2.25, 3.9, 2.25))),
    "rock": Pattern(
        5.0,
        4.0,
        ((0, 1, 5, 1), (0, 3, 5, 3), (1.25, 1, 1.25, 3), (3.75, 0, 3.75, 1), (3.75, 3, 3.75, 4)),
    ),
    "concrete": Pattern(2.4, 2.4, (_dot(0.4, 0.5), _dot(1.5, 1.1), _dot(0.9, 1.9))),
}
