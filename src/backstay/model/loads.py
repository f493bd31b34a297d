"""Surcharges and earthquake."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name
from backstay.model.units import (
    Force,
    ForcePerLength,
    Length,
    NonNegativeLength,
    PositiveLength,
    Ratio,
    Stress,
)

Duration = Literal["permanent", "temporary"]


class _Surcharge(Entry):
    name: Name
    acts: Duration = Field(default="permanent", description="permanent or temporary")


class Uniform(_Surcharge):
    """A load on the whole surface behind the wall."""

    kind: Literal["uniform"]
    pressure: Annotated[Stress, Field(ge=0)]


class Traffic(_Surcharge):
    """Traffic on the surface behind the wall, as an equivalent uniform load."""

    kind: Literal["traffic"]
    pressure: Annotated[Stress, Field(ge=0)]
    acts: Duration = "temporary"


class Strip(_Surcharge):
    """A strip parallel to the wall, from `distance` to `distance + width`."""

    kind: Literal["strip"]
    pressure: Annotated[Stress, Field(ge=0)]
    distance: NonNegativeLength = Field(description="from wall to the near edge")
    width: PositiveLength
    elevation: Length | None = Field(
        default=None, description="of the loaded face; default the surface"
    )


class Line(_Surcharge):
    """A line load parallel to the wall."""

    kind: Literal["line"]
    load: Annotated[ForcePerLength, Field(ge=0)]
    distance: PositiveLength
    elevation: Length | None = None


class Point(_Surcharge):
    """A point load."""

    kind: Literal["point"]
    load: Annotated[Force, Field(ge=0)]
    distance: PositiveLength
    elevation: Length | None = None


class Footing(_Surcharge):
    """A rectangular footing: `width` across, `length` along the wall."""

    kind: Literal["footing"]
    pressure: Annotated[Stress, Field(ge=0)]
    distance: NonNegativeLength = Field(description="from wall to the near edge")
    width: PositiveLength
    length: PositiveLength
    elevation: Length | None = Field(
        default=None, description="of the underside; default the surface"
    )


Surcharge = Annotated[
    Uniform | Traffic | Strip | Line | Point | Footing, Field(discriminator="kind")
]


class Earthquake(Entry):
    """Pseudo-static coefficients (permanent walls)."""

    kh: Annotated[Ratio, Field(ge=0, lt=1)]
    kv: Annotated[Ratio, Field(gt=-1, lt=1)] = 0.0
