"""Where the ink of a text is, from the glyph outlines of the font: independent of the placement."""

from __future__ import annotations

from functools import cache
from math import cos, radians, sin

from ezdxf.math import Vec2, area
from ezdxf.math.clipping import ConvexClippingPolygon2d
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from backstay.drawing.marks import Text
from backstay.fonts import BOLD, REGULAR, font_folder


@cache
def font(bold: bool) -> TTFont:
    return TTFont(font_folder() / (BOLD if bold else REGULAR))


@cache
def outline(char: str, bold: bool) -> tuple[float, tuple[float, float, float, float] | None]:
    """Return advance and bounds of a glyph over the cap height; KeyError if the font lacks it."""
    f = font(bold)
    cap = f["OS/2"].sCapHeight
    name = f.getBestCmap()[ord(char)]
    glyphs = f.getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[name].draw(pen)
    bounds = tuple(v / cap for v in pen.bounds) if pen.bounds else None
    return glyphs[name].width / cap, bounds


def ink(text: Text) -> list[Vec2]:
    """Return the rectangle around the ink of a text."""
    x = 0.0
    low, high, left, right = 0.0, 0.0, None, 0.0
    for char in text.words:
        advance, bounds = outline(char, text.bold)
        if bounds:
            left = x + bounds[0] if left is None else min(left, x + bounds[0])
            right = max(right, x + bounds[2])
            low, high = min(low, bounds[1]), max(high, bounds[3])
        x += advance
    shift = {"left": 0.0, "centre": -x / 2, "right": -x}[text.align]
    c, s = cos(radians(text.rotation)), sin(radians(text.rotation))
    corners = ((left or 0.0, low), (right, low), (right, high), (left or 0.0, high))
    return [
        Vec2(
            text.at[0] + text.size * ((u + shift) * c - v * s),
            text.at[1] + text.size * ((u + shift) * s + v * c),
        )
        for u, v in corners
    ]


def overlap(a: list[Vec2], b: list[Vec2]) -> float:
    """Return the area common to two rectangles (mm2), by polygon clipping."""
    if (
        max(p.x for p in a) < min(p.x for p in b)
        or max(p.x for p in b) < min(p.x for p in a)
        or max(p.y for p in a) < min(p.y for p in b)
        or max(p.y for p in b) < min(p.y for p in a)
    ):
        return 0.0
    clip = ConvexClippingPolygon2d(b).clip_polygon(a)
    return sum((abs(area(p)) for p in clip if len(p) > 2), 0.0)
