"""After the lock-off: seating and load with time out of the records, on both sides of their limits."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from math import log10

import pytest

from backstay.checks import Verdict
from backstay.fieldbook.after_lock_off import AfterLockOff, after_lock_off
from backstay.records import DesignChanged, LiftedOff, LoadRead, LockedOff, Records
from backstay.stressing.judge import judge
from backstay.stressing.record import Reading
from backstay.stressing.rules_us import US_RULES
from tests.unit.fieldbook.locked import DAY, HOUR, LOCKED, STIFFNESS, A, Later, record_later
from tests.unit.records.wall import BY, DESIGN, readings

CREEP = 0.0004


def crept(reading: Reading) -> Reading:
    """Return a reading with 0.4 mm of creep in tenfold time more, in the hold."""
    more = CREEP * log10(reading.minute) if reading.minute >= 1.0 else 0.0
    return replace(reading, dials=tuple(d + more for d in reading.dials))


@pytest.fixture
def taken() -> tuple[Reading, ...]:
    return tuple(crept(r) for r in readings())


def told(records: Records, *facts: Later) -> AfterLockOff | None:
    """Record facts so long after the lock-off, and return what is known then."""
    record_later(records, *facts)
    record = records.test_record(A)
    return after_lock_off(records.anchor(A), record, judge(record, US_RULES), US_RULES)


def locked(load: float | None = 322.0, seating: float | None = None) -> Later:
    return timedelta(0), LockedOff(anchor=A, jack_load=400.0, load=load, seating=seating)


def failing(found: AfterLockOff | None) -> list[str]:
    assert found is not None
    return [c.id for c in found.checks if c.verdict is Verdict.FAIL]


def test_before_the_lock_off_nothing_is_known(records: Records) -> None:
    assert told(records) is None


def test_seating_as_read(records: Records) -> None:
    """400 kN at the jack, 322 left: 78 kN over 6.1 m of 110,573 kN are 4.30 mm."""
    found = told(records, locked())
    assert found is not None
    assert found.seated is not None
    assert (found.wanted, found.seated.load, found.seated.lost) == (320.0, 322.0, 78.0)
    assert found.seated.draw_in == pytest.approx(78.0 * 6.1 / STIFFNESS)
    assert found.loads is None
    assert found.sound


def test_seating_by_the_draw_in_measured(records: Records) -> None:
    found = told(records, locked(None, seating=0.005))
    assert found is not None
    assert found.seated is not None
    assert found.seated.load == pytest.approx(400.0 - 0.005 * STIFFNESS / 6.1)
    assert not found.seated.read


@pytest.mark.parametrize(
    ("load", "fails"),
    [
        (304.0, []),
        (303.9, ["lock-off.load-least"]),
        (336.0, []),
        (336.1, ["lock-off.load-greatest"]),
    ],
)
def test_the_lock_off_load_on_both_sides_of_its_tolerance(
    records: Records, load: float, fails: list[str]
) -> None:
    """5 % of 320 kN (UFGS 02490, published)."""
    found = told(records, locked(load))
    assert [c for c in failing(found) if c.startswith("lock-off.load")] == fails


def test_a_lock_off_that_nobody_measured_says_so_and_a_lift_off_stands_for_it(
    records: Records,
) -> None:
    found = told(records, locked(None))
    assert found is not None
    assert found.seated is None
    assert "lift the anchor off" in found.unseated
    later = told(
        records, (DAY, LiftedOff(anchor=A, load=315.0)), (30 * DAY, LoadRead(anchor=A, load=312.0))
    )
    assert later is not None
    assert later.loads is not None
    assert later.loads.lock_off_load == 315.0


def test_a_load_that_is_lost_is_seen(records: Records) -> None:
    """An anchor that has lost 40 % in two months: below the load that asks for no action."""
    found = told(
        records, locked(), (HOUR, LiftedOff(anchor=A, load=320.0)),
        (60 * DAY, LoadRead(anchor=A, load=190.0)),
    )  # fmt: skip
    assert found is not None
    assert found.loads is not None
    assert [(p.minute, p.load, p.by) for p in found.loads.points] == [
        (60.0, 320.0, "lift-off"), (60 * 1440.0, 190.0, "load cell")
    ]  # fmt: skip
    assert "load.least" in failing(found)
    assert not found.sound


@pytest.mark.parametrize(("load", "fails"), [(0.9001, False), (0.8999, True)])
def test_the_load_now_on_both_sides_of_a_tenth(records: Records, load: float, fails: bool) -> None:
    """10 % (BS 8081:1989, 11.4, memory) of the load that was left after seating."""
    found = told(records, locked(), (60 * DAY, LoadRead(anchor=A, load=322.0 * load)))
    assert ("load.least" in failing(found)) is fails


def test_only_what_came_after_the_last_lock_off_counts(records: Records) -> None:
    found = told(
        records, locked(), (DAY, LoadRead(anchor=A, load=250.0)),
        (2 * DAY, LockedOff(anchor=A, jack_load=400.0, load=321.0)),
        (12 * DAY, LoadRead(anchor=A, load=318.0)),
    )  # fmt: skip
    assert found is not None
    assert found.loads is not None
    assert [(p.minute, p.load) for p in found.loads.points] == [(10 * 1440.0, 318.0)]
    assert found.loads.lock_off_load == 321.0
    assert found.sound


def test_a_down_rated_anchor_is_held_against_its_new_load(records: Records) -> None:
    """Down-rated to 200 kN after its test: 198 kN is right, and 322 kN is too much."""
    design = replace(DESIGN, design_load=220.0, lock_off_load=200.0)
    records.add(
        DesignChanged(anchor=A, design=design, reason="down-rated"), by=BY, on=LOCKED - HOUR / 4
    )
    low = told(records, (timedelta(0), LockedOff(anchor=A, jack_load=270.0, load=198.0)))
    assert low is not None
    assert low.wanted == 200.0
    assert not [c for c in failing(low) if c != "lock-off.seating-loss"]
    high = told(records, (DAY, LockedOff(anchor=A, jack_load=400.0, load=322.0)))
    assert "lock-off.load-greatest" in failing(high)


def test_the_creep_of_the_test_is_expected_of_the_bond(records: Records) -> None:
    """A E alpha / (L P): the creep of the hold at the test load, as load lost per tenfold time."""
    found = told(records, locked(), (30 * DAY, LoadRead(anchor=A, load=318.0)))
    assert found is not None
    assert found.loads is not None
    assert found.loads.creep == pytest.approx(STIFFNESS * CREEP / (6.1 * 322.0), rel=1e-6)
