"""Records that the tests of faults spoil, and what is found in them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from backstay.stressing.findings import Finding
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.record import Reading, TestRecord
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules_us import performance_test, proof_test
from tests.unit.stressing.synthetic import Model, record_of

PROOF = proof_test(450.0, 1.33, US_RULES)
PERFORMANCE = performance_test(450.0, 1.33, US_RULES)


def whole() -> TestRecord:
    return record_of(Model(), PROOF)


def judged(record: TestRecord) -> Judgement:
    return judge(record, US_RULES)


def finding(record: TestRecord, code: str) -> Finding:
    found = [f for f in judged(record).findings if f.code == code]
    assert found, [f.text for f in judged(record).findings]
    return found[0]


def each(record: TestRecord, change: Callable[[Reading], Reading]) -> TestRecord:
    return replace(record, readings=tuple(change(r) for r in record.readings))


def number(record: TestRecord, share: float, minute: float) -> int:
    return next(
        r.number for r in record.readings
        if (r.target, r.minute) == (share, minute) and r.phase != "unloading"
    )  # fmt: skip
