"""What acts on a slope besides its weight: loads, water in cracks, pore pressures; and piles."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name
from backstay.model.units import ForcePerLength, Length, PositiveLength, Ratio, Stress


class _SlopeLoad(Entry):
    name: Name


class SlopeUniform(_SlopeLoad):
    """A load on the whole surface."""

    kind: Literal["uniform"]
    pressure: Annotated[Stress, Field(ge=0)]


class SlopeStrip(_SlopeLoad):
    """A load on the surface between two places."""

    kind: Literal["strip"]
    pressure: Annotated[Stress, Field(ge=0)]
    from_x: Length
    to_x: Length


class SlopeLine(_SlopeLoad):
    """A line load on the surface."""

    kind: Literal["line"]
    load: Annotated[ForcePerLength, Field(ge=0)] = Field(description="downward")
    horizontal: ForcePerLength = Field(
        default=0.0, description="toward where the ground slides; negative: against it"
    )
    x: Length


SlopeLoad = Annotated[SlopeUniform | SlopeStrip | SlopeLine, Field(discriminator="kind")]


class TensionCrack(Entry):
    """A crack at the head of every slip surface."""

    depth: PositiveLength
    water: Annotated[Ratio, Field(ge=0, le=1)] = Field(
        default=0.0, description="share of its depth that is full; 0: dry"
    )


class SlopePiles(Entry):
    """A row of piles or dowels, which gives its shear where a slip surface passes through it."""

    name: Name
    x: Length
    top: Length = Field(description="elevation from which it resists")
    bottom: Length = Field(description="elevation down to which it resists")
    capacity: Annotated[ForcePerLength, Field(gt=0)] = Field(
        description="allowable shear per length of slope"
    )


class PorePressures(Entry):
    """Pore pressures on a grid: linear between its points, held beyond them."""

    x: tuple[Length, ...] = Field(min_length=2, max_length=200, description="from left to right")
    elevations: tuple[Length, ...] = Field(
        min_length=2, max_length=200, description="from below upward"
    )
    pressure: tuple[tuple[Stress, ...], ...] = Field(
        min_length=2, max_length=200, description="a row for each elevation, a value for each x"
    )
