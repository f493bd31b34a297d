"""Loads brought up too slowly: by the clock of the readings, on both sides of what the rules give."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from math import log10

import pytest

from backstay.stressing.creep import creep_from_pumping
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import ClockStart
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules_us import performance_test, proof_test
from tests.unit.stressing.faulty import each, number
from tests.unit.stressing.synthetic import Model, record_of

FACTORS = {1.33: (1.20, 0.0, 1.0), 1.50: (1.25, 1.0, 2.0)}
"""Load before the test load, its hold at least and at most, by test-load factor."""


def delayed(record: TestRecord, start: int, seconds: float) -> TestRecord:
    """Return the record with the clock put on from a reading on, as if pumping had taken so long."""
    return each(
        record,
        lambda r: (
            replace(r, at=r.at + timedelta(seconds=seconds))
            if r.at is not None and r.number >= start
            else r
        ),
    )


def codes(judged: Judgement) -> list[str]:
    return [f.code for f in judged.findings]


def slow(record: TestRecord) -> list[int]:
    found = [f for f in judge(record, US_RULES).findings if f.code == "slow loading"]
    return [n for f in found for n in f.readings]


@pytest.mark.parametrize("factor", list(FACTORS))
@pytest.mark.parametrize("to_test_load", [True, False])
def test_an_increment_takes_sixty_seconds_after_the_stay_before(
    factor: float, to_test_load: bool
) -> None:
    """The crew of the model pumps 60 s. Clock times in seconds: one second is what they tell."""
    record = record_of(Model(), proof_test(450.0, factor, US_RULES))
    record = each(record, lambda r: replace(r, at=r.at + timedelta(seconds=7)) if r.at else r)
    before, least, most = FACTORS[factor]
    at = number(record, factor if to_test_load else before, 0.0)
    left = (most - least) * 60.0
    assert slow(record) == []
    assert slow(delayed(record, at, left + 1.0)) == []
    assert slow(delayed(record, at, left + 1.1)) == [at]


def test_whole_minutes_may_be_a_minute_off() -> None:
    record = record_of(Model(), proof_test(450.0, 1.33, US_RULES))
    at = number(record, 1.33, 0.0)
    assert slow(delayed(record, at, 120.0)) == []
    assert slow(delayed(record, at, 180.0)) == [at]


def test_nothing_is_told_without_clock_or_after_a_stay_without_end() -> None:
    record = record_of(Model(), performance_test(450.0, 1.33, US_RULES))
    at = number(record, 1.33, 0.0)
    late = delayed(record, at, 600.0)
    assert slow(late) == [at]
    assert slow(each(late, lambda r: replace(r, at=None))) == []
    first = number(record, 0.25, 0.0)
    assert slow(delayed(record, first, 600.0)) == [], (
        "the alignment load is kept until it is stable"
    )
    last = record.readings[-1].number
    assert slow(delayed(record, last, 600.0)) == [], "letting down is no increment"


def test_minutes_that_count_from_when_pumping_begins_show_it_themselves() -> None:
    record = record_of(Model(), proof_test(450.0, 1.33, US_RULES))
    at = number(record, 1.33, 0.0)
    late = delayed(record, at, 240.0)
    gone = replace(late, readings=tuple(r for r in late.readings if r.number != at))
    assert slow(gone) == []
    reached = replace(US_RULES, clock=ClockStart("load reached", US_RULES.clock.cite))
    told = [f.code for f in judge(gone, reached).findings]
    assert "slow loading" in told


@pytest.mark.parametrize(("share", "decision"), [(0.999, "accepted"), (1.001, "cannot be judged")])
def test_creep_that_passed_on_the_way_withholds_acceptance_where_it_could_turn_the_verdict(
    share: float, decision: str
) -> None:
    """Six minutes to the test load: 1 to 10 minutes of the hold are 7 to 16 from pumping, 2.79 less."""
    factor = log10(10.0) / log10(16.0 / 7.0)
    assert factor == pytest.approx(2.785, abs=0.001)
    creep = share * 0.040 * 0.0254 / factor
    record = record_of(Model(creep=creep), proof_test(450.0, 1.33, US_RULES))
    at = number(record, 1.33, 0.0)
    judged = judge(delayed(record, at, 300.0), US_RULES)
    assert judged.decision == decision
    assert "slow loading" in codes(judged)
    assert ("hidden creep" in codes(judged)) == (share > 1.0)
    assert judge(record, US_RULES).decision == "accepted"
    if share > 1.0:
        assert "pump back" in [n.action for n in judged.next]


def test_creep_straight_in_log_time_is_recovered() -> None:
    """Creep k log10(t) from when pumping began, read from a hold that began t_p later."""
    k, t_p = 0.0007, 3.0
    read = k * log10((10.0 + t_p) / (1.0 + t_p))
    assert creep_from_pumping(read, 1.0, 10.0, t_p) == pytest.approx(k)
    assert creep_from_pumping(k, 1.0, 10.0, 0.0) == pytest.approx(k)


def test_a_hold_begun_anew_is_not_late() -> None:
    record = record_of(Model(creep=0.0005), proof_test(450.0, 1.33, US_RULES))
    at, end = number(record, 1.33, 0.0), number(record, 1.33, 10.0)
    late = delayed(record, at, 300.0)
    hold = late.readings[at - 1 : end]
    shift = hold[-1].dials[0] - hold[0].dials[0]
    anew = tuple(
        replace(r, number=end + 1 + k, at=None, dials=tuple(d + shift for d in r.dials))
        for k, r in enumerate(hold)
    )
    rest = tuple(
        replace(r, number=r.number + len(anew), at=None, dials=tuple(d + shift for d in r.dials))
        for r in late.readings[end:]
    )
    judged = judge(replace(late, readings=(*late.readings[:end], *anew, *rest)), US_RULES)
    assert judged.decision == "accepted"
    assert {"slow loading", "held anew"} <= set(codes(judged))
    assert "hidden creep" not in codes(judged)
