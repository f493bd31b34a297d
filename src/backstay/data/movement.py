"""Settlement behind walls, typical movements, and the damage that strain does to buildings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import inf
from typing import Literal, cast

from backstay.cite import Provenance
from backstay.data.table import Record, find, read_table


@dataclass(frozen=True, slots=True)
class TroughPoint:
    """distance: d/H from the wall over depth of cut; ratio: of the largest settlement."""

    distance: float
    ratio: float
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class SettlementTrough:
    """A normalised trough.

    interpolation: between points straight in d/H ("linear") or in its square root ("root").
    provenance: "memory" where any point is recalled.
    """

    name: str
    ground: str
    interpolation: Literal["linear", "root"]
    points: tuple[TroughPoint, ...]
    source: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class TypicalMovement:
    """Typical largest horizontal and vertical movement over depth of cut."""

    ground: str
    horizontal: float
    vertical: float
    source: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class DamageCategory:
    """Damage between two limiting tensile strains (shares, not %; the last has no upper limit)."""

    severity: int
    category: str
    strain_from: float
    strain_to: float
    source: str
    provenance: Provenance


def _trough(name: str, rows: list[Record]) -> SettlementTrough:
    recalled = any(row.provenance == "memory" for row in rows)
    return SettlementTrough(
        name=name,
        ground=rows[0].text("ground"),
        interpolation=cast(Literal["linear", "root"], rows[0].text("interpolation")),
        points=tuple(
            TroughPoint(row.number("distance"), row.number("ratio"), row.provenance) for row in rows
        ),
        source=rows[0].source,
        provenance="memory" if recalled else rows[0].provenance,
    )


@lru_cache(maxsize=1)
def settlement_troughs() -> tuple[SettlementTrough, ...]:
    """Return the settlement troughs."""
    grouped: dict[str, list[Record]] = {}
    for row in read_table("settlement").records:
        grouped.setdefault(row.text("trough"), []).append(row)
    return tuple(_trough(name, rows) for name, rows in grouped.items())


def settlement_trough(name: str) -> SettlementTrough:
    """Return the trough of that name, e.g. ``"concave"``. Raises LookupError."""
    return find(name, "settlement trough", settlement_troughs(), lambda row: (row.name,))


@lru_cache(maxsize=1)
def typical_movements() -> tuple[TypicalMovement, ...]:
    """Return the typical largest movements by ground."""
    return tuple(
        TypicalMovement(
            ground=row.text("ground"),
            horizontal=row.number("horizontal"),
            vertical=row.number("vertical"),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("movement").records
    )


@lru_cache(maxsize=1)
def damage_categories() -> tuple[DamageCategory, ...]:
    """Return the damage categories, by rising severity."""
    return tuple(
        DamageCategory(
            severity=int(row.text("severity")),
            category=row.text("category"),
            strain_from=row.number("strain_from", 0.01),
            strain_to=row.number("strain_to", 0.01) if row.text("strain_to") else inf,
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("damage").records
    )
