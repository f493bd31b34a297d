"""Load tests: by which practice, how many of each kind, and values that replace those of it.

Every value is optional: what is left out is taken from the practice, with its clause. A value may
stand alone, or with the clause of the contract that it comes from::

    tests:
      practice: US
      lift_off_tolerance: {value: 0.10, clause: "Section 31 68 13, 3.5.4"}
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from backstay.model.entry import Entry, Name
from backstay.model.units import Minutes, Ratio, SmallLength

Practice = Literal["US", "EN"]
"""US: performance, proof and extended creep tests; EN: investigation, suitability and acceptance
tests of EN 1537 and EN ISO 22477-5."""
TestKind = Literal[
    "performance", "proof", "extended creep", "investigation", "suitability", "acceptance"
]
TestMethod = Literal["held load", "lock-off", "stepped load"]
"""Held load: movement with time under a load kept constant (method 1 of EN ISO 22477-5, and the US
tests); lock-off: load with time at constant length (method 2); stepped load: movement with time at
every step (method 3)."""
Clock = Literal["load reached", "pumping begins"]
"""When the time of a hold begins: with the load, or when pumping leaves the load before it."""

_Share = Annotated[Ratio, Field(ge=0)]
_Movement = Annotated[SmallLength, Field(gt=0)]
_Time = Annotated[Minutes, Field(gt=0)]


class ShareRule(Entry):
    """A share or a ratio, and the clause it comes from."""

    value: _Share
    clause: Name


class MovementRule(Entry):
    """A movement, and the clause it comes from."""

    value: _Movement
    clause: Name


class MinutesRule(Entry):
    """A time, and the clause it comes from."""

    value: _Time
    clause: Name


class TimesRule(Entry):
    """Times of readings, and the clause they come from."""

    values: tuple[_Time, ...] = Field(min_length=2, max_length=60)
    clause: Name


class CountRule(Entry):
    """A number, and the clause it comes from."""

    value: Annotated[int, Field(ge=0, le=1000)]
    clause: Name


class CreepRule(Entry):
    """A limit of creep: the movement from one minute of the hold to another."""

    start: _Time = Field(description="minute from which the movement counts")
    end: _Time = Field(description="minute up to which it counts")
    movement: _Movement = Field(description="greatest movement between the two")
    clause: Name | None = None


Share = _Share | ShareRule | None
Movement = _Movement | MovementRule | None
Time = _Time | MinutesRule | None
TimesOfReading = Annotated[tuple[_Time, ...], Field(min_length=2, max_length=60)] | TimesRule | None
Count = Annotated[int, Field(ge=0, le=1000)] | CountRule | None


class LoadTests(Entry):
    """Load tests of the anchors; whatever is left out is taken from the practice."""

    practice: Practice = Field(
        default="US", description="US: performance and proof tests; EN: EN 1537, EN ISO 22477-5"
    )
    method: TestMethod = Field(
        default="held load",
        description="held load (US; EN method 1), lock-off (EN method 2), stepped load (EN method 3)",
    )
    first_performance: Count = Field(
        default=None, description="anchors at the start of the work that are performance tested"
    )
    performance_share: Share = Field(
        default=None, description="share of the other anchors that are performance tested"
    )
    extended_creep_tests: Count = Field(
        default=None, description="extended creep tests where the ground of the bond creeps"
    )
    suitability_tests: Count = Field(default=None, description="EN: suitability tests in a ground")
    investigation_tests: Count = Field(
        default=None, description="EN: trial anchors beside those of the wall, tested to the limit"
    )
    residual_movement: Literal["measured", "not measured"] = Field(
        default="measured",
        description="measured: a proof test ends at the alignment load, so that the residual is known",
    )
    alignment_share: Share = Field(
        default=None, description="alignment load over design load (EN: datum over proof load)"
    )
    clock: Clock | None = Field(
        default=None, description="when the hold begins: load reached, or pumping begins"
    )
    hold: Time = Field(default=None, description="US: hold at the test load")
    extended_hold: Time = Field(
        default=None,
        description="US: hold at the test load where the first limit of creep is passed",
    )
    readings: TimesOfReading = Field(
        default=None, description="minutes of the hold at which to read"
    )
    extended_readings: TimesOfReading = Field(
        default=None, description="US: minutes of the extended hold at which to read"
    )
    creep_first: CreepRule | None = Field(
        default=None, description="limit of creep that decides whether the hold is extended"
    )
    creep_extended: CreepRule | None = Field(
        default=None, description="limit of creep of the extended hold"
    )
    creep_regrouted: CreepRule | None = Field(
        default=None, description="limit of creep of an anchor that was re-grouted"
    )
    creep_rate: Movement = Field(
        default=None, description="greatest movement per tenfold time; EN: set nationally"
    )
    stepped_creep: Movement = Field(
        default=None, description="the same by stepped load (alpha of method 3); set nationally"
    )
    load_loss_rate: Share = Field(
        default=None, description="greatest loss of load per tenfold time; EN: set nationally"
    )
    free_length_least: Share = Field(
        default=None, description="share of the free length that the apparent one must reach"
    )
    free_length_bond: Share = Field(
        default=None,
        description="share of the bond length that the apparent free length may reach into",
    )
    free_length_greatest: Share = Field(
        default=None, description="EN: apparent over free length that is allowed in any case"
    )
    test_stress: Share = Field(
        default=None, description="greatest load under test over the strength of the tendon"
    )
    lock_off_stress: Share = Field(
        default=None, description="greatest lock-off load over the strength of the tendon"
    )
    lock_off_least: Share = Field(default=None, description="least lock-off load over design load")
    lock_off_greatest: Share = Field(
        default=None, description="greatest lock-off load over design load"
    )
    lift_off_tolerance: Share = Field(
        default=None, description="lift-off load off the lock-off load, over it"
    )
    load_tolerance: Share = Field(
        default=None, description="load off its target while it is held, over it"
    )
    gauge_agreement: Share = Field(
        default=None, description="difference allowed between gauge and reference gauge"
    )
    gauge_accuracy: Share = Field(default=None, description="accuracy wanted of the gauge")
    calibration_days: Count = Field(
        default=None, description="age of a calibration at most, in days, when work begins"
    )
    calibration_months: Count = Field(
        default=None, description="age of a calibration at most, in months, at any time"
    )
    regroutings: Count = Field(
        default=None, description="times that an anchor may be re-grouted and tested again"
    )
    failed_lock_off: Share = Field(
        default=None, description="lock-off of a failed anchor over the greatest load that it held"
    )
