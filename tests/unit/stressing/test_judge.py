"""The judgement: each criterion from both sides of its limit."""

from __future__ import annotations

from dataclasses import replace
from math import log10
from typing import Any

import pytest

from backstay.checks import expand
from backstay.quantity import UnitSystem
from backstay.stressing.judge import judge
from backstay.stressing.procedure import Procedure
from backstay.stressing.schedules import procedure_of
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.judging import (
    EN_GIVEN,
    EXTENDED,
    FIRST,
    LONGER,
    PERFORMANCE,
    PROOF,
    SIDES,
    failed,
    us,
)
from tests.unit.stressing.synthetic import Model, record_of


@pytest.mark.parametrize(("times", "passes"), SIDES)
@pytest.mark.parametrize("procedure", [PERFORMANCE, PROOF], ids=["performance", "proof"])
def test_creep_from_1_to_10_minutes(procedure: Procedure, times: float, passes: bool) -> None:
    judged = us(record_of(Model(creep=times * FIRST), procedure))
    assert (judged.decision == "accepted") is passes
    if not passes:
        assert judged.decision == "cannot be judged", "the longer hold was not made"


@pytest.mark.parametrize(("times", "passes"), SIDES)
@pytest.mark.parametrize("procedure", [PERFORMANCE, PROOF], ids=["performance", "proof"])
def test_creep_from_6_to_60_minutes(procedure: Procedure, times: float, passes: bool) -> None:
    judged = us(record_of(Model(creep=times * LONGER), procedure, extended=True))
    assert judged.decision == ("accepted" if passes else "not accepted")
    assert failed(judged) == ([] if passes else ["test.creep-6-60"])


@pytest.mark.parametrize(("times", "passes"), SIDES)
def test_creep_of_a_regrouted_anchor_from_1_to_60_minutes(times: float, passes: bool) -> None:
    model = Model(creep=times * FIRST / log10(60.0), anchor=anchor(regrouted=1))
    judged = us(record_of(model, PROOF, extended=True))
    assert judged.decision == ("accepted" if passes else "not accepted")
    assert failed(judged) == ([] if passes else ["test.creep-1-60"])


def test_a_regrouted_anchor_is_not_accepted_after_ten_minutes() -> None:
    judged = us(record_of(Model(creep=0.0001, anchor=anchor(regrouted=1)), PROOF))
    assert judged.decision == "cannot be judged"


@pytest.mark.parametrize(("times", "passes"), SIDES)
def test_creep_in_the_last_log_cycle_of_an_extended_creep_test(times: float, passes: bool) -> None:
    judged = us(record_of(Model(creep=times * LONGER), EXTENDED))
    assert judged.decision == ("accepted" if passes else "not accepted")
    assert failed(judged) == ([] if passes else ["test.creep-rate"])


@pytest.mark.parametrize(("times", "passes"), SIDES)
@pytest.mark.parametrize("kind", ["investigation", "suitability", "acceptance"])
def test_creep_rate_of_european_tests(kind: Any, times: float, passes: bool) -> None:
    model = Model(creep=times * 0.001)
    procedure = procedure_of(kind, model.anchor, 1.33, EN_GIVEN)
    judged = judge(record_of(model, procedure, extended=True), EN_GIVEN)
    assert judged.decision == ("accepted" if passes else "not accepted")
    assert failed(judged) == ([] if passes else ["test.creep-rate"])


@pytest.mark.parametrize(("times", "passes"), [(1.001, True), (1.0, True), (0.999, False)])
def test_least_apparent_free_length(times: float, passes: bool) -> None:
    record = record_of(Model(), PERFORMANCE)
    length = next(c.demand for c in us(record).checks if c.id == "test.free-length-least")
    free = length / times / 0.8
    judged = us(replace(record, anchor=replace(record.anchor, free_length=free)))
    assert judged.decision == ("accepted" if passes else "not accepted")
    assert failed(judged) == ([] if passes else ["test.free-length-least"])


@pytest.mark.parametrize(("times", "passes"), SIDES)
def test_greatest_apparent_free_length(times: float, passes: bool) -> None:
    record = record_of(Model(), PERFORMANCE)
    length = next(c.demand for c in us(record).checks if c.id == "test.free-length-greatest")
    bond = 1.0
    free = length / times - 0.5 * bond
    one = replace(record.anchor, free_length=free, bond_length=bond)
    judged = us(replace(record, anchor=one))
    assert judged.decision == ("accepted" if passes else "not accepted")
    assert failed(judged) == ([] if passes else ["test.free-length-greatest"])


@pytest.mark.parametrize(("share", "passes"), [(0.9801, True), (0.98, True), (0.9799, False)])
def test_test_load_is_reached_within_the_tolerance(share: float, passes: bool) -> None:
    record = record_of(Model(), PROOF)
    pressure = record.jack.calibration.pressure(598.5 * share)
    low = replace(
        record,
        readings=tuple(
            replace(r, gauge=pressure) if r.target == 1.33 else r for r in record.readings
        ),
    )
    judged = us(low)
    assert judged.decision == ("accepted" if passes else "not accepted")
    assert failed(judged) == ([] if passes else ["test.load-reached"])


@pytest.mark.parametrize(("bend", "passes"), [(-0.0003, True), (0.0, True), (0.0003, False)])
def test_rate_that_grows_against_log_time(bend: float, passes: bool) -> None:
    judged = us(record_of(Model(creep=0.0008, bend=bend), PERFORMANCE, extended=True))
    assert judged.decision == ("accepted" if passes else "not accepted")
    assert failed(judged) == ([] if passes else ["test.creep-trend"])


def test_what_the_engineer_reads_of_a_test_that_passes() -> None:
    judged = us(record_of(Model(), PERFORMANCE))
    assert judged.decision == "accepted"
    assert [c.id for c in judged.checks] == [
        "test.load-reached", "test.creep-1-10", "test.creep-trend", "test.free-length-least",
        "test.free-length-greatest",
    ]  # fmt: skip
    for check in judged.checks:
        assert check.clause.document
        assert check.steps
        assert check.where == "A-1-001"
    assert judged.next[0].action == "lock off"
    assert judged.waiting == ()


@pytest.mark.parametrize("system", list(UnitSystem))
def test_all_words_can_be_written_in_both_systems(system: UnitSystem) -> None:
    for model in (Model(), Model(creep=0.003), Model(bend=0.001), Model(bond=70.0)):
        for closed in (True, False):
            judged = us(record_of(model, PERFORMANCE, extended=True, closed=closed))
            words = [
                judged.reason,
                *(f.text for f in judged.findings),
                *(n.words for n in judged.next),
            ]
            words += [c.note for c in judged.checks] + [o.words for o in judged.waiting]
            for text in words:
                assert "{" not in expand(text, system)
                assert "nan" not in expand(text, system)
