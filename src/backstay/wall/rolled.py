"""Piles from the tables of rolled sections and steel grades."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

from backstay.basis import Basis, Factor
from backstay.data import SteelShape, steel_grade, steel_shape, steel_shapes
from backstay.errors import DesignError
from backstay.model.wall import SoldierPiles
from backstay.wall.member import Member, Steel

INCH_STEP = 0.0254 / 8
METRIC_STEP = 0.002
"""Plate thicknesses are rounded up to an eighth of an inch, or to 2 mm."""


def given_member(wall: SoldierPiles) -> Member:
    """Return the pile of the section that the project names; raise DesignError if unknown."""
    try:
        shape = steel_shape(wall.section)
    except LookupError as error:
        raise DesignError(str(error), "soldier pile") from error
    if shape.channel and wall.arrangement == "single":
        raise DesignError(
            f"{shape.name} is a channel: a single one twists under load; use a pair "
            "(arrangement: double)",
            "soldier pile",
        )
    return _member(shape, wall.arrangement, wall.gap)


def family_members(wall: SoldierPiles, families: Sequence[str]) -> tuple[Member, ...]:
    """Return the piles that the families offer, in the standard that the steel belongs to.

    Channels are offered in pairs alone.
    """
    standard: Literal["AISC", "EN"] = (
        "EN" if grade_standard(wall.steel).startswith("EN") else "AISC"
    )
    return _family(standard, tuple(families), wall.arrangement, wall.gap)


@lru_cache(maxsize=32)
def _family(
    standard: Literal["AISC", "EN"],
    families: tuple[str, ...],
    arrangement: Literal["single", "double"],
    gap: float,
) -> tuple[Member, ...]:
    members = (
        _member(shape, arrangement, gap)
        for shape in steel_shapes(standard)
        if shape.kind in families and not (shape.channel and arrangement == "single")
    )
    return tuple(sorted(members, key=lambda m: (m.mass, -m.S_x)))


def family_of(name: str) -> str:
    """Return the series of a section, e.g. "HP"."""
    return steel_shape(name).kind


def grade_standard(steel: str) -> str:
    """Return the standard of a steel grade; raise DesignError if the grade is unknown."""
    try:
        return steel_grade(steel).standard
    except LookupError as error:
        raise DesignError(str(error), "soldier pile") from error


def steel_title(steel: str) -> str:
    """Return the name of a steel grade with its standard, as printed on a drawing."""
    standard = grade_standard(steel)
    name = steel_grade(steel).name
    return standard if name.split("-")[0] in standard else f"{name} ({standard})"


def steel_of(wall: SoldierPiles, member: Member, basis: Basis, bending: Factor) -> Steel:
    """Return the steel of a pile with its yield stress at the thickness of the flange.

    bending: allowable share of the yield stress in bending, temporary or permanent.
    """
    F_y, E = _strength(wall.steel, max(member.t_f, member.t_w))
    return Steel(F_y, E, bending, basis.steel_shear, basis.steel_axial)


@lru_cache(maxsize=1024)
def _strength(steel: str, thickness: float) -> tuple[float, float]:
    """Return yield stress and modulus (kPa) of a grade at a thickness (m)."""
    try:
        grade = steel_grade(steel)
        return grade.yield_stress(thickness), grade.modulus
    except LookupError as error:
        raise DesignError(str(error), "soldier pile") from error


def plate_step(member: Member) -> float:
    """Return the step to which plate thicknesses are rounded up beside a section (m)."""
    return INCH_STEP if steel_shape(member.name).standard == "AISC" else METRIC_STEP


def _member(shape: SteelShape, arrangement: Literal["single", "double"], gap: float) -> Member:
    count: Literal[1, 2] = 2 if arrangement == "double" else 1
    flange = shape.bf if shape.channel else shape.bf / 2
    from_web = shape.x if shape.x is not None else shape.tw / 2
    return Member(
        name=shape.name,
        form="channel" if shape.channel else "I",
        count=count,
        A=shape.A,
        d=shape.d,
        b_f=shape.bf,
        t_f=shape.tf,
        t_w=shape.tw,
        I_x=shape.Ix,
        S_x=shape.Sx,
        Z_x=shape.Zx,
        I_y=shape.Iy,
        r_x=shape.rx,
        r_y=shape.ry,
        J=shape.J,
        lamda_f=flange / shape.tf,
        lamda_w=(shape.d - 2 * shape.k) / shape.tw,
        mass=count * shape.mass,
        gap=gap,
        offset=gap / 2 + from_web,
    )
