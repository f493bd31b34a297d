"""Jack, gauge and certificate: what is read beyond them or without them, and its consequence."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from backstay.stressing.record import TestRecord
from tests.unit.stressing.faulty import PROOF, each, finding, judged, number, whole
from tests.unit.stressing.invented import anchor, jack, line
from tests.unit.stressing.synthetic import Model, altered, record_of


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


def test_pressure_below_the_certificate_is_said_and_judged() -> None:
    """The first point is 10 MPa of 70: the alignment load of 45 kN is at 3.7 MPa, and nothing else."""
    record = whole()
    low = [r.number for r in record.readings if (r.gauge or 0.0) < 10e3 * (1.0 - 1e-6)]
    found = finding(record, "below calibration")
    assert (list(found.readings), found.withholds) == (low, False)
    assert 0 < len(low) < len(record.readings)
    reached = record_of(Model(jack=jack(points=line(most=20e3) + line(most=70e3))), PROOF)
    assert "below calibration" not in {f.code for f in judged(reached).findings}


def test_a_certificate_issued_on_the_day_of_the_test_is_good() -> None:
    same = record_of(Model(jack=jack(on=date(2026, 3, 2))), PROOF)
    assert judged(same).decision == "accepted"
    assert "not yet calibrated" not in {f.code for f in judged(same).findings}
