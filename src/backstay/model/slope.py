"""A slope or a landslide that is tied back, without any wall."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.anchors import BondChoice, Grouting, Tendon
from backstay.model.entry import Entry, Name, Note
from backstay.model.ground import Bond, GroundKind, UndrainedStrength
from backstay.model.loads import Earthquake
from backstay.model.slope_face import ConcreteWaler, SlopePad, SteelWaler
from backstay.model.slope_loads import PorePressures, SlopeLoad, SlopePiles, TensionCrack
from backstay.model.units import (
    Angle,
    Force,
    ForcePerLength,
    Length,
    NonNegativeLength,
    NonNegativeStress,
    Percent,
    PositiveLength,
    Ratio,
    ShareOfDesignLoad,
    SmallLength,
    UnitWeight,
)


class SlopePoint(Entry):
    """A point of the section: horizontally from any origin, and elevation."""

    x: Length
    elevation: Length


class Anisotropy(Entry):
    """Factors on the undrained strength by the inclination of the slip surface."""

    active: Annotated[Ratio, Field(gt=0, le=3)] = Field(
        default=1.0, description="where it falls at 45 degrees, at the crest"
    )
    direct: Annotated[Ratio, Field(gt=0, le=3)] = Field(
        default=1.0, description="where it is level"
    )
    passive: Annotated[Ratio, Field(gt=0, le=3)] = Field(
        default=1.0, description="where it rises at 45 degrees, at the toe"
    )


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
        default=None,
        description="counts instead of friction and cohesion; gradient per depth below the highest point of its top",
    )
    anisotropy: Anisotropy | None = Field(
        default=None, description="of the undrained strength; absent: none"
    )
    pore_pressure_ratio: Annotated[Ratio, Field(gt=0, lt=1)] | None = Field(
        default=None,
        description="ru: pore pressure over the weight of the ground above, instead of the water line",
    )
    slides: Literal["yes", "no"] = Field(
        default="yes", description="no: slip surfaces run along its top and never through it"
    )
    bond: Bond | None = Field(
        default=None, description="with grout, where it differs from anchors.transfer"
    )
    liquid_limit: Annotated[Percent, Field(ge=0.1, le=5)] | None = Field(
        default=None,
        description="water content; with the plasticity index it tells ground that creeps",
    )
    plasticity_index: Annotated[Percent, Field(ge=0, le=5)] | None = Field(
        default=None, description="liquid limit less plastic limit; 0: not plastic"
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


class SlopeBond(BondChoice):
    """The bond zone of slope anchors: the engineer's, from the load transfer that is given."""

    by: Literal["contractor", "engineer"] = Field(
        default="engineer", description="whose choice the bond length is"
    )
    grouting: Grouting | Literal["open"] = Field(
        default="gravity", description="grouting method that the load transfer belongs to, or open"
    )


class SlopeAnchors(Entry):
    """How the slope may be anchored: rows that share the force evenly."""

    heads: tuple[SlopePoint, ...] = Field(
        min_length=1, max_length=20, description="heads of the rows on the face, from the top"
    )
    inclination: Annotated[Angle, Field(ge=0)] | Literal["best"] = Field(
        default="best", description="below horizontal; best: the one that asks the least force"
    )
    greatest_load: Annotated[Force, Field(gt=0)] = Field(description="design load of one anchor")
    spacing: PositiveLength | Literal["widest"] = Field(
        default="widest", description="along the slope; widest: what the greatest load allows"
    )
    spacing_least: PositiveLength = 1.5
    spacing_greatest: PositiveLength = 4.0
    spacing_step: PositiveLength = Field(
        default=0.1, description="the widest spacing is rounded down to a multiple of this"
    )
    transfer: Annotated[ForcePerLength, Field(gt=0)] = Field(
        description="ultimate load transfer of the bond, from tests or the report"
    )
    counts: Literal["active", "passive"] = Field(
        default="active",
        description="active: taken off what drives; passive: divided by the safety, like strength",
    )
    tendon: Tendon = Tendon()
    bond: SlopeBond = SlopeBond()
    unbonded_length: PositiveLength | Literal["least"] = Field(
        default="least", description="free length, or the least that the rules allow"
    )
    design_load: Annotated[Force, Field(gt=0)] | None = Field(
        default=None, description="per anchor; absent: what the force asks at the spacing"
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


class SlopeEarthquake(Earthquake):
    """Pseudo-static coefficients of a slope, and the safety wanted under them."""

    target: Annotated[Ratio, Field(ge=1, le=2)] = Field(
        default=1.1, description="safety of the anchored slope in the earthquake"
    )


class Slope(Entry):
    """One section of a slope that is tied back."""

    name: Name
    run: PositiveLength = Field(description="length of slope that this section stands for")
    profile: tuple[SlopePoint, ...] = Field(
        min_length=2, max_length=200, description="surveyed ground from left to right"
    )
    strata: tuple[SlopeStratum, ...] = Field(min_length=1, max_length=40)
    water: tuple[SlopePoint, ...] = Field(
        default=(),
        max_length=200,
        description="water line when it moved, level beyond its ends; above the ground it stands there",
    )
    design_water: tuple[SlopePoint, ...] = Field(
        default=(), max_length=200, description="water line to design for; absent: water"
    )
    water_flow: Literal["hydrostatic", "along the water line"] = Field(
        default="hydrostatic",
        description="pore pressure by depth below the water line, or less where water flows along it",
    )
    pore_pressures: PorePressures | None = Field(
        default=None, description="on a grid, instead of the water line: of a flow analysis"
    )
    surcharges: tuple[SlopeLoad, ...] = Field(default=(), max_length=50)
    tension_crack: TensionCrack | None = None
    piles: tuple[SlopePiles, ...] = Field(
        default=(), max_length=20, description="that hold by their shear"
    )
    slides_to: Literal["lower end", "left", "right"] = Field(
        default="lower end", description="where the ground moves"
    )
    slip_surface: KnownSurface
    movement: Movement = Movement()
    method: Literal["spencer", "morgenstern-price"] = Field(
        default="spencer", description="of slices: constant or half-sine inclination of side forces"
    )
    target: Annotated[Ratio, Field(ge=1, le=3)] = Field(
        default=1.3, description="safety of the anchored slope on the known surface"
    )
    slips_target: Annotated[Ratio, Field(ge=1, le=3)] | None = Field(
        default=None,
        description="safety of smaller slips and of slips around the bonds; absent: target",
    )
    anchors: SlopeAnchors
    pad: SlopePad | None = Field(default=None, description="under each anchor")
    waler: Annotated[ConcreteWaler | SteelWaler, Field(discriminator="kind")] | None = Field(
        default=None, description="beam under each row, instead of pads"
    )
    earthquake: SlopeEarthquake | None = None

    @property
    def height(self) -> float:
        """Return the height of the surveyed ground (m)."""
        levels = [p.elevation for p in self.profile]
        return max(levels) - min(levels)
