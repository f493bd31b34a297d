"""A confirmed reading stays, whatever happens: kills, torn logs, full disks, locks, two writers."""

from __future__ import annotations

import json
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from backstay.records import (
    JackCertified,
    Records,
    RefusedError,
    Remark,
    StoreError,
    open_records,
)  # fmt: skip
from tests.postgres import Server, server
from tests.unit.records.wall import BY, JACK, begun, fill, planned, readings

ROOT = Path(__file__).parents[2]
A = "A-1-001"


@pytest.fixture(scope="module")
def postgres() -> Iterator[Server]:
    with server() as running:
        yield running


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "wall.records"


def start(records: Records) -> None:
    records.add_all([JackCertified(jack=JACK), planned(), begun()], by=BY, exception="test")


def python(*words: object, **options: object) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, *map(str, words)], cwd=ROOT, stdout=subprocess.PIPE, text=True, **options
    )  # fmt: skip


def killed_again_and_again(url: object, rounds: int) -> None:
    with python("-m", "tests.robustness.crashing", url, rounds, 20260) as harness:
        out, _ = harness.communicate(timeout=120)
    assert harness.returncode == 0
    found = json.loads(out)
    assert found["confirmed"] > 3 * rounds
    assert found["lost"] == []
    assert found["faults"] == []


def test_killed_while_writing(path: Path) -> None:
    killed_again_and_again(path, 40)


def test_killed_while_writing_to_postgresql(postgres: Server) -> None:
    killed_again_and_again(postgres.new_database(), 10)


def test_the_server_crashes(postgres: Server) -> None:
    url = postgres.new_database()
    with open_records(url, wait=1.0) as records:
        start(records)
        records.add_readings(A, readings()[:6], by=BY)
        postgres.stop("immediate")
        try:
            with pytest.raises(StoreError, match="Nothing of this was recorded") as refusal:
                records.add_reading(A, readings()[6], by=BY)
            assert "\n" not in str(refusal.value)
        finally:
            postgres.start()
        assert records.test_record(A).readings == readings()[:6]
        records.add_reading(A, readings()[6], by=BY)
        assert records.verify().sound


def test_the_power_fails_after_what_was_confirmed(path: Path, tmp_path: Path) -> None:
    """The log is forced to the disk by each commit; what follows it may be torn anywhere.

    The state that a power failure leaves is made by hand: the database file and its log up to a
    point after the last confirmed commit, the rest of the log cut, or filled with noise.
    """
    chance = random.Random(7)  # noqa: S311
    log = path.with_name("wall.records-wal")
    read = [replace(r, number=i + 1) for i, r in enumerate(readings() * 4)]
    with open_records(path) as records:
        start(records)
        ends = []
        for reading in read:
            records.add_reading(A, reading, by=BY)
            ends.append(log.stat().st_size)
        base, whole = path.read_bytes(), log.read_bytes()
    assert ends == sorted(set(ends)), "every commit lengthens the log"
    for i in range(40):
        kept = chance.randrange(len(ends))
        end = ends[kept + 1] if kept + 1 < len(ends) else len(whole)
        cut = chance.randint(ends[kept], max(ends[kept], end - 1))
        noise = chance.randbytes(len(whole) - cut) if i % 2 else b""
        after = tmp_path / f"after-{i}.records"
        after.write_bytes(base)
        after.with_name(f"{after.name}-wal").write_bytes(whole[:cut] + noise)
        with open_records(after) as records:
            numbers = [r.number for r in records.test_record(A).readings]
            assert numbers == list(range(1, kept + 2))
            assert records.verify().sound


def refuses_and_loses_nothing(records: Records, words: str) -> None:
    before = records.last()
    with pytest.raises(StoreError, match=words) as refusal:
        records.add(Remark(text="x" * 15_000), by=BY)
    assert "Nothing of this was recorded; what was confirmed before is safe." in str(refusal.value)
    assert "\n" not in str(refusal.value)
    assert records.last() == before
    assert records.verify().sound


def test_a_full_disk(path: Path) -> None:
    with open_records(path) as records:
        fill(records)
        with records._database.reading() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        refuses_and_loses_nothing(records, r"wall\.records: the disk is full\.")
        with records._database.reading() as connection:
            connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
        records.add(Remark(text="x" * 15_000), by=BY)


FULL = """
import resource, signal, sys
from pathlib import Path
from backstay.records import Remark, StoreError, open_records
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
with open_records(sys.argv[1]) as records:
    most = max(p.stat().st_size for p in Path(sys.argv[1]).parent.glob("wall.records*")) + 9000
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    confirmed = 0
    for what in (lambda: records.add(Remark(text="y" * 3000), by="me"),
                 lambda: records.attach(b"z" * (most + 1), called="z", by="me"),
                 lambda: records.export(Path(sys.argv[1]).with_name("out.zip"))):
        try:
            while True:
                what()
                confirmed += 1
        except StoreError as error:
            print(str(error).replace(chr(10), "NEWLINE"))
    print(confirmed)
"""


