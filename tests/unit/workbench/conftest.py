"""Records of the workbench: a file beside the project, or a database of a team."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.postgres import Server, server


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    with server() as running:
        yield running
