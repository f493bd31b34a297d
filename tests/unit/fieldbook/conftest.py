"""Records of one anchor whose test is over, still to be locked off."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from backstay.records import JackCertified, Records, TestClosed, open_records
from backstay.stressing.record import Reading
from tests.unit.fieldbook.locked import HOUR, A
from tests.unit.records.wall import BY, JACK, START, begun, planned, readings, tendon


@pytest.fixture
def taken() -> tuple[Reading, ...]:
    """Return the readings of the test."""
    return readings()


@pytest.fixture
def records(tmp_path: Path, taken: tuple[Reading, ...]) -> Iterator[Records]:
    with open_records(tmp_path / "wall.records") as made:
        made.add_all(
            [JackCertified(jack=JACK), planned(), tendon(), begun()], by=BY, on=START,
            exception="not of this test",
        )  # fmt: skip
        made.add_readings(A, taken, by=BY)
        made.add(TestClosed(anchor=A, test=1), by=BY, on=START + HOUR / 2)
        yield made
