"""Records to test with: on SQLite and on PostgreSQL."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from backstay.records import Records, open_records
from tests.postgres import Server, server

NOW = datetime(2024, 6, 1, 12, 0, tzinfo=UTC)
Opener = Callable[[], Records]


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    with server() as running:
        yield running


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "wall.records"


@pytest.fixture
def records(path: Path) -> Iterator[Records]:
    with open_records(path, clock=lambda: NOW) as made:
        yield made


@pytest.fixture(params=["sqlite", "postgresql"])
def either(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Opener]:
    """Give what opens the same new database as often as it is called."""
    if request.param == "sqlite":
        url = str(tmp_path / "either.records")
    else:
        url = request.getfixturevalue("postgres").new_database()
    opened: list[Records] = []

    def opener() -> Records:
        opened.append(open_records(url, files=tmp_path / "files", clock=lambda: NOW))
        return opened[-1]

    yield opener
    for one in opened:
        one.close()
