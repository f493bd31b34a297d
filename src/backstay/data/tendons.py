"""Strand and bar for tendons, and the drill hole they need."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from backstay.cite import Provenance
from backstay.data.table import INCH, KIP, POUND, Record, find, read_table

MM = 1e-3
MM2 = 1e-6
GPA = 1e6


@dataclass(frozen=True, slots=True)
class Strand:
    """Seven-wire strand.

    diameter m; area m2; strength: guaranteed ultimate, kN; proof_load kN (ASTM: at 1 % extension,
    EN: Fp0.1); modulus kPa; mass kg/m; relaxation: share lost in 1000 h at 0.70 of strength;
    max_strands: usual most in one tendon; memory: fields that are recalled, not read.
    """

    name: str
    aliases: tuple[str, ...]
    standard: str
    grade: str
    diameter: float
    area: float
    strength: float
    proof_load: float
    modulus: float
    mass: float
    relaxation: float
    max_strands: int
    source: str
    provenance: Provenance
    memory: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Bar:
    """Prestressing bar.

    diameter m; area m2; strength: guaranteed ultimate, kN; proof_load kN; modulus kPa; mass kg/m;
    memory: fields that are recalled, not read.
    """

    name: str
    aliases: tuple[str, ...]
    standard: str
    grade: str
    diameter: float
    area: float
    strength: float
    proof_load: float
    modulus: float
    mass: float
    source: str
    provenance: Provenance
    memory: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TendonHole:
    """Least drill hole of a tendon: up to so many strands, or to a bar diameter (m).

    hole_class_1, hole_class_2: hole diameter with corrosion protection class I, II, m.
    """

    kind: Literal["strand", "bar"]
    up_to: float
    hole_class_1: float
    hole_class_2: float
    source: str
    provenance: Provenance


def _strand(row: Record) -> Strand:
    return Strand(
        name=row.text("name"),
        aliases=row.words("aliases"),
        standard=row.text("standard"),
        grade=row.text("grade"),
        diameter=row.number("diameter", MM),
        area=row.number("area", MM2),
        strength=row.number("strength"),
        proof_load=row.number("proof_load"),
        modulus=row.number("modulus", GPA),
        mass=row.number("mass"),
        relaxation=row.number("relaxation", 0.01),
        max_strands=int(row.text("max_strands")),
        source=row.source,
        provenance=row.provenance,
        memory=row.memory,
    )


def _bar(row: Record) -> Bar:
    us = row.text("units") == "US"
    strength = row.number("strength", KIP if us else 1.0)
    return Bar(
        name=row.text("name"),
        aliases=row.words("aliases"),
        standard=row.text("standard"),
        grade=row.text("grade"),
        diameter=row.number("diameter", INCH if us else MM),
        area=row.number("area", INCH**2 if us else MM2),
        strength=strength,
        proof_load=row.number("proof_ratio") * strength,
        modulus=row.number("modulus", GPA),
        mass=row.number("mass", POUND / 0.3048 if us else 1.0),
        source=row.source,
        provenance=row.provenance,
        memory=row.memory,
    )


@lru_cache(maxsize=1)
def strands() -> tuple[Strand, ...]:
    """Return the strands, by standard and diameter."""
    return tuple(_strand(row) for row in read_table("strand").records)


def strand(name: str) -> Strand:
    """Return the strand of that name or alias, e.g. ``"15.24"``. Raises LookupError."""
    return find(name, "strand", strands(), lambda row: (row.name, *row.aliases))


@lru_cache(maxsize=1)
def bars() -> tuple[Bar, ...]:
    """Return the bars, by standard and diameter."""
    return tuple(_bar(row) for row in read_table("bars").records)


def bar(name: str) -> Bar:
    """Return the bar of that name or alias, e.g. ``"1-1/4 in"``. Raises LookupError."""
    return find(name, "bar", bars(), lambda row: (row.name, *row.aliases))


@lru_cache(maxsize=1)
def tendon_holes() -> tuple[TendonHole, ...]:
    """Return the least drill holes, by kind and size of tendon."""
    return tuple(
        TendonHole(
            kind=cast(Literal["strand", "bar"], row.text("kind")),
            up_to=row.number("up_to", 1.0 if row.text("kind") == "strand" else MM),
            hole_class_1=row.number("hole_class_1", MM),
            hole_class_2=row.number("hole_class_2", MM),
            source=row.source,
            provenance=row.provenance,
        )
        for row in read_table("tendon_hole").records
    )
