"""The register, and load tests as judged, as JSON under a published schema."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Literal

from backstay import __version__
from backstay.checks import expand
from backstay.fieldbook.after_lock_off import AfterLockOff
from backstay.fieldbook.judged import JudgedTest
from backstay.quantity import UnitSystem
from backstay.records.entries import RegisterLine
from backstay.results.check_shape import Source
from backstay.results.checks import check_result
from backstay.results.field_shape import (
    JUDGEMENTS_ID,
    REGISTER_ID,
    AfterLockOffResult,
    AnchorLine,
    FindingResult,
    JudgementResult,
    JudgementsResult,
    LiftOffResult,
    LoadPointResult,
    NextResult,
    PointResult,
    RegisterResult,
    WaitingResult,
)
from backstay.results.value import Value, valued
from backstay.stressing.findings import Finding
from backstay.stressing.next_step import NextStep
from backstay.stressing.rules import TestRules

What = Literal["register", "judgements"]


def field_schema(what: What) -> dict[str, Any]:
    """Return the JSON schema of `register_json` or of `judgements_json`."""
    model = RegisterResult if what == "register" else JudgementsResult
    return model.model_json_schema(by_alias=True)


def register_json(lines: Iterable[RegisterLine], project: str, units: UnitSystem) -> str:
    """Return the register as JSON text."""
    result = RegisterResult(
        schema=REGISTER_ID, program=f"backstay {__version__}", project=project, units=units.value,
        anchors=[_line(line, units) for line in lines],
    )  # fmt: skip
    return result.model_dump_json(by_alias=True, indent=2)


def judgements_json(
    found: Iterable[JudgedTest], project: str, rules: TestRules, units: UnitSystem
) -> str:
    """Return load tests as judged as JSON text."""
    result = JudgementsResult(
        schema=JUDGEMENTS_ID, program=f"backstay {__version__}", project=project, units=units.value,
        rules=rules.id, tests=[_judgement(one, units) for one in found],
        caution="The tool advises; the engineer of record decides.",
    )  # fmt: skip
    return result.model_dump_json(by_alias=True, indent=2)


def _force(load: float | None, units: UnitSystem) -> Value | None:
    return None if load is None else valued(load, "force", units)


def _line(a: RegisterLine, units: UnitSystem) -> AnchorLine:
    return AnchorLine(
        anchor=a.anchor, part=a.part, row=a.row, number=a.number, pile=a.pile, trial=a.trial,
        state=a.state, since=a.since.isoformat(),
        design_load=valued(a.design.design_load, "force", units),
        test_load=valued(a.design.test_load, "force", units),
        lock_off_load=valued(a.design.lock_off_load, "force", units),
        tests_planned=list(a.design.tests), tests=a.tests, last_test=a.test, last_kind=a.test_kind,
        test_goes_on=a.test_open, verdict=a.verdict, verdict_stale=a.verdict_stale,
        readings=a.readings, greatest_load=_force(a.greatest_load, units),
        locked_off_at=_force(a.lock_off_load, units), lifted_off_at=_force(a.lift_off_load, units),
        exceptions=a.exceptions, replaced_by=a.replaced_by, replaces=a.replaces,
    )  # fmt: skip


def _judgement(one: JudgedTest, units: UnitSystem) -> JudgementResult:
    judgement, procedure = one.judgement, one.record.procedure
    lift_off = one.lift_off
    return JudgementResult(
        anchor=one.line.anchor, test=one.number, last=one.last, kind=procedure.kind,
        method=procedure.method, design_load=valued(procedure.design_load, "force", units),
        test_load=valued(procedure.test_load, "force", units), decision=judgement.decision,
        reason=expand(judgement.reason, units),
        held_load=_force(judgement.evaluation.held_load, units),
        checks=[check_result(check, units) for check in judgement.checks],
        waiting=[WaitingResult(id=o.id, words=expand(o.words, units)) for o in judgement.waiting],
        findings=[_finding(f, units) for f in judgement.findings],
        next=[_next(n, units) for n in judgement.next],
        points=[
            PointResult(
                number=p.number, cycle=p.cycle, minute=p.minute, load=valued(p.load, "force", units),
                movement=valued(p.movement, "small length", units),
            )
            for p in judgement.evaluation.points
        ],
        lift_off=None if lift_off is None else LiftOffResult(
            standing=lift_off.standing, reason=expand(lift_off.reason, units),
            next=[_next(n, units) for n in lift_off.next],
        ),
        after_lock_off=None if one.after is None else _after(one.after, units), stands=one.standing,
    )  # fmt: skip


def _after(after: AfterLockOff, units: UnitSystem) -> AfterLockOffResult:
    seated, loads = after.seated, after.loads
    return AfterLockOffResult(
        sound=after.sound, wanted=valued(after.wanted, "force", units),
        seated=_force(seated.load if seated else None, units),
        seating_loss=_force(seated.lost if seated else None, units),
        seating_loss_predicted=_force(seated.predicted if seated else None, units),
        draw_in=valued(seated.draw_in, "small length", units) if seated else None,
        not_known=after.unseated, lifted_off=after.lifted,
        loads=[
            LoadPointResult(minute=p.minute, load=valued(p.load, "force", units), by=p.by)
            for p in (loads.points if loads else ())
        ],
        loss_per_tenfold_time=None if loads is None or loads.rate is None
        else valued(loads.rate, "percent", units),
        loss_expected=valued(loads.expected, "percent", units) if loads else None,
        checks=[check_result(check, units) for check in after.checks],
        next=[_next(n, units) for n in after.next],
    )  # fmt: skip


def _finding(finding: Finding, units: UnitSystem) -> FindingResult:
    return FindingResult(
        code=finding.code, words=expand(finding.words, units), effect=expand(finding.effect, units),
        consequence=finding.consequence, readings=list(finding.readings),
        withholds_acceptance=finding.withholds, stop=finding.stop,
    )  # fmt: skip


def _next(step: NextStep, units: UnitSystem) -> NextResult:
    cite = step.cite
    return NextResult(
        action=step.action, words=expand(step.words, units), minute=step.minute,
        load=_force(step.load, units),
        clause=Source(document=cite.document, clause=cite.clause, provenance=cite.provenance),
    )  # fmt: skip
