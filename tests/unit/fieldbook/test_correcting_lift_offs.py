"""A lift-off that is corrected: what was read is put right, and its load follows."""

from __future__ import annotations

from datetime import timedelta

import pytest

from backstay.errors import ProjectError
from backstay.fieldbook.correctable import correctable
from backstay.fieldbook.correcting import correct_entry
from backstay.quantity import UnitSystem
from backstay.records import JackCertified, LiftedOff, LockedOff, Records, RefusedError
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_us import US_RULES
from tests.unit.fieldbook.locked import HOUR, SEATED, A, record_later
from tests.unit.fieldbook.test_gauge_lift_offs import LOADS, MONO, enter, pressure
from tests.unit.fieldbook.test_lift_offs import movement
from tests.unit.records.wall import BY, START


@pytest.fixture
def records(records: Records) -> Records:
    record_later(records, (timedelta(0), SEATED))
    records.add(JackCertified(jack=MONO), by=BY, on=START)
    return records


def correct(records: Records, rules: TestRules | None = None, **written: str) -> LiftedOff:
    """Correct the last lift-off by the fields as a person writes them, and return it."""
    last = records.anchor(A).of(LiftedOff)[-1]
    correct_entry(records, last.id, written, UnitSystem.SI, by=BY, reason="misread", rules=rules)
    fact = records.anchor(A).of(LiftedOff)[-1].fact
    assert fact is not None
    return fact


def refused(records: Records, rules: TestRules | None = None, **written: str) -> str:
    before = records.last()
    with pytest.raises((ProjectError, RefusedError)) as error:
        correct(records, rules, **written)
    assert records.last() == before
    return str(error.value)


def test_the_load_follows_the_gauge(records: Records) -> None:
    enter(records, f"gauge: {pressure(320.0)} kPa")
    assert correct(records, gauge=f"{pressure(310.0)} kPa").load == pytest.approx(310.0)
    (line,) = records.register()
    assert line.lift_off_load == pytest.approx(310.0)
    kinds = [e.fact for e in records.history(A) if e.kind == "lifted off"]
    assert [fact.load for fact in kinds if fact is not None] == pytest.approx([320.0, 310.0])


def test_a_load_is_not_written_over_what_was_read(records: Records) -> None:
    enter(records, f"gauge: {pressure(320.0)} kPa")
    assert "correct that" in refused(records, load="330")
    assert "says nothing beyond" in refused(records, gauge="41 MPa")
    by_load = correct(records, gauge="none", load="330")
    assert (by_load.gauge, by_load.load) == (None, 330.0)
    by_gauge = correct(records, gauge=f"{pressure(315.0)} kPa")
    assert by_gauge.load == pytest.approx(315.0)


def test_another_jack_tells_another_load(records: Records) -> None:
    enter(records, "strand_gauges: [16 MPa, 16 MPa, 16 MPa, 16 MPa], jack: M-1")
    assert "is not recorded" in refused(records, jack="M-2")
    gauges = ", ".join(["17 MPa"] * 4)
    assert correct(records, strand_gauges=gauges).load == pytest.approx(4 * (0.5 + 0.0047 * 17e3))
    found = correct(records, jack="J-7", certificate="C-2024-14")
    assert found.load == pytest.approx(4 * (2.0 + 0.0245 * 17e3))


def test_readings_are_found_anew_by_the_rules(records: Records) -> None:
    for on, key, values in (
        ("12:00", "loads", [f"{load} kN" for load in LOADS]),
        ("13:00", "gauges", [f"{pressure(load)} kPa" for load in LOADS]),
    ):
        moved = [round(movement(load, 306.0), 3) for load in LOADS]
        text = f"{key}: {values}, movements: {moved}"
        enter(records, text, on=f"{START.date()} {on}")
        right = ", ".join(f"{movement(load, 326.0):.3f}" for load in LOADS)
        assert "by the rules of the project" in refused(records, movements=right)
        assert "correct that" in refused(records, US_RULES, load="330")
        found = correct(records, US_RULES, movements=right)
        assert found.load == pytest.approx(326.0, abs=0.5)
        assert len(getattr(found, key)) == len(LOADS)
        straight = ", ".join(f"{movement(load, 0.0):.3f}" for load in LOADS)
        assert "one line" in refused(records, US_RULES, movements=straight)
        assert "make a reading" in refused(records, US_RULES, movements="1, 2")


def test_the_sum_follows_the_strands(records: Records) -> None:
    enter(records, "strands: [80, 80, 80, 80]")
    assert correct(records, strands="80, 81, 82, 83").load == pytest.approx(326.0)
    assert refused(records, strands="0, 0")
    lock = LockedOff(anchor=A, jack_load=400.0, strands=(100.0, 100.0, 100.0, 100.0))
    record_later(records, (HOUR, lock))
    entry = records.anchor(A).of(LockedOff)[-1]
    correct_entry(
        records, entry.id, {"strands": "100, 101, 100, 100"}, UnitSystem.SI, by=BY, reason="misread"
    )
    fact = records.anchor(A).of(LockedOff)[-1].fact
    assert fact is not None
    assert fact.jack_load == pytest.approx(401.0)


def test_what_was_read_is_offered_for_correction(records: Records) -> None:
    enter(records, "gauge: 1820 psi")
    offered = dict(correctable(records.anchor(A).of(LiftedOff)[-1], UnitSystem.US))
    assert offered["gauge"] == "1820 psi"
    assert offered["gauges"] == offered["strand_gauges"] == ""
    assert offered["jack"] == "J-7"
