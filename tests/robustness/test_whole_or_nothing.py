"""A program killed while it writes leaves the old file or the new one, never a part."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from backstay.files import atomic_create, atomic_path, atomic_write

WRITER = """
import sys
from backstay.files import atomic_write
i = 0
while True:
    i += 1
    atomic_write(sys.argv[1], bytes([65 + i % 26]) * 200_000)
    if i == 1:
        print("writing", flush=True)
"""


@pytest.mark.skipif(os.name != "posix", reason="needs a signal that cannot be caught")
def test_killed_while_writing(tmp_path: Path) -> None:
    target = tmp_path / "out.bin"
    for i in range(8):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, str(target)], stdout=subprocess.PIPE
        ) as writer:
            assert writer.stdout is not None
            writer.stdout.readline()
            time.sleep(0.007 * i)
            writer.send_signal(signal.SIGKILL)
        content = target.read_bytes()
        assert len(content) == 200_000
        assert len(set(content)) == 1


def test_mode_is_kept_and_nothing_is_left_over(tmp_path: Path) -> None:
    target = tmp_path / "wall.yaml"
    target.write_text("old")
    target.chmod(0o640)
    atomic_write(target, b"new")
    assert target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == 0o640
    assert [p.name for p in tmp_path.iterdir()] == ["wall.yaml"]


def test_a_link_is_written_through(tmp_path: Path) -> None:
    target, link = tmp_path / "real.yaml", tmp_path / "link.yaml"
    target.write_text("old")
    link.symlink_to(target)
    atomic_write(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


def test_a_failed_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "wall.yaml"
    target.write_text("old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        atomic_write(target, b"new")
    assert target.read_text() == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["wall.yaml"]


def test_creating_never_replaces(tmp_path: Path) -> None:
    target = tmp_path / "wall.yaml"
    atomic_create(target, b"first")
    with pytest.raises(FileExistsError):
        atomic_create(target, b"second")
    assert target.read_bytes() == b"first"
    assert [p.name for p in tmp_path.iterdir()] == ["wall.yaml"]


def test_a_database_is_not_written_over(tmp_path: Path) -> None:
    """One slip after -o must not take every field record away; the link to it does not either."""
    target, link = tmp_path / "wall.records", tmp_path / "page.pdf"
    with closing(sqlite3.connect(target)) as made:
        made.execute("CREATE TABLE t (x)")
    link.symlink_to(target)
    before = target.read_bytes()
    for name in (target, link):
        with pytest.raises(FileExistsError, match="this is a database"):
            atomic_write(name, b"%PDF-1.7")
        with pytest.raises(FileExistsError, match="this is a database"), atomic_path(name):
            pass
    assert target.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["page.pdf", "wall.records"]
