"""Lagging: the published table and bending of a board."""

from __future__ import annotations

from functools import cache

from backstay.data import lagging_table, timber
from backstay.wall.lagging import board_moment, board_pressure, board_stress, board_thickness
from backstay.wall.lagging_ground import thickness_for
from tests.verification.catalogue import Case

FT, INCH, PSI = 0.3048, 0.0254, 6.894757293168361
SOURCE = "Goldberg, Jaworski and Gordon 1976, in FHWA-IF-99-015"


@cache
def _thickness(ground: str, depth: float, span: float) -> float:
    row = next(
        r
        for r in lagging_table()
        if r.ground_class == ground and r.depth_from <= depth * FT < r.depth_to
    )
    return thickness_for(row, span * FT) / INCH


_TABLE = tuple(
    Case(
        f"wall.lagging-{ground.split()[-1]}-{depth:g}ft-span-{span:g}", "wall",
        f"Lagging thickness, {ground} ground, {depth:g} ft deep, span {span:g} ft", SOURCE, "memory",
        f"clear span {span:g} ft, depth {depth:g} ft",
        lambda g=ground, d=depth, s=span: _thickness(g, d, s), inches, 1e-9, "in",
    )
    for ground, depth, span, inches in (
        ("competent", 20.0, 5.0, 2.0), ("competent", 20.0, 8.0, 3.0), ("competent", 20.0, 8.5, 4.0),
        ("competent", 40.0, 10.0, 5.0), ("difficult", 20.0, 9.0, 4.0), ("difficult", 50.0, 7.0, 4.0),
        ("potentially dangerous", 10.0, 7.0, 4.0), ("potentially dangerous", 20.0, 8.0, 6.0),
        ("potentially dangerous", 30.0, 5.0, 4.0),
    )
)  # fmt: skip

CASES = (
    *_TABLE,
    Case(
        "wall.lagging-stress", "wall", "Bending stress of a board", "strength of materials, simple span",
        "formula", "0.5 x 800 psf on a 6 ft span, 3 in board: M 1800 lb ft/ft, S 18 in3/ft",
        lambda: board_stress(
            board_moment(board_pressure(0.5, 800 * PSI / 144, 0.0), 6 * FT), 3 * INCH
        ) / PSI,
        1200.0, 1e-9, "psi",
    ),
    Case(
        "wall.lagging-thickness", "wall", "Thickness that bending needs", "strength of materials",
        "formula", "M 1800 lb ft/ft, 1200 psi",
        lambda: board_thickness(board_moment(400 * PSI / 144, 6 * FT), 1200 * PSI) / INCH, 3.0, 1e-9,
        "in",
    ),
    Case(
        "wall.lagging-mixed-oak", "wall", "Reference bending of mixed oak No. 2", "NDS Supplement 2018",
        "memory", "table 4A", lambda: timber("mixed hardwood").bending / PSI, 800.0, 1e-9, "psi",
    ),
)  # fmt: skip
