"""Lift-offs read at a gauge, in every kind of database, in archives, and beside older records."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from backstay.errors import DesignError
from backstay.records import JackCertified, LiftedOff, Records, RefusedError, open_records
from backstay.records.encoding import checked, of_plain, plain_of
from backstay.records.gauge_read import in_loads
from backstay.stressing.jack import CalibrationPoint
from tests.postgres import Server
from tests.unit.records.wall import BY, JACK, START, fill

A = "A-1-001"
NAMED = {"anchor": A, "jack": "J-7", "certificate": "C-2024-14"}
READ = (
    LiftedOff(load=296.0, gauge=12_000.0, **NAMED),
    LiftedOff(load=249.0, strand_gauges=(5_000.0, 0.0, 5_000.0), **NAMED),
    LiftedOff(
        load=300.0, gauges=(10_000.0, 11_000.0, 12_000.0), movements=(0.01, 0.011, 0.012), **NAMED
    ),
)
LOADS = (296.0, 2 * (2.0 + 0.0245 * 5000.0), 300.0)


def lifted(records: Records) -> Records:
    """Record the life of an anchor, and lift-offs of it by the gauge."""
    fill(records, (A,))
    for k, fact in enumerate(READ):
        records.add(fact, by=BY, on=START + timedelta(days=2 + k))
    return records


def test_what_was_read_is_kept_in_either_database(either: Callable[[], Records]) -> None:
    lifted(either())
    again = either()
    assert [e.fact for e in again.anchor(A).of(LiftedOff)][1:] == list(READ)
    found = [e.fact for e in again.anchor(A).lift_offs()][1:]
    assert [f.load for f in found if f] == pytest.approx(LOADS)
    assert found[1] is not None
    assert found[1].strands == pytest.approx((124.5, 0.0, 124.5))
    assert found[2] is not None
    assert found[2].loads == pytest.approx((247.0, 271.5, 296.0))
    assert all(not f.by_gauge for f in found if f)
    assert again.verify().sound


def test_corrections_of_reading_and_certificate_in_either_database(
    either: Callable[[], Records],
) -> None:
    records = either()
    fill(records, (A,))
    made = records.add(READ[0], by=BY, on=START + timedelta(days=2))
    records.correct(made.id, replace(READ[0], gauge=13_000.0, load=320.5), by=BY, reason="misread")
    assert records.register()[0].lift_off_load == pytest.approx(320.5)
    points = tuple(CalibrationPoint(p.pressure, 2.0 * p.load) for p in JACK.calibration.points)
    jack = replace(JACK, calibration=replace(JACK.calibration, points=points))
    records.correct(1, JackCertified(jack=jack), by=BY, reason="of two rams")
    assert records.register()[0].lift_off_load == pytest.approx(641.0)
    (_, entry) = records.anchor(A).lift_offs()
    assert entry.fact is not None
    assert entry.fact.load == pytest.approx(641.0)
    assert [e.fact.gauge for e in records.history(A) if e.kind == "lifted off"] == [
        None, 12_000.0, 13_000.0
    ]  # fmt: skip
    with pytest.raises(RefusedError, match="test 1 was made with this jack"):
        records.withdraw(records.last()[0], by=BY, reason="not ours")


def test_they_go_through_archives_without_loss(postgres: Server, tmp_path: Path) -> None:
    first = lifted(open_records(tmp_path / "a.records"))
    second = open_records(postgres.new_database(), files=tmp_path / "b.files")
    third = open_records(tmp_path / "c.records")
    with first, second, third:
        first.export(tmp_path / "a.zip")
        second.import_archive(tmp_path / "a.zip")
        second.export(tmp_path / "b.zip")
        third.import_archive(tmp_path / "b.zip")
        assert first.last() == second.last() == third.last()
        for other in (second, third):
            assert other.anchor(A) == first.anchor(A)
            assert other.register() == first.register()
            assert other.verify(first.last()).sound
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


@pytest.mark.parametrize("postgresql", [False, True])
def test_older_records_take_them(postgresql: bool, postgres: Server, tmp_path: Path) -> None:
    """Records of the first version know no gauge at a lift-off: they are read as they are, the schema
    stays, and what is read at a gauge stands beside them."""
    url: str | Path = postgres.new_database() if postgresql else tmp_path / "old.records"
    with open_records(url, files=tmp_path / "files") as records:
        records.import_archive(Path(__file__).parent / "first_version.zip")
        with records._database.reading() as connection:
            stored = connection.execute(
                sa.text("SELECT payload FROM field_entry WHERE kind = 'lifted off'")
            ).scalars()
            assert all("gauge" not in json.loads(payload) for payload in stored)
        before, seen = records.register()[0], records.last()
        records.add(READ[0], by=BY, on=before.since + timedelta(days=1))
    with open_records(url, files=tmp_path / "files") as records:
        assert records.verify(seen).sound
        assert records.register()[0].lift_off_load == pytest.approx(296.0)
        old, new = records.anchor(A).lift_offs()
        assert old.fact is not None
        assert old.fact.load == before.lift_off_load
        assert new.fact is not None
        assert new.fact.load == pytest.approx(296.0)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"gauge": 1.0, "strands": (150.0, 150.0)}, "in one way"),
        ({"gauge": 1.0, "gauges": (1.0,), "movements": (1.0,)}, "in one way"),
        ({"strand_gauges": (1.0,), "strands": (300.0,)}, "in one way"),
        ({"gauges": (1.0,), "loads": (1.0,), "movements": (1.0,)}, "in one way"),
        ({"gauges": (1.0,)}, "make a reading"),
        ({"gauges": (1.0,), "movements": (1.0, 2.0)}, "make a reading"),
        ({"gauge": 1.0, "jack": ""}, "by its jack and certificate"),
        ({"gauge": 1.0, "certificate": ""}, "by its jack and certificate"),
    ],
)  # fmt: skip
def test_a_reading_is_whole_and_of_one_kind(changes: dict[str, object], words: str) -> None:
    with pytest.raises(DesignError, match=words):
        LiftedOff(**({"load": 300.0} | NAMED | changes))  # type: ignore[arg-type]


def test_what_was_recorded_without_a_gauge_is_read_as_before() -> None:
    old = {"anchor": A, "load": 342.5, "jack": "J-1", "certificate": "C-1"}
    assert of_plain(LiftedOff, old) == LiftedOff(**old)  # type: ignore[arg-type]
    for fact in READ:
        assert of_plain(LiftedOff, plain_of(fact)) == fact
    assert in_loads(READ[0], {}) == READ[0], "no line, no load but the one recorded"
    with pytest.raises(RefusedError, match="negative"):
        checked(replace(READ[0], gauge=-1.0), "'lifted off'")
