"""`field derate`: what the records alone refuse is refused before the wall is designed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from backstay.field_cli import teaching
from backstay.field_cli.app import app
from backstay.fieldbook import down_rating
from backstay.records import open_records
from tests.unit.workbench.field.test_correcting import go
from tests.unit.workbench.field.wall import PART, slipping, wall

A = f"{PART}-1-001"
SIGNED = ("--by", "E. Record", "--reason", "it slips")


class Designed(Exception):
    """The wall was designed."""


@pytest.fixture
def failed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the folder of a wall with one anchor that failed its test."""

    def design(_: Any) -> Any:
        raise Designed

    monkeypatch.setattr(teaching, "designed", design)
    go(wall(tmp_path), slipping(), record=True)
    return tmp_path


def derate(folder: Path, *words: str) -> str:
    """Run the command; return what it says where it refuses, "designed" where it goes on."""
    done = CliRunner().invoke(app, ["derate", str(folder / "wall.yaml"), *words])
    if isinstance(done.exception, Designed):
        return "designed"
    assert done.exit_code == 2, done.output
    return " ".join(done.output.split())


def last(folder: Path) -> tuple[int, str]:
    with open_records(folder / "wall.records") as records:
        return records.last()


def test_the_wall_is_designed_for_an_anchor_that_failed_and_for_no_other(failed: Path) -> None:
    before = last(failed)
    assert derate(failed, A) == "designed"
    assert derate(failed, A, *SIGNED) == "designed"
    assert last(failed) == before, "a trial leaves nothing"
    assert "no test has begun" in derate(failed, "1-4")
    assert "no anchor" in derate(failed, "9-999")


def test_what_could_not_be_recorded_is_refused_first(
    failed: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tomorrow = f"{datetime.now(UTC) + timedelta(days=2):%Y-%m-%d}"
    assert "still to come" in derate(failed, A, *SIGNED, "--on", tomorrow)
    assert derate(failed, A, "--on", tomorrow) == "designed", "nothing is recorded"
    found = down_rating.failed_anchor

    def held_nothing(*of: Any) -> down_rating.FailedAnchor:
        return down_rating.FailedAnchor(found(*of).line, None, {})

    monkeypatch.setattr(down_rating, "failed_anchor", held_nothing)
    assert derate(failed, A) == "designed"
    assert "held no load" in derate(failed, A, *SIGNED)
