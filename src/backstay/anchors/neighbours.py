"""Anchors among anchors: spacing of bond zones, and axes that come too near one another.

Distances are between segments in space, so that rows of different inclination and skew are
judged as they lie. How the rows stand to each other along the wall is taken at its worst: at
soldier piles the heads of two rows may differ by any number of piles that both rows use; along a
continuous wall one head may stand above the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd

from backstay.anchors.clearance import Placed
from backstay.anchors.geometry import segments_distance
from backstay.basis import Basis
from backstay.checks import Check, Sense
from backstay.cite import GEOMETRY, common_practice
from backstay.quantity import QUANTITIES
from backstay.trace import state, trace

HOLES_APART = 3.0
"""Least distance between axes, in drill holes, so that no hole is drilled into another."""
_APART = common_practice("axes at least three hole diameters apart, for the drift of drilling")
_MOST_OFFSETS = 40


@dataclass(frozen=True, slots=True)
class Neighbour:
    """One row among the others: its anchor, spacing along the wall (m), and piles per anchor."""

    row: int
    placed: Placed
    spacing: float
    every: int | None
    """Every how many piles; None along a continuous wall."""


@dataclass(frozen=True, slots=True)
class Nearest:
    """The least distances of one row to its neighbours (m), and where they occur."""

    bond: float
    bond_to: str
    axis: float
    axis_to: str


def _distance(a: Placed, b: Placed, offset: float, *, whole: bool) -> float:
    start_a, start_b = (0.0, 0.0) if whole else (a.unbonded, b.unbonded)
    return segments_distance(
        a.axis.in_space(start_a), a.axis.in_space(a.total),
        b.axis.in_space(start_b, offset), b.axis.in_space(b.total, offset),
    )  # fmt: skip


def _offsets(a: Neighbour, b: Neighbour, need: float) -> list[float]:
    """Return the distances along the wall between heads that can matter."""
    if a.every is None or b.every is None:
        step = min(a.spacing, b.spacing)
    else:
        step = a.spacing / a.every * gcd(a.every, b.every)
    span = abs(a.placed.axis.along) * a.placed.total + abs(b.placed.axis.along) * b.placed.total
    if span <= 1e-9:
        return [0.0]
    count = min(int((span + need) / step) + 1, _MOST_OFFSETS)
    return [k * step for k in range(-count, count + 1)]


def nearest(me: Neighbour, others: tuple[Neighbour, ...], need: float) -> Nearest:
    """Return the least distances from one row's anchor to its own row and to other rows."""
    own = f"next anchor of row {me.row}"
    bond, bond_to = _distance(me.placed, me.placed, me.spacing, whole=False), own
    axis, axis_to = _distance(me.placed, me.placed, me.spacing, whole=True), own
    for other in others:
        if other.row == me.row:
            continue
        for offset in _offsets(me, other, need):
            d = _distance(me.placed, other.placed, offset, whole=False)
            if d < bond:
                bond, bond_to = d, f"row {other.row}"
            d = _distance(me.placed, other.placed, offset, whole=True)
            if d < axis:
                axis, axis_to = d, f"row {other.row}"
    return Nearest(bond, bond_to, axis, axis_to)


def neighbour_checks(
    me: Neighbour, others: tuple[Neighbour, ...], basis: Basis, where: str
) -> tuple[Check, Check]:
    """Return the checks of spacing between bond zones and between whole axes."""
    least = basis.bond_spacing_least
    hole = max((n.placed.hole for n in others), default=me.placed.hole)
    apart = HOLES_APART * hole
    found = nearest(me, others, max(least.value, apart))
    method = "least distance between two segments in space, over all neighbours"
    with trace() as zones:
        state("s_b", f"Distance of the bond zone to that of {found.bond_to}", found.bond, "length",
              method=method, cite=GEOMETRY)  # fmt: skip
    with trace() as axes:
        state("s_a", f"Distance of the axis to that of {found.axis_to}", found.axis, "length",
              method=method, cite=GEOMETRY)  # fmt: skip
    assumed = ", with the bond length assumed" if me.placed.bond_open else ""
    return (
        Check(
            "anchor.bond-spacing", "Spacing of bond zones", found.bond, least.value,
            QUANTITIES["length"], least.cite, Sense.AT_LEAST, where, zones.steps,
            f"{{length:{found.bond:.6g}}} to {found.bond_to}, needs {{length:{least.value:g}}}: change "
            "the inclination of every second anchor, or the spacing"
            if found.bond < least.value * (1 - 1e-9) else "",
            f"nearest: {found.bond_to}{assumed}",
        ),
        Check(
            "anchor.crossing", "Anchors keep clear of one another", found.axis, apart,
            QUANTITIES["length"], _APART, Sense.AT_LEAST, where, axes.steps,
            f"the axis comes within {{length:{found.axis:.6g}}} of {found.axis_to}, needs "
            f"{{length:{apart:.6g}}}: anchors would be drilled into one another; change inclination "
            "or skew" if found.axis < apart * (1 - 1e-9) else "",
            f"nearest: {found.axis_to}{assumed}",
        ),
    )  # fmt: skip
