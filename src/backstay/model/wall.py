"""The wall: soldier piles and lagging, or a continuous wall."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name, Note
from backstay.model.units import (
    BendingStiffnessPerLength,
    Length,
    NonNegativeStress,
    PositiveLength,
    PositiveSmallLength,
    Ratio,
    SectionAreaPerLength,
    SectionModulusPerLength,
    SmallLength,
    Strength,
)

Auto = Literal["auto"]


class Lagging(Entry):
    """What spans between soldier piles."""

    material: Literal["timber", "shotcrete", "concrete"] = "timber"
    thickness: PositiveSmallLength | Auto = "auto"
    timber: Name = Field(default="mixed hardwood", description="row of the table of timbers")
    allowable_bending: Annotated[Strength, Field(gt=0)] | None = Field(
        default=None, description="allowable bending stress of the timber, instead of the table"
    )
    ground_class: Literal["competent", "difficult", "potentially dangerous"] | Auto = "auto"
    note: Note = ""


class StiffnessChange(Entry):
    """Bending stiffness from an elevation down, for the staged analysis: a splice, a cage that ends."""

    below: Length = Field(description="elevation from which it holds, down to the next change")
    factor: Annotated[Ratio, Field(gt=0, le=100)] = Field(
        description="bending stiffness there over that of the wall"
    )


class SoldierPiles(Entry):
    """Soldier piles and lagging."""

    kind: Literal["soldier piles"]
    section: Name = Field(
        description='rolled section such as HP14x89, or "auto" for the least weight'
    )
    family: tuple[Literal["HP", "W", "C", "MC", "HEA", "HEB", "HEM", "UPN"], ...] = Field(
        default=("HP", "W"), description="sections that auto may choose"
    )
    arrangement: Literal["single", "double"] = Field(
        default="single",
        description="double: a pair (of channels, or I sections) with the anchor between",
    )
    gap: Annotated[SmallLength, Field(ge=0)] = Field(
        default=0.0, description="clear gap between the webs of a pair"
    )
    steel: Name = Field(default="A572-50", description="steel grade")
    spacing: PositiveLength = Field(description="centre to centre, along the wall")
    installation: Literal["driven", "drilled"] = "drilled"
    hole_diameter: PositiveLength | None = Field(default=None, description="of a drilled hole")
    hole_filling: Literal["lean mix", "structural concrete"] = "structural concrete"
    toe: Length | Auto = Field(default="auto", description="elevation of the pile toe")
    anchor_opening: Literal["between pair", "cut through", "bracket"] = Field(
        default="bracket",
        description="how the tendon passes: between a pair, through cut flange and web, or beside (waler or bracket)",
    )
    opening_width: PositiveSmallLength | None = Field(
        default=None, description="width cut out of the flanges where the tendon passes through"
    )
    arching: Annotated[Ratio, Field(ge=1, le=3)] | None = Field(
        default=None,
        description="width of ground that bears on a pile below the cut, over the pile's width",
    )
    stiffness_changes: tuple[StiffnessChange, ...] = Field(
        default=(),
        max_length=20,
        description="where the bending stiffness changes, from the top down",
    )
    lagging: Lagging = Lagging()


class ContinuousWall(Entry):
    """A continuous wall (sheet piles, secant or tangent piles), per unit length."""

    kind: Literal["continuous"]
    name: Name
    stiffness: Annotated[BendingStiffnessPerLength, Field(gt=0)] = Field(
        description="EI per length"
    )
    section_modulus: Annotated[SectionModulusPerLength, Field(gt=0)]
    area: Annotated[SectionAreaPerLength, Field(gt=0)] | None = Field(
        default=None,
        description="cross-section, for axial stress; absent: bending alone is checked",
    )
    width: PositiveLength = Field(description="thickness of the wall across the section")
    allowable_stress: Annotated[Strength, Field(gt=0)] = Field(
        description="in bending, and of bending and axial stress together where area is given"
    )
    weight: NonNegativeStress = Field(default=0.0, description="weight per area of wall face")
    stiffness_changes: tuple[StiffnessChange, ...] = Field(
        default=(),
        max_length=20,
        description="where the bending stiffness changes, from the top down",
    )
    toe: Length | Auto = "auto"


WallModel = Annotated[SoldierPiles | ContinuousWall, Field(discriminator="kind")]
