"""The cut, what stands nearby, and what must not be touched."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name, Note
from backstay.model.units import Length, NonNegativeLength, PositiveLength


class CutStage(Entry):
    """One step of the dig, in the engineer's own sequence."""

    excavate_to: Length | None = Field(default=None, description="elevation")
    stress_row: Annotated[int, Field(ge=1)] | None = Field(
        default=None, description="row number, from the top"
    )
    note: Note = ""


class Cut(Entry):
    """The excavation."""

    subgrade: Length = Field(description="elevation of the bottom of the cut")
    over_excavation: NonNegativeLength = Field(
        default=0.6, description="depth dug below a row before its anchors are stressed"
    )
    width: PositiveLength | None = Field(default=None, description="of the cut, for base heave")
    length: PositiveLength | None = Field(default=None, description="of the cut, for base heave")
    sequence: tuple[CutStage, ...] = Field(
        default=(),
        max_length=60,
        description="construction sequence; absent: derived from the rows",
    )


class SectionPoint(Entry):
    """A point of the design section: horizontally behind the wall, and elevation."""

    distance: Length
    elevation: Length


class CircleObstacle(Entry):
    """A pipe, duct or tunnel, round in section."""

    kind: Literal["circle"]
    name: Name
    centre: SectionPoint
    diameter: PositiveLength
    clearance: NonNegativeLength = Field(
        default=1.0, description="least distance from a drill hole"
    )


class PolygonObstacle(Entry):
    """A basement, foundation or utility trench, as a polygon in section."""

    kind: Literal["polygon"]
    name: Name
    points: tuple[SectionPoint, ...] = Field(min_length=3, max_length=200)
    clearance: NonNegativeLength = Field(
        default=1.0, description="least distance from a drill hole"
    )


Obstacle = Annotated[CircleObstacle | PolygonObstacle, Field(discriminator="kind")]


class Constraints(Entry):
    """Limits of the ground that anchors may use."""

    right_of_way: PositiveLength | None = Field(
        default=None, description="horizontal distance behind the wall that anchors must not pass"
    )
    obstacles: tuple[Obstacle, ...] = Field(default=(), max_length=100)
    headroom: PositiveLength | None = Field(
        default=None, description="clear height over each drilling bench"
    )
    headroom_needed: PositiveLength = Field(default=2.5, description="height the drill rig needs")


class Building(Entry):
    """A neighbouring building, for movement and damage."""

    name: Name
    near: NonNegativeLength = Field(description="distance from wall to its near face")
    far: PositiveLength = Field(description="distance from wall to its far face")
    height: PositiveLength
    limit: Literal["negligible", "very slight", "slight", "moderate"] = Field(
        default="slight", description="damage category that is still accepted"
    )
