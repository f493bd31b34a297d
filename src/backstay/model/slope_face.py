"""What carries the anchors of a slope on its face: pads, or a beam along each row."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name
from backstay.model.units import (
    NonNegativeLength,
    PositiveLength,
    SectionArea,
    SectionAreaPerLength,
    Strength,
)

Seat = Literal["on the face", "square to the anchor"]
"""How what the anchor bears on lies against the ground: on the face, or cut into it."""


class SlopePad(Entry):
    """A square bearing pad of reinforced concrete under each anchor."""

    seat: Seat = "on the face"
    side: PositiveLength
    thickness: PositiveLength
    effective_depth: PositiveLength
    plate: PositiveLength = Field(description="side of the bearing plate")
    concrete: Annotated[Strength, Field(gt=0)] = Field(description="cylinder strength")
    reinforcement: Annotated[SectionAreaPerLength, Field(gt=0)] = Field(
        description="in each direction"
    )
    yield_stress: Annotated[Strength, Field(gt=0)]


class _Waler(Entry):
    seat: Seat = "on the face"
    width: PositiveLength = Field(description="that bears on the ground, up the face")
    end: NonNegativeLength | None = Field(
        default=None, description="of the beam beyond its last anchor; absent: 0.4 of the spacing"
    )


class ConcreteWaler(_Waler):
    """A continuous beam of reinforced concrete along a row, cast on the face."""

    kind: Literal["concrete"]
    thickness: PositiveLength = Field(description="square to the face")
    effective_depth: PositiveLength
    concrete: Annotated[Strength, Field(gt=0)] = Field(description="cylinder strength")
    reinforcement: Annotated[SectionArea, Field(gt=0)] = Field(
        description="along the beam, at each face"
    )
    links: Annotated[SectionAreaPerLength, Field(ge=0)] = Field(
        default=0.0, description="shear links, area of all legs per length of beam"
    )
    yield_stress: Annotated[Strength, Field(gt=0)] = Field(description="of bars and links")


class SteelWaler(_Waler):
    """A continuous rolled beam, or a pair with the anchors between, along a row."""

    kind: Literal["steel"]
    section: Name = Field(description="rolled section")
    arrangement: Literal["single", "double"] = "double"
    steel: Name = Field(description="grade")
