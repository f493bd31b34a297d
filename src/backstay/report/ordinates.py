"""Ordinates of diagrams as tables, so that areas and moments can be recomputed by hand."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from backstay.design import SectionDesign
from backstay.pressure import Diagram
from backstay.quantity import QUANTITIES, Quantity, UnitSystem, significant

_STRAIGHT = 2e-3
"""A point closer than this share of the greatest ordinate to the straight line is left out."""
_NIL = 1e-4
"""An ordinate (kPa, kN/m) that a person would not write."""
_PAIRS = 4
"""Pairs of columns beside one another in the table of one diagram."""


def pressure_ordinates(done: SectionDesign, units: UnitSystem) -> dict[str, Any]:
    """Return the table of the design diagram and of the parts that it is the sum of."""
    pressures, stress = done.pressures, QUANTITIES["stress"]
    parts: list[Diagram] = [pressures.envelope.diagram]
    parts += [d for d in (pressures.water, *pressures.surcharges, pressures.earthquake) if d]
    label, depth_label = stress.unit(units).label, QUANTITIES["length"].unit(units).label
    head = [f"Depth ({depth_label})", *(f"{d.name} ({label})" for d in parts), f"Sum ({label})"]
    rows = [
        [
            _depth(z, units),
            *(_shown(d.at(z, below=below), stress, units) for d in (*parts, pressures.design)),
        ]
        for z, below in _points(pressures.design)
    ]
    return {"type": "table", "head": head, "rows": rows, "align": ["r"] * len(head),
            "widths": [0.8, *([1.0] * (len(head) - 1))]}  # fmt: skip


def diagram_ordinates(diagram: Diagram, name: str, units: UnitSystem) -> dict[str, Any]:
    """Return the table of one diagram: pairs of depth and ordinate, column by column."""
    quantity = QUANTITIES[name]
    cells = [
        [_depth(z, units), _shown(diagram.at(z, below=below), quantity, units)]
        for z, below in _points(diagram)
    ]
    deep = -(-len(cells) // _PAIRS)
    cells += [["", ""]] * (deep * _PAIRS - len(cells))
    rows = [[cell for k in range(_PAIRS) for cell in cells[i + k * deep]] for i in range(deep)]
    pair = [
        f"Depth ({QUANTITIES['length'].unit(units).label})",
        f"Ordinate ({quantity.unit(units).label})",
    ]
    return {"type": "table", "head": pair * _PAIRS, "rows": rows, "align": ["r"] * 2 * _PAIRS,
            "widths": [0.8, 1.0] * _PAIRS}  # fmt: skip


def _points(diagram: Diagram) -> list[tuple[float, bool]]:
    """Return the depths between which a diagram is straight; both sides of a jump."""
    points = [p for i, p in enumerate(zip(diagram.z, diagram.p, strict=True))
              if not i or p != (diagram.z[i - 1], diagram.p[i - 1])]  # fmt: skip
    size = max((abs(p) for _, p in points), default=0.0)
    kept = points[:1]
    for i in range(1, len(points) - 1):
        if not _straight(kept[-1], points[i : i + 2], points, size):
            kept.append(points[i])
    kept += points[-1:] if len(points) > 1 else []
    jumps = {b[0] for a, b in pairwise(kept) if b[0] - a[0] < 1e-9}
    seen: set[float] = set()
    found: list[tuple[float, bool]] = []
    for z, _ in kept:
        first = z in jumps and z not in seen
        seen.add(z)
        found.append((z, not first and z < diagram.z[-1]))
    return found


def _straight(
    start: tuple[float, float],
    step: list[tuple[float, float]],
    points: list[tuple[float, float]],
    size: float,
) -> bool:
    """Return whether every point between start and the end of a step is on the straight line."""
    (z1, p1), (z2, p2) = start, step[-1]
    if z2 - z1 < 1e-9 or step[0][0] - z1 < 1e-9 or z2 - step[0][0] < 1e-9:
        return False
    between = [(z, p) for z, p in points if z1 < z < z2]
    return all(
        abs(p1 + (p2 - p1) * (z - z1) / (z2 - z1) - p) <= _STRAIGHT * size for z, p in between
    )


def _depth(z: float, units: UnitSystem) -> str:
    return f"{QUANTITIES['length'].shown(z, units):.2f}"


def _shown(value: float, quantity: Quantity, units: UnitSystem) -> str:
    if abs(value) < _NIL:
        return "0"
    return significant(quantity.shown(value, units), 4)
