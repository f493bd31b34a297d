"""The contractor's submittal: what he means to build and to test with, before he drills.

It is a file (or an entry) of its own, in the units that it names: a fact of the work, and none of
the engineer's decisions. It says what the contractor chose where the project left him the choice,
and what he brings: tendon with its mill certificate, grout, head, jack and gauge with their
certificate, test set-up and sequence. What is not yet known is left out and asked for.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field
from pydantic_core import PydanticCustomError

from backstay.model.anchors import Grouting
from backstay.model.entry import Entry, Name, Note
from backstay.model.units import (
    Count,
    Force,
    ForcePerLength,
    GaugePressure,
    Length,
    Ratio,
    SectionArea,
    SmallLength,
    SteelModulus,
    Strength,
)
from backstay.quantity import UnitSystem

LongestLength = Annotated[Length, Field(gt=0, le=300)]
WidestSize = Annotated[SmallLength, Field(gt=0, le=10)]
PositiveForce = Annotated[Force, Field(gt=0, le=1e5)]
PositiveArea = Annotated[SectionArea, Field(gt=0, le=1)]
PositivePressure = Annotated[GaugePressure, Field(gt=0, le=1e6)]
"""Numbers of a size that occurs: beyond it a unit is mistaken."""


def _day(value: Any) -> Any:
    """Read a day as 2026-03-02."""
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError):
        raise PydanticCustomError(
            "not_a_day", "this is not a day; accepted: year-month-day, such as 2026-03-02"
        ) from None


Day = Annotated[date, BeforeValidator(_day, json_schema_input_type=str)]


class MillCertificate(Entry):
    """What the mill certifies of one strand, or of the bar."""

    number: Name
    area: PositiveArea = Field(description="measured, of one strand or of the bar")
    modulus: Annotated[SteelModulus, Field(gt=0, le=1e9)]
    strength: PositiveForce = Field(description="breaking load of one strand or of the bar")
    proof_load: PositiveForce | None = Field(default=None, description="load at 0.1 % strain")


class SubmittedTendon(Entry):
    """The tendon."""

    kind: Literal["strand", "bar"]
    product: Name = Field(description="row of the table of strands or bars")
    strands: Annotated[int, Field(ge=1, le=60)] = 1
    sheath_diameter: WidestSize | None = Field(
        default=None, description="outside, over the bond length, where the tendon is encapsulated"
    )
    certificate: MillCertificate | None = None


class SubmittedBond(Entry):
    """The bond zone."""

    length: LongestLength
    hole_diameter: WidestSize
    grouting: Grouting
    transfer: Annotated[ForcePerLength, Field(gt=0, le=1e5)] | None = Field(
        default=None, description="ultimate load transfer that the contractor counts on"
    )
    source: Note = Field(default="", description="where that comes from: tests, experience nearby")


class SubmittedGrout(Entry):
    """The grout."""

    water_cement: Annotated[Ratio, Field(gt=0, le=2)]
    strength: Annotated[Strength, Field(gt=0, le=1e6)] = Field(
        description="when the anchor is tested"
    )
    age: Annotated[Count, Field(gt=0, le=3650)] = Field(
        description="days, when the anchor is tested"
    )


class SubmittedHead(Entry):
    """The anchor head, and how it is locked."""

    locked_by: Literal["wedges", "shims", "nut"]
    draw_in: Annotated[SmallLength, Field(ge=0, le=1)] | None = Field(
        default=None, description="expected at lock-off"
    )
    tail_length: LongestLength | None = Field(
        default=None, description="tendon beyond the bearing plate, to the grip of the jack"
    )


class SubmittedPoint(Entry):
    """One line of the calibration certificate."""

    pressure: Annotated[GaugePressure, Field(ge=0, le=1e6)]
    load: Annotated[Force, Field(ge=0, le=1e5)]


class SubmittedCalibration(Entry):
    """The certificate that calibrates jack and gauge together."""

    certificate: Name
    on: Day
    expires: Day
    points: tuple[SubmittedPoint, ...] = Field(min_length=2, max_length=100)


class SubmittedJack(Entry):
    """The jack with its gauge."""

    name: Name
    gauge: Name
    ram_area: PositiveArea
    capacity: PositiveForce = Field(description="greatest load")
    stroke: WidestSize
    gauge_range: PositivePressure = Field(description="end of the scale")
    gauge_graduation: PositivePressure = Field(description="least division of the scale")
    calibration: SubmittedCalibration | None = None


class SubmittedTest(Entry):
    """How the anchors are tested."""

    factor: Annotated[Ratio, Field(ge=1, le=3)] = Field(description="test load over design load")
    alignment_share: Annotated[Ratio, Field(gt=0, le=0.5)] = Field(
        description="alignment load over design load"
    )
    dial_travel: WidestSize
    dial_graduation: WidestSize
    reference: Literal["independent of the wall", "on the wall"] = Field(
        description="what carries the dials"
    )
    first_test: Day = Field(description="day on which testing begins")


class SubmittedSequence(Entry):
    """In which order the work is done."""

    dig_below: Literal["after acceptance", "before acceptance"] = Field(
        description="whether the next lift is dug before the anchors above are accepted"
    )
    fresh_distance: LongestLength | None = Field(
        default=None, description="kept from grout younger than a day when the next hole is drilled"
    )


class Submittal(Entry):
    """The contractor's submittal for some rows of anchors of one section or slope."""

    submittal: Name = Field(description="its number")
    units: UnitSystem = Field(description="SI or US: the unit of every bare number in it")
    part: Name = Field(description="section of wall, or slope, as the project calls it")
    rows: tuple[Annotated[int, Field(ge=1, le=20)], ...] = Field(
        min_length=1, max_length=20, description="rows of anchors, from 1, top down"
    )
    free_length: LongestLength = Field(description="from the bearing plate to the bond")
    tendon: SubmittedTendon
    bond: SubmittedBond
    protection: Literal["none", "class II", "class I"]
    head: SubmittedHead
    grout: SubmittedGrout | None = None
    jack: SubmittedJack | None = None
    test: SubmittedTest | None = None
    sequence: SubmittedSequence | None = None
    note: Note = ""
