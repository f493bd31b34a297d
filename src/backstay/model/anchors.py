"""Anchors, row by row: what the engineer decides, and what the contractor has chosen."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name, Note
from backstay.model.units import (
    Angle,
    Force,
    Length,
    PositiveLength,
    PositiveSmallLength,
    ShareOfDesignLoad,
    SmallLength,
)

Grouting = Literal["gravity", "low pressure", "high pressure", "post-grouted"]


class Tendon(Entry):
    """The tendon: kind, product and number of strands."""

    kind: Literal["strand", "bar"] = "strand"
    product: Name = Field(
        default="auto", description='row of the table of strands or bars, or "auto"'
    )
    strands: Annotated[int, Field(ge=1, le=60)] | Literal["auto"] = "auto"


class BondChoice(Entry):
    """The bond zone: usually the contractor's choice, which is checked."""

    by: Literal["contractor", "engineer"] = Field(
        default="contractor", description="whose choice the bond length is"
    )
    length: PositiveLength | None = Field(
        default=None, description="bond length submitted or required; absent: left open"
    )
    grouting: Grouting | Literal["open"] = Field(
        default="open", description="grouting method submitted, or open"
    )
    hole_diameter: PositiveSmallLength | None = Field(default=None, description="of the drill hole")


class AnchorRow(Entry):
    """One row of anchors."""

    elevation: Length = Field(description="of the anchor head")
    inclination: Annotated[Angle, Field(ge=0)] = Field(
        default=0.2617993877991494, description="below horizontal (default 15 degrees)"
    )
    skew: Angle = Field(default=0.0, description="on plan, from square to the wall")
    every: Annotated[int, Field(ge=1, le=10)] = Field(
        default=1, description="1: at every pile, 2: at every second pile (soldier piles)"
    )
    spacing: PositiveLength | None = Field(
        default=None, description="along the wall (continuous walls)"
    )
    tendon: Tendon = Tendon()
    bond: BondChoice = BondChoice()
    unbonded_length: PositiveLength | Literal["least"] = Field(
        default="least", description="free length, or the least that the rules allow"
    )
    design_load: Annotated[Force, Field(gt=0)] | None = Field(
        default=None, description="per anchor, along the anchor; absent: from the design envelope"
    )
    test_factor: Annotated[ShareOfDesignLoad, Field(ge=1.2, le=2)] = Field(
        default=1.33, description="test load over design load"
    )
    lock_off: Annotated[ShareOfDesignLoad, Field(gt=0, le=1.2)] = Field(
        default=1.0, description="lock-off load over design load"
    )
    protection: Literal["auto", "none", "class II", "class I"] = Field(
        default="auto", description="corrosion protection class"
    )
    ground_aggressive: Literal["yes", "no", "unknown"] = "unknown"
    draw_in: Annotated[SmallLength, Field(ge=0)] | None = Field(
        default=None, description="expected draw-in of wedges (or nut) at lock-off"
    )
    tail_length: PositiveLength = Field(
        default=1.2, description="tendon beyond the bearing plate, for the jack"
    )
    note: Note = ""
