"""Load loss after lock-off: against the table of BS 8081 and a loss that is known."""

from __future__ import annotations

from dataclasses import replace
from math import log10

import pytest

from backstay.basis import Factor
from backstay.cite import Citation
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.load_loss import load_loss, load_loss_rate, loss_of
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_en import EN_RULES
from backstay.stressing.schedules import procedure_of
from backstay.stressing.stays import Point, Stay
from tests.unit.stressing.synthetic import Model, record_of

RULES = replace(EN_RULES, method="lock-off")
NATIONAL = Factor(0.01, Citation("invented annex", "", "given"))
TIMES = (5.0, 15.0, 50.0)


def locked(share: float, rules: TestRules = RULES, *, ends: float = 50.0) -> TestRecord:
    """Return a suitability test by method 2 whose load falls by a share each tenfold time."""
    model = Model()
    record = record_of(model, procedure_of("suitability", model.anchor, 1.33, rules))
    last = record.procedure.cycles
    calibration = model.jack.calibration

    def fallen(minute: float) -> float:
        return calibration.pressure(360.0 * (1.0 - share * log10(max(minute, 1.0))))

    return replace(
        record,
        readings=tuple(
            replace(r, gauge=fallen(r.minute)) if r.cycle == last else r
            for r in record.readings
            if r.cycle != last or r.minute <= ends
        ),
    )


def outcome(judged: Judgement, name: str) -> float:
    return next(c.demand for c in judged.checks if c.id == name)


def test_formulas_by_hand() -> None:
    assert load_loss(500.0, 485.0) == pytest.approx(0.03)
    assert load_loss_rate(500.0, 495.0, 490.0, 5.0, 50.0) == pytest.approx(0.01)


@pytest.mark.parametrize("share", [0.0, 0.005, 0.0139])
def test_a_known_loss_is_recovered(share: float) -> None:
    judged = judge(locked(share), RULES)
    loss = judged.evaluation.load_loss
    assert loss is not None
    assert loss.rate == pytest.approx(share, abs=1e-9)
    assert loss.initial == pytest.approx(360.0)
    assert [at.minute for at in loss.by_time] == list(TIMES)
    worst = max(
        share * log10(t) / limit for t, limit in zip(TIMES, (0.01, 0.02, 0.03), strict=True)
    )
    check = next(c for c in judged.checks if c.id == "test.load-loss")
    assert check.utilisation == pytest.approx(worst, abs=1e-9)
    assert judged.decision == "accepted"


def test_the_table_is_a_limit_from_both_sides() -> None:
    """1 % at 5 min, 2 % at 15, 3 % at 50: the least of limit over log time is 1 % at 5 min."""
    limit = min(x / log10(t) for t, x in zip(TIMES, (0.01, 0.02, 0.03), strict=True))
    assert judge(locked(0.999 * limit), RULES).decision == "accepted"
    assert judge(locked(limit), RULES).decision == "accepted"
    failed = judge(locked(1.001 * limit), RULES)
    assert failed.decision == "not accepted"
    assert [c.id for c in failed.checks if c.verdict == "fail"] == ["test.load-loss"]


def test_the_national_rate_is_a_limit_from_both_sides() -> None:
    rules = replace(RULES, load_loss=None, load_loss_rate=NATIONAL)
    assert judge(locked(0.00999, rules), rules).decision == "accepted"
    assert judge(locked(0.01, rules), rules).decision == "accepted"
    assert judge(locked(0.01001, rules), rules).decision == "not accepted"


def test_without_any_limit_there_is_no_acceptance() -> None:
    rules = replace(RULES, load_loss=None)
    judged = judge(locked(0.0, rules), rules)
    assert judged.decision == "cannot be judged"
    assert "no national limit" in [f.code for f in judged.findings]


def test_a_loss_read_too_short_is_not_accepted() -> None:
    judged = judge(locked(0.0, ends=15.0), RULES)
    assert judged.decision == "cannot be judged"
    assert "short hold" in [f.code for f in judged.findings]


def test_a_loss_still_being_read_is_held_on() -> None:
    judged = judge(replace(locked(0.0, ends=15.0), closed=False), RULES)
    assert judged.decision == "hold on"
    assert judged.next[0].minute == 50.0


def test_one_reading_is_no_loss() -> None:
    record = locked(0.0)
    step = record.procedure.steps[-1]
    one = Stay(
        step=step, index=0, points=(Point(number=1, cycle=1, minute=0.0, load=1.0, movement=0.0),)
    )
    assert loss_of(one, RULES.load_loss) is None


def test_the_time_at_which_most_of_the_limit_is_used_is_judged_and_not_the_greatest_loss() -> None:
    """0.9 % at 5 min of 1 % uses more than 1.6 % at 50 min of 3 %."""
    record = locked(0.0)
    calibration, last = record.jack.calibration, record.procedure.cycles
    lost = {5.0: 0.009, 15.0: 0.012, 50.0: 0.016}
    readings = tuple(
        replace(r, gauge=calibration.pressure(360.0 * (1.0 - lost.get(r.minute, 0.0))))
        if r.cycle == last and r.minute in lost
        else r
        for r in record.readings
    )
    judged = judge(replace(record, readings=readings), RULES)
    check = next(c for c in judged.checks if c.id == "test.load-loss")
    assert (check.demand, check.capacity) == (pytest.approx(0.009), 0.01)
    assert "at 5 minutes" in check.note
    assert "found between" not in check.note
