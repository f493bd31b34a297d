"""Timber lagging: the thickness table with its ground classes, and the timber itself."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from backstay.cite import Provenance
from backstay.data.table import FOOT, INCH, PSI, find, read_table

GroundClass = Literal["competent", "difficult", "potentially dangerous"]

_SPANS_FT = (5, 6, 7, 8, 9, 10)


@dataclass(frozen=True, slots=True)
class LaggingRow:
    """Thickness of rough timber lagging in one class of ground and range of depth.

    depth_from, depth_to: depth of excavation, m; spans: clear spans, m; thickness: one for each
    span, m, None where the table gives none (lagging is not recommended).
    """

    ground_class: GroundClass
    depth_from: float
    depth_to: float
    spans: tuple[float, ...]
    thickness: tuple[float | None, ...]
    source: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class LaggingGround:
    """Soils that belong to a ground class, in words, with symbols of the Unified system."""

    ground_class: GroundClass
    soils: str
    symbols: tuple[str, ...]
    source: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class Timber:
    """Reference design values before adjustment: bending, shear and modulus, kPa."""

    name: str
    species: str
    grade: str
    bending: float
    shear: float
    modulus: float
    source: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class TimberFactor:
    """An adjustment of reference design values.

    applies_to: "bending", "shear", "modulus"; value: no unit; condition: when it applies.
    """

    name: str
    symbol: str
    applies_to: tuple[str, ...]
    value: float
    condition: str
    source: str
    provenance: Provenance


@lru_cache(maxsize=1)
def lagging_table() -> tuple[LaggingRow, ...]:
    """Return the lagging thickness table."""
    return tuple(
        LaggingRow(
            ground_class=cast(GroundClass, row.text("ground_class")),
            depth_from=row.number("depth_from", FOOT),
            depth_to=row.number("depth_to", FOOT),
            spans=tuple(span * FOOT for span in _SPANS_FT),
            thickness=tuple(row.optional(f"s{span}", INCH) for span in _SPANS_FT),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("lagging").records
    )


@lru_cache(maxsize=1)
def lagging_grounds() -> tuple[LaggingGround, ...]:
    """Return the soils of each ground class of the lagging table."""
    return tuple(
        LaggingGround(
            ground_class=cast(GroundClass, row.text("ground_class")),
            soils=row.text("soils"),
            symbols=row.words("symbols"),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("lagging_ground").records
    )


@lru_cache(maxsize=1)
def timbers() -> tuple[Timber, ...]:
    """Return the timbers."""
    return tuple(
        Timber(
            name=row.text("name"),
            species=row.text("species"),
            grade=row.text("grade"),
            bending=row.number("bending", PSI),
            shear=row.number("shear", PSI),
            modulus=row.number("modulus", PSI),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("timber").records
    )


def timber(name: str) -> Timber:
    """Return the timber of that name, e.g. ``"mixed hardwood"``. Raises LookupError."""
    return find(name, "timber", timbers(), lambda row: (row.name,))


@lru_cache(maxsize=1)
def timber_factors() -> tuple[TimberFactor, ...]:
    """Return the adjustment factors of timber."""
    return tuple(
        TimberFactor(
            name=row.text("name"),
            symbol=row.text("symbol"),
            applies_to=row.words("applies_to"),
            value=row.number("value"),
            condition=row.text("condition"),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("timber_factors").records
    )


def timber_factor(name: str) -> TimberFactor:
    """Return the factor of that name, e.g. ``"wet bending"``. Raises LookupError."""
    return find(name, "timber factor", timber_factors(), lambda row: (row.name,))
