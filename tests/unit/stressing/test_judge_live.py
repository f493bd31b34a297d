"""The judgement at any moment of a test: what it asks for leads to the verdict."""

from __future__ import annotations

from dataclasses import replace

import pytest

from backstay.stressing.judge import Judgement, judge
from backstay.stressing.procedure import Procedure
from backstay.stressing.record import TestRecord
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules import procedure_of
from tests.unit.stressing.invented import anchor
from tests.unit.stressing.judging import (
    EN_GIVEN,
    EXTENDED,
    PERFORMANCE,
    PROOF,
    us,
)
from tests.unit.stressing.synthetic import Crew, Model


def live(
    model: Model, procedure: Procedure, rules: TestRules
) -> tuple[list[Judgement], TestRecord]:
    """Do what the judgement asks for, one reading after the other, until it has its verdict."""
    crew = Crew(model, procedure)
    said: list[Judgement] = []
    for _ in range(400):
        said.append(judge(crew.record(), rules))
        if said[-1].decision not in ("go on", "hold on"):
            return said, crew.record()
        ask = said[-1].next[0]
        assert ask.step is not None
        step = procedure.steps[ask.step]
        if ask.action == "go on":
            crew.leave()
            crew.arrive(step)
        else:
            assert ask.action == "hold"
            held = crew.readings[-1].minute
            crew.wait(step, min(m for m in (*step.readings, *step.extended) if m > held + 0.01))
    raise AssertionError("the test never ends")


LIVE_US = [(PERFORMANCE, US_RULES), (PROOF, US_RULES), (EXTENDED, US_RULES)]


def european() -> list[tuple[Procedure, TestRules]]:
    found = []
    for method in ("held load", "lock-off", "stepped load"):
        rules = replace(EN_GIVEN, method=method)  # type: ignore[arg-type]
        for kind in ("investigation", "suitability", "acceptance"):
            found.append((procedure_of(kind, anchor(), 1.33, rules), rules))  # type: ignore[arg-type]
    return found


@pytest.mark.parametrize(
    ("procedure", "rules"), [*LIVE_US, *european()],
    ids=lambda x: f"{x.kind}-{x.method}" if isinstance(x, Procedure) else "",
)  # fmt: skip
def test_following_what_is_asked_leads_through_every_test_to_acceptance(
    procedure: Procedure, rules: TestRules
) -> None:
    said, record = live(Model(creep=0.0004), procedure, rules)
    assert said[-1].decision == "accepted"
    steps = {stay.index for stay in said[-1].evaluation.visited}
    assert steps == set(range(len(procedure.steps)))
    assert judge(replace(record, closed=True), rules).decision == "accepted"


@pytest.mark.parametrize(
    ("procedure", "rules"), [*LIVE_US, *(p for p in european() if p[0].method != "lock-off")],
    ids=lambda x: f"{x.kind}-{x.method}" if isinstance(x, Procedure) else "",
)  # fmt: skip
def test_an_anchor_that_creeps_fails_before_it_is_unloaded(
    procedure: Procedure, rules: TestRules
) -> None:
    said, record = live(Model(creep=0.0025), procedure, rules)
    assert said[-1].decision == "not accepted"
    assert record.readings[-1].target == pytest.approx(1.33)
    assert {n.action for n in said[-1].next} >= {"lower load", "replace"}


def test_the_hold_goes_on_to_sixty_minutes_where_ten_are_not_enough() -> None:
    said, record = live(Model(creep=0.0012), PERFORMANCE, US_RULES)
    assert [r.minute for r in record.readings if r.target == 1.33][-1] == 60.0
    asked = [j.next[0].minute for j in said if j.decision == "hold on"]
    assert asked == [10.0] * 7 + [60.0] * 6
    first = next(j for j in said if j.next and j.next[0].minute == 60.0)
    assert "1 to 10 minutes" in first.reason
    assert said[-1].decision == "accepted"


def test_the_hold_goes_on_where_the_rate_grows() -> None:
    said, record = live(Model(creep=0.0002, bend=0.0002), PERFORMANCE, US_RULES)
    assert [r.minute for r in record.readings if r.target == 1.33][-1] == 60.0
    assert any("the creep rate grows" in j.reason for j in said)
    assert said[-1].decision == "not accepted"


def test_before_the_first_reading_the_test_asks_for_the_alignment_load() -> None:
    judged = us(Crew(Model(), PERFORMANCE).record())
    assert judged.decision == "go on"
    assert judged.next[0].load == pytest.approx(45.0)
    empty = us(Crew(Model(), PERFORMANCE).record(closed=True))
    assert empty.decision == "cannot be judged"


def test_a_load_that_is_still_coming_up_is_asked_for() -> None:
    crew = Crew(Model(), PROOF)
    for step in PROOF.steps[:-1]:
        crew.arrive(step)
    low = crew.record()
    pressure = low.jack.calibration.pressure(560.0)
    low = replace(low, readings=(*low.readings[:-1], replace(low.readings[-1], gauge=pressure)))
    judged = us(low)
    assert judged.decision == "hold on"
    assert judged.next[0].action == "pump back"
    assert judged.next[0].load == 598.5


def test_a_load_that_falls_in_the_hold_is_to_be_brought_up_and_held_anew() -> None:
    crew = Crew(Model(), PROOF)
    for step in PROOF.steps[:-1]:
        crew.arrive(step)
    for minute in (1.0, 2.0, 3.0):
        crew.wait(PROOF.steps[-2], minute)
    record = crew.record()
    pressure = record.jack.calibration.pressure(570.0)
    fallen = replace(
        record, readings=(*record.readings[:-1], replace(record.readings[-1], gauge=pressure))
    )
    judged = us(fallen)
    assert judged.decision == "hold on"
    assert judged.next[0].action == "pump back"
    assert "from the start" in judged.next[0].words


@pytest.mark.parametrize(("creep", "asked"), [(0.0009, "accepted"), (0.0012, "not accepted")])
def test_a_european_hold_goes_on_where_the_rate_is_beyond_its_limit(
    creep: float, asked: str
) -> None:
    """1 mm per tenfold time: beyond it the hold is drawn out, and only then the anchor fails; a crew
    that leaves at the end of the short hold has no anchor accepted."""
    model = Model(creep=creep)
    procedure = procedure_of("acceptance", model.anchor, 1.33, EN_GIVEN)
    said, record = live(model, procedure, EN_GIVEN)
    assert said[-1].decision == asked
    step = max(procedure.steps, key=lambda s: s.hold)
    top = [r for r in record.readings if r.target == step.share]
    longest = max((step.hold, *step.extended))
    assert max(r.minute for r in top) == (longest if asked == "not accepted" else step.hold)
    if asked == "not accepted":
        at = next(r.number for r in top if r.minute == step.hold)
        part = replace(record, readings=record.readings[:at], closed=False)
        assert judge(part, EN_GIVEN).decision == "hold on"
        left = judge(replace(part, closed=True), EN_GIVEN)
        assert left.decision == "not accepted"
        assert [c.id for c in left.checks if c.verdict == "fail"] == ["test.creep-rate"]


def test_the_next_minute_to_read_is_the_one_that_comes_next() -> None:
    said, record = live(Model(), PROOF, US_RULES)
    asked = [j.next[0].words for j in said if j.decision == "hold on"]
    minutes = [r.minute for r in record.readings if r.phase == "hold"]
    assert len(asked) == len(minutes) > 5
    for words, minute in zip(asked, minutes, strict=True):
        assert f"read next at minute {minute:g}" in words
        assert "to 10 minutes" in words
