"""What grout bonds with in one stratum: stated by the engineer, or presumptive from the tables.

The row of the tables is named by the stratum (`bond_class`) or inferred from its kind, density,
blow count and strength. A word of the description may lower an inferred value of soil, never
raise it; the kind of rock is read from its words, and refused where they name none. Of a range
of stress the low end is taken. Grouting under pressure is not taken as worse than gravity
grouting of the same hole in the same ground, and nothing is added beyond what the table of
pressure-grouted anchors gives.

Every production anchor is proved by its own load test; these values size it for that test.
"""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass
from math import pi

from backstay.cite import GEOMETRY, Citation
from backstay.data import (
    BondStress,
    BondTransfer,
    bond_stress,
    bond_stress_of,
    bond_transfer,
    bond_transfer_of,
)
from backstay.errors import DesignError
from backstay.ground.profile import Layer
from backstay.model.anchors import Grouting
from backstay.quantity import BondStress as BondStressQuantity
from backstay.quantity import ForcePerLength, SmallLength
from backstay.trace import formula

HARD_CLAY_N, HARD_CLAY_SU = 21.0, 200.0
VERY_STIFF_CLAY_N, VERY_STIFF_CLAY_SU = 16.0, 100.0
STIFF_CLAY_N, STIFF_CLAY_SU = 10.0, 50.0
"""Blow counts (as in the table) and undrained strengths (kPa, usual scale of consistency)."""

