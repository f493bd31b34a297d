"""Readings and the register as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta, timezone

import pytest

from backstay.records import JackCertified, Records, RefusedError
from tests.unit.records.wall import BY, JACK, begun, fill, planned, readings

A = "A-1-001"


def awkward() -> list[object]:
    east = timezone(timedelta(hours=5, minutes=30))
    first, *rest = readings()
    return [
        replace(first, dials=(0.1 + 0.2, -1e-17, 5e-324), gauge=1e22, reference=-0.0,
                at=datetime(2024, 3, 1, 7, 5, 3, 123456, tzinfo=east)),
        replace(rest[0], dials=(), gauge=None, load=1 / 3, at=None, remark='a, "b";\n2nd'),
        *rest[1:],
    ]  # fmt: skip


def test_readings_come_back_the_same(records: Records, either: Callable[[], Records]) -> None:
    other = either()
    for store in (records, other):
        store.add_all([JackCertified(jack=JACK), planned(), begun()], by=BY, exception="test")
    records.add_readings(A, awkward(), by=BY)
    text = records.readings_csv()
    assert other.add_readings_csv(text, by=BY) == 10
    assert other.test_record(A).readings == records.test_record(A).readings
    assert other.readings_csv(A) == text
    shown = records.test_record(A).readings
    assert shown[0].dials == (0.1 + 0.2, -1e-17, 5e-324)
    assert shown[0].at is not None
    assert shown[0].at.utcoffset() == timedelta(hours=5, minutes=30)
    assert shown[1].load == 1 / 3


def test_corrected_readings_are_written_as_corrected(records: Records) -> None:
    fill(records)
    records.withdraw_reading(A, 3, by=BY, reason="twice")
    records.correct_reading(A, replace(readings()[4], minute=2.5), by=BY, reason="late")
    rows = list(csv.DictReader(io.StringIO(records.readings_csv())))
    assert [row["number"] for row in rows] == ["1", "2", "4", "5", "6", "7", "8", "9", "10"]
    assert rows[3]["minute [min]"] == "2.5"


def test_the_register_as_a_table(records: Records) -> None:
    fill(records, (A, "A-1-002"))
    rows = list(csv.DictReader(io.StringIO(records.register_csv())))
    assert [(r["anchor"], r["state"], r["verdict"], r["readings"]) for r in rows] == [
        (A, "lifted off", "accepted", "10"), ("A-1-002", "lifted off", "accepted", "10"),
    ]  # fmt: skip
    assert float(rows[0]["greatest load [kN]"]) == pytest.approx(532.0)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("gauge [kPa]", "gauge [psi]", "line 1: the columns must be anchor, test"),
        ("loading,0.0", "loading,soon", r"line 2, minute \[min\]: a number is wanted, not 'soon'"),
        ("A-1-001,1,2,", "A-1-001,1,two,", "line 3, number: a whole number is wanted"),
        ("A-1-001,1,2,", "A-1-001,1,1,", "reading 1 is given twice"),
        ("A-1-001,1,2,", "A-9,1,2,", "no anchor 'A-9'"),
        ("A-1-001,1,2,", "A-1-001,7,2,", "there is no test 7"),
        ("A-1-001,1,2,", "A-1-001,1,2,2,", "line 3: 15 cells, where the head has 14"),
        ("loading,0.0", "resting,0.0", "reading 1: phase is one of"),
        ("2024-03-02T08:00:00+00:00", "noon", "line 2, at: a date with time and zone"),
        ("2024-03-02T08:00:00+00:00", "2024-03-02T08:00:00", "at has no time zone"),
        ("loading,0.0", "loading,nan", "minute is not a finite number"),
    ],
)
def test_a_table_with_a_fault_adds_nothing(
    records: Records, old: str, new: str, words: str
) -> None:
    from backstay.records.tabular import readings_csv

    records.add_all([JackCertified(jack=JACK), planned(), begun()], by=BY, exception="test")
    before = records.last()
    text = readings_csv([(A, 1, readings())])
    assert old in text
    with pytest.raises(RefusedError, match=words):
        records.add_readings_csv(text.replace(old, new, 1), by=BY)
    assert records.last() == before
    assert records.add_readings_csv("\ufeff" + text.replace("\n", "\r\n"), by=BY) == 10
