"""What an anchor did after its lock-off: what seating left in the tendon, and its load with time.

The records say when and at what load the head was locked, what was read or measured there, and what
lift-offs and load cells showed later. Held against what was wanted, by the rules of the practice, they
tell whether the anchor still does its work.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from backstay.anchors.tendon import strands_of
from backstay.checks import Check, Verdict
from backstay.errors import DesignError
from backstay.records.anchor_file import AnchorFile
from backstay.records.entries import Entry
from backstay.records.facts import LiftedOff, LoadRead, LockedOff
from backstay.stressing.judge import Judgement
from backstay.stressing.load_with_time import LoadAt, LoadHistory, load_history
from backstay.stressing.lock_off import LockOff, plan_lock_off
from backstay.stressing.record import TestedAnchor, TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.seating import SeatedLoad, seated_load

NEAR_TEST_LOAD = 0.95
"""A hold at this share of the test load or more tells the creep of the bond."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterLockOff:
    """What is known of an anchor since its last lock-off.

    wanted: lock-off load by the design in force (kN); seated: what seating left, None where it was
    not measured or cannot be, with the reason in `unseated`; loads: with time, None before the first
    load that was read later.
    """

    wanted: float
    seated: SeatedLoad | None
    unseated: str
    loads: LoadHistory | None

    @property
    def checks(self) -> tuple[Check, ...]:
        """Return every check, those of the lock-off first."""
        locked = self.seated.checks if self.seated else ()
        return (*locked, *(self.loads.checks if self.loads else ()))

    @property
    def sound(self) -> bool:
        """Say whether nothing fails."""
        return all(c.verdict is not Verdict.FAIL for c in self.checks)


def after_lock_off(
    file: AnchorFile,
    record: TestRecord,
    judgement: Judgement,
    rules: TestRules,
    *,
    service_months: float | None = None,
) -> AfterLockOff | None:
    """Return what is known since the last lock-off, None where there is none.

    record, judgement: of the test before it, whose design loads give way to those in force (an anchor
    may have been down-rated since); service_months: for the load at the end of service.
    """
    locked = [entry for entry in file.of(LockedOff) if entry.fact is not None]
    if not locked:
        return None
    last = locked[-1]
    design = file.line.design
    wanted = design.lock_off_load
    anchor = replace(record.anchor, design_load=design.design_load, lock_off_load=wanted)
    seated, unseated = None, ""
    try:
        seated = _seated(last, anchor, rules)
    except DesignError as error:
        unseated = error.reason
    later = _later(file, last)
    if not later:
        return AfterLockOff(wanted=wanted, seated=seated, unseated=unseated, loads=None)
    lifted = [point.load for point in later if point.by == "lift-off"]
    start = seated.load if seated else (lifted[0] if lifted else wanted)
    steel: Literal["strand", "bar"] = "bar" if strands_of(design.tendon) is None else "strand"
    loads = load_history(
        anchor, start, later, rules, steel=steel, creep_rate=_creep_rate(record, judgement),
        service_months=service_months,
    )  # fmt: skip
    return AfterLockOff(wanted=wanted, seated=seated, unseated=unseated, loads=loads)


def _seated(entry: Entry[LockedOff], anchor: TestedAnchor, rules: TestRules) -> SeatedLoad:
    """Return what seating left. Raises DesignError where it was not measured."""
    fact = entry.fact
    if fact is None:
        raise DesignError("the lock-off was withdrawn", f"anchor {anchor.name}")
    planned = plan_lock_off(anchor, rules, head=fact.head)
    lock_off = LockOff(
        anchor=anchor.name, head=fact.head, wanted=anchor.lock_off_load, jack_load=fact.jack_load,
        load=fact.load, draw_in=fact.seating, on=entry.happened, by=entry.author,
    )  # fmt: skip
    return seated_load(lock_off, anchor, rules, planned)


def _later(file: AnchorFile, locked: Entry[LockedOff]) -> list[LoadAt]:
    """Return the loads that were read after a lock-off, by the minutes since it."""
    found = []
    since = locked.happened or locked.recorded
    kinds: tuple[tuple[type[LiftedOff] | type[LoadRead], Literal["lift-off", "load cell"]], ...] = (
        (LiftedOff, "lift-off"), (LoadRead, "load cell"),
    )  # fmt: skip
    for kind, by in kinds:
        for entry in file.of(kind):
            minute = ((entry.happened or entry.recorded) - since).total_seconds() / 60.0
            if entry.fact is not None and minute > 0.0:
                found.append(LoadAt(minute=minute, load=entry.fact.load, by=by))
    return sorted(found, key=lambda point: point.minute)


def _creep_rate(record: TestRecord, judgement: Judgement) -> float | None:
    """Return the creep rate of the bond near the test load (m per tenfold time), None where not told."""
    near = NEAR_TEST_LOAD * record.procedure.test_load
    rates = [c.rate for c in judgement.evaluation.creep if c.load >= near and c.rate is not None]
    return max(rates[-1], 0.0) if rates else None
