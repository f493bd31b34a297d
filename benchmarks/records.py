"""Time the field records: a register of 5,000 anchors with 200 readings each, and one reading.

Usage: python -m benchmarks.records [ANCHORS [READINGS]]

The register is opened from nothing (schema looked at, both tables read) and compared with the bare
SQL scan of the readings, run by sqlite3 on the same file: the scan that gives number and greatest
pressure of every test. Files are warm in the memory of the system.
"""

from __future__ import annotations

import os
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

from tests.unit.records.wall import (
    BY,
    JACK,
    START,
    begun,
    drilled,
    grouted,
    planned,
    readings,
    strength,
    submittal,
    tendon,
    verdict,
)  # fmt: skip

from backstay.records import (
    Fact,
    JackCertified,
    LiftedOff,
    LockedOff,
    Records,
    TestClosed,
    open_records,
)  # fmt: skip

SCAN = "SELECT test, count(*), max(gauge), max(load) FROM field_reading GROUP BY test"


def build(path: Path, anchors: int, count: int) -> None:
    """Record the whole life of a wall through the same doors as ever."""
    names = [f"A-{1 + i // 500}-{1 + i % 500:03d}" for i in range(anchors)]
    with open_records(path) as records:
        records.add(JackCertified(jack=JACK), by=BY, on=START)
        stage(records, 0, [planned(n, 1 + i % 500, row=1 + i // 500) for i, n in enumerate(names)])
        for i in range(0, anchors, 250):
            stage(records, 1, [submittal(*names[i : i + 250], number=f"S-{i}")])
        stage(records, 2, [drilled(n) for n in names])
        stage(records, 2, [tendon(n) for n in names])
        stage(records, 3, [grouted(n) for n in names])
        stage(records, 9, [strength(n) for n in names])
        stage(records, 10, [begun(n) for n in names])
        read = readings(count)
        for name in names:
            records.add_readings(name, read, by=BY)
        stage(records, 11, [TestClosed(anchor=n, test=1) for n in names])
        stage(records, 11, [verdict(n) for n in names])
        stage(records, 11, [LockedOff(anchor=n, jack_load=345.0, load=322.0) for n in names])
        stage(records, 12, [LiftedOff(anchor=n, load=318.0) for n in names])


def stage(records: Records, day: int, facts: list[Fact]) -> None:
    """Record the same fact of every anchor in one go."""
    records.add_all(facts, by=BY, on=START + timedelta(days=day))


def timed(work: Callable[[], object], repeats: int = 5) -> float:
    """Return the median time of a call (s)."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def scan(path: Path) -> None:
    """Run the bare scan."""
    with closing(sqlite3.connect(path)) as bare:
        bare.execute(SCAN).fetchall()


def summarise(path: Path) -> None:
    """Open the records and work out the line of every anchor."""
    with open_records(path) as records:
        records.register()


def one_reading(path: Path, count: int) -> float:
    """Return the median time until one reading is confirmed (s)."""
    times = []
    with open_records(path) as records:
        records.add(JackCertified(jack=JACK), by=BY)
        records.add(planned(), by=BY)
        records.add(begun(), by=BY, exception="timing")
        for reading in readings(count):
            start = time.perf_counter()
            records.add_reading("A-1-001", reading, by=BY)
            times.append(time.perf_counter() - start)
    return statistics.median(times)


def forced(folder: Path, count: int = 100) -> float:
    """Return the median time in which the disk takes a page (s)."""
    times = []
    with (folder / "page").open("wb") as stream:
        for _ in range(count):
            start = time.perf_counter()
            stream.write(b"\0" * 4096)
            stream.flush()
            os.fsync(stream.fileno())
            times.append(time.perf_counter() - start)
    return statistics.median(times)


def main(arguments: list[str]) -> int:
    """Print the table of timings."""
    anchors, count = (*map(int, arguments), *(5000, 200)[len(arguments) :])
    Path("out").mkdir(exist_ok=True)  # on the disk of the work, which a temporary folder may not be
    with tempfile.TemporaryDirectory(dir="out") as name:
        folder = Path(name)
        path = folder / "wall.records"
        start = time.perf_counter()
        build(path, anchors, count)
        built = time.perf_counter() - start
        bare, whole = timed(lambda: scan(path)), timed(lambda: summarise(path))
        start = time.perf_counter()
        with open_records(path) as records:
            found = records.verify()
        verified = time.perf_counter() - start
        assert found.sound, found.faults
        single, disk = one_reading(folder / "one.records", 200), forced(folder)
        size = path.stat().st_size / 1e6
    print(f"{anchors} anchors, {anchors * count} readings, {size:.0f} MB, built in {built:.0f} s")
    print(f"{'bare SQL scan of the readings':44} {1000 * bare:9.1f} ms")
    print(
        f"{'open and summarise every anchor':44} {1000 * whole:9.1f} ms {whole / bare:8.2f} scans"
    )
    print(f"{'verify every hash':44} {1000 * verified:9.1f} ms")
    print(f"{'force a page to the disk':44} {1000 * disk:9.2f} ms")
    print(
        f"{'record one reading, confirmed':44} {1000 * single:9.2f} ms {single / disk:8.2f} pages"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
