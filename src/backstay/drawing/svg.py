"""A composed drawing as SVG: real text in the shipped font, in mm, grouped by layer."""

from __future__ import annotations

from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

from backstay.drawing.layers import ACCENT, FAINT, INK, LAYERS, TONE
from backstay.drawing.lettering import CAP_HEIGHT
from backstay.drawing.marks import Dimension, Drawing, Hatch, Mark, Point, Ring, Stroke, Text
from backstay.drawing.patterns import PATTERNS
from backstay.fonts import CSS_FAMILY

COLOURS = {
    "ink": INK, "paper": "#ffffff", "tone": TONE, "accent": ACCENT, "sand": "#f2e3b8",
    "green": "#c4dfc4", "blue": "#c5d6ea", "": "none",
}  # fmt: skip
TICK = 1.0
"""Half the length of the oblique stroke at the end of a dimension line (mm)."""
EXTENSION = 1.0
"""Reach of an extension line beyond the dimension line, and its gap at the object (mm)."""


def svg(drawing: Drawing) -> str:
    """Return the drawing as an SVG document."""
    height = drawing.height
    used = {mark.pattern for mark in drawing.marks if isinstance(mark, Hatch)}
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{drawing.width:g}mm" '
        f'height="{height:g}mm" viewBox="0 0 {drawing.width:g} {height:g}" role="img">',
        f"<title>{escape(drawing.title)}</title>",
        "<defs>" + "".join(_tile(name) for name in sorted(used)) + "</defs>",
        f'<rect width="{drawing.width:g}" height="{height:g}" fill="#ffffff"/>',
    ]
    lines = [mark for mark in drawing.marks if not isinstance(mark, Text)]
    for layer, marks in groupby(lines, key=lambda mark: mark.layer):
        style = LAYERS[layer]
        dash = f' stroke-dasharray="{" ".join(f"{d:g}" for d in style.dash)}"' if style.dash else ""
        parts.append(
            f'<g class="{layer}" fill="none" stroke="{style.colour}" '
            f'stroke-width="{style.weight:g}" stroke-linejoin="round"{dash}>'
        )
        parts.extend(_shape(mark, height) for mark in marks)
        parts.append("</g>")
    parts.append(f'<g class="TEXT" font-family={quoteattr(CSS_FAMILY)} fill="{INK}">')
    parts.extend(_text(text, height) for text in drawing.texts)
    parts.append("</g></svg>")
    return "".join(parts)


def _xy(point: Point, height: float) -> str:
    return f"{point[0]:.3f},{height - point[1]:.3f}"


def _path(points: tuple[Point, ...], height: float) -> str:
    return " ".join(_xy(p, height) for p in points)


def _shape(mark: Mark, height: float) -> str:
    if isinstance(mark, Stroke):
        kind = "polygon" if mark.closed else "polyline"
        fill = f' fill="{COLOURS[mark.fill]}"' if mark.fill else ""
        stroke = "" if mark.outlined else ' stroke="none"'
        return f'<{kind} points="{_path(mark.points, height)}"{fill}{stroke}/>'
    if isinstance(mark, Ring):
        x, y = mark.centre
        fill = f' fill="{COLOURS[mark.fill]}"' if mark.fill else ""
        return f'<circle cx="{x:.3f}" cy="{height - y:.3f}" r="{mark.radius:.3f}"{fill}/>'
    if isinstance(mark, Hatch):
        return (
            f'<polygon points="{_path(mark.points, height)}" stroke="none" '
            f'fill="url(#sign-{mark.pattern.replace(" ", "-")})"/>'
        )
    if isinstance(mark, Dimension):
        return "".join(
            f'<polyline points="{_path(line, height)}"/>' for line in dimension_lines(mark)
        )
    raise TypeError(f"{type(mark).__name__} is not a line")


def dimension_lines(mark: Dimension) -> list[tuple[Point, Point]]:
    """Return the strokes of a dimension: its line, extension lines and oblique end strokes."""
    a, b = mark.line
    nx, ny = mark.normal
    tx, ty = ny, -nx
    side = 1.0 if mark.offset >= 0 else -1.0
    lines = [(a, b)]
    if mark.extended:
        for start, end in ((mark.first, a), (mark.second, b)):
            gap = min(EXTENSION, abs(mark.offset) / 2)
            lines.append((
                (start[0] + nx * side * gap, start[1] + ny * side * gap),
                (end[0] + nx * side * EXTENSION, end[1] + ny * side * EXTENSION),
            ))  # fmt: skip
    for x, y in (a, b):
        dx, dy = (tx + nx) * TICK * 0.7, (ty + ny) * TICK * 0.7
        lines.append(((x - dx, y - dy), (x + dx, y + dy)))
    return lines


def _text(text: Text, height: float) -> str:
    x, y = text.at
    anchor = {"left": "", "centre": ' text-anchor="middle"', "right": ' text-anchor="end"'}
    weight = ' font-weight="bold"' if text.bold else ""
    colour = f' fill="{COLOURS[text.colour]}"' if text.colour else ""
    turn = f' transform="rotate({-text.rotation:.3f} {_xy(text.at, height).replace(",", " ")})"'
    mask = ""
    if text.masked:
        mask = f'<polygon points="{_path(text.quad, height)}" fill="#ffffff" stroke="none"/>'
    return (
        f'{mask}<text x="{x:.3f}" y="{height - y:.3f}" font-size="{text.size / CAP_HEIGHT:.3f}"'
        f' textLength="{text.width:.3f}" lengthAdjust="spacingAndGlyphs"'
        f"{anchor[text.align]}{weight}{colour}{turn if text.rotation else ''}>"
        f"{escape(text.words)}</text>"
    )


def _tile(name: str) -> str:
    pattern = PATTERNS[name]
    style = LAYERS["GROUND-HATCH"]
    lines = "".join(
        f'<line x1="{x1:g}" y1="{pattern.height - y1:g}" x2="{x2:g}" y2="{pattern.height - y2:g}"/>'
        for x1, y1, x2, y2 in pattern.segments
    )
    return (
        f'<pattern id="sign-{name.replace(" ", "-")}" patternUnits="userSpaceOnUse" '
        f'width="{pattern.width:g}" height="{pattern.height:g}">'
        f'<g stroke="{style.colour}" stroke-width="{style.weight:g}">{lines}</g></pattern>'
    )


__all__ = ["COLOURS", "FAINT", "dimension_lines", "svg"]
