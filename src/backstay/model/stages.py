"""The stages of the work, as the engineer may write them out for the staged analysis.

Each entry changes one thing; what is not changed stays. Left out, the stages follow from the
rows and the over-excavation (`backstay.model.sequence`).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name, Note
from backstay.model.units import (
    Force,
    ForcePerLength,
    Length,
    Ratio,
    SupportStiffness,
)

RowNumber = Annotated[int, Field(ge=1, description="row number, from the top")]


class _Stage(Entry):
    title: Note = Field(default="", description="in your own words; absent: made from the entry")


class Excavate(_Stage):
    """The cut is dug to a level."""

    kind: Literal["excavate"]
    level: Length = Field(description="elevation")


class Backfill(_Stage):
    """The cut is filled again up to a level."""

    kind: Literal["backfill"]
    level: Length = Field(description="elevation")


class StressRow(_Stage):
    """A row of anchors is stressed and locked off, for the first time or anew."""

    kind: Literal["stress row"]
    row: RowNumber
    load: Annotated[Force, Field(gt=0)] | None = Field(
        default=None, description="lock-off load per anchor, along it; absent: that of the row"
    )


class DestressRow(_Stage):
    """The anchors of a row are let down to a lower load."""

    kind: Literal["de-stress row"]
    row: RowNumber
    load: Annotated[Force, Field(ge=0)] = Field(description="load per anchor that is left")


class RemoveRow(_Stage):
    """The anchors of a row are let down and taken out of service."""

    kind: Literal["remove row"]
    row: RowNumber


class RowFails(_Stage):
    """Accident: a whole row fails, and does not come back."""

    kind: Literal["row fails"]
    row: RowNumber


class AnchorFails(_Stage):
    """Accident: one anchor of a row fails, and its neighbours take over while it is replaced."""

    kind: Literal["anchor fails"]
    row: RowNumber


class AddSurcharge(_Stage):
    """A surcharge begins to act; before, it did not."""

    kind: Literal["add surcharge"]
    name: Name = Field(description="of the surcharge")


class RemoveSurcharge(_Stage):
    """A surcharge is taken away."""

    kind: Literal["remove surcharge"]
    name: Name = Field(description="of the surcharge")


class ChangeWater(_Stage):
    """The water changes, behind the wall, in the cut, or on both sides."""

    kind: Literal["water"]
    retained: Length | None = Field(default=None, description="level behind the wall")
    cut: Length | None = Field(default=None, description="level in the cut")


class Drained(_Stage):
    """Clay drains: from here on its drained strength counts instead of the undrained."""

    kind: Literal["drained"]
    strata: tuple[Name, ...] = Field(
        default=(), max_length=40, description="names of strata; absent: all"
    )


class AddStrut(_Stage):
    """A strut or slab is installed; it holds the wall back and cannot pull."""

    kind: Literal["strut"]
    name: Name
    level: Length = Field(description="elevation")
    stiffness: Annotated[SupportStiffness, Field(gt=0)] = Field(
        description="horizontal, per length of wall"
    )
    preload: Annotated[ForcePerLength, Field(ge=0)] = 0.0


class RemoveStrut(_Stage):
    """A strut or slab is taken out."""

    kind: Literal["remove strut"]
    name: Name


class WallStiffness(_Stage):
    """The bending stiffness of the wall changes (cracking, creep, a lining cast against it)."""

    kind: Literal["wall stiffness"]
    factor: Annotated[Ratio, Field(gt=0, le=10)] = Field(
        description="on the bending stiffness as given"
    )


class EarthquakeStage(_Stage):
    """The earthquake shakes in this stage alone; coefficients as of the section if absent."""

    kind: Literal["earthquake"]
    kh: Annotated[Ratio, Field(ge=0, lt=1)] | None = None
    kv: Annotated[Ratio, Field(gt=-1, lt=1)] = 0.0


StageEntry = Annotated[
    Excavate
    | Backfill
    | StressRow
    | DestressRow
    | RemoveRow
    | RowFails
    | AnchorFails
    | AddSurcharge
    | RemoveSurcharge
    | ChangeWater
    | Drained
    | AddStrut
    | RemoveStrut
    | WallStiffness
    | EarthquakeStage,
    Field(discriminator="kind"),
]
