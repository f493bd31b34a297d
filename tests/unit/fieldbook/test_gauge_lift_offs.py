"""Lift-offs read at the gauge of a jack: kept as read, and what they are in loads by its line."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from backstay.errors import ProjectError
from backstay.fieldbook.after_lock_off import after_lock_off
from backstay.fieldbook.book_reading import book_text
from backstay.fieldbook.entering import enter_book
from backstay.fieldbook.entry_words import entry_words
from backstay.fieldbook.forms import fields_of, record_form
from backstay.fieldbook.judged import JudgedTest, judged_tests
from backstay.quantity import UnitSystem
from backstay.records import JackCertified, LiftedOff, Records, RefusedError
from backstay.records.entries import Entry
from backstay.report.field.anchor_paper import paper_of
from backstay.stressing.jack import Calibration, CalibrationPoint, Jack
from backstay.stressing.judge import judge
from backstay.stressing.rules import TestRules
from backstay.stressing.rules_us import US_RULES
from tests.unit.fieldbook.locked import DAY, SEATED, A, record_later
from tests.unit.fieldbook.test_lift_offs import movement
from tests.unit.records.wall import BY, JACK, START

P_0, AREA = 2.0, 0.0245
"""The line of the certificate: load (kN) at no pressure, and its slope (m2)."""
MONO = replace(
    JACK, name="M-1", gauge="G-3", ram_area=0.0048, capacity=250.0,
    calibration=Calibration(
        certificate="C-M", on=date(2024, 2, 1), expires=date(2024, 8, 1),
        points=tuple(CalibrationPoint(p, 0.5 + 0.0047 * p) for p in (0.0, 20e3, 40e3)),
    ),
)  # fmt: skip
LOADS = tuple(range(200, 420, 20))


def pressure(load: float) -> float:
    """Return the pressure (kPa) at which the jack of the test gives a load."""
    return (load - P_0) / AREA


def steeper(jack: Jack, by: float, **changes: object) -> Jack:
    """Return a jack whose line is as much steeper."""
    paper = jack.calibration
    points = tuple(CalibrationPoint(p.pressure, by * p.load) for p in paper.points)
    return replace(jack, calibration=replace(paper, points=points, **changes))  # type: ignore[arg-type]


@pytest.fixture
def records(records: Records) -> Records:
    record_later(records, (timedelta(0), SEATED))
    records.add(JackCertified(jack=MONO), by=BY, on=START)
    return records


def enter(
    records: Records, what: str, *, on: str = f"{START.date()} 12:00",
    rules: TestRules | None = US_RULES,
) -> int:  # fmt: skip
    text = (
        "field_book: B\nunits: SI\nzone: '+00:00'\nlifted_off:\n"
        f"  - {{anchor: {A}, on: {on}, {what}}}\n"
    )
    book = book_text(text, "b.yaml", None)
    return enter_book(book, records, by=BY, now=datetime.now(UTC), rules=rules).new


def kept(records: Records) -> LiftedOff:
    fact = records.anchor(A).of(LiftedOff)[-1].fact
    assert fact is not None
    return fact


def judged(records: Records) -> JudgedTest:
    return next(judged_tests(records, US_RULES, records.register()))


def standing(records: Records) -> str:
    one = judged(records)
    assert one.lift_off is not None
    return one.lift_off.standing


def certified(records: Records, name: str) -> Entry[Any]:
    """Return the entry of the certificate of a jack."""
    for number in range(1, records.last()[0] + 1):
        with suppress(RefusedError):  # a procedure is shown with its test
            entry = records.entry(number)
            if isinstance(entry.fact, JackCertified) and entry.fact.jack.name == name:
                return entry
    raise AssertionError(name)


@pytest.mark.parametrize(
    ("load", "stands"),
    [(304.1, "in tolerance"), (303.9, "too low"), (335.9, "in tolerance"), (336.1, "too high")],
)
def test_the_gauge_as_read_is_kept_and_its_load_judged(
    records: Records, load: float, stands: str
) -> None:
    """5 % of 320 kN: from 304 to 336 kN (UFGS 02490, published), by 2 kN + 0.0245 m2 of pressure."""
    assert enter(records, f"gauge: {pressure(load):.6f} kPa") == 1
    fact = kept(records)
    assert fact.gauge == pytest.approx(pressure(load))
    assert fact.load == pytest.approx(load)
    assert (fact.jack, fact.certificate) == ("J-7", "C-2024-14"), "that of the test"
    one = judged(records)
    assert one.lift_off is not None
    assert one.lift_off.standing == stands
    assert "read at the gauge of jack J-7, certificate C-2024-14" in one.lift_off.reason
    entry = records.anchor(A).of(LiftedOff)[-1]
    assert "gauge " in entry_words(entry, UnitSystem.SI)
    assert "bar" in entry_words(entry, UnitSystem.SI)


def test_in_other_units(records: Records) -> None:
    enter(records, "gauge: 1820 psi, jack: J-7, certificate: C-2024-14")
    assert kept(records).gauge == pytest.approx(1820 * 6.894757, rel=1e-6)
    assert kept(records).load == pytest.approx(P_0 + AREA * 1820 * 6.894757, rel=1e-6)


def test_strand_by_strand_with_a_jack_of_its_own(records: Records) -> None:
    """80.5 kN by each of four strands; a strand that took no pressure carries nothing."""
    each = (80.5 - 0.5) / 0.0047
    enter(records, f"strand_gauges: {[f'{each} kPa'] * 4}, jack: M-1")
    fact = kept(records)
    assert fact.strand_gauges == pytest.approx([each] * 4)
    assert (fact.strands, fact.load) == ((), pytest.approx(322.0))
    (entry,) = records.anchor(A).lift_offs()
    assert entry.fact is not None
    assert entry.fact.strands == pytest.approx([80.5] * 4)
    one = judged(records)
    assert one.lift_off is not None
    assert one.lift_off.standing == "in tolerance"
    assert one.lift_off.spread == pytest.approx(0.0, abs=1e-9)
    paper = paper_of(one.file, one.record, one.judgement, lift_off=one.lift_off, after=one.after)
    assert paper.lifted_off is not None
    assert paper.lifted_off.strands == pytest.approx([80.5] * 4)
    slack = [f"{p} kPa" for p in (each, 0, each, each)]
    enter(records, f"strand_gauges: {slack}, jack: M-1", on=f"{START.date()} 13:00")
    assert kept(records).load == pytest.approx(3 * 80.5)


@pytest.mark.parametrize(
    ("lifts_at", "stands"),
    [(306.0, "in tolerance"), (302.0, "too low"), (334.0, "in tolerance"), (338.0, "too high")],
)
def test_gauges_with_movements_tell_what_loads_would(
    records: Records, lifts_at: float, stands: str
) -> None:
    gauges = [f"{pressure(load):.4f} kPa" for load in LOADS]
    moved = [round(movement(load, lifts_at), 2) for load in LOADS]
    assert enter(records, f"gauges: {gauges}, movements: {moved}") == 1
    fact = kept(records)
    assert fact.load == pytest.approx(lifts_at, abs=0.5)
    assert fact.loads == ()
    assert fact.gauges == pytest.approx([pressure(load) for load in LOADS], rel=1e-6)
    assert standing(records) == stands
    assert enter(records, f"gauges: {gauges}, movements: {moved}") == 0, "recognised"
    with pytest.raises(ProjectError, match="by the rules of the project"):
        enter(records, f"gauges: {gauges}, movements: {moved}", on="2024-03-03", rules=None)


@pytest.mark.parametrize(
    ("what", "words"),
    [
        ("gauge: 40001 kPa", "says nothing beyond"),
        ("gauges: [9, 10, 11, 12, 500 MPa], movements: [1, 2, 3, 4, 5]", "at most|says nothing"),
        ("strand_gauges: [16 MPa, 41 MPa], jack: M-1", "strand 2.*says nothing beyond"),
        ("gauge: 0", "more than|greater than"),
        ("gauge: 12 MPa, jack: J-8", "there is no jack 'J-8'; there are: J-7, M-1"),
        ("gauge: 12 MPa, certificate: C-9", "has no certificate C-9; there are: C-2024-14"),
        ("gauge: 12 MPa, load: 320", "one of them"),
        ("gauge: 12 MPa, strands: [160, 160]", "one of them"),
        ("strand_gauges: [0, 0], jack: M-1", "carry nothing together"),
        ("gauges: [12 MPa], movements: [1, 2]", "one movement for each load"),
        ("gauges: [12 MPa], loads: [300], movements: [1]", "one of both"),
    ],
)  # fmt: skip
def test_a_gauge_that_tells_no_load_is_refused(records: Records, what: str, words: str) -> None:
    before = records.last()
    with pytest.raises(ProjectError, match=words):
        enter(records, what)
    assert records.last() == before


def test_a_lift_off_before_the_test_names_its_jack(records: Records) -> None:
    with pytest.raises(ProjectError, match="name the jack"):
        enter(records, "gauge: 12 MPa, exception: of before", on="2024-03-01 10:00")


def test_the_certificate_of_the_day_counts_and_a_younger_one_changes_nothing(
    records: Records,
) -> None:
    enter(records, f"gauge: {pressure(320.0)} kPa", on="2024-03-20")
    young = steeper(JACK, 1.1, certificate="C-2024-77", on=date(2024, 4, 1))
    records.add(JackCertified(jack=young), by=BY, on=START + 30 * DAY)
    enter(records, f"gauge: {pressure(320.0)} kPa", on="2024-04-20")
    first, second = (e.fact for e in records.anchor(A).of(LiftedOff))
    assert first is not None
    assert second is not None
    assert (first.certificate, second.certificate) == ("C-2024-14", "C-2024-77")
    assert (first.load, second.load) == pytest.approx((320.0, 352.0))
    assert enter(records, f"gauge: {pressure(320.0)} kPa", on="2024-03-20") == 0, "recognised"
    with pytest.raises(ProjectError, match="no certificate that was issued by 2024-01-20"):
        enter(records, "gauge: 12 MPa, jack: J-7", on="2024-01-20")


def test_a_certificate_that_is_corrected_counts_for_what_was_read(records: Records) -> None:
    """The line was a tenth too flat: 320 kN were 352 kN, too high, on every paper."""
    enter(records, f"gauge: {pressure(320.0)} kPa")
    jack = certified(records, "J-7")
    records.correct(jack.id, JackCertified(jack=steeper(JACK, 1.1)), by=BY, reason="misprinted")
    assert kept(records).load == pytest.approx(320.0), "as it was recorded"
    assert standing(records) == "too high"
    (line,) = records.register()
    assert line.lift_off_load == pytest.approx(352.0)
    one = judged(records)
    paper = paper_of(one.file, one.record, one.judgement, lift_off=one.lift_off, after=one.after)
    assert paper.lifted_off is not None
    assert paper.lifted_off.load == pytest.approx(352.0)
    found = after_lock_off(one.file, one.record, judge(one.record, US_RULES), US_RULES)
    assert found is not None
    assert found.loads is not None
    assert found.loads.points[-1].load == pytest.approx(352.0)
    assert enter(records, f"gauge: {pressure(320.0)} kPa") == 0, "what was read is the same"


def test_readings_follow_a_certificate_that_is_corrected(records: Records) -> None:
    gauges = [f"{pressure(load)} kPa" for load in LOADS]
    moved = [round(movement(load, 306.0), 3) for load in LOADS]
    enter(records, f"gauges: {gauges}, movements: {moved}")
    jack = certified(records, "J-7")
    records.correct(jack.id, JackCertified(jack=steeper(JACK, 0.97)), by=BY, reason="misprinted")
    assert standing(records) == "too low"
    one = judged(records)
    assert one.after is not None
    assert one.after.loads is not None
    assert one.after.loads.points[-1].load == pytest.approx(0.97 * 306.0, abs=0.5)


@pytest.mark.parametrize(("on", "stands"), [("2024-08-01", True), ("2024-08-02", False)])
def test_an_expired_certificate_withholds_what_was_read(
    records: Records, on: str, stands: bool
) -> None:
    enter(records, f"gauge: {pressure(320.0)} kPa", on=f"{on} 09:00")
    one = judged(records)
    assert one.lift_off is not None
    assert (one.lift_off.standing == "in tolerance") is stands
    if not stands:
        assert one.lift_off.standing == "cannot be told"
        assert "good to 2024-08-01" in one.lift_off.reason
        assert "calibrated" in one.lift_off.next[0].words
        assert not one.accepted


def test_a_certificate_corrected_to_cover_less_tells_nothing_beyond(records: Records) -> None:
    enter(records, f"gauge: {pressure(320.0)} kPa")
    jack = certified(records, "J-7")
    short = replace(JACK.calibration, points=JACK.calibration.points[:2])
    records.correct(
        jack.id, JackCertified(jack=replace(JACK, calibration=short)), by=BY, reason="page 1 alone"
    )
    assert standing(records) == "cannot be told"


def test_the_jack_of_a_lift_off_is_not_withdrawn(records: Records) -> None:
    enter(records, "strand_gauges: [17 MPa, 17 MPa, 17 MPa, 17 MPa], jack: M-1")
    jack = certified(records, "M-1")
    with pytest.raises(RefusedError, match="a lift-off was read with this jack"):
        records.withdraw(jack.id, by=BY, reason="not ours")
    lifted = records.anchor(A).of(LiftedOff)[-1]
    records.withdraw(lifted.id, by=BY, reason="not read")
    records.withdraw(jack.id, by=BY, reason="not ours")


def test_a_book_may_bring_the_jack_and_what_was_read_with_it(records: Records) -> None:
    points = [{"pressure": f"{p} kPa", "load": f"{2 + 0.0245 * p} kN"} for p in (0, 20000, 40000)]
    text = (
        "field_book: B\nunits: SI\nzone: '+00:00'\njacks:\n"
        "  - name: J-9\n    gauge: G-9\n    ram_area: 25000\n    capacity: 1500\n    stroke: 250\n"
        "    calibration: {certificate: C-9, on: 2024-02-20, expires: 2024-08-01, "
        f"points: {points}}}\nlifted_off:\n"
        f"  - {{anchor: {A}, on: {START.date()} 12:00, gauge: {pressure(320.0)} kPa, jack: J-9}}\n"
    )
    book = book_text(text, "b.yaml", None)
    assert enter_book(book, records, by=BY, now=datetime.now(UTC), rules=US_RULES).new == 2
    assert kept(records).certificate == "C-9"
    assert kept(records).load == pytest.approx(320.0)


def test_a_form_takes_what_a_book_takes(records: Records) -> None:
    form = {"on": f"{START.date()} 12:00 +00:00", "gauge": f"{pressure(320.0)} kPa"}
    now = START + timedelta(days=30)
    assert record_form("lifted_off", A, form, records, UnitSystem.SI, by=BY, now=now).new == 1
    assert enter(records, f"gauge: {pressure(320.0)} kPa") == 0, "it is the same as in a book"
    gauges = ", ".join(f"{pressure(load)} kPa" for load in LOADS)
    moved = ", ".join(f"{movement(load, 306.0):.2f}" for load in LOADS)
    form = {"on": f"{START.date()} 13:00 +00:00", "gauges": gauges, "movements": moved}
    done = record_form(
        "lifted_off", A, form, records, UnitSystem.SI, by=BY, now=now, rules=US_RULES
    )
    assert done.new == 1
    fields = {field.key: field for field in fields_of("lifted_off", UnitSystem.US)}
    for key, several in (("gauge", False), ("strand_gauges", True), ("gauges", True)):
        assert (fields[key].unit, fields[key].several) == ("psi", several)
