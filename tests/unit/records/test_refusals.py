"""Every misuse has one clear message, and nothing of it is recorded."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from backstay.records import (
    Drilled,
    JackCertified,
    Records,
    RecordsError,
    RefusedError,
    Remark,
    Replaced,
    StratumMet,
    Submittal,
    open_records,
)  # fmt: skip
from tests.unit.records.conftest import NOW
from tests.unit.records.wall import (
    BY,
    DESIGN,
    JACK,
    begun,
    drilled,
    planned,
    readings,
    submittal,
    tendon,
)  # fmt: skip

A = "A-1-001"
WRONG: list[tuple[object, str]] = [
    (planned("B", 3, design=None), "design: input should be an object, not None"),
    (planned("B", 3, row="x"), "row: input should be a valid integer, not 'x'"),
    (planned("B\nC", 3), "anchor must be one line of text"),
    (planned(" B", 3), "anchor must be a name"),
    (planned("", 3), "anchor must be a name"),
    (planned("B" * 201, 3), "anchor is longer than 200 characters"),
    (planned(5, 3), "anchor: input should be a valid string, not 5"),  # type: ignore[arg-type]
    (planned(), "this anchor is in the register already"),
    (planned("B"), "A row 1 number 1 is in the register already, as A-1-001"),
    (planned("B", 3, replaces="Z"), "no anchor 'Z' in the register"),
    (planned("B", 3, design=replace(DESIGN, area=-1.0)), "area is negative"),
    (planned("B", 3, design=replace(DESIGN, tests=("pull",))), "tests.0: input should be 'perf"),
    (JackCertified(jack=JACK), "certificate C-2024-14 is recorded already"),
    (JackCertified(jack=5), "jack: input should be an object, not 5"),  # type: ignore[arg-type]
    (JackCertified(jack=replace(JACK, name="")), "jack must be a name"),
    (begun(procedure=None), "procedure: input should be an object, not None"),
    (begun(jack_length="long"), "jack_length: input should be a valid number, not 'long'"),
    (begun(tested_by=" "), "tested_by must be a name"),
    (submittal("Z"), "no anchor 'Z' in the register"),
    (Submittal(number="1", anchors=A, decision="accept"), "anchors: input should be a valid array"),  # type: ignore[arg-type]
    (submittal(decision="yes"), "input should be 'accept', 'accept as noted' or 'revise'"),
    (Submittal(number="1", anchors=(), decision="accept"), "name each anchor that it covers once"),
    (submittal(A, A), "name each anchor that it covers once"),
    (drilled("Z"), "there is no anchor 'Z' in the register"),
    (drilled(""), "anchor must be a name, not ''"),
    (drilled(diameter="0.15"), "diameter: input should be a valid number, not '0.15'"),
    (drilled(length=float("inf")), "length is not a finite number"),
    (drilled(length=10**400), "length is not a finite number"),
    (drilled(rig=object()), "object is nothing that can be recorded"),
    (drilled(casing=True), "casing: input should be a valid number"),
    (drilled(strata=(StratumMet(top=0.0, bottom="x", description=""),)), "strata.0.bottom: input"),  # type: ignore[arg-type]
    (drilled(crew="a\x07"), "crew holds characters that are not text"),
    (drilled(method="\ud800"), "method holds characters that are not text"),
    (drilled(water="w" * 20_001), "water is longer than 20000 characters"),
    (Replaced(anchor=A, replacement=A, why="x"), "an anchor does not replace itself"),
    (Replaced(anchor=A, replacement="Z", why="x"), "no anchor 'Z' in the register"),
    (Drilled, "this is no fact that can be recorded: type"),
    (None, "this is no fact that can be recorded: NoneType"),
]


@pytest.fixture
def begun_with(records: Records) -> Records:
    records.add_all([JackCertified(jack=JACK), planned()], by=BY)
    return records


def refused(records: Records, call: Callable[[], object], words: str) -> None:
    before = records.last()
    with pytest.raises(RecordsError) as refusal:
        call()
    assert words in str(refusal.value)
    assert "\n" not in str(refusal.value)
    assert len(str(refusal.value)) < 400
    assert records.last() == before


def test_facts_that_are_wrong(begun_with: Records) -> None:
    for fact, words in WRONG:
        refused(begun_with, lambda f=fact: begun_with.add(f, by=BY, exception="so"), words)  # type: ignore[misc]


def test_who_and_when_and_why(begun_with: Records) -> None:
    records = begun_with
    for options, words in (
        ({"by": ""}, "author must be a name"),
        ({"by": 5}, "author must be a name, not 5"),
        ({"by": BY, "on": "noon"}, "the time it happened must be a date with time, not 'noon'"),
        ({"by": BY, "on": NOW.replace(tzinfo=None)}, "the time it happened has no time zone"),
        ({"by": BY, "on": NOW + timedelta(hours=2)}, "is still to come"),
        ({"by": BY, "exception": 5}, "an exception is stated in words"),
    ):
        refused(records, lambda o=options: records.add(tendon(), **o), words)  # type: ignore[misc]
    records.add(tendon(), by=BY, on=NOW + timedelta(minutes=30))  # clocks differ a little


def test_calls_that_are_wrong(begun_with: Records) -> None:
    r = begun_with
    for call, words in (
        (lambda: r.anchor("Z"), "there is no anchor 'Z'"),
        (lambda: r.anchor(None), "there is no anchor None"),
        (lambda: r.history("Z"), "there is no anchor 'Z'"),
        (lambda: r.test_record("Z"), "there is no anchor 'Z'"),
        (lambda: r.readings_csv("Z"), "there is no anchor 'Z'"),
        (lambda: r.correct(99, planned(), by=BY, reason="y"), "there is no entry 99"),
        (lambda: r.correct(2, None, by=BY, reason="y"), "withdraw the entry instead"),
        (lambda: r.correct(2, "x", by=BY, reason="y"), "no fact that can be recorded: str"),
        (lambda: r.correct(2, planned(), by=BY, reason=" "), "a correction needs its reason"),
        (lambda: r.correct(2, planned(), by=BY, reason=5), "a correction needs its reason"),
        (lambda: r.withdraw(99, by=BY, reason="y"), "there is no entry 99"),
        (lambda: r.attach(5, called="x", by=BY), "this is no path of a file: 5"),
        (lambda: r.attach(b"abc", called=5, by=BY), "name: input should be a valid string"),
        (lambda: r.add_readings(A, None, by=BY), "no test has begun"),
        (lambda: r.add_readings_csv(5, by=BY), "a table is given as text"),
        (lambda: r.import_archive(5), "this is no path of a file: 5"),
        (lambda: r.export(""), "this is no path of a file: ''"),
        (lambda: open_records(5), "no file was named"),
    ):  # fmt: skip
        refused(r, call, words)  # type: ignore[arg-type]
    r.add(begun(), by=BY, exception="so")
    refused(r, lambda: r.add_readings(A, None, by=BY), "readings are given as a list")  # type: ignore[arg-type]
    refused(r, lambda: r.add_readings(A, "12", by=BY), "readings are given as a list")  # type: ignore[arg-type]


def test_of_several_facts_all_or_none(begun_with: Records) -> None:
    with pytest.raises(RefusedError, match="in the register already"):
        begun_with.add_all([planned("B", 2), Remark(text="two"), planned("B", 3)], by=BY)
    assert [line.anchor for line in begun_with.register()] == [A]


def test_an_exception_counts_only_where_something_does_not_fit(begun_with: Records) -> None:
    records = begun_with
    records.add_all([submittal(), drilled()], by=BY, exception="to be sure")
    assert records.register()[0].exceptions == 0
    records.add(drilled(), by=BY, exception="drilled twice")
    assert records.register()[0].exceptions == 1


def test_a_number_given_whole_is_kept_as_a_number(begun_with: Records) -> None:
    begun_with.add(tendon(free_length=6, area=1), by=BY)
    found = begun_with.anchor(A).of(type(tendon()))[0].fact
    assert found is not None
    assert isinstance(found.free_length, float)
    begun_with.add(begun(), by=BY, exception="so")
    begun_with.add_reading(A, replace(readings(1)[0], minute=5, dials=(0, -0.0)), by=BY)
    read = begun_with.test_record(A).readings[0]
    assert [type(v) for v in (read.minute, *read.dials)] == [float] * 3
    assert begun_with.verify().sound
