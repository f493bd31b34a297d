"""Tests out of the records with their judgements, and lift-offs with theirs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from backstay.anchors.tendon import strands_of
from backstay.fieldbook.after_lock_off import AfterLockOff, after_lock_off, in_force, locked_since
from backstay.fieldbook.lift_offs import judged_lift_off
from backstay.records.anchor_file import AnchorFile
from backstay.records.entries import RegisterLine
from backstay.records.facts import LiftedOff, TestBegun
from backstay.records.store import Records
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.lift_off import LiftOffJudgement
from backstay.stressing.lock_off import LiftOff
from backstay.stressing.next_step import NextStep
from backstay.stressing.next_step import after_lock_off as asked_after_lock_off
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules


@dataclass(frozen=True, slots=True)
class JudgedTest:
    """One test with its judgement. last: whether it is the last of its anchor.

    lift_off: of the anchor, judged, where it was lifted off after this test; after: what is known
    since the lock-off that followed it.
    """

    line: RegisterLine
    file: AnchorFile
    number: int
    last: bool
    record: TestRecord
    judgement: Judgement
    lift_off: LiftOffJudgement | None = None
    after: AfterLockOff | None = None

    @property
    def accepted(self) -> bool:
        """Say whether the anchor is accepted by this test, and carries the load that it should."""
        good = self.lift_off is None or self.lift_off.standing == "in tolerance"
        sound = self.after is None or self.after.sound
        return self.judgement.decision == "accepted" and good and sound

    @property
    def standing(self) -> str:
        """Return how the load of the anchor stands, empty before its lock-off was measured."""
        return load_standing(self.lift_off, self.after)


def load_standing(lift_off: LiftOffJudgement | None, after: AfterLockOff | None) -> str:
    """Return how the load of an anchor stands in a word or two: what was found last counts."""
    if after is not None and not after.kept:
        return "load not kept"
    if lift_off is not None:
        return lift_off.standing
    return "" if after is None or after.sound else "lock-off not in tolerance"


def judged_tests(
    records: Records, rules: TestRules, lines: Iterable[RegisterLine], *, number: int | None = None,
    every: bool = False,
) -> Iterator[JudgedTest]:  # fmt: skip
    """Yield the last test of each anchor judged, or the one of a number, or every test.

    Anchors without a test have none.
    """
    for line in lines:
        if not line.tests:
            continue
        file = records.anchor(line.anchor)
        numbers = [e.test for e in file.of(TestBegun) if e.test is not None]
        wanted = numbers if every else [line.test if number is None else number]
        for one in wanted:
            record = records.test_record(line.anchor, one)
            last = one == line.test
            judgement = judge(record, rules)
            if last and judgement.decision == "accepted":
                judgement = replace(judgement, next=_still_to_do(file, record, rules, judgement))
            yield JudgedTest(
                line, file, one or 0, last, record, judgement,
                _lift_off(file, record, rules, strands_of(line.design.tendon)) if last else None,
                after_lock_off(file, record, judgement, rules) if last else None,
            )  # fmt: skip


def _still_to_do(
    file: AnchorFile, record: TestRecord, rules: TestRules, judgement: Judgement
) -> tuple[NextStep, ...]:
    """Return what comes after an acceptance, less what was done since: lock-off, and lift-off."""
    locked = locked_since(file, record)
    if not locked:
        return judgement.next
    when = locked[-1].happened
    lifted = [
        e for e in file.lift_offs()
        if e.fact is not None and (when is None or e.happened is None or e.happened >= when)
    ]  # fmt: skip
    return () if lifted else asked_after_lock_off(rules)


def _lift_off(
    file: AnchorFile, record: TestRecord, rules: TestRules, strands: int | None
) -> LiftOffJudgement | None:
    """Return the last lift-off judged, None where there is none since the last lock-off.

    It is held against the lock-off load of the design in force, which may be less than at the test.
    strands: of the tendon by its design, None where it tells none.
    """
    lifted, locked = file.lift_offs(), locked_since(file, record)
    if not lifted or not locked or lifted[-1].fact is None or locked[-1].fact is None:
        return None
    last, head = lifted[-1], locked[-1].fact
    read = next(e.fact for e in file.of(LiftedOff) if e.id == last.id)
    named = (read.jack, read.certificate) if read is not None and read.by_gauge else None
    if last.happened and locked[-1].happened and last.happened < locked[-1].happened:
        return None
    return judged_lift_off(
        LiftOff(
            anchor=record.anchor.name, load=lifted[-1].fact.load, on=last.happened, by=last.author,
            strands=lifted[-1].fact.strands,
        ),
        lifted[-1].fact, in_force(file, record), rules, head=head.head, draw_in=head.seating,
        restressed=max(0, len(locked) - 1), strands=strands,
        jack=file.jacks.get(named) if named else None,
    )  # fmt: skip
