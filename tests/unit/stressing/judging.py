"""Tests and rules that the tests of the judgement share."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from backstay.basis import Factor
from backstay.checks import Verdict
from backstay.cite import Citation
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.record import TestRecord
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules_us import extended_creep_test, performance_test, proof_test

ANNEX = Citation("invented annex", "", "given")
EN_GIVEN = replace(
    EN_RULES, creep_rate=Factor(0.001, ANNEX), stepped_creep=Factor(0.001, ANNEX),
    load_loss_rate=Factor(0.01, ANNEX),
)  # fmt: skip
PERFORMANCE = performance_test(450.0, 1.33, US_RULES)
PROOF = proof_test(450.0, 1.33, US_RULES)
EXTENDED = extended_creep_test(450.0, 1.33, US_RULES)
FIRST, LONGER = 0.040 * 0.0254, 0.080 * 0.0254
SIDES = [(0.999, True), (1.0, True), (1.001, False)]
"""Just below a greatest limit, at it, just above: equality passes."""


def us(record: TestRecord, **more: Any) -> Judgement:
    return judge(record, US_RULES, **more)


def checked(judged: Judgement, name: str) -> Verdict:
    return next(c.verdict for c in judged.checks if c.id == name)


def failed(judged: Judgement) -> list[str]:
    return [c.id for c in judged.checks if c.verdict is Verdict.FAIL]
