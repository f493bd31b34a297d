"""Bad input: every fault of a record is seen, named, and refused or judged with its consequence."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import get_args

import pytest

from backstay.stressing.fault_units import (
    LOAD_UNITS,
    METRES,
    MOVEMENT_UNITS,
    PRESSURE_UNITS,
    mistaken,
)
from backstay.stressing.faults import anchor_faults, by_weight
from backstay.stressing.findings import Finding, FindingCode, refused
from backstay.stressing.judge import Judgement, judge
from backstay.stressing.record import Reading, TestRecord
from backstay.stressing.rules_us import US_RULES
from backstay.stressing.schedules_us import performance_test, proof_test
from tests.unit.stressing.invented import anchor, jack, line
from tests.unit.stressing.synthetic import BEGIN, Model, altered, record_of, without

PROOF = proof_test(450.0, 1.33, US_RULES)
PERFORMANCE = performance_test(450.0, 1.33, US_RULES)
PSI, INCH, KIP = 6.894757293168361, 0.0254, 4.4482216152605


def whole() -> TestRecord:
    return record_of(Model(), PROOF)


def judged(record: TestRecord) -> Judgement:
    return judge(record, US_RULES)


def finding(record: TestRecord, code: str) -> Finding:
    found = [f for f in judged(record).findings if f.code == code]
    assert found, [f.text for f in judged(record).findings]
    return found[0]


def each(record: TestRecord, change: Callable[[Reading], Reading]) -> TestRecord:
    return replace(record, readings=tuple(change(r) for r in record.readings))


def number(record: TestRecord, share: float, minute: float) -> int:
    return next(
        r.number for r in record.readings
        if (r.target, r.minute) == (share, minute) and r.phase != "unloading"
    )  # fmt: skip


def test_a_clean_record_is_accepted_without_a_fault() -> None:
    result = judged(whole())
    assert result.decision == "accepted"
    assert {f.code for f in result.findings} == {"below calibration"}


# --- order, times, doubles -----------------------------------------------------------------------


def test_numbers_that_fall_are_refused() -> None:
    record = whole()
    turned = (*record.readings[:4], record.readings[5], record.readings[4], *record.readings[6:])
    found = finding(replace(record, readings=turned), "order")
    assert found.consequence == "refused"
    assert judged(replace(record, readings=turned)).decision == "cannot be judged"


def test_a_step_read_after_a_later_one_is_refused() -> None:
    record = record_of(Model(), PERFORMANCE)
    first, second = record.readings[6], record.readings[3]
    swapped = altered(
        altered(record, 7, cycle=second.cycle, target=second.target), 4, cycle=first.cycle
    )
    assert judged(swapped).decision == "cannot be judged"
    assert {"order", "unknown step"} & {f.code for f in judged(swapped).findings}


def test_minutes_that_fall_in_a_hold_are_refused() -> None:
    record = whole()
    found = finding(altered(record, number(record, 1.33, 4.0), minute=2.5), "order")
    assert found.consequence == "refused"
    assert "minutes" in found.words


def test_a_clock_that_goes_back_or_does_not_fit_the_minutes_withholds_acceptance() -> None:
    record = whole()
    back = altered(record, 9, at=BEGIN - timedelta(hours=1))
    assert finding(back, "clock").withholds
    assert judged(back).decision == "cannot be judged"
    seconds = altered(record, number(record, 1.33, 10.0), at=BEGIN + timedelta(minutes=200))
    assert number(record, 1.33, 10.0) in finding(seconds, "clock").readings


def test_a_reading_entered_twice_alike_counts_once() -> None:
    record = whole()
    at = record.readings[8]
    twice = replace(
        record,
        readings=(
            *record.readings[:9], replace(at, number=10),
            *(replace(r, number=r.number + 1) for r in record.readings[9:]),
        ),
    )  # fmt: skip
    found = finding(twice, "duplicate reading")
    assert (found.consequence, found.readings, found.effect) == ("judged", (10,), "counted once")
    assert judged(twice).decision == "accepted"
    assert len(judged(twice).evaluation.points) == len(record.readings)


def test_two_readings_of_one_minute_that_differ_are_refused() -> None:
    record = whole()
    at = record.readings[8]
    twice = replace(
        record,
        readings=(
            *record.readings[:9],
            replace(at, number=10, dials=tuple(d + 0.0004 for d in at.dials)),
            *(replace(r, number=r.number + 1) for r in record.readings[9:]),
        ),
    )  # fmt: skip
    found = finding(twice, "duplicate reading")
    assert (found.consequence, found.readings) == ("refused", (9, 10))


@pytest.mark.parametrize(
    "changes", [{"gauge": float("nan")}, {"dials": (0.01, float("inf"))}, {"minute": float("nan")}]
)
def test_values_that_are_no_numbers_are_refused(changes: dict[str, object]) -> None:
    record = altered(whole(), 4, **changes)
    found = finding(record, "not a number")
    assert (found.consequence, found.readings) == ("refused", (4,))


# --- unknown cycles, loads and anchors -----------------------------------------------------------


@pytest.mark.parametrize(
    "changes", [{"cycle": 9}, {"target": 0.6}, {"cycle": 0}, {"phase": "unloading"}]
)
def test_a_reading_of_no_step_is_refused(changes: dict[str, object]) -> None:
    record = altered(whole(), 4, **changes)
    found = finding(record, "unknown step")
    assert (found.consequence, found.readings) == ("refused", (4,))


def test_shares_as_crews_write_them_are_known() -> None:
    record = each(whole(), lambda r: replace(r, target=4 / 3) if r.target == 1.33 else r)
    assert judged(record).decision == "accepted"


def test_unknown_and_doubled_anchors_are_refused_by_name() -> None:
    register = ["A-1-001", "A-1-002", "A-1-003", "A-1-003"]
    found = anchor_faults(["A-1-001", "A-1-0O2", "A-1-003", "A-1-001"], register)
    assert [(f.code, f.consequence) for f in found] == [
        ("unknown anchor", "refused"), ("duplicate anchor", "refused"), ("duplicate anchor", "refused"),
    ]  # fmt: skip
    assert "did you mean A-1-002" in found[0].words
    assert "'A-1-003'" in found[1].words
    assert "'A-1-001'" in found[2].words
    assert anchor_faults(["A-1-001", "A-1-002"], register) == ()


# --- jack, gauge, certificate --------------------------------------------------------------------


def test_a_certificate_good_on_its_last_day_and_expired_on_the_next() -> None:
    for ends, decision in ((date(2026, 3, 2), "accepted"), (date(2026, 3, 1), "cannot be judged")):
        record = record_of(Model(jack=jack(expires=ends)), PROOF)
        assert judged(record).decision == decision
    found = finding(record, "certificate expired")
    assert (found.consequence, found.withholds) == ("judged", True)
    assert "good to 2026-03-01" in found.words


def test_a_certificate_older_than_the_rule_allows_is_expired() -> None:
    for issued, decision in (
        (date(2025, 9, 2), "accepted"),
        (date(2025, 9, 1), "cannot be judged"),
    ):
        record = record_of(Model(jack=jack(on=issued)), PROOF)
        assert judged(record).decision == decision
    assert finding(record, "certificate expired").withholds


def test_a_certificate_issued_after_the_test_withholds_acceptance() -> None:
    record = record_of(Model(jack=jack(on=date(2026, 3, 3))), PROOF)
    assert finding(record, "not yet calibrated").withholds
    assert judged(record).decision == "cannot be judged"


def test_without_a_day_the_certificate_cannot_be_held_against_anything() -> None:
    record = each(replace(whole(), on=None), lambda r: replace(r, at=None))
    assert finding(record, "no test day").withholds
    assert judged(record).decision == "cannot be judged"
    by_clock = replace(whole(), on=None)
    assert judged(by_clock).decision == "accepted"


def test_an_anchor_that_fails_fails_with_an_expired_certificate_too() -> None:
    record = record_of(
        Model(creep=0.003, jack=jack(expires=date(2026, 3, 1))), PROOF, extended=True
    )
    assert judged(record).decision == "not accepted"


def test_pressure_beyond_the_certificate_is_refused_and_at_its_end_is_not() -> None:
    top = max(r.gauge or 0.0 for r in whole().readings)
    for most, decision in ((top, "accepted"), (top * 0.999, "cannot be judged")):
        record = record_of(Model(jack=jack(points=line(most=most))), PROOF)
        assert judged(record).decision == decision
    assert finding(record, "beyond calibration").consequence == "refused"


def test_points_off_their_line_withhold_acceptance() -> None:
    points = tuple(
        replace(p, load=p.load * (1.0 + (0.06 if k % 2 else -0.06))) for k, p in enumerate(line())
    )
    record = record_of(Model(jack=jack(points=points)), PROOF)
    assert finding(record, "poor calibration").withholds


def test_load_beyond_the_jack_is_refused_and_says_stop() -> None:
    for capacity, decision in ((598.5, "accepted"), (598.0, "cannot be judged")):
        record = record_of(Model(jack=jack(capacity=capacity)), PROOF)
        assert judged(record).decision == decision
    found = finding(record, "jack capacity")
    assert found.stop
    assert judged(record).next[0].action == "stop"


def test_load_beyond_the_test_stress_is_a_danger_and_comes_first() -> None:
    for strength, decision in ((598.5 / 0.8, "accepted"), (598.0 / 0.8, "cannot be judged")):
        record = record_of(Model(anchor=anchor(strength=strength)), PROOF)
        assert judged(record).decision == decision
    result = judged(record)
    assert result.findings[0].code == "overstress"
    assert result.findings[0].stop
    assert result.next[0].action == "stop"
    assert "nobody behind the jack" in result.next[0].words


def test_load_beyond_the_test_load_is_said() -> None:
    record = whole()
    at = number(record, 1.33, 10.0)
    more = altered(record, at, gauge=(record.readings[at - 1].gauge or 0.0) * 1.03)
    assert "not to be exceeded" in finding(more, "off target").effect


def test_movement_beyond_the_stroke_is_refused() -> None:
    total = max(p.movement for p in judged(whole()).evaluation.points)
    for stroke, decision in ((total, "accepted"), (total * 0.99, "cannot be judged")):
        record = record_of(Model(jack=jack(stroke=stroke)), PROOF)
        assert judged(record).decision == decision
    assert finding(record, "stroke").consequence == "refused"


def test_a_cell_and_a_gauge_that_differ_withhold_acceptance() -> None:
    loads = [p.load for p in judged(whole()).evaluation.points]

    def with_cell(share: float) -> TestRecord:
        record = whole()
        return replace(
            record,
            readings=tuple(
                replace(r, load=p, gauge=(r.gauge or 0.0) * share)
                for r, p in zip(record.readings, loads, strict=True)
            ),
        )

    assert judged(with_cell(1.0)).decision == "accepted"
    assert judged(with_cell(1.095)).decision == "accepted"
    assert finding(with_cell(1.15), "gauges differ").withholds


# --- units ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("factor", "meant", "entered"),
    [
        (1 / PSI, "psi", "kPa"), (PSI, "kPa", "psi"), (1 / 100, "bar", "kPa"), (100, "kPa", "bar"),
        (100 / PSI, "psi", "bar"), (PSI / 100, "bar", "psi"), (1e-3, "MPa", "kPa"),
    ],
)  # fmt: skip
def test_pressures_in_the_wrong_unit_are_named(factor: float, meant: str, entered: str) -> None:
    record = each(whole(), lambda r: replace(r, gauge=(r.gauge or 0.0) * factor))
    found = finding(record, "pressure unit")
    assert found.consequence == "refused"
    assert f"if {meant} was read and {entered} entered" in found.words
    assert judged(record).decision == "cannot be judged"


def test_one_pressure_in_the_wrong_unit_is_named_by_its_number() -> None:
    record = whole()
    wrong = altered(record, 5, gauge=(record.readings[4].gauge or 0.0) / PSI)
    assert finding(wrong, "pressure unit").readings == (5,)


@pytest.mark.parametrize(
    ("factor", "meant", "entered"),
    [
        (KIP, "kN", "kip"),
        (1 / KIP, "kip", "kN"),
        (1 / 9.80665, "tonne", "kN"),
        (1000.0, "N", "kN"),
    ],
)
def test_loads_in_the_wrong_unit_are_named(factor: float, meant: str, entered: str) -> None:
    loads = [p.load for p in judged(whole()).evaluation.points]
    record = whole()
    cells = replace(
        record,
        readings=tuple(
            replace(r, gauge=None, load=p * factor)
            for r, p in zip(record.readings, loads, strict=True)
        ),
    )
    assert f"if {meant} was read and {entered} entered" in finding(cells, "load unit").words


@pytest.mark.parametrize(
    ("factor", "meant", "entered"),
    [(1 / 25.4, "in", "mm"), (25.4, "mm", "in"), (1e-3, "m", "mm"), (1e3, "mm", "m")],
)
@pytest.mark.parametrize("free", [4.5, 6.0, 25.0])
def test_movements_in_the_wrong_unit_are_named(
    factor: float, meant: str, entered: str, free: float
) -> None:
    good = record_of(Model(anchor=anchor(free_length=free), jack=jack(stroke=1e3)), PROOF)
    record = each(good, lambda r: replace(r, dials=tuple(d * factor for d in r.dials)))
    found = finding(record, "movement unit")
    assert f"if {meant} was read and {entered} entered" in found.words
    assert "movement unit" not in {f.code for f in judged(good).findings}


@pytest.mark.parametrize("free", [3.0, 6.0, 15.0, 40.0])
@pytest.mark.parametrize("bond", [60.0, 100.0, 250.0, 5000.0])
def test_anchors_of_all_kinds_are_not_taken_for_wrong_units(free: float, bond: float) -> None:
    record = record_of(
        Model(anchor=anchor(free_length=free, bond_length=12.0), jack=jack(stroke=1.0), bond=bond),
        PROOF,
    )
    assert "movement unit" not in {f.code for f in judged(record).findings}


@pytest.mark.parametrize("units", [PRESSURE_UNITS, LOAD_UNITS, MOVEMENT_UNITS, METRES])
def test_every_pair_of_units_is_told_from_every_other(units: dict[str, float]) -> None:
    match = 1.05
    pairs = {
        (meant, entered): other / one
        for meant, one in units.items()
        for entered, other in units.items()
        if not 0.25 < other / one < 4.0
    }
    for pair, ratio in pairs.items():
        alike = [p for p, r in pairs.items() if r == pytest.approx(ratio)]
        assert pair in alike
        assert mistaken(ratio, units, match) in alike
    for near in (0.3, 0.5, 1.0, 2.0, 3.0):
        assert mistaken(near, units, match) is None
    assert mistaken(-1.0, units, match) is None


@pytest.mark.parametrize("share", [0.3, 0.45, 0.5, 0.6, 0.75])
@pytest.mark.parametrize("cell", [True, False])
def test_an_anchor_that_gives_way_is_not_taken_for_wrong_units(share: float, cell: bool) -> None:
    record = whole()
    last = record.readings[7]
    loads = [p.load for p in judged(record).evaluation.points]
    read = [
        replace(r, gauge=None if cell else r.gauge, load=p if cell else None)
        for r, p in zip(record.readings, loads, strict=True)
    ]
    gone = replace(
        read[7], gauge=None if cell else (last.gauge or 0.0) * share,
        load=loads[7] * share if cell else None, dials=tuple(d + 0.05 for d in last.dials),
    )  # fmt: skip
    result = judged(replace(record, readings=(*read[:7], gone)))
    assert result.decision == "not accepted"
    assert not {"pressure unit", "load unit", "movement unit"} & {f.code for f in result.findings}


# --- holds ---------------------------------------------------------------------------------------


def test_a_step_left_out_is_incomplete_and_never_accepted() -> None:
    record = whole()
    gone = without(record, *(r.number for r in record.readings if r.target == 0.75))
    found = finding(gone, "skipped hold")
    assert found.withholds
    assert "0.75" in found.words
    assert judged(gone).decision == "cannot be judged"


def test_a_hold_cut_short_is_incomplete_and_never_accepted() -> None:
    record = whole()
    short = without(record, number(record, 1.33, 10.0))
    assert finding(short, "short hold").withholds
    assert judged(short).decision == "cannot be judged"


def test_a_missing_minute_inside_the_hold_is_said() -> None:
    record = whole()
    gap = without(record, number(record, 1.33, 5.0))
    found = finding(gap, "missing minute")
    assert (found.consequence, found.withholds) == ("judged", False)
    assert "minute 5" in found.words
    assert judged(gap).decision == "accepted"


def test_the_first_minute_missed_leaves_no_verdict() -> None:
    record = whole()
    gap = without(record, number(record, 1.33, 1.0))
    result = judged(gap)
    assert result.decision == "cannot be judged"
    assert any("cannot be had" in o.words for o in result.waiting)


def test_a_minute_a_limit_counts_to_is_found_between_its_neighbours() -> None:
    record = whole()
    at = number(record, 1.33, 10.0)
    late = altered(record, at, minute=12.0, at=None)
    result = judged(late)
    check = next(c for c in result.checks if c.id == "test.creep-1-10")
    assert "minute 10 was not read" in check.note
    assert "missing minute" in [f.code for f in result.findings]


@pytest.mark.parametrize(("share", "decision"), [(0.02, "accepted"), (0.021, "cannot be judged")])
def test_a_fall_of_load_in_the_judged_hold(share: float, decision: str) -> None:
    """At the tolerance the load is held; beyond it creep is doubtful. A short stiff free length
    keeps what the fall may hide below the limit of creep, so that only the fall itself decides."""
    model = Model(anchor=anchor(free_length=1.0, area=840e-6), creep=0.0001)
    record = record_of(model, PROOF)
    at = number(record, 1.33, 10.0)
    P_0, area = record.jack.calibration.line
    fallen = altered(record, at, gauge=(598.5 * (1.0 - share) - P_0) / area)
    result = judged(fallen)
    assert result.decision == decision
    assert ("load drop" in {f.code for f in result.findings}) == (share > 0.02)


def test_a_fall_within_tolerance_that_may_hide_too_much_withholds_acceptance() -> None:
    """1.9 % of 598.5 kN over 6 m hides 0.83 mm: 0.3 mm of creep read may be 1.1 mm."""
    record = whole()
    at = number(record, 1.33, 10.0)
    P_0, area = record.jack.calibration.line
    fallen = altered(record, at, gauge=(598.5 * 0.981 - P_0) / area)
    found = finding(fallen, "hidden creep")
    assert found.withholds
    assert judged(fallen).decision == "cannot be judged"
    little = altered(record, at, gauge=(598.5 * 0.99 - P_0) / area)
    assert judged(little).decision == "accepted"


def test_a_hold_begun_anew_counts_from_its_own_start() -> None:
    record = record_of(Model(creep=0.0005), PERFORMANCE)
    at = number(record, 1.33, 10.0)
    P_0, area = record.jack.calibration.line
    fallen = altered(record, at, gauge=(598.5 * 0.95 - P_0) / area)
    assert judged(fallen).decision == "cannot be judged"
    hold = [r for r in record.readings if r.target == 1.33]
    shift = hold[-1].dials[0] - hold[0].dials[0]
    anew = tuple(
        replace(
            r, number=at + 1 + k, dials=tuple(d + shift for d in r.dials), at=None,
        )
        for k, r in enumerate(hold)
    )  # fmt: skip
    rest = tuple(
        replace(r, number=r.number + len(anew), at=None, dials=tuple(d + shift for d in r.dials))
        for r in record.readings[at:]
    )
    again = replace(fallen, readings=(*fallen.readings[:at], *anew, *rest))
    result = judged(again)
    assert "held anew" in {f.code for f in result.findings}
    assert result.decision == "accepted"


def test_a_step_held_too_long_is_said() -> None:
    record = record_of(Model(), PERFORMANCE)
    at = number(record, 1.20, 0.0)
    wait = replace(record.readings[at - 1], number=at + 1, phase="hold", minute=4.0, at=None)
    rest = tuple(replace(r, number=r.number + 1) for r in record.readings[at:])
    longer = replace(record, readings=(*record.readings[:at], wait, *rest))
    assert finding(longer, "long hold").consequence == "judged"


def test_a_load_far_from_its_target_is_said() -> None:
    record = whole()
    off = altered(record, 4, gauge=(record.readings[3].gauge or 0.0) * 0.8)
    found = finding(off, "off target")
    assert found.readings == (4,)


# --- how findings are put ------------------------------------------------------------------------


def test_findings_are_ordered_by_weight() -> None:
    plain = Finding(code="off target", words="a", effect="b")
    held = replace(plain, code="clock", withholds=True)
    no = refused("no load", "a", "b", 1)
    stop = replace(plain, code="overstress", stop=True)
    assert by_weight([plain, held, no, stop, plain]) == (stop, no, held, plain)


def test_a_finding_reads_as_one_sentence() -> None:
    many = refused("order", "the numbers do not rise", "put them in order", *range(1, 10))
    assert many.text == (
        "order (readings 1, 2, 3, 4, 5, 6 and 3 more): the numbers do not rise: refused, put them in order"
    )
    assert refused("no load", "a", "b", 4).text == "no load (reading 4): a: refused, b"


def test_every_code_is_met_by_a_test_of_this_folder() -> None:
    folder = Path(__file__).parent
    text = "".join(path.read_text() for path in sorted(folder.glob("test_*.py")))
    missing = [code for code in get_args(FindingCode) if f'"{code}"' not in text]
    assert not missing
