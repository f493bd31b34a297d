"""The field book: what happened on site, entry by entry, as the crew writes it.

It is a file of its own, in the units that it names. Its entries are facts: jacks with their
certificates, holes, tendons, grout, cubes, lock-offs, lift-offs, loads read, repairs, replacements,
remarks, and photographs or files beside it. Readings of load tests come as tables.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self, TypeVar

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from backstay.fieldbook.moments import When, Zone
from backstay.fieldbook.reach import MOST
from backstay.model.entry import Entry, Name, Note
from backstay.model.submittal import PositiveArea as _Area
from backstay.model.submittal import PositiveForce as _Force
from backstay.model.submittal import SubmittedCalibration
from backstay.model.units import (
    Angle,
    Count,
    Force,
    GaugePressure,
    Length,
    Ratio,
    SmallLength,
    SteelModulus,
    Strength,
    Volume,
)
from backstay.quantity import UnitSystem

MOST_STRANDS = 60
"""More strands than any tendon has."""
Text = Annotated[Note, Field(min_length=1)]
_MOST_LENGTH, _MOST_SMALL, _MOST_FORCE = MOST["length"], MOST["small length"], MOST["force"]
Depth = Annotated[Length, Field(ge=0, le=_MOST_LENGTH)]
PositiveLength = Annotated[Length, Field(gt=0, le=_MOST_LENGTH)]
PositiveSmallLength = Annotated[SmallLength, Field(gt=0, le=_MOST_SMALL)]
PositiveForce = Annotated[_Force, Field(le=_MOST_FORCE)]
PositiveArea = Annotated[_Area, Field(le=MOST["section area"])]
_Pressure = Annotated[GaugePressure, Field(ge=0, le=MOST["gauge pressure"])]
PositivePressure = Annotated[GaugePressure, Field(gt=0, le=MOST["gauge pressure"])]
_Slope = Annotated[Angle, Field(gt=-1.5708, lt=1.5708)]


Strands = Annotated[
    tuple[Annotated[Force, Field(ge=0, le=_MOST_FORCE)], ...], Field(max_length=MOST_STRANDS)
]
_T = TypeVar("_T")


def _summed(entry: _T, key: str, load: float | None, strands: tuple[float, ...]) -> _T:
    """Return an entry that gives a load, or those of strands which carry something."""
    if (load is None) is not bool(strands):
        rule = f"either {key} is given, or the load of each strand as strands"
        raise PydanticCustomError("load_or_strands", rule)
    if strands and sum(strands) <= 0.0:
        raise PydanticCustomError("load_or_strands", "the strands carry nothing together")
    return entry


class Happened(Entry):
    """The common form of what happened to one anchor."""

    anchor: Name = Field(description="as the register calls it; row and number may do, as in 1-007")
    on: When = Field(description="day, with the time of day where it is known")
    exception: Note = Field(
        default="", description="why it is recorded although it does not fit the life of the anchor"
    )


class BookedJack(Entry):
    """A jack with its gauge, and the certificate that calibrates them together."""

    name: Name
    gauge: Name
    ram_area: PositiveArea
    capacity: PositiveForce = Field(description="greatest load")
    stroke: PositiveSmallLength
    calibration: SubmittedCalibration


class BookedStratum(Entry):
    """One line of a drill log, between two depths along the hole."""

    top: Depth
    bottom: Depth
    description: Note = ""
    kind: Note = Field(default="", description="of ground, as the project names it")
    water: Note = Field(default="", description="strikes and flow")
    loss: Note = Field(default="", description="of flush")


class BookedHole(Happened):
    """A hole, with its log."""

    diameter: PositiveSmallLength
    length: PositiveLength
    inclination: _Slope | None = None
    skew: _Slope | None = None
    strata: tuple[BookedStratum, ...] = Field(default=(), max_length=200)
    water: Note = ""
    losses: Note = ""
    casing: Depth | None = Field(default=None, description="length that was cased")
    creeps: bool | None = Field(
        default=None,
        description="whether the ground met along the bond creeps, where it was judged",
    )
    rig: Note = ""
    crew: Note = ""
    method: Note = ""


class BookedTendon(Happened):
    """The tendon as built, with its mill certificate. Loads and area are of the whole tendon."""

    certificate: Name = Field(description="number of the mill certificate")
    area: PositiveArea = Field(description="measured, of the whole tendon")
    modulus: Annotated[SteelModulus, Field(gt=0, le=MOST["steel modulus"])]
    guaranteed: PositiveForce = Field(description="guaranteed strength of the whole tendon")
    measured: PositiveForce | None = Field(default=None, description="strength as measured")
    proof_load: PositiveForce | None = Field(default=None, description="load at 0.1 % strain")
    free_length: PositiveLength = Field(description="from the bearing plate to the bond")
    bond_length: PositiveLength
    regroutable: bool | None = Field(
        default=None, description="whether tubes for re-grouting are in the hole"
    )
    tendon: Note = ""
    heat: Note = ""


class BookedGrout(Happened):
    """One grouting."""

    stage: Literal["primary", "post"] = "primary"
    water_cement: Annotated[Ratio, Field(gt=0, le=2)]
    volume: Annotated[Volume, Field(gt=0, le=MOST["volume"])]
    pressure: _Pressure | None = None
    cement: Note = ""
    admixtures: Note = ""
    method: Note = ""
    crew: Note = ""


class BookedCubes(Happened):
    """Cubes (or cylinders) of an anchor's grout, crushed at one age."""

    sample: Name
    age: Annotated[Count, Field(gt=0)] = Field(description="days")
    strengths: tuple[Annotated[Strength, Field(gt=0, le=MOST["strength"])], ...] = Field(
        min_length=1, max_length=20
    )
    shape: Literal["cube", "cylinder"] = "cube"


