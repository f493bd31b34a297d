"""Grades of structural steel, with yield stress by thickness where the standard steps it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import inf

from backstay.cite import Provenance
from backstay.data.table import PSI, Record, find, read_table


@dataclass(frozen=True, slots=True)
class SteelStep:
    """Strength up to a thickness: thickness_to m (infinite: all shapes), stresses kPa."""

    thickness_to: float
    yield_stress: float
    ultimate: float


@dataclass(frozen=True, slots=True)
class SteelGrade:
    """A grade of structural steel.

    steps: by rising thickness; modulus kPa; memory: fields that are recalled, not read.
    """

    name: str
    aliases: tuple[str, ...]
    standard: str
    steps: tuple[SteelStep, ...]
    modulus: float
    source: str
    provenance: Provenance
    memory: tuple[str, ...]

    def at(self, thickness: float) -> SteelStep:
        """Return the strength at a thickness (m). Raises LookupError beyond the thickest step."""
        for step in self.steps:
            if thickness <= step.thickness_to + 1e-9:
                return step
        thickest = self.steps[-1].thickness_to
        raise LookupError(
            f"steel {self.name} has no strength in this table at {1e3 * thickness:.0f} mm; "
            f"the thickest is {1e3 * thickest:.0f} mm"
        )

    def yield_stress(self, thickness: float) -> float:
        """Return the yield stress at a thickness (m), kPa."""
        return self.at(thickness).yield_stress


def _step(row: Record) -> SteelStep:
    us = row.text("units") == "US"
    stress = 1000 * PSI if us else 1000.0
    limit = row.optional("thickness_to", 0.0254 if us else 1e-3)
    return SteelStep(
        thickness_to=inf if limit is None else limit,
        yield_stress=row.number("yield_stress", stress),
        ultimate=row.number("ultimate", stress),
    )


@lru_cache(maxsize=1)
def steel_grades() -> tuple[SteelGrade, ...]:
    """Return the grades, in the order of the table."""
    grouped: dict[str, list[Record]] = {}
    for row in read_table("steel").records:
        grouped.setdefault(row.text("name"), []).append(row)
    return tuple(
        SteelGrade(
            name=name,
            aliases=rows[0].words("aliases"),
            standard=rows[0].text("standard"),
            steps=tuple(_step(row) for row in rows),
            modulus=rows[0].number("modulus", 1e6),
            source=rows[0].text("standard"),
            provenance=rows[0].provenance,
            memory=rows[0].memory,
        )
        for name, rows in grouped.items()
    )


def steel_grade(name: str) -> SteelGrade:
    """Return the grade of that name or alias, e.g. ``"A572-50"``. Raises LookupError."""
    return find(name, "steel grade", steel_grades(), lambda row: (row.name, *row.aliases))
