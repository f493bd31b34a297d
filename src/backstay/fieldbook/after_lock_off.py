"""What an anchor did after its lock-off: what seating left in the tendon, and its load with time.

The records say when and at what load the head was locked, what was read or measured there, and what
lift-offs and load cells showed later. Held against what was wanted, by the rules of the practice, they
tell whether the anchor still does its work.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from backstay.anchors.tendon import strands_of
from backstay.checks import Check, Verdict
from backstay.cite import common_practice
from backstay.errors import DesignError
from backstay.fieldbook.lift_offs import lift_off_load
from backstay.records.anchor_file import AnchorFile
from backstay.records.entries import Entry
from backstay.records.facts import LoadRead, LockedOff
from backstay.stressing.judge import Judgement
from backstay.stressing.lift_off import judge_lift_off
from backstay.stressing.load_with_time import LoadAt, LoadHistory, load_history
from backstay.stressing.lock_off import LiftOff, LockOff, plan_lock_off
from backstay.stressing.next_step import NextStep
from backstay.stressing.record import TestedAnchor, TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.seating import SeatedLoad, seated_load

NEAR_TEST_LOAD = 0.95
"""A hold at this share of the test load or more tells the creep of the bond."""
_SURE = common_practice(
    "a load cell may be wrong: a lift-off tells the load before anything is done"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterLockOff:
    """What is known of an anchor since its last lock-off.

    wanted: lock-off load by the design in force (kN); seated: what seating left, None where it was
    not measured or cannot be, with the reason in `unseated`; loads: with time, None before the first
    load that was read later; lifted: whether the anchor was lifted off since: that load then counts
    in the place of the one after seating, and is judged by itself; next: what the rules allow where
    the load is not as it should be.
    """

    wanted: float
    seated: SeatedLoad | None
    unseated: str
    loads: LoadHistory | None
    lifted: bool = False
    next: tuple[NextStep, ...] = ()

    @property
    def checks(self) -> tuple[Check, ...]:
        """Return every check, those of the lock-off first."""
        locked = self.seated.checks if self.seated else ()
        return (*locked, *(self.loads.checks if self.loads else ()))

    @property
    def failing(self) -> tuple[Check, ...]:
        """Return what fails: after a lift-off that of the loads read later alone."""
        counting = (self.loads.checks if self.loads else ()) if self.lifted else self.checks
        return tuple(c for c in counting if c.verdict is Verdict.FAIL)

    @property
    def sound(self) -> bool:
        """Say whether nothing fails."""
        return not self.failing

    @property
    def kept(self) -> bool:
        """Say whether the loads read later are as they should be."""
        return self.loads is None or all(c.verdict is not Verdict.FAIL for c in self.loads.checks)


def after_lock_off(
    file: AnchorFile,
    record: TestRecord,
    judgement: Judgement,
    rules: TestRules,
    *,
    service_months: float | None = None,
) -> AfterLockOff | None:
    """Return what is known since the last lock-off, None where there is none after the test.

    record, judgement: of the test before it, whose design loads give way to those in force (an anchor
    may have been down-rated since); service_months: for the load at the end of service.
    """
    locked = locked_since(file, record)
    if not locked:
        return None
    last, anchor = locked[-1], in_force(file, record)
    design, wanted = file.line.design, anchor.lock_off_load
    seated, unseated = None, ""
    try:
        seated = _seated(last, anchor, rules)
    except DesignError as error:
        unseated = error.reason
    later = _later(file, last, anchor, rules)
    found = AfterLockOff(wanted=wanted, seated=seated, unseated=unseated, loads=None)
    if not later:
        return replace(found, next=_next(found, last, anchor, rules, len(locked) - 1))
    lifted = [point.load for point in later if point.by == "lift-off"]
    start = lifted[0] if lifted else wanted
    if seated is not None and seated.load > 0.0:
        start = seated.load
    steel: Literal["strand", "bar"] = "bar" if strands_of(design.tendon) is None else "strand"
    loads = load_history(
        anchor, start, later, rules, steel=steel, creep_rate=_creep_rate(record, judgement),
        service_months=service_months,
    )  # fmt: skip
    found = replace(found, loads=loads, lifted=bool(lifted))
    return replace(found, next=_next(found, last, anchor, rules, len(locked) - 1))


def in_force(file: AnchorFile, record: TestRecord) -> TestedAnchor:
    """Return the anchor of a test with the loads of the design in force: it may be down-rated since."""
    design = file.line.design
    return replace(
        record.anchor, design_load=design.design_load, lock_off_load=design.lock_off_load
    )


def locked_since(file: AnchorFile, record: TestRecord) -> list[Entry[LockedOff]]:
    """Return the lock-offs that followed a test: a test that is made anew undoes those before it."""
    return [
        e for e in file.of(LockedOff)
        if e.fact is not None and (record.on is None or e.happened is None or e.happened >= record.on)
    ]  # fmt: skip


def _next(
    found: AfterLockOff,
    entry: Entry[LockedOff],
    anchor: TestedAnchor,
    rules: TestRules,
    before: int,
) -> tuple[NextStep, ...]:
    """Return what the rules allow where the load fails; a lift-off that is the last says it itself.

    before: how often the anchor was re-stressed.
    """
    fact = entry.fact
    if found.sound or fact is None:
        return ()
    if found.loads is None:
        return (
            ()
            if found.seated is None
            else _as_lifted(found.seated.load, entry, anchor, rules, before)
        )
    last = found.loads.points[-1]
    if last.by == "lift-off" or found.kept:
        return ()
    sure = NextStep(
        action="lift off", words=f"lift the anchor off: the load cell read {{force:{last.load:.9g}}}, and "
        f"{{force:{found.wanted:.9g}}} is wanted", cite=_SURE, load=last.load,
    )  # fmt: skip
    if last.load > found.wanted:  # why it grows is asked before it is let down: the checks say so
        return (sure,)
    return (sure, *_as_lifted(last.load, entry, anchor, rules, before))


def _as_lifted(
    load: float, entry: Entry[LockedOff], anchor: TestedAnchor, rules: TestRules, before: int
) -> tuple[NextStep, ...]:
    """Return what the rules of a lift-off allow for a load, however it was found."""
    fact = entry.fact
    if fact is None:
        return ()
    return judge_lift_off(
        LiftOff(anchor=anchor.name, load=load), anchor, rules, head=fact.head, draw_in=fact.seating,
        restressed=before,
    ).next  # fmt: skip


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


def _later(
    file: AnchorFile, locked: Entry[LockedOff], anchor: TestedAnchor, rules: TestRules
) -> list[LoadAt]:
    """Return the loads that were read after a lock-off, by the minutes since it."""
    since = locked.happened or locked.recorded
    read: list[tuple[datetime, float, Literal["lift-off", "load cell"]]] = [
        *(
            (e.happened or e.recorded, lift_off_load(e.fact, anchor, rules), "lift-off")
            for e in file.lift_offs() if e.fact is not None
        ),
        *(
            (e.happened or e.recorded, e.fact.load, "load cell")
            for e in file.of(LoadRead) if e.fact is not None
        ),
    ]  # fmt: skip
    found = [
        LoadAt(minute=(on - since).total_seconds() / 60.0, load=load, by=by)
        for on, load, by in read
        if on > since
    ]
    return sorted(found, key=lambda point: point.minute)


def _creep_rate(record: TestRecord, judgement: Judgement) -> float | None:
    """Return the creep rate of the bond near the test load (m per tenfold time), None where not told."""
    near = NEAR_TEST_LOAD * record.procedure.test_load
    rates = [c.rate for c in judgement.evaluation.creep if c.load >= near and c.rate is not None]
    return max(rates[-1], 0.0) if rates else None
