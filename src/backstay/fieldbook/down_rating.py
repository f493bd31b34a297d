"""A down-rating in the records: the design of an anchor, changed to what it may carry.

It is an entry as any other, with reason and author; the test that failed keeps the design by which
it was made. It stands until it is withdrawn: a project that says otherwise does not put it back.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from backstay.design import Design
from backstay.fieldbook.judged import judged_tests
from backstay.fieldbook.trying import recording
from backstay.records.entries import RegisterLine
from backstay.records.facts import DesignChanged, DesignValues
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.stressing.derating import Derating, derate
from backstay.stressing.down_rating import DownRated, Rating
from backstay.stressing.rules import TestRules

_MARK = "down-rated"
"""What stands in the place of the state of the project file, from which these values are not."""


_NOTHING = "{} held no load: there is nothing to down-rate it to. Replace it, and record that."


def is_down_rated(design: DesignValues) -> bool:
    """Say whether a design on record is that of an anchor down-rated."""
    return design.project == _MARK


@dataclass(frozen=True, slots=True)
class FailedAnchor:
    """An anchor that failed its test: its line, the load that it held (kN), None where it held none.

    proven: load that each anchor which was accepted has held, by name.
    """

    line: RegisterLine
    held: float | None
    proven: Mapping[str, float]


def failed_anchor(records: Records, rules: TestRules, anchor: str) -> FailedAnchor:
    """Return what the records tell of an anchor that failed, before any wall is designed.

    Its neighbours carry what their own tests have proved. Raises RefusedError for an anchor that did
    not fail a test.
    """
    lines = records.register()
    mine = next(judged_tests(records, rules, [x for x in lines if x.anchor == anchor]), None)
    if mine is None:
        raise RefusedError(f"{anchor}: no test has begun; only a test shows what it holds")
    decision = mine.judgement.decision
    if decision != "not accepted":
        raise RefusedError(
            f"{anchor} is judged: {decision}; only an anchor that failed is down-rated"
        )
    held = {
        one.line.anchor: one.judgement.evaluation.held_load
        for one in judged_tests(records, rules, [x for x in lines if x.anchor != anchor])
        if one.judgement.decision == "accepted"
    }
    proven = {name: load for name, load in held.items() if load is not None}
    return FailedAnchor(mine.line, mine.judgement.evaluation.held_load, proven)


def consequences(
    failed: FailedAnchor, rules: TestRules, design: Design, *, rate: Rating
) -> Derating:
    """Return what an anchor that failed may carry, and what that does to the wall."""
    return derate(design, failed.line.anchor, failed.held, rules, proven=failed.proven, rate=rate)


def require_recordable(
    records: Records, failed: FailedAnchor, *, by: str, reason: str, on: datetime | None
) -> None:
    """Refuse at once what could not be recorded whatever the wall says. Raises RefusedError."""
    if not failed.held:
        raise RefusedError(_NOTHING.format(failed.line.anchor))
    line = failed.line
    fact = DesignChanged(
        anchor=line.anchor, design=replace(line.design, project=_MARK), reason=reason
    )
    with recording(records, by=by, course="try") as together:
        together.add(fact, on=on)


def record_down_rating(
    records: Records,
    line: RegisterLine,
    rated: DownRated,
    *,
    by: str,
    reason: str,
    on: datetime | None,
) -> int | None:
    """Record what an anchor may carry, and return the number of the entry; None where it is there.

    The test load goes down with the design load. Raises RefusedError where it may carry nothing.
    """
    if rated.load <= 0.0:
        raise RefusedError(_NOTHING.format(line.anchor))
    old = line.design
    new = replace(
        old, design_load=rated.load, lock_off_load=rated.lock_off,
        test_load=rated.load * old.test_load / old.design_load, project=_MARK,
    )  # fmt: skip
    if _alike(old, new):
        return None
    fact = DesignChanged(anchor=line.anchor, design=new, reason=reason)
    return records.add(fact, by=by, on=on).id


def _alike(old: DesignValues, new: DesignValues) -> bool:
    """Say whether two designs carry the same, but for rounding."""
    return old.project == new.project and all(
        abs(getattr(old, key) - getattr(new, key)) <= 1e-9 * getattr(new, key)
        for key in ("design_load", "lock_off_load", "test_load")
    )
