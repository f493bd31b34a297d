"""Quantities of anchors: what is drilled, filled, stressed and tested over a length of wall or slope.

Quantities are net: no waste, no spares, and grout without what the ground takes. Where the
contractor chooses the bond length, that assumed in the design stands for it, and the note says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import pi

from backstay.anchors.anchor import AnchorDesign
from backstay.anchors.load_tests import PlannedTests
from backstay.cite import GEOMETRY
from backstay.model.testing import TestKind
from backstay.quantity import Length, SectionArea, SmallLength, Volume
from backstay.trace import formula


@dataclass(frozen=True, slots=True)
class QuantityItem:
    """One quantity: value in the internal unit of `quantity` (a name of backstay.quantity)."""

    name: str
    value: float
    quantity: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Quantities:
    """The quantities of one section or slope, over its length."""

    items: tuple[QuantityItem, ...]


@formula("V_fill", GEOMETRY)
def filled_volume(d: SmallLength, A: SectionArea, L: Length) -> Volume:
    """Volume that fills a drilled hole around steel.

    d: diameter of the hole; A: area of the steel in it; L: length
    """
    return (pi * d**2 / 4 - A) * L


def anchor_quantities(
    anchors: Sequence[AnchorDesign], planned: Sequence[PlannedTests]
) -> Iterator[QuantityItem]:
    """Return number, drilled length, grout and steel of anchors."""
    rows = list(zip(anchors, planned, strict=True))
    assumed = (
        "bond length by contractor: that assumed in the design"
        if any(anchor.bond_open for anchor in anchors)
        else ""
    )
    yield QuantityItem("Anchors", sum(tests.number for _, tests in rows), "count", _by_row(planned))
    yield QuantityItem(
        "Drilled length of anchors", sum(a.total_length * t.number for a, t in rows), "length",
        assumed,
    )  # fmt: skip
    yield QuantityItem(
        "Grout of anchors",
        sum(
            t.number * filled_volume(a.hole_diameter, a.tendon.area, a.total_length)
            for a, t in rows
        ),
        "volume", "holes filled from end to head, net of steel, without what the ground takes",
    )  # fmt: skip
    yield QuantityItem(
        "Prestressing steel",
        sum(t.number * a.tendon.mass * (a.total_length + a.tail_length) for a, t in rows), "mass",
        "with the tail for the jack" + (f"; {assumed}" if assumed else ""),
    )  # fmt: skip


def _by_row(planned: Sequence[PlannedTests]) -> str:
    return "by row from the top: " + ", ".join(str(tests.number) for tests in planned)


_NOTES: dict[TestKind, str] = {
    "extended creep": "bond zones in ground that creeps",
    "suitability": "of the first anchors in each ground",
    "investigation": "on trial anchors, which are not counted as anchors",
}


def load_tests(planned: Sequence[PlannedTests]) -> Iterator[QuantityItem]:
    """Return the number of load tests of each kind that the work has."""
    totals: dict[TestKind, int] = {}
    for row in planned:
        for kind, number in row.kinds:
            totals[kind] = totals.get(kind, 0) + number
    for kind, number in totals.items():
        yield QuantityItem(f"{kind.capitalize()} tests", number, "count", _NOTES.get(kind, ""))
