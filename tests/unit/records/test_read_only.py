"""Records in a folder that takes no file: read where that can be, and nothing written."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from shutil import copyfile

import pytest

from backstay.records import Remark, StoreError, open_records
from tests.unit.records.wall import BY, fill

A = "A-1-001"


@pytest.fixture
def still(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return records in a folder that is said to take no file; the log is in them."""
    (tmp_path / "a folder?").mkdir()
    path = tmp_path / "a folder?" / "wall #1.records"
    with open_records(tmp_path / "wall.records") as records:
        fill(records)
    with sqlite3.connect(tmp_path / "wall.records") as raw:
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    copyfile(tmp_path / "wall.records", path)
    real = os.access
    monkeypatch.setattr(os, "access", lambda p, mode: Path(p) != path.parent and real(p, mode))
    return path


def test_records_are_read_and_nothing_is_made_beside_them(still: Path) -> None:
    before = still.read_bytes()
    with open_records(still) as records:
        assert records.register()[0].anchor == A
        assert records.history(A)
        assert records.verify().sound
        assert [p.name for p in still.parent.iterdir()] == [still.name]
    assert still.read_bytes() == before


def test_nothing_is_recorded_and_that_is_said(still: Path) -> None:
    with (
        open_records(still) as records,
        pytest.raises(StoreError, match="read-only") as refused,
    ):
        records.add(Remark(anchor=A, text="wet"), by=BY)
    assert "Nothing of this was recorded" in str(refused.value)
    assert "wall #1.records" in str(refused.value)


def test_a_log_that_is_there_is_read_with_the_records(still: Path) -> None:
    """What stands in the log alone would be left out by reading the file as it is: it is not."""
    still.with_name(f"{still.name}-wal").write_bytes(b"not empty")
    with open_records(still) as records:
        assert not records._database.read_only
