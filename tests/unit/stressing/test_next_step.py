"""What the rules allow next: every branch of the decision tree, with its clause."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from backstay.basis import Factor
from backstay.cite import Citation
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.next_step import NextStep, after_refusal, lower_lock_off
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.schedules_us import performance_test, proof_test
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.synthetic import Model, record_of, without

PERFORMANCE = performance_test(450.0, 1.33, US_RULES)
PROOF = proof_test(450.0, 1.33, US_RULES)
CREEPING = 0.0025


def us(model: Model, *, extended: bool = True) -> Judgement:
    return judge(record_of(model, PERFORMANCE, extended=extended), US_RULES)


def actions(judged: Judgement) -> list[str]:
    return [step.action for step in judged.next]


def step(judged: Judgement, action: str) -> NextStep:
    return next(n for n in judged.next if n.action == action)


def test_an_anchor_that_can_be_regrouted_is_regrouted_once_and_tested_again() -> None:
    judged = us(Model(creep=CREEPING, anchor=anchor(regroutable=True)))
    assert actions(judged) == ["re-grout and test again", "lower load", "replace"]
    again = step(judged, "re-grout and test again")
    assert "from 1 to 60 minutes" in again.words
    assert "decision tree" in again.cite.clause
    assert again.cite.provenance == "memory"
    after = us(Model(creep=CREEPING, anchor=anchor(regroutable=True, regrouted=1)))
    assert actions(after) == ["lower load", "replace"]


def test_an_anchor_that_cannot_be_regrouted_is_lowered_to_half_of_what_it_held_or_replaced() -> (
    None
):
    judged = us(Model(creep=CREEPING))
    assert actions(judged) == ["lower load", "replace"]
    lower = step(judged, "lower load")
    assert judged.evaluation.held_load == pytest.approx(540.0)
    assert lower.load == pytest.approx(270.0)
    assert lower.load == lower_lock_off(0.5, 540.0)


def test_how_often_to_regroute_and_how_far_to_lower_are_of_the_rules() -> None:
    given = Citation("invented contract", "", "given")
    rules = replace(US_RULES, regroutings=Factor(2, given), failed_lock_off=Factor(0.4, given))
    record = record_of(
        Model(creep=CREEPING, anchor=anchor(regroutable=True, regrouted=1)),
        PERFORMANCE,
        extended=True,
    )
    judged = judge(record, rules)
    assert actions(judged) == ["re-grout and test again", "lower load", "replace"]
    assert step(judged, "lower load").load == pytest.approx(0.4 * 540.0)
    assert step(judged, "lower load").cite == given


def test_an_anchor_short_of_free_length_is_first_run_through_its_cycle_again() -> None:
    judged = us(Model(friction=160.0, bond=1e6, anchor=anchor(regroutable=True)))
    assert actions(judged)[0] == "run the cycle again"
    assert "2 times at most" in judged.next[0].words


def test_an_anchor_that_creeps_is_not_run_through_its_cycle_again() -> None:
    assert "run the cycle again" not in actions(us(Model(creep=CREEPING, friction=160.0, bond=1e6)))


def test_an_anchor_that_passes_is_locked_off() -> None:
    judged = us(Model(), extended=False)
    assert actions(judged) == ["lock off"]
    assert judged.next[0].load == 360.0
    assert "lift-off" in judged.next[0].words


def test_an_anchor_of_european_practice_is_lowered_to_where_the_limit_is_met() -> None:
    given = Citation("invented annex", "", "given")
    rules = replace(EN_RULES, creep_rate=Factor(0.0008, given))
    model = Model(creep=0.0004, critical=450.0, steep=8e-6)
    procedure = procedure_of("investigation", model.anchor, 1.33, rules)
    judged = judge(record_of(model, procedure, extended=True), rules)
    assert judged.decision == "not accepted"
    assert judged.evaluation.held_load == pytest.approx(0.70 * 598.5)
    assert "9.8" in step(judged, "lower load").words


def test_a_record_that_is_wrong_is_to_be_corrected() -> None:
    record = record_of(Model(), PROOF)
    judged = judge(without(record, 1), US_RULES)
    assert judged.decision == "cannot be judged"
    assert actions(judged)[0] == "correct the record"


def test_what_several_findings_ask_for_is_said_once() -> None:
    record = record_of(Model(), PROOF)
    doubled = replace(record.readings[8], dials=tuple(d + 0.0004 for d in record.readings[8].dials))
    wrong = replace(record, readings=(*record.readings[:4], *record.readings[9:4:-1], doubled))
    judged = judge(wrong, US_RULES)
    said = [(n.action, n.words) for n in judged.next]
    assert len(said) == len(set(said))
    same = replace(judged.findings[0], readings=(99,))
    again = after_refusal([judged.findings[0], same, *judged.findings])
    assert [(n.action, n.words) for n in again] == said


def test_a_test_that_is_incomplete_is_made_again() -> None:
    record = record_of(Model(), PROOF)
    judged = judge(replace(record, readings=record.readings[:-1]), US_RULES)
    assert judged.decision == "cannot be judged"
    assert "test again" in actions(judged)


def test_a_missing_limit_is_to_be_given() -> None:
    procedure = procedure_of("acceptance", anchor(), 1.33, EN_RULES)
    judged = judge(record_of(Model(), procedure), EN_RULES)
    assert actions(judged) == ["give the limit"]


def test_every_step_has_its_clause() -> None:
    for model in (Model(), Model(creep=CREEPING), Model(friction=160.0, bond=1e6)):
        for extended in (True, False):
            for ahead in us(model, extended=extended).next:
                assert ahead.cite.document
                assert ahead.words


def test_a_load_that_fell_in_the_judged_hold_is_pumped_back_to() -> None:
    """Over, with a load that fell: the crew brings it back and reads anew, no clerk can mend it."""
    dropped = replace(
        record_of(Model(), PROOF),
        readings=tuple(
            replace(r, gauge=(r.gauge or 0.0) * 0.96) if r.phase == "hold" and r.minute > 5.0 else r
            for r in record_of(Model(), PROOF).readings
        ),
    )
    judged = judge(dropped, US_RULES)
    assert judged.decision == "cannot be judged"
    assert "load drop" in {f.code for f in judged.findings if f.withholds}
    assert "pump back" in actions(judged)
    assert "correct the record" not in actions(judged)


def test_a_certificate_that_withholds_acceptance_is_corrected_and_not_pumped() -> None:
    dated = replace(Model().jack.calibration, expires=date(2026, 3, 1))
    judged = judge(record_of(Model(jack=replace(Model().jack, calibration=dated)), PROOF), US_RULES)
    assert judged.decision == "cannot be judged"
    asked = [n for n in judged.next if n.action == "correct the record"]
    assert [n.words for n in asked] == [
        f.effect for f in judged.findings if f.code == "certificate expired"
    ]
    assert asked[0].cite == US_RULES.calibration_life.cite
    assert "pump back" not in actions(judged)
