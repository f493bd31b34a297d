"""The demonstration wall, grouted, made once by the command line and copied for each test."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.journeys.field import copied, ready


@pytest.fixture(scope="session")
def grouted_wall(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ready(tmp_path_factory.mktemp("jack"))


@pytest.fixture
def wall(grouted_wall: Path, tmp_path: Path) -> Path:
    return copied(grouted_wall, tmp_path)
