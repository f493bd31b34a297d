"""How far an anchor is, and which fact may follow which (common practice, no source)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from backstay.records import (
    DesignChanged,
    Fact,
    JackCertified,
    LiftedOff,
    LoadRead,
    LockedOff,
    Records,
    RefusedError,
    Remark,
    Repaired,
    Replaced,
    TestClosed,
)  # fmt: skip
from backstay.records.life import FITS, Event, life
from tests.unit.records.wall import (
    BY,
    DESIGN,
    JACK,
    START,
    begun,
    drilled,
    grouted,
    planned,
    readings,
    strength,
    submittal,
    tendon,
    verdict,
)  # fmt: skip

A = "A-1-001"
NEVER_DOWN = ("planned", "submittal", "drilled", "grouted", "stressed", "accepted", "locked off",
              "lifted off")  # fmt: skip


def state(records: Records) -> str:
    return records.anchor(A).line.state


def to(records: Records, goal: str, decision: str = "accepted") -> None:
    """Take an anchor to a state by the way it should go."""
    steps: tuple[tuple[str, Callable[[], object]], ...] = (
        ("planned", lambda: records.add_all([JackCertified(jack=JACK), planned()], by=BY)),
        ("submittal", lambda: records.add(submittal(), by=BY)),
        ("drilled", lambda: records.add(drilled(), by=BY)),
        ("grouted", lambda: records.add_all([tendon(), grouted()], by=BY)),
        ("stressed", lambda: (records.add(begun(), by=BY), records.add_readings(A, readings(), by=BY))),
        ("accepted", lambda: (records.add(TestClosed(anchor=A, test=1), by=BY),
                              records.add(verdict(decision=decision), by=BY))),
        ("locked off", lambda: records.add(LockedOff(anchor=A, jack_load=340.0), by=BY)),
        ("lifted off", lambda: records.add(LiftedOff(anchor=A, load=318.0), by=BY)),
    )  # fmt: skip
    for name, step in steps:
        step()
        if name == goal:
            return
    raise AssertionError(goal)


@pytest.mark.parametrize("goal", NEVER_DOWN)
def test_the_way_it_should_go_needs_no_exception(records: Records, goal: str) -> None:
    to(records, goal)
    assert state(records) == goal
    assert records.anchor(A).misfits == ()
    assert records.register()[0].exceptions == 0


def test_not_accepted_grouted_again_and_tested_again(records: Records) -> None:
    to(records, "accepted", decision="not accepted")
    assert state(records) == "not accepted"
    records.add(grouted(stage="post", pressure=2500.0), by=BY)
    assert state(records) == "grouted"
    records.add(begun(), by=BY)
    assert state(records) == "stressed"
    again = records.test_record(A)
    assert (again.anchor.regrouted, again.readings) == (1, ())
    assert records.test_record(A, 1).anchor.regrouted == 0


def test_repaired_then_tested_again(records: Records) -> None:
    to(records, "lifted off")
    records.add(Repaired(anchor=A, work="new wedges", why="a wedge cracked"), by=BY)
    assert state(records) == "repaired"
    records.add(begun(), by=BY)
    assert state(records) == "stressed"


def test_replaced_is_the_end(records: Records) -> None:
    to(records, "accepted", decision="not accepted")
    records.add(planned("A-1-001R", replaces=A), by=BY)
    records.add(Replaced(anchor=A, replacement="A-1-001R", why="it creeps"), by=BY)
    assert state(records) == "replaced"
    for fact in (drilled(), grouted(), begun(), LockedOff(anchor=A, jack_load=1.0)):
        with pytest.raises(RefusedError, match="it has been replaced"):
            records.add(fact, by=BY, exception="all the same")
    records.add(LiftedOff(anchor=A, load=12.0), by=BY, exception="unloaded before it is cut")
    assert state(records) == "replaced"
    old, new = records.register()
    assert (old.replaced_by, new.replaces, new.state) == ("A-1-001R", A, "planned")


@pytest.mark.parametrize(
    ("goal", "fact", "words"),
    [
        ("planned", drilled(), "it is planned, and a hole is drilled once, after a submittal"),
        ("submittal", grouted(), "it is submittal, and grout follows the hole"),
        ("drilled", begun(), "it is drilled, and a test follows the grout"),
        ("grouted", drilled(), "it is grouted, and a hole is drilled once"),
        ("grouted", LockedOff(anchor=A, jack_load=1.0), "locked off after it is accepted"),
        ("accepted", LiftedOff(anchor=A, load=1.0), "a lift-off follows a lock-off"),
        ("accepted", LoadRead(anchor=A, load=1.0), "a load is read after the lock-off"),
        ("grouted", LiftedOff(anchor=A, load=1.0), "it is grouted, and a lift-off follows"),
        ("locked off", LockedOff(anchor=A, jack_load=1.0), "again after a lift-off"),
        ("submittal", Repaired(anchor=A, work="w", why="y"), "a repair is of work that was done"),
        ("lifted off", submittal(), "a submittal comes before the hole"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_or_stated(
    records: Records, goal: str, fact: Fact, words: str
) -> None:
    to(records, goal)
    before = records.last()
    with pytest.raises(RefusedError, match=words) as refusal:
        records.add(fact, by=BY)
    assert "state an exception" in str(refusal.value)
    assert "\n" not in str(refusal.value)
    assert records.last() == before
    entry = records.add(fact, by=BY, exception="the inspector saw it")
    assert entry.exception == "the inspector saw it"
    if entry.anchor:
        assert records.register()[0].exceptions == 1
    assert [m.id for m in records.anchor(A).misfits] == [entry.id]


def test_an_anchor_is_lifted_off_again_while_its_load_is_watched(records: Records) -> None:
    to(records, "lifted off")
    records.add(LoadRead(anchor=A, load=300.0), by=BY)
    records.add(LiftedOff(anchor=A, load=301.0), by=BY)
    assert records.register()[0].lift_off_load == 301.0
    assert state(records) == "lifted off"


def test_locked_off_though_not_accepted_is_stated(records: Records) -> None:
    to(records, "accepted", decision="not accepted")
    with pytest.raises(RefusedError, match="it is not accepted"):
        records.add(LockedOff(anchor=A, jack_load=150.0), by=BY)
    records.add(
        LockedOff(anchor=A, jack_load=150.0), by=BY, exception="at half the load that passed"
    )
    line = records.register()[0]
    assert (line.state, line.verdict, line.lock_off_load) == ("locked off", "not accepted", 150.0)


def test_a_submittal_to_be_revised_holds_the_drilling(records: Records) -> None:
    to(records, "planned")
    records.add(submittal(decision="revise"), by=BY)
    with pytest.raises(RefusedError, match="its submittal is to be revised"):
        records.add(drilled(), by=BY)
    records.add(submittal(number="S-02", decision="accept"), by=BY)
    records.add(drilled(), by=BY)


def test_an_open_test_has_no_verdict_whatever_is_stated(records: Records) -> None:
    to(records, "stressed")
    with pytest.raises(RefusedError, match="an open test has no verdict"):
        records.add(verdict(), by=BY, exception="it will pass")


def test_an_empty_test_is_never_accepted(records: Records) -> None:
    to(records, "grouted")
    records.add(begun(), by=BY)
    records.add(TestClosed(anchor=A, test=1, ended="stopped", why="the jack leaks"), by=BY)
    with pytest.raises(RefusedError, match="test 1 has no reading"):
        records.add(verdict(), by=BY, exception="it will pass")
    records.add(verdict(decision="not accepted"), by=BY)


def test_a_verdict_on_withdrawn_readings_is_none(records: Records) -> None:
    to(records, "grouted")
    records.add(begun(), by=BY)
    records.add_reading(A, readings(1)[0], by=BY)
    records.withdraw_reading(A, 1, by=BY, reason="another anchor's")
    records.add(TestClosed(anchor=A, test=1), by=BY)
    with pytest.raises(RefusedError, match="test 1 has no reading"):
        records.add(verdict(), by=BY)


def test_facts_are_taken_in_the_order_in_which_they_happened(records: Records) -> None:
    records.add(planned(), by=BY, on=START)
    records.add(submittal(), by=BY, on=START)
    days = timedelta(days=1)
    with pytest.raises(RefusedError, match="grout follows the hole"):
        records.add(grouted(), by=BY, on=START + 3 * days)
    records.add(drilled(), by=BY, on=START + 2 * days)
    records.add(grouted(), by=BY, on=START + 3 * days)
    # a hole that was drilled, lost and drilled again, told late: the grout stays in the last one
    records.add(drilled(length=9.0), by=BY, on=START + 1 * days, exception="the first hole fell in")
    line = records.register()[0]
    assert (line.state, line.since) == ("grouted", START + 3 * days)


def test_a_fact_told_late_that_makes_another_a_misfit(records: Records) -> None:
    to(records, "locked off")
    with pytest.raises(RefusedError, match=r"the jack|would not fit|a repair|it is"):
        records.add(drilled(), by=BY, on=START)


def test_what_may_come_at_any_time(records: Records) -> None:
    to(records, "planned")
    for fact in (tendon(), strength(), Remark(anchor=A, text="pile 1 leans"),
                 DesignChanged(anchor=A, design=DESIGN, reason="wall raised")):  # fmt: skip
        records.add(fact, by=BY)
    assert state(records) == "planned"


def test_every_rule_names_states_that_exist_and_can_be_reached() -> None:
    from typing import get_args

    from backstay.records.entries import State

    states = set(get_args(State))
    for kind, (before, words) in FITS.items():
        assert before <= states, kind
        assert words


def test_of_two_at_one_time_the_first_recorded_comes_first() -> None:
    made = life([Event(1, "planned", START), Event(3, "grouted", START), Event(2, "drilled", START),
                 Event(4, "submittal", START - timedelta(days=1))])  # fmt: skip
    assert (made.state, made.misfits) == ("grouted", ())


def test_only_grouting_between_two_tests_is_regrouting(records: Records) -> None:
    """Post-grouting before the first test is how the anchor was made, and no second chance."""
    hour = timedelta(hours=1)
    made = [JackCertified(jack=JACK), planned(), submittal(), drilled(), tendon(), grouted()]
    records.add_all([*made, grouted(stage="post")], by=BY, on=START)
    records.add(begun(), by=BY, on=START + hour)
    assert records.test_record(A).anchor.regrouted == 0
    records.add(TestClosed(anchor=A, test=1), by=BY, on=START + 2 * hour)
    for at in (3, 4):
        records.add(grouted(stage="post"), by=BY, on=START + at * hour, exception="no verdict")
    records.add(begun(), by=BY, on=START + 5 * hour, exception="again")
    records.add(grouted(stage="post"), by=BY, on=START + 6 * hour, exception="under test")
    assert records.test_record(A, 1).anchor.regrouted == 0
    assert records.test_record(A, 2).anchor.regrouted == 2


def test_a_verdict_on_an_earlier_test_does_not_judge_the_one_that_goes_on(records: Records) -> None:
    to(records, "stressed")
    records.add(TestClosed(anchor=A, test=1), by=BY)
    records.add(begun(), by=BY, exception="tested again before the first was signed")
    records.add(verdict(test=1, decision="accepted"), by=BY)
    assert state(records) == "stressed", "the second test has no verdict"
    records.add_readings(A, readings(), by=BY)
    records.add(TestClosed(anchor=A, test=2), by=BY)
    records.add(verdict(test=2, decision="not accepted"), by=BY)
    assert state(records) == "not accepted"


def test_a_closed_test_is_not_opened_while_another_goes_on(records: Records) -> None:
    to(records, "stressed")
    ended = records.add(TestClosed(anchor=A, test=1), by=BY)
    records.add(begun(), by=BY, exception="tested again")
    with pytest.raises(RefusedError, match="another test goes on"):
        records.withdraw(ended.id, by=BY, reason="it goes on")
    records.add_readings(A, readings(), by=BY, test=2)
    records.add(TestClosed(anchor=A, test=2), by=BY)
    records.withdraw(ended.id, by=BY, reason="it goes on")
    assert not records.test_record(A, 1).closed
