"""The class of ground that timber lagging stands in, and the thickness the table gives for it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Literal

from backstay.data import LaggingRow, lagging_table
from backstay.ground import Layer, Profile
from backstay.model.wall import Lagging

GroundClass = Literal["competent", "difficult", "potentially dangerous"]
SEVERITY: dict[GroundClass, int] = {"competent": 0, "difficult": 1, "potentially dangerous": 2}
MEDIUM_CLAY_LIMIT = 5.0
"""Stability number gamma H / su up to which clay of medium consistency counts as competent."""


@dataclass(frozen=True, slots=True)
class ClassedGround:
    """One stretch of the cut, with its class and why. Depths in m.

    thickness: by the table, m; inf where the table recommends no lagging; row: of the table,
    None where no row reaches that depth.
    """

    name: str
    top: float
    bottom: float
    ground_class: GroundClass
    reason: str
    thickness: float
    row: LaggingRow | None


def classed_ground(ground: Profile, lagging: Lagging, span: float) -> tuple[ClassedGround, ...]:
    """Return the ground along the cut with class and thickness by the table for a clear span."""
    found = []
    for layer, a, b in ground.layers_between(0.0, ground.H):
        for top, bottom in _split(ground, a, b):
            chosen, reason = _class_of(ground, layer, top, bottom, lagging)
            found += _by_table(layer.name, top, bottom, chosen, reason, span)
    return tuple(found)


def _split(ground: Profile, a: float, b: float) -> list[tuple[float, float]]:
    """Split a stretch where water comes in."""
    marks = [a, *(z for z in ground.boundaries(a, b) if a < z < b), b]
    return [(p, q) for p, q in pairwise(marks) if q - p > 1e-9]


def _class_of(
    ground: Profile, layer: Layer, top: float, bottom: float, lagging: Lagging
) -> tuple[GroundClass, str]:
    if lagging.ground_class != "auto":
        return lagging.ground_class, "given"
    wet = ground.hydrostatic(0.5 * (top + bottom)) > 0.0
    if layer.kind == "rock":
        return "competent", "rock"
    if layer.kind == "granular":
        loose = layer.stratum.density == "loose" or (
            layer.stratum.density is None and (layer.stratum.spt_n or 10.0) < 10.0
        )
        if loose and wet:
            return "potentially dangerous", "loose and below water"
        if loose or wet:
            return "difficult", "loose" if loose else "below water"
        return "competent", "medium dense or denser, above water"
    if layer.kind == "soft clay":
        if layer.su is None:
            return "potentially dangerous", "soft clay without a stated undrained strength"
        su = layer.su_at(0.5 * (top + bottom))
        stress = ground.total_stress(ground.H)
        number = stress / su if su > 0.0 else inf
        if number > MEDIUM_CLAY_LIMIT:
            return "potentially dangerous", f"soft clay, stability number {number:.1f} above 5"
        return "competent", f"medium clay, stability number {number:.1f}, not above 5"
    if "fissure" in f"{layer.name} {layer.stratum.description}".casefold():
        return "difficult", "fissured clay"
    return "competent", "stiff clay, not described as fissured"


def _by_table(
    name: str, top: float, bottom: float, chosen: GroundClass, reason: str, span: float
) -> list[ClassedGround]:
    rows = [row for row in lagging_table() if row.ground_class == chosen]
    found = []
    for row in rows:
        a, b = max(top, row.depth_from), min(bottom, row.depth_to)
        if b - a > 1e-9:
            found.append(ClassedGround(name, a, b, chosen, reason, thickness_for(row, span), row))
    deepest = max(row.depth_to for row in rows)
    if bottom - deepest > 1e-9:
        found.append(ClassedGround(name, max(top, deepest), bottom, chosen, reason, inf, None))
    return found


def thickness_for(row: LaggingRow, span: float) -> float:
    """Return the thickness of a row for a clear span (m), the next larger span of the table.

    inf where the table gives none.
    """
    for tabulated, thickness in zip(row.spans, row.thickness, strict=True):
        if span <= tabulated + 1e-6:
            return inf if thickness is None else thickness
    return inf