def test_no_room_for_any_file(path: Path) -> None:
    """The system gives no room beyond a size: to the log, to files, to an archive."""
    with open_records(path) as records:
        fill(records)
        chance = random.Random(1)  # noqa: S311
        for _ in range(4):  # so that the archive is larger than the log has room for
            records.attach(b"\x89PNG\r\n\x1a\n" + chance.randbytes(200_000), called="x", by=BY)
        before = records.last()[0]
    with python("-c", FULL, path) as crowded:
        out, _ = crowded.communicate(timeout=60)
    log, file, archive, confirmed = out.splitlines()
    assert "Nothing of this was recorded" in log
    assert "wall.records: " in log
    assert "the file cannot be kept (File too large)" in file
    assert "out.zip: not written (File too large)" in archive
    assert "NEWLINE" not in out
    assert not path.with_name("out.zip").exists()
    assert not list(path.parent.rglob("*.tmp"))
    with open_records(path) as records:
        assert records.last()[0] == before + int(confirmed)
        assert records.verify().sound


@contextmanager
def without_rights() -> Iterator[None]:
    """Be a user whom file rights bind."""
    if os.geteuid() != 0:
        yield
        return
    os.setegid(65534)
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)
        os.setegid(0)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="records-"))
    folder.chmod(0o777)
    yield folder
    folder.chmod(0o777)
    shutil.rmtree(folder)


def test_a_file_that_cannot_be_written(open_folder: Path) -> None:
    path = open_folder / "wall.records"
    with open_records(path) as records:
        fill(records)
    path.chmod(0o444)
    with without_rights(), open_records(path) as records:
        assert records.register()[0].state == "lifted off"
        refuses_and_loses_nothing(records, "it cannot be written: the file or its folder is")


def test_a_folder_that_cannot_be_written(open_folder: Path) -> None:
    path = open_folder / "wall.records"
    open_folder.chmod(0o555)
    with without_rights(), pytest.raises(StoreError, match=r"it cannot be opened.*no right to it"):
        open_records(path)


def test_another_program_writes_for_long(path: Path) -> None:
    with open_records(path, wait=0.2) as records:
        fill(records)
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            refuses_and_loses_nothing(records, "another program is writing to it")
            assert records.register()[0].state == "lifted off", "reading goes on"
            other.execute("ROLLBACK")
        records.add(Remark(text="now"), by=BY)


def test_another_program_writes_for_long_on_postgresql(postgres: Server) -> None:
    url = postgres.new_database()
    with open_records(url, wait=0.2) as records, open_records(url) as other:
        fill(records)
        with other._database.writing():
            refuses_and_loses_nothing(records, "another program is writing to it")
        records.add(Remark(text="now"), by=BY)


def test_a_damaged_file_is_named(path: Path) -> None:
    with open_records(path) as records:
        fill(records)
    content = bytearray(path.read_bytes())
    content[4096:] = b"\xa5" * (len(content) - 4096)
    path.write_bytes(content)
    with (
        pytest.raises(StoreError, match="the file is damaged; go back to a copy or an export"),
        open_records(path) as records,
    ):
        records.register()


WRITER = """
import sys
from dataclasses import replace
from backstay.records import RefusedError, open_records
from tests.unit.records.wall import BY, begun, planned, readings
mine = sys.argv[2]
won = 0
with open_records(sys.argv[1], wait=60) as records:
    records.add_all([planned(mine, number=int(mine)), begun(mine)], by=mine, exception="test")
    for i in range(int(sys.argv[3])):
        records.add_reading(mine, replace(readings(1)[0], number=i + 1), by=mine)
        try:  # both want this number
            records.add_reading("A-1-001", replace(readings(1)[0], number=i + 1), by=mine)
            won += 1
        except RefusedError as error:
            assert "is recorded already" in str(error), error
print(won)
"""


def two_writers(url: object, count: int) -> None:
    with open_records(url) as records:  # type: ignore[arg-type]
        start(records)
        writers = [python("-c", WRITER, url, name, count) for name in ("101", "102")]
        won = []
        for writer in writers:
            out, _ = writer.communicate(timeout=120)
            assert writer.returncode == 0
            won.append(int(out))
        assert sum(won) == count, "each number was given once"
        for name in ("101", "102", A):
            numbers = [r.number for r in records.test_record(name).readings]
            assert numbers == list(range(1, count + 1))
        found = records.verify()
        assert found.sound
        assert found.readings == 3 * count


def test_two_writers(path: Path) -> None:
    two_writers(path, 40)


def test_two_writers_on_postgresql(postgres: Server) -> None:
    two_writers(postgres.new_database(), 40)


def test_two_who_register_the_same_anchor(path: Path) -> None:
    with open_records(path) as one, open_records(path) as two:
        one.add(planned(), by=BY)
        with pytest.raises(RefusedError, match="in the register already"):
            two.add(planned(), by=BY)
        assert len(two.register()) == 1
