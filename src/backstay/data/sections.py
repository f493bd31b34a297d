"""Rolled steel sections for soldier piles: H and W shapes, bearing piles, channels."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal, cast

from backstay.cite import Provenance
from backstay.data.table import FOOT, INCH, POUND, Record, plain, read_table, refuse

Standard = Literal["AISC", "EN"]
ShapeKind = Literal["HP", "W", "C", "MC", "HEA", "HEB", "HEM", "UBP", "UPN", "UPE"]

_MM = 1e-3
_CM = 1e-2


@dataclass(frozen=True, slots=True)
class SteelShape:
    """A rolled section; lengths m, A m2, S and Z m3, I and J m4, mass kg/m.

    kind: the series ("HP" exists in both standards); d depth, bf flange width, tf, tw thicknesses;
    k: from the outer face of the flange to the end of the fillet on the web; axis x is the strong
    one, S elastic and Z plastic moduli; x: centroid of a channel from the back of its web, None
    for sections with two axes of symmetry.
    """

    name: str
    standard: Standard
    kind: ShapeKind
    A: float
    d: float
    bf: float
    tf: float
    tw: float
    k: float
    x: float | None
    Ix: float
    Sx: float
    Zx: float
    rx: float
    Iy: float
    Sy: float
    Zy: float
    ry: float
    J: float
    mass: float
    source: str
    provenance: Provenance

    @property
    def channel(self) -> bool:
        """Return whether the section is a channel."""
        return self.x is not None


def _aisc(row: Record) -> SteelShape:
    def length(column: str) -> float:
        return row.number(column, INCH)

    def modulus(column: str) -> float:
        return row.number(column, INCH**3)

    def inertia(column: str) -> float:
        return row.number(column, INCH**4)

    return SteelShape(
        name=row.text("name"),
        standard="AISC",
        kind=cast(ShapeKind, row.text("kind")),
        A=row.number("A", INCH**2),
        d=length("d"),
        bf=length("bf"),
        tf=length("tf"),
        tw=length("tw"),
        k=length("k"),
        x=row.optional("x", INCH),
        Ix=inertia("Ix"),
        Sx=modulus("Sx"),
        Zx=modulus("Zx"),
        rx=length("rx"),
        Iy=inertia("Iy"),
        Sy=modulus("Sy"),
        Zy=modulus("Zy"),
        ry=length("ry"),
        J=inertia("J"),
        mass=row.number("weight", POUND / FOOT),
        source=row.source,
        provenance=row.provenance,
    )


def _en(row: Record) -> SteelShape:
    def modulus(column: str) -> float:
        return row.number(column, _CM**3)

    def inertia(column: str) -> float:
        return row.number(column, _CM**4)

    return SteelShape(
        name=row.text("name"),
        standard="EN",
        kind=cast(ShapeKind, row.text("kind")),
        A=row.number("A", _CM**2),
        d=row.number("h", _MM),
        bf=row.number("b", _MM),
        tf=row.number("tf", _MM),
        tw=row.number("tw", _MM),
        k=row.number("k", _MM),
        x=row.optional("x", _CM),
        Ix=inertia("Iy"),
        Sx=modulus("Wely"),
        Zx=modulus("Wply"),
        rx=row.number("iy", _CM),
        Iy=inertia("Iz"),
        Sy=modulus("Welz"),
        Zy=modulus("Wplz"),
        ry=row.number("iz", _CM),
        J=inertia("It"),
        mass=row.number("mass"),
        source=row.source,
        provenance=row.provenance,
    )


@cache
def steel_shapes(standard: Standard) -> tuple[SteelShape, ...]:
    """Return the sections of a standard, by series. Raises LookupError for another standard."""
    if standard == "AISC":
        return tuple(_aisc(row) for row in read_table("aisc_shapes").records)
    if standard == "EN":
        return tuple(_en(row) for row in read_table("en_profiles").records)
    return refuse(standard, "standard of sections", ("AISC", "EN"))


@lru_cache(maxsize=1)
def _by_name() -> dict[str, SteelShape]:
    return {plain(row.name): row for row in (*steel_shapes("AISC"), *steel_shapes("EN"))}


def steel_shape(name: str) -> SteelShape:
    """Return the section of that name in either standard, e.g. ``"hp14x117"``, ``"HEB 300"``.

    Raises LookupError with the close names where there is none.
    """
    rows = _by_name()
    if (found := rows.get(plain(name))) is not None:
        return found
    return refuse(name, "steel section", (row.name for row in rows.values()))
