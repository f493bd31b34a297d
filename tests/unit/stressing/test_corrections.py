"""Corrections: load by the calibration line, movement by dials and reference, dials set back."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from backstay.stressing.corrections import Corrected, correct, loads_of
from backstay.stressing.record import TestRecord
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules_us import performance_test, proof_test
from backstay.stressing.stays import places
from tests.unit.stressing.invented import jack, line
from tests.unit.stressing.synthetic import Model, altered, record_of, set_back, without

PERFORMANCE = performance_test(450.0, 1.33, US_RULES)
PROOF = proof_test(450.0, 1.33, US_RULES)


def corrected(record: TestRecord) -> Corrected:
    return correct(record, US_RULES, places(record.readings, record.procedure))


def codes(found: Corrected) -> list[str]:
    return [finding.code for finding in found.findings]


def of_step(record: TestRecord, cycle: int, share: float, minute: float) -> int:
    """Return the number of a reading going up."""
    return next(
        r.number for r in record.readings
        if (r.cycle, r.target, r.minute) == (cycle, share, minute) and r.phase != "unloading"
    )  # fmt: skip


def test_load_is_that_of_the_calibration_line() -> None:
    record = record_of(Model(jack=jack(points=line(slope=0.0131, start=-2.0))), PROOF)
    wanted = [step.load for step in PROOF.steps]
    seen = dict.fromkeys(round(load, 6) for load in loads_of(record))
    assert list(seen) == pytest.approx(list(dict.fromkeys(round(load, 6) for load in wanted)))


def test_a_load_cell_goes_before_the_gauge() -> None:
    record = altered(record_of(Model(), PROOF), 3, load=225.25)
    assert loads_of(record)[2] == 225.25


def test_movement_counts_from_the_first_reading_at_the_alignment_load() -> None:
    found = corrected(record_of(Model(), PROOF))
    assert found.points[0].movement == 0.0
    assert all(p.movement > 0.0 for p in found.points[1:])


def test_movement_of_the_reference_is_taken_out() -> None:
    still, moving = Model(), Model(settle=0.004)
    steady = [p.movement for p in corrected(record_of(still, PERFORMANCE)).points]
    record = record_of(moving, PERFORMANCE)
    assert [p.movement for p in corrected(record).points] == pytest.approx(steady, abs=1e-12)
    blind = replace(record, readings=tuple(replace(r, reference=0.0) for r in record.readings))
    most = max(abs(p.movement - s) for p, s in zip(corrected(blind).points, steady, strict=True))
    assert most == pytest.approx(0.004 * (1.0 - 45.0 / 598.5), rel=1e-6)


def test_dials_are_averaged() -> None:
    record = record_of(Model(), PROOF)
    number = record.readings[-1].number
    first, second = record.readings[-1].dials
    tilted = altered(record, number, dials=(first + 0.0004, second - 0.0004))
    assert corrected(tilted).points[-1].movement == pytest.approx(
        corrected(record).points[-1].movement, abs=1e-12
    )


def test_one_dial_set_back_is_bridged_by_the_other() -> None:
    record = record_of(Model(), PERFORMANCE)
    number = of_step(record, 4, 0.75, 0.0)
    found = corrected(set_back(record, number, 0.012, 1))
    assert codes(found) == ["dial reset"]
    assert [(o.reading, o.dial) for o in found.offsets] == [(number, 1)]
    assert found.offsets[0].offset == pytest.approx(0.012, abs=1e-9)
    whole = corrected(record).points
    assert [p.movement for p in found.points] == pytest.approx(
        [p.movement for p in whole], abs=1e-9
    )
    finding = found.findings[0]
    assert finding.consequence == "judged"
    assert not finding.withholds
    assert "dial 2 {small length:0.012}" in finding.effect


def test_dials_read_before_and_after_are_bridged() -> None:
    record = record_of(Model(), PERFORMANCE)
    number = of_step(record, 4, 0.75, 0.0)
    at = record.readings[number - 1]
    twin = replace(
        at, number=number + 1, dials=tuple(d - 0.015 for d in at.dials), remark="set back"
    )
    later = tuple(
        replace(r, number=r.number + 1, dials=tuple(d - 0.015 for d in r.dials))
        for r in record.readings[number:]
    )
    found = corrected(replace(record, readings=(*record.readings[:number], twin, *later)))
    assert codes(found) == ["dial reset"]
    assert {o.dial for o in found.offsets} == {0, 1}
    kept = [p.movement for p in found.points if p.number != number + 1]
    assert kept == pytest.approx([p.movement for p in corrected(record).points], abs=1e-12)


def test_dials_set_back_at_rest_at_the_alignment_load_are_bridged_and_it_is_said() -> None:
    record = record_of(Model(), PERFORMANCE)
    number = next(r.number for r in record.readings if r.cycle == 4 and r.phase == "unloading")
    at = record.readings[number - 1]
    twin = replace(at, number=number + 1, minute=4.0, dials=tuple(0.001 for _ in at.dials))
    later = tuple(
        replace(
            r,
            number=r.number + 1,
            dials=tuple(d - x + 0.001 for d, x in zip(r.dials, at.dials, strict=True)),
        )
        for r in record.readings[number:]
    )
    found = corrected(replace(record, readings=(*record.readings[:number], twin, *later)))
    assert codes(found) == ["dial reset"]
    assert "not seen" in found.findings[0].effect
    assert found.points[-1].movement == pytest.approx(
        corrected(record).points[-1].movement, abs=1e-12
    )


@pytest.mark.parametrize("share", [0.50, 0.75, 1.0, 1.33])
def test_dials_set_back_between_two_loads_are_refused(share: float) -> None:
    record = record_of(Model(), PERFORMANCE)
    number = of_step(record, 6, share, 0.0)
    found = corrected(set_back(record, number, 0.030))
    assert codes(found) == ["dial reset"]
    finding = found.findings[0]
    assert finding.consequence == "refused"
    assert finding.readings == (number - 1, number)
    assert not found.offsets


def test_dials_set_back_between_two_minutes_of_the_hold_are_refused() -> None:
    record = record_of(Model(), PERFORMANCE)
    found = corrected(set_back(record, of_step(record, 6, 1.33, 5.0), 0.030))
    assert [(f.code, f.consequence) for f in found.findings] == [("dial reset", "refused")]


@pytest.mark.parametrize("off", [-0.005, 0.005])
def test_a_single_reading_out_of_line_in_a_hold_is_called_stray(off: float) -> None:
    record = record_of(Model(), PERFORMANCE)
    number = of_step(record, 6, 1.33, 4.0)
    at = record.readings[number - 1]
    found = corrected(altered(record, number, dials=tuple(d + off for d in at.dials)))
    assert [(f.code, f.consequence, f.readings) for f in found.findings] == [
        ("stray reading", "refused", (number,))
    ]


def test_outward_movement_while_the_load_comes_down_is_a_dial_set_back() -> None:
    record = record_of(Model(), PERFORMANCE)
    last = record.readings[-1]
    again = replace(
        last, number=last.number + 1, gauge=(last.gauge or 0.0) * 0.8,
        dials=tuple(d + 0.003 for d in last.dials),
    )  # fmt: skip
    found = corrected(replace(record, readings=(*record.readings, again)))
    assert codes(found) == ["dial reset"]


def test_two_dials_that_part_are_refused_and_three_are_not() -> None:
    record = record_of(Model(), PERFORMANCE)
    number = next(r.number for r in record.readings if r.cycle == 3 and r.phase == "unloading")
    found = corrected(set_back(record, number, 0.012, 0))
    assert [(f.code, f.consequence) for f in found.findings] == [("dials apart", "refused")]
    three = record_of(Model(dials=3), PERFORMANCE)
    found = corrected(set_back(three, number, 0.012, 0))
    assert codes(found) == ["dial reset"]
    assert [p.movement for p in found.points] == pytest.approx(
        [p.movement for p in corrected(three).points], abs=1e-9
    )


def test_dials_set_back_together_while_the_load_comes_down_are_seen_in_the_next_cycle() -> None:
    record = record_of(Model(), PERFORMANCE)
    number = next(r.number for r in record.readings if r.cycle == 4 and r.phase == "unloading")
    found = corrected(set_back(record, number, 0.012))
    assert [(f.code, f.consequence) for f in found.findings] == [("dial reset", "refused")]
    assert "earlier cycle" in found.findings[0].words


def test_readings_without_load_or_dial_leave_no_points() -> None:
    record = record_of(Model(), PROOF)
    for changes, code in (({"gauge": None}, "no load"), ({"dials": ()}, "no dial"),
                          ({"dials": (0.01,)}, "dials changed")):  # fmt: skip
        found = corrected(altered(record, 5, **changes))
        assert codes(found) == [code]
        assert found.points == ()
        assert found.findings[0].readings == (5,)
        assert found.findings[0].consequence == "refused"


def test_a_test_that_does_not_begin_at_the_alignment_load_has_no_zero() -> None:
    found = corrected(without(record_of(Model(), PROOF), 1))
    assert [(f.code, f.consequence) for f in found.findings] == [("no zero", "refused")]


@settings(max_examples=40, deadline=None)
@given(
    by=st.floats(0.004, 0.10),
    at=st.integers(6, 30),
    scatter=st.floats(0.0, 2e-5),
    seed=st.integers(0, 1000),
)
def test_a_dial_set_back_is_bridged_or_refused_and_never_passed_over(
    by: float, at: int, scatter: float, seed: int
) -> None:
    """Wherever and by whatever one of two dials is set back, if it is seen the movement is right."""
    record = record_of(Model(scatter=scatter, seed=seed), PERFORMANCE)
    found = corrected(set_back(record, at, by, 0))
    true = corrected(record).points
    off = max(abs(p.movement - q.movement) for p, q in zip(found.points, true, strict=True))
    if any(f.consequence == "refused" for f in found.findings):
        return
    if found.offsets:
        assert off <= 4 * 6 * scatter + 1e-9
    else:
        change = record.readings[at - 1].dials[1] - record.readings[at - 2].dials[1]
        assert by <= 0.0011 + 0.25 * (abs(change) + by / 2.0), "a dial set back was passed over"


@pytest.mark.parametrize("dials", [1, 2])
def test_dials_set_back_at_the_second_reading_are_seen(dials: int) -> None:
    """Nothing comes before the first reading but it is the zero of all that follow."""
    record = record_of(Model(dials=dials), PROOF)
    found = corrected(set_back(record, 2, 0.020))
    assert "dial reset" in codes(found)
    assert 2 in found.findings[0].readings


def test_a_dial_set_back_between_two_readings_of_one_minute_is_bridged() -> None:
    """Read, set back, read again at once in the middle of the hold: nothing moved meanwhile."""
    record = record_of(Model(dials=1), PROOF)
    number = of_step(record, 1, 1.33, 5.0)
    again = replace(record.readings[number - 1], dials=(0.001,))
    off = record.readings[number - 1].dials[0] - 0.001
    later = tuple(
        replace(r, number=r.number + 1, dials=tuple(d - off for d in r.dials))
        for r in record.readings[number:]
    )
    spoilt = replace(
        record, readings=(*record.readings[:number], replace(again, number=number + 1), *later)
    )
    found = corrected(spoilt)
    assert [o.reading for o in found.offsets] == [number + 1]
    assert found.offsets[0].offset == pytest.approx(off)
    whole = {p.number: p.movement for p in corrected(record).points}
    bridged = {p.number: p.movement for p in found.points}
    assert bridged[len(spoilt.readings)] == pytest.approx(whole[len(record.readings)], abs=1e-9)


def test_movement_outward_from_the_hold_to_the_first_step_down_is_no_dial_set_back() -> None:
    """The hold creeps on until the load comes down: only two readings on the way down tell a reset."""
    record = record_of(Model(), PERFORMANCE)
    readings = record.readings
    first = next(i for i, r in enumerate(readings) if r.phase == "unloading")
    assert readings[first - 1].phase != "unloading"
    up = readings[first - 1].dials[0] + 0.004 - readings[first].dials[0]
    moved = [
        replace(r, dials=tuple(d + up for d in r.dials)) if i >= first else r
        for i, r in enumerate(readings)
    ]
    assert codes(corrected(replace(record, readings=tuple(moved)))) == []


def test_what_no_tendon_springs_back_is_of_the_load_in_proportion() -> None:
    """1.25 times P (L_u + L_b + L_j) / (A E) by Hooke, and a millimetre."""
    from backstay.stressing.dial_resets import JUMP, SLACK, _against, _compliance

    one = Model().anchor
    long = one.free_length + one.bond_length + one.jack_length
    spring = SLACK * long / (one.area * one.modulus)
    assert _compliance(one) == pytest.approx(spring)
    most = 100.0 * spring + JUMP
    assert not _against(-0.999 * most, -100.0, _compliance(one), False)
    assert _against(-1.001 * most, -100.0, _compliance(one), False)
