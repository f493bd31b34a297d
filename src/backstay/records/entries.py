"""What the records give back: entries with their who and when, and a line of the register."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Generic, Literal, TypeVar

from backstay.records.facts import Decision, DesignValues, Fact
from backstay.stressing.procedure import TestKind
from backstay.stressing.record import Reading

State = Literal[
    "planned", "submittal", "drilled", "grouted", "stressed", "accepted", "not accepted",
    "locked off", "lifted off", "repaired", "replaced",
]  # fmt: skip
"""How far an anchor is; always derived from its facts, never stored."""
F = TypeVar("F", bound="Fact | Reading", covariant=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry(Generic[F]):
    """One entry, as recorded.

    id: in the order of recording, from 1, without a gap; fact: what happened, None where a
    correction leaves nothing in its place; happened: as told, in its own zone; recorded: by the
    clock of the machine; author: who recorded it; test: number of the test of that anchor;
    supersedes: id of the entry that this one corrects, for the stated reason; superseded_by: id
    of the entry that corrects this one; exception: why it was recorded although it does not fit;
    hash: of this entry and all before it, in hexadecimal digits.
    """

    id: int
    kind: str
    anchor: str
    test: int | None
    fact: F | None
    happened: datetime | None
    recorded: datetime
    author: str
    supersedes: int | None = None
    superseded_by: int | None = None
    reason: str = ""
    exception: str = ""
    hash: str

    @property
    def in_force(self) -> bool:
        """Return whether this is what now counts."""
        return self.superseded_by is None and self.fact is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterLine:
    """One anchor of the register.

    part, row, number, pile, trial: its place, from the design; design: in force; state, since: how
    far it is, and when it came there; tests: how many; test, test_kind, test_open: the last;
    verdict: the last in force, for which `accepted_load` stands; verdict_stale: whether something
    it rests on was corrected or added after it was issued; readings: in force, of all tests;
    greatest_load: among them, by the calibration of each test's jack (kN); lock_off_load,
    lift_off_load: the last (kN); exceptions: facts that do not fit, recorded all the same.
    """

    anchor: str
    part: str
    row: int
    number: int
    pile: int | None
    trial: bool
    design: DesignValues
    state: State
    since: datetime
    tests: int = 0
    test: int | None = None
    test_kind: TestKind | None = None
    test_open: bool = False
    verdict: Decision | None = None
    accepted_load: float | None = None
    verdict_stale: bool = False
    readings: int = 0
    greatest_load: float | None = None
    lock_off_load: float | None = None
    lift_off_load: float | None = None
    exceptions: int = 0
    replaced_by: str = ""
    replaces: str = ""
