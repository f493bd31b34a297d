"""The layers of a drawing: name, line weight, line type, colour, and what each holds.

The scheme is our own: subject first, part second, so that a list of layers sorts by subject.
Line weights are absolute (mm on paper) and from the series of DXF. A colour never carries meaning
alone: whatever is red is also dashed or labelled.
"""

from __future__ import annotations

from dataclasses import dataclass

INK = "#111111"
ACCENT = "#9b2d1f"
FAINT = "#8a8a8a"
TONE = "#d9d5cc"


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer. weight, dash: mm on paper (dash: drawn, gap, drawn, gap...; empty is solid)."""

    name: str
    title: str
    weight: float
    dash: tuple[float, ...] = ()
    colour: str = INK


_DASHED = (3.0, 1.5)
_SHORT = (1.5, 1.0)
_CHAIN = (6.0, 1.2, 0.6, 1.2)
_TWO_DOTS = (8.0, 1.2, 0.6, 1.2, 0.6, 1.2)

LAYERS: dict[str, Layer] = {
    layer.name: layer
    for layer in (
        Layer("ANCHOR-BOND", "bond zone of an anchor", 0.35),
        Layer("ANCHOR-FACE", "anchors on the face of the wall", 0.25),
        Layer("ANCHOR-FREE", "unbonded (free) length of an anchor", 0.25),
        Layer("ANCHOR-HEAD", "anchor head", 0.35),
        Layer("ANCHOR-OUTLIER", "anchor that stands out among those tested alike", 0.50),
        Layer("ANCHOR-PLANNED", "anchor not begun", 0.25, (0.8, 0.6)),
        Layer("ANCHOR-STATE", "anchor by its state", 0.25),
        Layer("CUT-BENCH", "bench dug to before a row is stressed", 0.18, _SHORT),
        Layer("CUT-SUBGRADE", "bottom of the cut", 0.50),
        Layer("DIMENSION", "dimensions", 0.13),
        Layer("GROUND-HATCH", "signs of the strata", 0.13, (), FAINT),
        Layer("GROUND-STRATA", "boundaries of strata", 0.18, (5.0, 1.5), FAINT),
        Layer("GROUND-SURFACE", "ground surface", 0.50),
        Layer("LEADER", "leaders of labels", 0.13),
        Layer("LEVEL", "levels", 0.13),
        Layer("LOAD-SURCHARGE", "surcharges", 0.18),
        Layer("SHEET-FRAME", "frame and rules of the sheet", 0.50),
        Layer("SHEET-RULE", "thin rules of the sheet", 0.18),
        Layer("SITE-BUILDING", "buildings and footings", 0.25),
        Layer("SITE-LIMIT", "right-of-way", 0.35, _TWO_DOTS),
        Layer("SITE-OBSTACLE", "utilities, basements and other obstacles", 0.25),
        Layer("SITE-CLEARANCE", "clearance around an obstacle", 0.13, _SHORT, FAINT),
        Layer("SLIP-SURFACE", "critical slip surface of the finished cut", 0.25, (7.0, 1.5)),
        Layer("SLOPE-PAD", "pads and beams on the face of a slope", 0.35),
        Layer("SURFACE-FAILURE", "critical failure surface", 0.50, _DASHED, ACCENT),
        Layer("SURFACE-BOND-LIMIT", "bond zones begin beyond this line", 0.25, _CHAIN),
        Layer("TEXT", "text", 0.18),
        Layer("WALL-HIDDEN", "wall below ground, seen from the cut", 0.25, _DASHED),
        Layer("WALL-HOLE", "drilled hole of a soldier pile", 0.18, _SHORT),
        Layer("WALL-LAGGING", "lagging", 0.18),
        Layer("WALL-PILE", "soldier piles or wall", 0.50),
        Layer("WATER", "water levels", 0.25),
    )
}
"""By name; a mark names its layer, and takes weight, line type and colour from it."""
