"""What a project file says of the ground: strata, surface, water."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name, Note
from backstay.model.units import (
    Angle,
    BondStress,
    ForcePerLength,
    Length,
    Modulus,
    NonNegativeStress,
    Percent,
    Ratio,
    StressGradient,
    SubgradeModulus,
    SubgradeModulusGradient,
    UnitWeight,
)

GroundKind = Literal["granular", "stiff clay", "soft clay", "rock"]
"""granular; stiff clay: stiff to hard; soft clay: soft to medium; rock."""


class UndrainedStrength(Entry):
    """Undrained shear strength that changes with depth: su = at_top + gradient * depth in stratum."""

    at_top: NonNegativeStress
    gradient: StressGradient


class Bond(Entry):
    """What grout bonds with in this stratum, where it is known better than the presumptive tables.

    One of `stress` (average ultimate bond stress) and `transfer` (ultimate load per length).
    """

    stress: Annotated[BondStress, Field(gt=0)] | None = None
    transfer: Annotated[ForcePerLength, Field(gt=0)] | None = None
    source: Name = Field(description="where the value comes from: tests, experience nearby, report")


class Stratum(Entry):
    """One stratum, from its top down to the top of the next."""

    name: Name
    top: Length = Field(description="elevation of its top, at the wall")
    bottom: Length | None = Field(
        default=None, description="elevation of its bottom; given, it must meet the next top"
    )
    kind: GroundKind
    description: Note = ""
    moist_unit_weight: Annotated[UnitWeight, Field(gt=0)]
    saturated_unit_weight: Annotated[UnitWeight, Field(gt=0)]
    friction_angle: Annotated[Angle, Field(ge=0)] | None = Field(
        default=None, description="effective (drained) angle of friction"
    )
    cohesion: NonNegativeStress = Field(default=0.0, description="effective (drained) cohesion")
    undrained_strength: NonNegativeStress | UndrainedStrength | None = Field(
        default=None, description="constant, or with depth; clay needs it"
    )
    at_rest_coefficient: Annotated[Ratio, Field(gt=0)] | None = Field(
        default=None, description="K0; absent: from the angle of friction and OCR"
    )
    overconsolidation_ratio: Annotated[Ratio, Field(ge=1)] | None = Field(
        default=None, description="OCR, for the at-rest coefficient; absent: 1"
    )
    stiffness: Annotated[Modulus, Field(gt=0)] | None = Field(
        default=None,
        description="Young's modulus of the ground, for the staged analysis and printed with the inputs",
    )
    subgrade_modulus: Annotated[SubgradeModulus, Field(ge=0)] | None = Field(
        default=None,
        description="horizontal, at the surface of the ground, for the width that bears below the cut",
    )
    subgrade_gradient: Annotated[SubgradeModulusGradient, Field(ge=0)] | None = Field(
        default=None,
        description="growth of the subgrade modulus with depth below the ground of either side",
    )
    spt_n: Annotated[Ratio, Field(ge=0)] | None = Field(
        default=None, description="SPT blow count (blows per 300 mm or 1 ft)"
    )
    cpt_resistance: Annotated[Modulus, Field(gt=0)] | None = Field(
        default=None, description="cone resistance, printed with the inputs"
    )
    density: Literal["loose", "medium", "dense"] | None = Field(
        default=None, description="relative density of granular ground, for presumptive values"
    )
    liquid_limit: Annotated[Percent, Field(ge=0.1, le=5)] | None = Field(
        default=None,
        description="water content; with the plasticity index it tells ground that creeps",
    )
    plasticity_index: Annotated[Percent, Field(ge=0, le=5)] | None = Field(
        default=None, description="liquid limit less plastic limit; 0: not plastic"
    )
    wall_friction_ratio: Annotated[Ratio, Field(ge=0, le=1)] = Field(
        default=0.0, description="angle of wall friction over angle of friction, active side"
    )
    bond: Bond | None = None
    bond_class: Name | None = Field(
        default=None, description="row of the presumptive bond tables, if not to be inferred"
    )


class PerchedWater(Entry):
    """Water that stands on a less pervious stratum, above the general water level."""

    level: Length
    base: Length = Field(description="elevation of the ground that holds it up")


class Water(Entry):
    """Water on both sides of the wall, as elevations. Absent: no water in reach."""

    retained: Length | None = Field(default=None, description="level behind the wall")
    cut: Length | None = Field(
        default=None, description="level in the cut; default subgrade or lower"
    )
    flow: Literal["hydrostatic", "seepage"] = Field(
        default="hydrostatic",
        description="hydrostatic on both sides, or steady seepage around the toe (continuous walls)",
    )
    perched: tuple[PerchedWater, ...] = Field(default=(), max_length=10)


class SurfacePoint(Entry):
    """A surveyed point of the ground behind the wall."""

    distance: Annotated[Length, Field(ge=0)] = Field(description="horizontally behind the wall")
    elevation: Length


class GroundModel(Entry):
    """The ground at one design section."""

    top: Length = Field(description="elevation of the ground at the wall: the top of wall")
    slope: Angle = Field(default=0.0, description="angle at which the ground rises behind the wall")
    profile: tuple[SurfacePoint, ...] = Field(
        default=(), max_length=200, description="surveyed ground behind the wall, instead of slope"
    )
    strata: tuple[Stratum, ...] = Field(min_length=1, max_length=40)
    water: Water = Water()
