"""Presumptive bond between grout and ground: load per length, and stress."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from backstay.cite import Provenance
from backstay.data.table import find, read_table

TransferGroup = Literal["soil", "rock"]
StressGroup = Literal["rock", "cohesive", "cohesionless"]
BondGrouting = Literal["any", "gravity", "pressure"]


@dataclass(frozen=True, slots=True)
class BondTransfer:
    """Ultimate load transfer of a small gravity-grouted anchor in one ground.

    spt_low, spt_high: blows per 0.3 m, soil only; transfer kN/m; safety: factor of safety that
    the table is used with.
    """

    name: str
    group: TransferGroup
    ground: str
    consistency: str
    spt_low: float | None
    spt_high: float | None
    transfer: float
    safety: float
    source: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class BondStress:
    """Range of the average ultimate bond stress along the bond zone, kPa.

    grouting: "any" in rock, else "gravity" or "pressure".
    """

    name: str
    group: StressGroup
    ground: str
    consistency: str
    grouting: BondGrouting
    low: float
    high: float
    source: str
    provenance: Provenance


@lru_cache(maxsize=1)
def bond_transfer() -> tuple[BondTransfer, ...]:
    """Return the table of ultimate load transfer, gravity-grouted anchors."""
    return tuple(
        BondTransfer(
            name=row.text("name"),
            group=cast(TransferGroup, row.text("group")),
            ground=row.text("ground"),
            consistency=row.text("consistency"),
            spt_low=row.optional("spt_low"),
            spt_high=row.optional("spt_high"),
            transfer=row.number("transfer"),
            safety=row.number("safety"),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("bond_transfer").records
    )


def bond_transfer_of(name: str) -> BondTransfer:
    """Return one ground's load transfer, by the row's name. Raises LookupError."""
    return find(name, "load transfer for", bond_transfer(), lambda row: (row.name,))


@lru_cache(maxsize=1)
def bond_stress() -> tuple[BondStress, ...]:
    """Return the table of average ultimate bond stress."""
    return tuple(
        BondStress(
            name=row.text("name"),
            group=cast(StressGroup, row.text("group")),
            ground=row.text("ground"),
            consistency=row.text("consistency"),
            grouting=cast(BondGrouting, row.text("grouting")),
            low=row.number("low"),
            high=row.number("high"),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("bond_stress").records
    )


def bond_stress_of(name: str) -> BondStress:
    """Return one ground's range of bond stress, by the row's name. Raises LookupError."""
    return find(name, "bond stress for", bond_stress(), lambda row: (row.name,))