_ROCK_WORDS = (
    ("granite", "granite or basalt"), ("basalt", "granite or basalt"),
    ("dolom", "dolomitic limestone"), ("limestone", "soft limestone"), ("chalk", "chalk"),
    ("marl", "weathered marl"), ("sandstone", "sandstone"), ("slate", "slate and hard shale"),
    ("hard shale", "slate and hard shale"), ("shale", "soft shale"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class GroundBond:
    """Ultimate load transfer in one stratum (kN per m of bond), and where it comes from."""

    transfer: float
    source: str
    cite: Citation


@formula("t", GEOMETRY)
def transfer_of_stress(tau_u: BondStressQuantity, d: SmallLength) -> ForcePerLength:
    """Ultimate load transfer per length of bond zone.

    tau_u: average ultimate bond stress; d: diameter of the drill hole
    """
    return pi * d * tau_u


def ground_bond(layer: Layer, grouting: Grouting, hole: float) -> GroundBond:
    """Return the ultimate load transfer in a layer for a grouting method and hole (m).

    Raises DesignError where the ground fits no row of the tables.
    """
    given = layer.stratum.bond
    if given is not None and given.transfer is not None:
        return GroundBond(
            given.transfer, f"stated: {given.source}", Citation(given.source, "", "published")
        )
    if given is not None and given.stress is not None:
        return GroundBond(
            transfer_of_stress(given.stress, hole),
            f"stated: bond stress {{bond stress:{given.stress:g}}}, {given.source}",
            Citation(given.source, "", "published"),
        )
    rows, reason = _rows(layer, grouting)
    return max((_value(row, hole, reason) for row in rows), key=lambda found: found.transfer)


def _value(row: BondTransfer | BondStress, hole: float, reason: str) -> GroundBond:
    cite = Citation(row.source, row.name, row.provenance)
    if isinstance(row, BondTransfer):
        return GroundBond(
            row.transfer, f'"{row.name}" of the table of load transfer ({reason})', cite
        )
    return GroundBond(
        transfer_of_stress(row.low, hole),
        f'low end of {{bond stress:{row.low:g}}} to {{bond stress:{row.high:g}}}, "{row.name}" of '
        f"the table of bond stress ({reason})",
        cite,
    )


def _rows(layer: Layer, grouting: Grouting) -> tuple[tuple[BondTransfer | BondStress, ...], str]:
    """Return the rows that apply (the best of them counts), and why."""
    named = layer.stratum.bond_class
    if named is not None:
        rows = _named(named, layer)
        fitting = [row for row in rows if _fits(row, grouting)]
        if fitting:
            return tuple(fitting), "named for the stratum"
        if layer.kind == "rock":
            return rows, "named for the stratum"
        inferred, reason = _inferred(layer, grouting)
        return inferred, f'"{named}" is for pressure grouting; for {grouting} grouting {reason}'
    return _inferred(layer, grouting)


def _named(name: str, layer: Layer) -> tuple[BondTransfer | BondStress, ...]:
    found: list[BondTransfer | BondStress] = []
    with suppress(LookupError):
        found.append(bond_transfer_of(name))
    with suppress(LookupError):
        found.append(bond_stress_of(name))
    if not found:
        names = sorted({*(r.name for r in bond_transfer()), *(r.name for r in bond_stress())})
        raise DesignError(
            f"no row {name!r} in the tables of presumptive bond; there are: {', '.join(names)}",
            f"stratum {layer.name}",
        )
    return tuple(found)


def _fits(row: BondTransfer | BondStress, grouting: Grouting) -> bool:
    if isinstance(row, BondTransfer):
        return True
    return row.grouting == "any" or (row.grouting == "gravity") == (grouting == "gravity")


def _inferred(
    layer: Layer, grouting: Grouting
) -> tuple[tuple[BondTransfer | BondStress, ...], str]:
    words = _words(layer)
    if layer.kind == "rock":
        return _rock(layer, words)
    if layer.kind == "granular":
        gravity, pressure, reason = _granular(layer, words)
    else:
        gravity, pressure, reason = _clay(layer, words)
    if grouting == "gravity" or pressure is None:
        return (gravity,), reason
    return (gravity, bond_stress_of(pressure)), reason


def _words(layer: Layer) -> str:
    text = f"{layer.name} {layer.stratum.description}".lower()
    return re.sub(r"\b(?:trace|traces|occasional|little)(?: of| to some)? \w+", "", text)


def _granular(layer: Layer, words: str) -> tuple[BondTransfer | BondStress, str | None, str]:
    N, density = layer.stratum.spt_n, layer.stratum.density
    reason = f"density {density}"
    if density is None:
        if N is None:
            density, reason = "loose", "density not given: taken as loose"
        elif N < 4:
            return bond_stress_of("cohesionless gravity"), None, f"N {N:g}: very loose"
        else:
            density = "loose" if N < 11 else ("medium" if N < 31 else "dense")
            reason = f"{density} by N {N:g}"
    ground = "sand and silt" if re.search(r"\bsilt", words) else "sand"
    pressure = None if density == "loose" else "fine to medium sand"
    return bond_transfer_of(f"{ground} {density}"), pressure, f"{ground}, {reason}"


def _clay(layer: Layer, words: str) -> tuple[BondTransfer | BondStress, str | None, str]:
    if layer.kind == "soft clay":
        return bond_stress_of("cohesive gravity"), "soft silty clay", "soft to medium clay"
    N, su = layer.stratum.spt_n, layer.su
    by = f"N {N:g}" if N is not None else (
        f"undrained strength {{stress:{su:g}}}" if su is not None else "strength not given"
    )  # fmt: skip

    def reaches(blows: float, strength: float) -> bool:
        if N is not None:
            return blows <= N
        return su is not None and su >= strength

    plastic = re.search(r"\b(?:fat|ch|mh|high(?:ly)? plastic(?:ity)?)\b", words) is not None
    very_stiff = reaches(VERY_STIFF_CLAY_N, VERY_STIFF_CLAY_SU)
    pressure = (
        "very stiff clay medium to high plasticity" if very_stiff
        else "stiff clay medium to high plasticity"
    )  # fmt: skip
    if plastic or not reaches(STIFF_CLAY_N, STIFF_CLAY_SU):
        why = "high plasticity" if plastic else "below the table of load transfer"
        return bond_stress_of("cohesive gravity"), pressure, f"clay, {by}, {why}"
    hard = reaches(HARD_CLAY_N, HARD_CLAY_SU)
    name = "silt-clay hard" if hard else "silt-clay stiff"
    return (
        bond_transfer_of(name), pressure,
        f"clay by {by}; the row is of low plasticity: name bond_class where the clay is plastic",
    )  # fmt: skip


def _rock(layer: Layer, words: str) -> tuple[tuple[BondTransfer | BondStress, ...], str]:
    for word, name in _ROCK_WORDS:
        if word in words:
            if name == "sandstone" and "weathered" in words:
                name = "weathered sandstone"
            return _named(name, layer)[:1], f'rock, from the word "{word}"'
    raise DesignError(
        "the kind of rock is not known, so that its bond is not: give bond_class, or a bond stress "
        "with its source",
        f"stratum {layer.name}",
    )
