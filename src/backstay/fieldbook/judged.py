"""Tests out of the records with their judgements, and lift-offs with theirs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from backstay.anchors.tendon import strands_of
from backstay.records.anchor_file import AnchorFile
from backstay.records.entries import RegisterLine
from backstay.records.facts import LiftedOff, LockedOff, TestBegun
from backstay.records.store import Records
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.lift_off import LiftOffJudgement, judge_lift_off
from backstay.stressing.lock_off import LiftOff
from backstay.stressing.next_step import NextStep, after_lock_off
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules


@dataclass(frozen=True, slots=True)
class JudgedTest:
    """One test with its judgement. last: whether it is the last of its anchor.

    lift_off: of the anchor, judged, where it was lifted off after this test.
    """

    line: RegisterLine
    file: AnchorFile
    number: int
    last: bool
    record: TestRecord
    judgement: Judgement
    lift_off: LiftOffJudgement | None = None

    @property
    def accepted(self) -> bool:
        """Say whether the anchor is accepted by this test, and its lift-off is in tolerance."""
        good = self.lift_off is None or self.lift_off.standing == "in tolerance"
        return self.judgement.decision == "accepted" and good


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
            )  # fmt: skip


def _still_to_do(
    file: AnchorFile, record: TestRecord, rules: TestRules, judgement: Judgement
) -> tuple[NextStep, ...]:
    """Return what comes after an acceptance, less what was done since: lock-off, and lift-off."""
    locked = [
        e for e in file.of(LockedOff)
        if e.fact is not None and (record.on is None or e.happened is None or e.happened >= record.on)
    ]  # fmt: skip
    if not locked:
        return judgement.next
    when = locked[-1].happened
    lifted = [
        e for e in file.of(LiftedOff)
        if e.fact is not None and (when is None or e.happened is None or e.happened >= when)
    ]  # fmt: skip
    return () if lifted else after_lock_off(rules)


def _lift_off(
    file: AnchorFile, record: TestRecord, rules: TestRules, strands: int | None
) -> LiftOffJudgement | None:
    """Return the last lift-off judged, None where there is none since the last lock-off.

    strands: of the tendon by its design, None where it tells none.
    """
    lifted, locked = file.of(LiftedOff), file.of(LockedOff)
    if not lifted or not locked or lifted[-1].fact is None or locked[-1].fact is None:
        return None
    last, head = lifted[-1], locked[-1].fact
    if last.happened and locked[-1].happened and last.happened < locked[-1].happened:
        return None
    return judge_lift_off(
        LiftOff(
            anchor=record.anchor.name, load=lifted[-1].fact.load, on=last.happened, by=last.author,
            strands=lifted[-1].fact.strands,
        ),
        record.anchor, rules, head=head.head, draw_in=head.seating,
        restressed=max(0, len(locked) - 1), strands=strands,
    )  # fmt: skip
