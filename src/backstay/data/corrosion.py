"""When ground is aggressive to anchors, and which corrosion protection then follows."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from backstay.cite import Provenance
from backstay.data.table import read_table

Asked = Literal["yes", "no", "unknown", ""]


@dataclass(frozen=True, slots=True)
class CorrosionLimit:
    """A condition that alone makes ground aggressive.

    comparison: "below" the limit, or "present"; limit: in unit, None where presence counts.
    """

    name: str
    property: str
    comparison: Literal["below", "present"]
    limit: float | None
    unit: str
    source: str
    provenance: Provenance


@dataclass(frozen=True, slots=True)
class ProtectionRule:
    """A line of the choice of protection: answers (empty: not asked) and the class they give."""

    service: Literal["permanent", "temporary"]
    aggressive: Asked
    failure_serious: Asked
    small_cost: Asked
    protection: Literal["none", "class II", "class I"]
    source: str
    provenance: Provenance


@lru_cache(maxsize=1)
def corrosion_limits() -> tuple[CorrosionLimit, ...]:
    """Return the limits of aggressive ground."""
    return tuple(
        CorrosionLimit(
            name=row.text("name"),
            property=row.text("property"),
            comparison=cast(Literal["below", "present"], row.text("comparison")),
            limit=row.optional("limit"),
            unit=row.text("unit"),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("corrosion").records
    )


@lru_cache(maxsize=1)
def protection_rules() -> tuple[ProtectionRule, ...]:
    """Return the choice of protection class, in the order in which it is asked."""
    return tuple(
        ProtectionRule(
            service=cast(Literal["permanent", "temporary"], row.text("service")),
            aggressive=cast(Asked, row.text("aggressive")),
            failure_serious=cast(Asked, row.text("failure_serious")),
            small_cost=cast(Asked, row.text("small_cost")),
            protection=cast(Literal["none", "class II", "class I"], row.text("protection")),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("protection").records
    )