class BookedLockOff(Happened):
    """A lock-off."""

    jack_load: PositiveForce | None = Field(
        default=None, description="at the jack when the head was locked"
    )
    strands: Strands = Field(
        default=(), description="instead of jack_load: that of each strand, locked off one by one"
    )
    load: PositiveForce | None = Field(default=None, description="in the tendon once it was seated")
    seating: Annotated[SmallLength, Field(ge=0, le=_MOST_SMALL)] | None = Field(
        default=None, description="draw-in as measured at the head"
    )
    head: Literal["wedges", "shims", "nut"] = "wedges"
    jack: Note = ""
    certificate: Note = ""

    @model_validator(mode="after")
    def _one_of_both(self) -> Self:
        return _summed(self, "jack_load", self.jack_load, self.strands)


class BookedLiftOff(Happened):
    """A lift-off."""

    load: PositiveForce | None = Field(
        default=None, description="at which the head comes off its seat"
    )
    strands: Strands = Field(
        default=(), description="instead of load: that of each strand, lifted off one by one"
    )
    loads: tuple[PositiveForce, ...] = Field(
        default=(), max_length=200,
        description="instead of load: those at which movement was read, rising, on both sides of it",
    )  # fmt: skip
    movements: tuple[Annotated[SmallLength, Field(ge=0, le=_MOST_SMALL)], ...] = Field(
        default=(), max_length=200, description="of the head or the ram at each of loads or gauges"
    )
    gauge: PositivePressure | None = Field(
        default=None, description="instead of load: what the gauge of the jack showed there"
    )
    strand_gauges: Annotated[tuple[_Pressure, ...], Field(max_length=MOST_STRANDS)] = Field(
        default=(), description="instead of strands: what the gauge showed at each"
    )
    gauges: tuple[PositivePressure, ...] = Field(
        default=(), max_length=200, description="instead of loads: what the gauge showed at each"
    )
    jack: Note = Field(
        default="",
        description="that was used; where a gauge was read, that of the test before if not named",
    )
    certificate: Note = Field(
        default="",
        description="of the jack; where a gauge was read, the last of that day if not named",
    )

    @property
    def by_gauge(self) -> bool:
        """Say whether the gauge of a jack was read."""
        return self.gauge is not None or bool(self.strand_gauges or self.gauges)

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if self.loads and self.gauges:
            raise PydanticCustomError("one_way", "either loads are given, or gauges: one of both")
        if len(self.loads or self.gauges) != len(self.movements):
            rule = "a load, or the gauge, and its movement are read together: one movement for each load"
            raise PydanticCustomError("one_way", rule)
        ways = (self.strands, self.movements, self.strand_gauges)
        stated = (self.load is not None) + (self.gauge is not None) + sum(map(bool, ways))
        if stated != 1:
            rule = (
                "either load is given, or gauge, or strands, or strand_gauges, or readings as loads or "
                "gauges with movements: one of them"
            )
            raise PydanticCustomError("one_way", rule)
        if (self.strands and sum(self.strands) <= 0.0) or (
            self.strand_gauges and sum(self.strand_gauges) <= 0.0
        ):
            raise PydanticCustomError("one_way", "the strands carry nothing together")
        return self


class BookedLoad(Happened):
    """The load of a locked-off anchor, read later at a load cell."""

    load: Annotated[Force, Field(ge=0, le=_MOST_FORCE)]
    cell: Note = ""


class BookedRepair(Happened):
    """Work on an anchor that did not do."""

    work: Text
    why: Text


class BookedReplacement(Happened):
    """An anchor is given up for another, which enters the register with it."""

    replacement: Name = Field(description="name of the new anchor")
    why: Text
    free_length: PositiveLength | None = Field(default=None, description="where it is another")
    bond_length: PositiveLength | None = Field(default=None, description="where it is another")
    inclination: _Slope | None = Field(default=None, description="where it is another")


class BookedRemark(Entry):
    """A remark on an anchor, or on the work as a whole."""

    text: Text
    on: When
    anchor: Name | None = None


class BookedFile(Entry):
    """A photograph or a file, beside the book."""

    path: Name = Field(description="from the folder of the book")
    on: When
    caption: Note = ""
    anchor: Name | None = None


class FieldBook(Entry):
    """A field book."""

    field_book: Name = Field(description="its name or number")
    units: UnitSystem = Field(description="SI or US: the unit of every bare number in it")
    zone: Zone = Field(default=None, description="time zone, such as -05:00; else the machine's")
    note: Note = ""
    jacks: tuple[BookedJack, ...] = ()
    drilled: tuple[BookedHole, ...] = ()
    tendons: tuple[BookedTendon, ...] = ()
    grouted: tuple[BookedGrout, ...] = ()
    cubes: tuple[BookedCubes, ...] = ()
    locked_off: tuple[BookedLockOff, ...] = ()
    lifted_off: tuple[BookedLiftOff, ...] = ()
    loads: tuple[BookedLoad, ...] = ()
    repairs: tuple[BookedRepair, ...] = ()
    replacements: tuple[BookedReplacement, ...] = ()
    remarks: tuple[BookedRemark, ...] = ()
    files: tuple[BookedFile, ...] = ()
