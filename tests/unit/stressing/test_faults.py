"""Bad input: every fault of a record is seen, named, and refused or judged with its consequence."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import get_args

import pytest

from backstay.stressing.faults import anchor_faults, by_weight
from backstay.stressing.findings import Finding, FindingCode, refused
from tests.unit.stressing.faulty import PERFORMANCE, each, finding, judged, number, whole
from tests.unit.stressing.synthetic import BEGIN, Model, altered, record_of


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


def test_numbers_and_steps_out_of_order_are_told_apart() -> None:
    """The same readings in the same order with two numbers exchanged: only the numbers are wrong."""
    record = whole()
    a, b = record.readings[4], record.readings[5]
    numbered = (*record.readings[:4], replace(a, number=b.number), replace(b, number=a.number))
    orders = [
        f for f in judged(replace(record, readings=(*numbered, *record.readings[6:]))).findings
        if f.code == "order"
    ]  # fmt: skip
    assert [(f.words, f.readings) for f in orders] == [
        ("the numbers of the readings do not rise", (a.number,))
    ]
    assert orders[0].consequence == "refused"
