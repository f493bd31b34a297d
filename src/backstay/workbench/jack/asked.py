"""What a tablet sends: entries that it made, each with its own identity, in the order made.

A number comes as it was typed, with the system of units that it was typed in; whether it is one is
said by the door of the model (`backstay.model.units`), in a person's words.
"""

from __future__ import annotations

from typing import Annotated, Literal
from uuid import UUID

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

from backstay.model.testing import TestKind
from backstay.quantity import UnitSystem
from backstay.stressing.lock_off import Head
from backstay.stressing.stays import EXTRA_CYCLES

MOST_AT_ONCE = 500
Name = Annotated[str, Field(max_length=200)]
Words = Annotated[str, Field(max_length=2000)]


class _Sent(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Typed(_Sent):
    """A number as typed, and the system whose unit stood beside it."""

    text: Annotated[str, Field(max_length=40)]
    units: UnitSystem


class _Entry(_Sent):
    id: UUID
    at: AwareDatetime
    by: Name


class Begin(_Entry):
    """A test begins. kind: that of the plan where it is empty; jack_length: that of the design."""

    what: Literal["begin"]
    kind: TestKind | Literal[""] = ""
    jack: Name
    certificate: Name
    jack_length: Typed | None = None
    residual: bool = True
    exception: Words = ""


class Read(_Entry):
    """One reading.

    step: number in the procedure, from 0; again: which repetition of the last cycle; arrival:
    whether the load was just reached; minute: of the hold.
    """

    what: Literal["reading"]
    step: Annotated[int, Field(ge=0, lt=1000)]
    again: Annotated[int, Field(ge=0, le=EXTRA_CYCLES)] = 0
    arrival: bool
    minute: Annotated[float, Field(ge=0.0, le=100_000.0, allow_inf_nan=False)]
    gauge: Typed | None = None
    load: Typed | None = None
    dials: Annotated[tuple[Typed, ...], Field(min_length=1, max_length=16)]
    reference: Typed | None = None
    remark: Words = ""


class Correct(_Entry):
    """A reading is put right, or withdrawn: the one that the tablet sent (`of`), or of a number."""

    what: Literal["correction"]
    of: UUID | None = None
    number: Annotated[int, Field(ge=1)] | None = None
    withdraw: bool = False
    minute: Annotated[float, Field(ge=0.0, le=100_000.0, allow_inf_nan=False)] | None = None
    gauge: Typed | None = None
    load: Typed | None = None
    dials: Annotated[tuple[Typed, ...], Field(max_length=16)] = ()
    reference: Typed | None = None
    reason: Words


class Close(_Entry):
    """The test is over."""

    what: Literal["close"]
    ended: Literal["complete", "stopped"] = "complete"
    why: Words = ""


class LockOff(_Entry):
    """The head was locked. gauge: at the jack when it was; after: in the tendon, if read."""

    what: Literal["lock-off"]
    gauge: Typed
    after: Typed | None = None
    seating: Typed | None = None
    head: Head = "wedges"
    exception: Words = ""


class LiftOff(_Entry):
    """The head came off its seat. gauge: at the jack when it did."""

    what: Literal["lift-off"]
    gauge: Typed
    exception: Words = ""


class Remarked(_Entry):
    """Something is to be remembered of the anchor."""

    what: Literal["remark"]
    text: Annotated[str, Field(min_length=1, max_length=2000)]


Entry = Annotated[
    Begin | Read | Correct | Close | LockOff | LiftOff | Remarked, Field(discriminator="what")
]


class Parcel(_Sent):
    """Entries of one anchor from one tablet, in the order made.

    tablet: its identity; seen: number of the last reading of the record that it has seen;
    override: a person has looked at what others recorded and goes on.
    """

    project: Annotated[str, Field(max_length=1000)]
    anchor: Name
    tablet: UUID
    by: Name = ""
    seen: Annotated[int, Field(ge=0)] = 0
    override: bool = False
    entries: Annotated[tuple[Entry, ...], Field(max_length=MOST_AT_ONCE)] = ()
