"""A slope or a landslide that is tied back, without any wall."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name, Note
from backstay.model.ground import GroundKind, UndrainedStrength
from backstay.model.loads import Earthquake
from backstay.model.units import (
    Angle,
    Force,
    ForcePerLength,
    Length,
    NonNegativeLength,
    NonNegativeStress,
    PositiveLength,
    Ratio,
    SectionAreaPerLength,
    Strength,
    UnitWeight,
)


class SlopePoint(Entry):
    """A point of the section: horizontally from any origin, and elevation."""

    x: Length
    elevation: Length


class SlopeStratum(Entry):
    """One stratum of a slope, from its top down to the top of the next."""

    name: Name
    kind: GroundKind
    top: Length | None = Field(
        default=None, description="elevation of its top where that is level; not of the first"
    )
    top_line: tuple[SlopePoint, ...] = Field(
        default=(), max_length=200, description="its top from left to right, instead of top"
    )
    description: Note = ""
    moist_unit_weight: Annotated[UnitWeight, Field(gt=0)]
    saturated_unit_weight: Annotated[UnitWeight, Field(gt=0)]
    friction_angle: Annotated[Angle, Field(ge=0)] | None = None
    cohesion: NonNegativeStress = 0.0
    undrained_strength: NonNegativeStress | UndrainedStrength | None = Field(
        default=None, description="counts instead of friction and cohesion; gradient from its top"
    )
    slides: Literal["yes", "no"] = Field(
        default="yes", description="no: slip surfaces run along its top and never through it"
    )


class KnownSurface(Entry):
    """The slip surface as it was found: a circle, or points from left to right."""

    centre: SlopePoint | None = Field(default=None, description="of a circle")
    radius: PositiveLength | None = Field(default=None, description="of a circle")
    points: tuple[SlopePoint, ...] = Field(default=(), max_length=200)


class Movement(Entry):
    """What the movement tells of the strength along the known surface."""

    safety: Annotated[Ratio, Field(ge=0.8, le=3)] = Field(
        default=1.0, description="as it stands: 1 where it moves"
    )
    uncertainty: Annotated[Ratio, Field(ge=0, le=0.5)] = Field(
        default=0.05, description="of that safety, to either side"
    )
    water_change: NonNegativeLength = Field(
        default=0.0, description="how far the water may have stood higher or lower"
    )
    slip_cohesion: NonNegativeStress = Field(
        default=0.0, description="cohesion along the surface that the design counts on"
    )


class SlopeAnchors(Entry):
    """How the slope may be anchored."""

    heads: tuple[SlopePoint, ...] = Field(
        min_length=1, max_length=20, description="heads of the rows on the face, from the top"
    )
    inclination: Annotated[Angle, Field(ge=0)] | Literal["best"] = Field(
        default="best", description="below horizontal; best: the one that asks the least force"
    )
    greatest_load: Annotated[Force, Field(gt=0)] = Field(description="design load of one anchor")
    spacing_least: PositiveLength = 1.5
    spacing_greatest: PositiveLength = 4.0
    transfer: Annotated[ForcePerLength, Field(gt=0)] = Field(
        description="ultimate load transfer of the bond, from tests or the report"
    )
    load_test_factor: Annotated[Ratio, Field(ge=1.2, le=2)] = 1.33
    tendon_kind: Literal["strand", "bar"] = "strand"


class SlopePad(Entry):
    """A square bearing pad of reinforced concrete under each anchor."""

    side: PositiveLength
    thickness: PositiveLength
    effective_depth: PositiveLength
    plate: PositiveLength = Field(description="side of the bearing plate")
    concrete: Annotated[Strength, Field(gt=0)] = Field(description="cylinder strength")
    reinforcement: Annotated[SectionAreaPerLength, Field(gt=0)] = Field(
        description="in each direction"
    )
    yield_stress: Annotated[Strength, Field(gt=0)]


class Slope(Entry):
    """One section of a slope that is tied back."""

    name: Name
    run: PositiveLength = Field(description="length of slope that this section stands for")
    profile: tuple[SlopePoint, ...] = Field(
        min_length=2, max_length=200, description="surveyed ground from left to right"
    )
    strata: tuple[SlopeStratum, ...] = Field(min_length=1, max_length=40)
    water: tuple[SlopePoint, ...] = Field(default=(), max_length=200)
    slip_surface: KnownSurface
    movement: Movement = Movement()
    target: Annotated[Ratio, Field(ge=1, le=3)] = Field(
        default=1.3, description="safety of the anchored slope"
    )
    anchors: SlopeAnchors
    pad: SlopePad | None = None
    earthquake: Earthquake | None = None
