"""What a project file may say, from the top: project, units, basis, service, design sections."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.anchors import AnchorRow
from backstay.model.entry import Entry, Name, Note
from backstay.model.ground import GroundModel
from backstay.model.loads import Earthquake, Surcharge
from backstay.model.site import Building, Constraints, Cut
from backstay.model.slope import Slope
from backstay.model.stages import StageEntry
from backstay.model.testing import LoadTests
from backstay.model.units import Duration, Length, PositiveLength, Ratio
from backstay.model.wall import WallModel
from backstay.quantity import UnitSystem


class ProjectData(Entry):
    """Who, what and when: printed on the cover, used nowhere else."""

    name: Name
    number: Note = ""
    client: Note = ""
    location: Note = ""
    engineer: Note = ""
    checker: Note = ""
    date: Note = ""
    notes: Note = ""


class Service(Entry):
    """How long the wall serves, and what a failure would mean."""

    life: Literal["temporary", "permanent"] = Field(
        description="temporary: stands for its months, then the structure takes over"
    )
    months: Annotated[Duration, Field(gt=0)] | None = Field(
        default=None,
        description="service life of a temporary wall (common practice: up to 18 to 36)",
    )
    failure: Literal["ordinary", "serious"] = Field(
        default="ordinary",
        description="serious: failure of an anchor would endanger people or neighbours",
    )
    consequence: Note = ""


class PressureChoice(Entry):
    """How the design envelope is chosen, where the engineer does not leave it to the default."""

    envelope: Literal["auto", "sand", "stiff clay", "soft clay", "total load"] = Field(
        default="auto", description="apparent earth pressure envelope; auto explains its choice"
    )
    stiff_clay_share: Annotated[Ratio, Field(ge=0.2, le=0.4)] = Field(
        default=0.4, description="p over gamma H of the stiff-clay envelope, temporary condition"
    )
    m: Annotated[Ratio, Field(ge=0.4, le=1)] | None = Field(
        default=None, description="empirical m of the soft-clay envelope; default by the rule"
    )


class Targets(Entry):
    """The engineer's own targets, stricter than the basis or where the basis is silent."""

    wall_movement: PositiveLength | None = Field(default=None, description="greatest wall movement")
    settlement: PositiveLength | None = Field(
        default=None, description="greatest ground settlement"
    )
    toe_safety: Annotated[Ratio, Field(ge=1)] | None = None
    heave_safety: Annotated[Ratio, Field(ge=1)] | None = None
    overall_safety: Annotated[Ratio, Field(ge=1)] | None = Field(
        default=None, description="on slip surfaces, at every stage"
    )


class Section(Entry):
    """One design section: the ground, the cut and the wall at one place along the wall."""

    name: Name
    wall_length: PositiveLength = Field(description="length of wall that this section stands for")
    ground: GroundModel
    cut: Cut
    wall: WallModel
    anchors: tuple[AnchorRow, ...] = Field(min_length=1, max_length=20)
    surcharges: tuple[Surcharge, ...] = Field(default=(), max_length=50)
    earthquake: Earthquake | None = None
    buildings: tuple[Building, ...] = Field(default=(), max_length=50)
    constraints: Constraints = Constraints()
    pressure: PressureChoice = PressureChoice()
    targets: Targets = Targets()
    carry: Literal["larger", "envelope", "staged"] = Field(
        default="larger",
        description="moments and shears that structural checks carry: of the design envelope, of the staged "
        "analysis, or the larger",
    )
    stages: tuple[StageEntry, ...] = Field(
        default=(),
        max_length=60,
        description="stages of the staged analysis, instead of cut.sequence; absent: derived from the rows",
    )

    def depth(self, elevation: Length) -> float:
        """Return the depth below the top of wall of an elevation (m). The one place that converts."""
        return self.ground.top - elevation

    def elevation(self, depth: float) -> float:
        """Return the elevation of a depth below the top of wall (m)."""
        return self.ground.top - depth

    @property
    def height(self) -> float:
        """Return the height of the cut H (m): top of wall to subgrade."""
        return self.ground.top - self.cut.subgrade


class Project(Entry):
    """A whole project file."""

    backstay: Literal[1] = Field(description="version of the file format")
    project: ProjectData
    units: UnitSystem = Field(description="SI or US: the unit of every bare number in this file")
    basis: Literal["FHWA-IF-99-015"] = Field(
        default="FHWA-IF-99-015", description="basis of design: its factors and limits"
    )
    service: Service
    tests: LoadTests = LoadTests()
    sections: tuple[Section, ...] = Field(
        default=(), max_length=20, description="design sections of walls"
    )
    slopes: tuple[Slope, ...] = Field(
        default=(), max_length=20, description="slopes and landslides that are tied back, no wall"
    )
