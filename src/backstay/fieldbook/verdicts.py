"""A verdict as a fact: what the judgement of a closed test says, signed by the engineer."""

from __future__ import annotations

from datetime import datetime

from backstay.checks import expand
from backstay.fieldbook.judged import JudgedTest, judged_tests
from backstay.fieldbook.not_told import TestGoesOnError
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine
from backstay.records.facts import VerdictIssued
from backstay.records.refusal import RefusedError
from backstay.records.store import Records
from backstay.stressing.rules import TestRules


def verdict_of(
    one: JudgedTest, units: UnitSystem, *, signed_by: str, licence: str = "", against: str = ""
) -> VerdictIssued:
    """Return the verdict of a test to sign.

    against: why the engineer does not accept it although its criteria are met. Nothing makes
    accepted what the criteria do not: Raises RefusedError where there is no decision yet.
    """
    judgement = one.judgement
    decision = judgement.decision
    reasons: tuple[str, ...] = (expand(judgement.reason, units),)
    where = f"{one.line.anchor}: test {one.number}"
    if not one.record.closed:
        raise TestGoesOnError(f"{where} is not over: close it first")
    if against:
        decision, reasons = "not accepted", (against, *reasons)
    if decision not in ("accepted", "not accepted"):
        raise RefusedError(f"{where} has no decision to sign: {expand(judgement.reason, units)}")
    return VerdictIssued(
        anchor=one.line.anchor, test=one.number, decision=decision,
        design_load=one.record.procedure.design_load if decision == "accepted" else 0.0,
        rules=one.record.procedure.rules, reasons=reasons, signed_by=signed_by, licence=licence,
        criteria=tuple(
            (c.name, c.quantity.text(c.demand, units), f"{c.sense.value} {c.quantity.text(c.capacity, units)}")
            for c in judgement.checks
        ),
    )  # fmt: skip


def sign_verdict(
    records: Records, line: RegisterLine, rules: TestRules, units: UnitSystem, *, by: str,
    licence: str = "", test: int | None = None, against: str = "", on: datetime | None = None,
    exception: str = "",
) -> VerdictIssued:  # fmt: skip
    """Record the verdict on a test, the last where no number is given, as of `verdict_of`.

    Raises RefusedError where no test has begun, or none has a decision to sign.
    """
    if not line.tests:
        raise RefusedError(f"{line.anchor}: no test has begun.")
    one = next(judged_tests(records, rules, [line], number=test))
    fact = verdict_of(one, units, signed_by=by, licence=licence, against=against)
    records.add(fact, by=by, on=on, exception=exception)
    return fact
